#include "data/cell.h"

#include "base/scaled.h"
#include "data/numbers.h"
#include "data/series.h"
#include "windassay/column.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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

wa_cell *wa_cell_make(wa_grid *grid, wa_grid_cell *to)
{
    wa_cell *cell = calloc(1, sizeof *cell);
    if (cell == NULL)
        return NULL;
    *cell = (wa_cell){.grid = grid, .to = to, .last = INT64_MIN};
    cell->angles = calloc(to->n_series + 1, sizeof *cell->angles);
    bool ok = wa_batch_init(&cell->batch, grid->plan->source->n_channels, NULL) == WA_OK;
    if (ok && cell->angles != NULL)
        return cell;
    wa_cell_free(cell);
    return NULL;
}

void wa_cell_free(wa_cell *cell)
{
    if (cell == NULL)
        return;
    for (size_t i = 0; cell->angles != NULL && i < cell->to->n_series; i++)
        wa_angle_table_release(&cell->angles[i]);
    wa_batch_release(&cell->batch);
    free(cell->angles);
    free(cell);
}

static wa_status drop(wa_cell *cell, size_t interval, size_t reason, uint32_t n, wa_error *err)
{
    return wa_grid_drop(cell->grid, cell->to, interval, reason, n, err);
}

/* ---- one interval ---- */

/* Marks the samples that a quality limit drops. A sample that cannot be judged is dropped too. */
static wa_status keep_if(wa_cell *cell, size_t interval, wa_workroom *w, wa_error *err)
{
    const wa_plan *p = cell->grid->plan;
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
        wa_status status = drop(cell, interval, p->place.keep_if + 2 * k, outside, err);
        if (status == WA_OK)
            status = drop(cell, interval, p->place.keep_if + 2 * k + 1, unknown, err);
        if (status != WA_OK)
            return status;
    }
    return WA_OK;
}

static bool is_dropped(const wa_plan *p, size_t target)
{
    size_t drops = p->formula != NULL ? wa_formula_drops(p->formula) : 0;
    for (size_t d = 0; d < drops; d++)
        if (wa_prepare_reason(p, d, target) != SIZE_MAX)
            return true;
    return false;
}

/* Marks in out_target what is not averaged: what quality limits dropped, what is missing, and
 * what prepare drops of this channel, unless the tags alone say it. Counts the latter two. */
static wa_status mark_target(wa_cell *cell, size_t target, size_t interval, wa_workroom *w,
                             bool calibrated, uint32_t *left, wa_error *err)
{
    const wa_plan *p = cell->grid->plan;
    size_t n = cell->batch.n;
    size_t channels = p->source->n_channels, gone;
    w->tags_alone = target < channels && w->n_out == 0 && !is_dropped(p, target);
    if (target < channels) {
        const uint8_t *tag = cell->batch.tag[target];
        w->tags = wa_tags_look(tag, n);
        gone = w->tags_alone ? w->tags.missing : wa_tags_missing(w->out_target, w->out, tag, n);
    } else {
        const double *x = w->prepared.added[target - channels];
        gone = wa_numbers_missing(w->out_target, w->out, x, n, p->level);
    }
    uint32_t present = (uint32_t)(n - gone);
    wa_status status =
        drop(cell, interval, p->place.missing + target, (uint32_t)(gone - w->n_out), err);
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
            status = drop(cell, interval, reason, met, err);
        if (status == WA_OK && reason != SIZE_MAX)
            status = drop(cell, interval, reason + 1, unknown, err);
    }
    *left = present;
    return status;
}

static wa_status average_channel(wa_statistics *t, wa_cell *cell, size_t i, size_t interval,
                                 const wa_affine *affine, wa_workroom *w, wa_error *err)
{
    const wa_plan *p = cell->grid->plan;
    size_t c = cell->to->target[i];
    const wa_channel *channel = p->channel[c].channel;
    wa_samples s = {.is = cell->batch.is[c],
                    .tag = cell->batch.tag[c],
                    .out = w->tags_alone ? NULL : w->out_target,
                    .n = cell->batch.n,
                    .level = p->level,
                    .known = w->tags.common <= WA_SCALE_MAX,
                    .scale = w->tags.common};
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
    wa_series_put_shares(&cell->to->series[i], interval, channel, &s);
    return WA_OK;
}

static wa_status average_series(wa_cell *cell, size_t i, size_t interval, wa_workroom *w,
                                wa_error *err)
{
    const wa_plan *p = cell->grid->plan;
    size_t target = cell->to->target[i], n_channels = p->source->n_channels;
    wa_affine affine;
    bool calibrated = target >= n_channels || wa_plan_affine(&affine, p, target, interval);
    wa_statistics t = {.count = 0};
    uint32_t left = 0;
    wa_status status = mark_target(cell, target, interval, w, calibrated, &left, err);
    if (status != WA_OK)
        return status;
    if (!calibrated)
        return drop(cell, interval, p->place.uncalibrated + target, left, err);
    t.count = left;
    if (target < n_channels) {
        status = average_channel(&t, cell, i, interval, &affine, w, err);
    } else {
        const double *x = w->prepared.added[target - n_channels];
        status = cell->to->series[i].kind == WA_CHANNEL_DIRECTION
                     ? wa_average_degrees(&t, x, w->out_target, cell->batch.n, err)
                     : wa_average_numbers(&t, x, w->out_target, cell->batch.n, p->divisor,
                                          w->numbers, err);
    }
    if (status == WA_OK)
        wa_series_put(&cell->to->series[i], interval, &t, cell->to->expected);
    return status;
}

wa_status wa_cell_close_interval(wa_cell *cell, size_t interval, wa_workroom *w, wa_error *err)
{
    const wa_plan *p = cell->grid->plan;
    wa_grid_cell *to = cell->to;
    size_t n = cell->batch.n;
    if (n == 0)
        return WA_OK;
    if (!workroom_grow(w, n))
        return wa_no_memory(err);
    memset(w->out, 0, n);
    to->read[interval] = (uint32_t)n + cell->repeated;
    wa_status status = drop(cell, interval, p->place.repeated, cell->repeated, err);
    if (status == WA_OK && !to->key.shared)
        status = keep_if(cell, interval, w, err);
    w->n_out = wa_tags_count(w->out, n);
    if (status == WA_OK && !to->key.shared && p->formula != NULL)
        status = wa_prepare_evaluate(&w->prepared, p, &cell->batch, interval, err);
    for (size_t i = 0; status == WA_OK && i < to->n_series; i++)
        status = average_series(cell, i, interval, w, err);
    cell->batch.n = 0;
    cell->repeated = 0;
    return status;
}
