/* calibrations.h - the calibrations that a campaign takes from earlier dossiers: read, proven, and
 * shown to its checks.
 *
 * What a check sees, in the order of the campaign:
 *   { { source, file, sha256, any_range, despite, lidar, record, calibrations, not_calibrated }, ... }
 * the last four as they stand in the file (docs/reference/calibration.md).
 */
#ifndef WINDASSAY_RUN_CALIBRATIONS_H
#define WINDASSAY_RUN_CALIBRATIONS_H

#include "windassay/campaign.h"
#include "windassay/error.h"
#include "windassay/text.h"
#include "windassay/value.h"

typedef struct wa_calibrations {
    wa_value *shown;  /* as checks get it                                 */
    wa_value *listed; /* a list, as the record holds it                   */
    wa_text *bytes;   /* the files, in the order of the campaign          */
    size_t n;
} wa_calibrations;

/**
 * Reads each file, which must have the digest that the campaign states, be of that instrument and,
 * of the unit, of its firmware, configuration and sign (or the campaign says why it holds despite
 * a difference). No two may be of one thing of one source. WA_ERR_MISSING, WA_ERR_DATA.
 */
wa_status wa_calibrations_read(wa_calibrations *out, const wa_campaign *c, wa_error *err);
void wa_calibrations_release(wa_calibrations *x);

/** Adds each file as an input { path, source, bytes, sha256 } to a list. False: memory. */
bool wa_calibrations_inputs(wa_value *inputs, const wa_campaign *c, const wa_calibrations *x);

#endif
