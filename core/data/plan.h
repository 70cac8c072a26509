/* plan.h - how one source is read: what wa_source says, resolved once for all files and threads.
 */
#ifndef WINDASSAY_DATA_PLAN_H
#define WINDASSAY_DATA_PLAN_H

#include "data/decimals.h"
#include "windassay/campaign.h"
#include "windassay/exact.h"
#include "windassay/formula.h"
#include "windassay/records.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { WA_PLAIN_SCALES = 8 };

typedef struct wa_channel_plan {
    const wa_channel *channel;
    double slope, offset; /* from the unit in the file to the unit inside             */
    double to_degree;     /* directions: the slope to degrees, for the check of range */
    /* Which plain decimals are samples as they stand, by their number of decimals. */
    bool quick;
    wa_decimals expected[WA_PLAIN_SCALES];
} wa_channel_plan;

/* Which reason each kind of drop has in the list of reasons. */
typedef struct wa_reason_places {
    size_t repeated, keep_if, missing, uncalibrated, prepare;
} wa_reason_places;

typedef struct wa_plan {
    const wa_campaign *campaign;
    const wa_source *source;
    size_t index; /* of the source              */
    size_t n;     /* intervals of the grid      */
    wa_divisor divisor;
    bool raw, split;
    wa_vector_level level; /* how plain rows are taken apart */
    bool undigested;       /* wa_reading */
    bool any_shared;       /* a split source with channels that are equal on all rows of a scan */
    wa_channel_plan *channel; /* one for each of source->n_channels */
    wa_formula *formula;      /* of prepare; NULL: none */
    wa_channel *added;        /* by prepare: name, quantity, kind, unit */
    size_t n_added;
    char **reason; /* of dropped samples */
    size_t n_reasons;
    wa_reason_places place;
} wa_plan;

/** WA_ERR_DATA where what the source says cannot be done together. */
wa_status wa_plan_make(wa_plan *out, const wa_campaign *campaign, size_t source, wa_error *err);
void wa_plan_release(wa_plan *p);

/** Adds to the list of reasons. False: memory ran out. */
bool wa_plan_add_reason(wa_plan *p, const char *format, ...) WA_PRINTF(2, 3);

/** True for a time within the campaign's period. */
bool wa_plan_covers(const wa_plan *p, int64_t t);

/** Start of interval i, ns. */
int64_t wa_plan_start(const wa_plan *p, size_t i);

/** The whole way from the file's unit to the calibrated value over an interval: unit first, then
 *  the calibration, each y = fma(x, slope, offset). False where no single calibration covers the
 *  interval: the instrument was changed in it, or none was fitted. */
typedef struct wa_affine {
    double slope[2], offset[2];
    size_t n; /* steps; 0: as in the file */
} wa_affine;
bool wa_plan_affine(wa_affine *out, const wa_plan *p, size_t channel, size_t interval);
double wa_affine_apply(const wa_affine *a, double x);

/** Samples that an interval should hold of one beam and range; 0: the campaign does not say. */
double wa_plan_expected(const wa_plan *p, bool has_beam, double beam, bool has_range, double range);

#endif
