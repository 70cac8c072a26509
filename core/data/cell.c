#include "data/cell.h"

#include "data/series.h"
#include "windassay/column.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

void wa_workroom_release(wa_workroom *w)
{
    free(w->numbers);
    free(w->out);
    free(w->out_target);
    wa_prepared_release(&w->prepared);
    *w = (wa_workroom){0};
}

static bool workroom_grow(wa_workroom *w, size_t n)
{
    if (n <= w->room)
        return true;
    wa_workroom_release(w);
    w->numbers = malloc(n * 2 * sizeof *w->numbers);
    w->out = malloc(n * 2);
    w->out_target = malloc(n * 2);
    bool ok = w->numbers != NULL && w->out != NULL && w->out_target != NULL;
    w->room = ok ? n * 2 : 0;
    return ok;
}

/* ---- life ---- */

static const wa_channel *target_channel(const wa_plan *p, size_t target)
{
    size_t n = p->source->n_channels;
    return target < n ? &p->source->channels[target] : &p->added[target - n];
}

/* Shared channels lie in a cell of their own, where there are any. */
static bool holds(const wa_cell *cell, size_t target)
{
    return !cell->plan->any_shared || target_channel(cell->plan, target)->shared == cell->shared;
}

static bool add_series(wa_cell *cell, size_t target)
{
    wa_series *s = &cell->series[cell->n_series];
    cell->channel[cell->n_series++] = target;
    bool ok = wa_series_make(s, cell->plan, target_channel(cell->plan, target), cell->expected > 0);
    s->has_beam = cell->has_beam;
    s->beam = cell->beam;
    s->has_range = cell->has_range;
    s->range = cell->range;
    return ok;
}

wa_cell *wa_cell_make(const wa_plan *plan, const wa_cell *key)
{
    const wa_source *s = plan->source;
    wa_cell *cell = calloc(1, sizeof *cell);
    if (cell == NULL)
        return NULL;
    *cell = *key;
    cell->plan = plan;
    cell->last = INT64_MIN;
    cell->expected = key->shared || !plan->raw ? 0
                                               : wa_plan_expected(plan, key->has_beam, key->beam,
                                                                  key->has_range, key->range);
    size_t most = s->n_channels + plan->n_added;
    cell->series = calloc(most + 1, sizeof *cell->series);
    cell->channel = calloc(most + 1, sizeof *cell->channel);
    cell->angles = calloc(most + 1, sizeof *cell->angles);
    cell->read = calloc(plan->n, sizeof *cell->read);
    cell->dropped = calloc(plan->n_reasons + 1, sizeof *cell->dropped);
    bool ok = cell->series != NULL && cell->channel != NULL && cell->angles != NULL &&
              cell->read != NULL && cell->dropped != NULL;
    ok = ok && wa_batch_init(&cell->batch, s->n_channels, NULL) == WA_OK;
    for (size_t c = 0; ok && c < most; c++)
        if (holds(cell, c))
            ok = add_series(cell, c);
    if (!ok) {
        wa_cell_free(cell);
        return NULL;
    }
    return cell;
}

void wa_cell_free(wa_cell *cell)
{
    if (cell == NULL)
        return;
    for (size_t i = 0; i < cell->n_series; i++) {
        wa_series_release(&cell->series[i]);
        wa_angle_table_release(&cell->angles[i]);
    }
    for (size_t i = 0; cell->dropped != NULL && i < cell->plan->n_reasons; i++)
        free(cell->dropped[i]);
    wa_batch_release(&cell->batch);
    free(cell->series);
    free(cell->channel);
    free(cell->angles);
    free(cell->read);
    free(cell->dropped);
    free(cell);
}

/* ---- the account ---- */

wa_status wa_cell_drop(wa_cell *cell, size_t interval, size_t reason, uint32_t n, wa_error *err)
{
    if (n == 0)
        return WA_OK;
    uint32_t **of = &cell->dropped[reason];
    if (*of == NULL && (*of = calloc(cell->plan->n, sizeof **of)) == NULL)
        return no_memory(err);
    (*of)[interval] += n;
    return WA_OK;
}

/* Reasons that the campaign names stand in the account with zeros too; others where they occur. */
static wa_status finish_reasons(wa_cell *cell, wa_sample_account *a, wa_error *err)
{
    const wa_plan *p = cell->plan;
    for (size_t r = 0; r < p->n_reasons; r++) {
        bool named = r < p->place.missing || r >= p->place.prepare;
        if (cell->dropped[r] == NULL && !(named && !cell->shared))
            continue;
        if (cell->dropped[r] == NULL &&
            (cell->dropped[r] = calloc(p->n, sizeof *cell->dropped[r])) == NULL)
            return no_memory(err);
        if ((a->reason[a->n_reasons] = strdup(p->reason[r])) == NULL)
            return no_memory(err);
        a->dropped[a->n_reasons++] = cell->dropped[r];
        cell->dropped[r] = NULL;
    }
    return WA_OK;
}

wa_status wa_cell_finish(wa_cell *cell, wa_sample_account *account, wa_error *err)
{
    const wa_plan *p = cell->plan;
    *account = (wa_sample_account){.source = p->index,
                                   .has_beam = cell->has_beam,
                                   .beam = cell->beam,
                                   .has_range = cell->has_range,
                                   .range = cell->range};
    account->read = cell->read;
    cell->read = NULL;
    account->reason = calloc(p->n_reasons + 1, sizeof *account->reason);
    account->dropped = calloc(p->n_reasons + 1, sizeof *account->dropped);
    if (account->reason == NULL || account->dropped == NULL)
        return no_memory(err);
    double expected = p->raw ? cell->expected : 1;
    if (expected > 0) {
        if ((account->expected = calloc(p->n, sizeof *account->expected)) == NULL)
            return no_memory(err);
        for (size_t i = 0; i < p->n; i++)
            account->expected[i] = (uint32_t)floor(expected + 0.5);
    }
    return finish_reasons(cell, account, err);
}

/* ---- one interval ---- */

/* Marks the samples that a quality limit drops. A sample that cannot be judged is dropped too. */
static wa_status keep_if(wa_cell *cell, size_t interval, wa_workroom *w, wa_error *err)
{
    const wa_plan *p = cell->plan;
    const wa_batch *b = &cell->batch;
    for (size_t k = 0; k < p->source->n_keep_if; k++) {
        const wa_keep_if *rule = &p->source->keep_if[k];
        uint32_t unknown = 0, outside = 0;
        wa_prepare_values(w->numbers, p, rule->channel, interval, b->is[rule->channel],
                          b->tag[rule->channel], b->n);
        for (size_t j = 0; j < b->n; j++) {
            double x = w->numbers[j];
            if (w->out[j] != 0 || (x >= rule->lowest && x <= rule->highest))
                continue;
            w->out[j] = 1;
            unknown += isnan(x) ? 1 : 0;
            outside += isnan(x) ? 0 : 1;
        }
        wa_status status = wa_cell_drop(cell, interval, p->place.keep_if + 2 * k, outside, err);
        if (status == WA_OK)
            status = wa_cell_drop(cell, interval, p->place.keep_if + 2 * k + 1, unknown, err);
        if (status != WA_OK)
            return status;
    }
    return WA_OK;
}

static bool is_missing(const wa_cell *cell, const wa_workroom *w, size_t target, size_t j)
{
    size_t n = cell->plan->source->n_channels;
    return target < n ? cell->batch.tag[target][j] == WA_TAG_MISSING
                      : isnan(w->prepared.added[target - n][j]) != 0;
}

/* Marks in out_target what is not averaged: what quality limits dropped, what is missing, and
 * what prepare drops of this channel. Counts the latter two. */
static wa_status mark_target(wa_cell *cell, size_t target, size_t interval, wa_workroom *w,
                             bool calibrated, uint32_t *left, wa_error *err)
{
    const wa_plan *p = cell->plan;
    size_t n = cell->batch.n;
    uint32_t missing = 0, present = 0;
    for (size_t j = 0; j < n; j++) {
        bool gone = is_missing(cell, w, target, j);
        w->out_target[j] = w->out[j] != 0 || gone;
        missing += w->out[j] == 0 && gone;
        present += w->out[j] == 0 && !gone;
    }
    wa_status status = wa_cell_drop(cell, interval, p->place.missing + target, missing, err);
    size_t drops = p->formula != NULL && calibrated ? wa_formula_drops(p->formula) : 0;
    for (size_t d = 0; status == WA_OK && d < drops; d++) {
        size_t reason = wa_prepare_reason(p, d, target);
        uint32_t met = 0, unknown = 0;
        for (size_t j = 0; reason != SIZE_MAX && j < n; j++) {
            uint8_t mask = w->prepared.drop[d][j];
            if (w->out_target[j] != 0 || mask == WA_FALSE)
                continue;
            w->out_target[j] = 1;
            met += mask == WA_TRUE;
            unknown += mask != WA_TRUE;
        }
        present -= met + unknown;
        if (reason != SIZE_MAX)
            status = wa_cell_drop(cell, interval, reason, met, err);
        if (status == WA_OK && reason != SIZE_MAX)
            status = wa_cell_drop(cell, interval, reason + 1, unknown, err);
    }
    *left = present;
    return status;
}

static wa_status average_channel(wa_statistics *t, wa_cell *cell, size_t i, size_t interval,
                                 const wa_affine *affine, wa_workroom *w, wa_error *err)
{
    const wa_plan *p = cell->plan;
    size_t c = cell->channel[i];
    const wa_channel *channel = p->channel[c].channel;
    wa_samples s = {cell->batch.is[c], cell->batch.tag[c], w->out_target, cell->batch.n};
    if (channel->kind == WA_CHANNEL_SCALAR) {
        wa_status status = wa_average_scalar(t, &s, p->divisor, w->numbers, err);
        for (size_t k = 0; status == WA_OK && k < affine->n; k++)
            wa_average_affine(t, affine->slope[k], affine->offset[k]);
        return status;
    }
    if (channel->kind == WA_CHANNEL_DIRECTION) {
        double slope = 1, offset = 0;
        for (size_t k = 0; k < affine->n; k++) {
            offset = fma(offset, affine->slope[k], affine->offset[k]);
            slope *= affine->slope[k];
        }
        return wa_average_direction(t, &s, slope, offset + channel->north_offset, &cell->angles[i],
                                    err);
    }
    wa_series_put_shares(&cell->series[i], interval, channel, &s);
    return WA_OK;
}

static wa_status average_series(wa_cell *cell, size_t i, size_t interval, wa_workroom *w,
                                wa_error *err)
{
    const wa_plan *p = cell->plan;
    size_t target = cell->channel[i], n_channels = p->source->n_channels;
    wa_affine affine;
    bool calibrated = target >= n_channels || wa_plan_affine(&affine, p, target, interval);
    wa_statistics t = {.count = 0};
    uint32_t left = 0;
    wa_status status = mark_target(cell, target, interval, w, calibrated, &left, err);
    if (status != WA_OK)
        return status;
    if (!calibrated)
        return wa_cell_drop(cell, interval, p->place.uncalibrated + target, left, err);
    t.count = left;
    if (target < n_channels) {
        status = average_channel(&t, cell, i, interval, &affine, w, err);
    } else {
        const double *x = w->prepared.added[target - n_channels];
        status = cell->series[i].kind == WA_CHANNEL_DIRECTION
                     ? wa_average_degrees(&t, x, w->out_target, cell->batch.n, err)
                     : wa_average_numbers(&t, x, w->out_target, cell->batch.n, p->divisor,
                                          w->numbers, err);
    }
    if (status == WA_OK)
        wa_series_put(&cell->series[i], interval, &t, cell->expected);
    return status;
}

wa_status wa_cell_close_interval(wa_cell *cell, size_t interval, wa_workroom *w, wa_error *err)
{
    size_t n = cell->batch.n;
    if (n == 0)
        return WA_OK;
    if (!workroom_grow(w, n))
        return no_memory(err);
    memset(w->out, 0, n);
    cell->read[interval] = (uint32_t)n + cell->repeated;
    wa_status status =
        wa_cell_drop(cell, interval, cell->plan->place.repeated, cell->repeated, err);
    if (status == WA_OK && !cell->shared)
        status = keep_if(cell, interval, w, err);
    if (status == WA_OK && !cell->shared && cell->plan->formula != NULL)
        status = wa_prepare_evaluate(&w->prepared, cell->plan, &cell->batch, interval, err);
    for (size_t i = 0; status == WA_OK && i < cell->n_series; i++)
        status = average_series(cell, i, interval, w, err);
    cell->batch.n = 0;
    cell->repeated = 0;
    return status;
}
