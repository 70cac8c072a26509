/* calibration.h - what a dossier says of a unit, for the campaigns that the unit measures in later.
 *
 * A check may give calibrations: what the unit shows as a multiple of what the reference shows, by
 * quantity, beam, range or height, with the bins, the budget and the range of validity. They are a
 * part of its entry in the record. The file data/calibration.json of a dossier is a function of the
 * record alone: these entries, the unit, and what was not calibrated. A later campaign names such a
 * file and its digest. docs/reference/calibration.md describes both forms.
 */
#ifndef WINDASSAY_CALIBRATION_H
#define WINDASSAY_CALIBRATION_H

#include "windassay/error.h"
#include "windassay/value.h"

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

#define WA_CALIBRATION_SCHEMA "windassay-calibration-1"

/**
 * The calibration of a closed record, whose file has this SHA-256. `*out` is NULL where no check
 * gave one: then there is no file.
 */
wa_status wa_calibration_make(wa_value **out, const wa_value *record, const char *sha256,
                              wa_error *err);

/** Whether two calibrations are of one thing: the same quantity at the same beam, range, height. */
bool wa_calibration_same(const wa_value *a, const wa_value *b);

/** Whether a value that was read is such a file; a stranger may have written it. WA_ERR_DATA with
 *  `place` before what is not as it must be. */
wa_status wa_calibration_check(const wa_value *v, const char *place, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
