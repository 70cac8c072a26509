/* job.h - the records as a sealed cell gets them: a description, and a sealed memory file.
 *
 * The file holds doubles only: array k (from 0) has one value an interval and starts at byte
 * k * n * 8. The description says which array is which statistic of which channel.
 */
#ifndef WINDASSAY_RUN_JOB_H
#define WINDASSAY_RUN_JOB_H

#include "windassay/records.h"
#include "windassay/value.h"

/** Describes the records of a campaign; the caller frees. NULL: memory. */
wa_value *wa_job_describe(const wa_records *r, const wa_campaign *c);

/** The campaign as checks see it: what the file says, with its sources as a list of { name, role,
 *  position, interval_s, ... }. The caller frees. NULL: memory. */
wa_value *wa_job_campaign(const wa_campaign *c);

/** A sealed read-only memory file with the arrays in the order of wa_job_describe. The caller
 *  closes it. WA_ERR_IO when the system refuses. */
wa_status wa_job_memory(int *fd, const wa_records *r, wa_error *err);

#endif
