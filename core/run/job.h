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

/** A memory file that is being filled with doubles. After a failure it is closed. */
typedef struct wa_memory {
    int fd;
} wa_memory;
wa_status wa_memory_new(wa_memory *m, wa_error *err);
wa_status wa_memory_add(wa_memory *m, const double *at, size_t n, wa_error *err);
/** Seals it and hands it over: the caller closes. */
wa_status wa_memory_seal(int *fd, wa_memory *m, wa_error *err);

/** The arrays of the records, in the order of wa_job_describe. */
wa_status wa_job_memory(wa_memory *m, const wa_records *r, wa_error *err);
/** How many doubles that is. */
size_t wa_job_doubles(const wa_records *r);

#endif
