/* prepare.h - the formulas of a source's `prepare`, over the samples of one interval. */
#ifndef WINDASSAY_DATA_PREPARE_H
#define WINDASSAY_DATA_PREPARE_H

#include "data/batch.h"
#include "data/plan.h"
#include "windassay/formula.h"

/** One thread's room; zeroed: empty. `added` and `drop` hold the last evaluation. */
typedef struct wa_prepared {
    size_t n_channels, n_added, n_drops, room;
    double **channel; /* of the source's channels, as formulas see them */
    double **added;
    uint8_t **drop;
    wa_formula_scratch scratch;
} wa_prepared;
void wa_prepared_release(wa_prepared *p);

/** The formulas of a source that has a prepare. */
wa_status wa_prepare_decode(wa_formula **out, const wa_source *s, wa_error *err);

/** Decodes the source's formulas into the plan, with what they add; then, once the other reasons
 *  are listed, why they drop. Both do nothing where the source has no prepare. */
wa_status wa_prepare_plan(wa_plan *plan, wa_error *err);
wa_status wa_prepare_plan_drops(wa_plan *plan, wa_error *err);

/** A direction in degrees brought within [0, 360). */
double wa_direction_within(double degrees);

/** Samples of a channel in its unit inside, calibrated; directions within [0, 360); NaN: missing
 *  or not calibrated. */
void wa_prepare_values(double *to, const wa_plan *plan, size_t channel, size_t interval,
                       const wa_datum *is, const uint8_t *tag, size_t n);

wa_status wa_prepare_evaluate(wa_prepared *p, const wa_plan *plan, const wa_batch *batch,
                              size_t interval, wa_error *err);

/** Where drop `d` concerns the target (a channel, or an added one after the channels) its place in
 *  the list of reasons; the next place is for what cannot be judged. SIZE_MAX where it does not. */
size_t wa_prepare_reason(const wa_plan *plan, size_t d, size_t target);

#endif
