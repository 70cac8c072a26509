/* Rows that are averages already: statistics by column become those of the interval. A row is one
 * sample of each mean to quality limits and to prepare; what prepare adds has a mean only. */
#include "data/cell.h"

#include "data/series.h"
#include "data/source_file.h"
#include "windassay/column.h"

#include <math.h>

static double number(const wa_sample *s)
{
    return wa_sample_number(s->is, s->tag);
}

static double calibrated(const wa_plan *p, size_t channel, size_t interval, const wa_sample *mean)
{
    double x;
    wa_prepare_values(&x, p, channel, interval, &mean->is, &mean->tag, 1);
    return x;
}

/* Which quality limit drops the row: the place of its reason, SIZE_MAX for none. */
static size_t dropped_by_limit(const wa_cell *cell, size_t interval, const wa_sample *sample)
{
    const wa_plan *p = cell->grid->plan;
    for (size_t k = 0; k < p->source->n_keep_if; k++) {
        const wa_keep_if *rule = &p->source->keep_if[k];
        const wa_sample *mean = &sample[rule->channel * WA_COLUMNS + WA_COLUMN_VALUE];
        double x = calibrated(p, rule->channel, interval, mean);
        if (!(x >= rule->lowest && x <= rule->highest))
            return p->place.keep_if + 2 * k + (isnan(x) ? 1 : 0);
    }
    return SIZE_MAX;
}

/* Which formula of prepare drops the target; SIZE_MAX for none. */
static size_t dropped_by_prepare(const wa_plan *p, size_t target, const wa_prepared *prepared)
{
    size_t drops = p->formula != NULL ? wa_formula_drops(p->formula) : 0;
    for (size_t d = 0; d < drops; d++) {
        size_t reason = wa_prepare_reason(p, d, target);
        uint8_t mask = prepared->drop[d][0];
        if (reason != SIZE_MAX && mask != WA_FALSE)
            return reason + (mask == WA_TRUE ? 0 : 1);
    }
    return SIZE_MAX;
}

static void put(double *column, size_t i, double x)
{
    if (column != NULL)
        column[i] = x == 0 ? 0 : x; /* no minus zero */
}

static void put_numbers(wa_cell *cell, size_t i, size_t interval, const wa_affine *affine,
                        const wa_sample *sample, bool percent)
{
    wa_series *s = &cell->to->series[i];
    wa_statistics t = {.mean = number(&sample[WA_COLUMN_VALUE]),
                       .sd = number(&sample[WA_COLUMN_SD]),
                       .min = number(&sample[WA_COLUMN_MIN]),
                       .max = number(&sample[WA_COLUMN_MAX])};
    for (size_t k = 0; k < affine->n; k++)
        wa_average_affine(&t, affine->slope[k], affine->offset[k]);
    if (s->kind == WA_CHANNEL_DIRECTION)
        t.mean =
            calibrated(cell->grid->plan, cell->to->target[i], interval, &sample[WA_COLUMN_VALUE]);
    put(s->mean, interval, t.mean);
    put(s->sd, interval, t.sd);
    put(s->min, interval, t.min);
    put(s->max, interval, t.max);
    put(s->resultant, interval, number(&sample[WA_COLUMN_RESULTANT]));
    put(s->count, interval, number(&sample[WA_COLUMN_COUNT]));
    double availability = number(&sample[WA_COLUMN_AVAILABILITY]);
    put(s->availability, interval, percent ? availability / 100 : availability);
}

static wa_status put_channel(wa_cell *cell, size_t i, size_t interval, const wa_sample *sample,
                             bool percent, const wa_prepared *prepared, wa_error *err)
{
    const wa_plan *p = cell->grid->plan;
    size_t c = cell->to->target[i];
    const wa_channel *channel = p->channel[c].channel;
    const wa_sample *value = &sample[WA_COLUMN_VALUE];
    wa_affine affine;
    if (value->tag == WA_TAG_MISSING)
        return wa_grid_drop(cell->grid, cell->to, interval, p->place.missing + c, 1, err);
    if (!wa_plan_affine(&affine, p, c, interval))
        return wa_grid_drop(cell->grid, cell->to, interval, p->place.uncalibrated + c, 1, err);
    size_t reason = dropped_by_prepare(p, c, prepared);
    if (reason != SIZE_MAX)
        return wa_grid_drop(cell->grid, cell->to, interval, reason, 1, err);
    if (channel->kind == WA_CHANNEL_SCALAR || channel->kind == WA_CHANNEL_DIRECTION) {
        put_numbers(cell, i, interval, &affine, sample, percent);
    } else {
        wa_samples one = {.is = &value->is, .tag = &value->tag, .n = 1};
        wa_series_put_shares(&cell->to->series[i], interval, channel, &one);
    }
    return WA_OK;
}

static wa_status put_added(wa_cell *cell, size_t i, size_t interval, const wa_prepared *prepared,
                           wa_error *err)
{
    const wa_plan *p = cell->grid->plan;
    size_t target = cell->to->target[i];
    double x = prepared->added[target - p->source->n_channels][0];
    if (isnan(x))
        return wa_grid_drop(cell->grid, cell->to, interval, p->place.missing + target, 1, err);
    size_t reason = dropped_by_prepare(p, target, prepared);
    if (reason != SIZE_MAX)
        return wa_grid_drop(cell->grid, cell->to, interval, reason, 1, err);
    put(cell->to->series[i].mean, interval,
        cell->to->series[i].kind == WA_CHANNEL_DIRECTION ? wa_direction_within(x) : x);
    return WA_OK;
}

static wa_status evaluate(wa_cell *cell, size_t interval, const wa_sample *means,
                          wa_prepared *prepared, wa_error *err)
{
    const wa_plan *p = cell->grid->plan;
    wa_batch *b = &cell->batch;
    if (p->formula == NULL)
        return WA_OK;
    wa_status status = wa_batch_room(b, 1, err);
    for (size_t c = 0; status == WA_OK && c < b->n_channels; c++)
        wa_batch_put(b, c, 0, &means[c]);
    b->n = 1;
    if (status == WA_OK)
        status = wa_prepare_evaluate(prepared, p, b, interval, err);
    b->n = 0;
    return status;
}

wa_status wa_cell_put_averages(wa_cell *cell, size_t interval, const wa_sample *sample,
                               const wa_sample *means, const bool *percent, wa_workroom *w,
                               wa_error *err)
{
    cell->to->read[interval]++;
    size_t reason = dropped_by_limit(cell, interval, sample);
    if (reason != SIZE_MAX)
        return wa_grid_drop(cell->grid, cell->to, interval, reason, 1, err);
    wa_status status = evaluate(cell, interval, means, &w->prepared, err);
    for (size_t i = 0; status == WA_OK && i < cell->to->n_series; i++) {
        size_t c = cell->to->target[i];
        status = c < cell->grid->plan->source->n_channels
                     ? put_channel(cell, i, interval, sample + c * WA_COLUMNS, percent[c],
                                   &w->prepared, err)
                     : put_added(cell, i, interval, &w->prepared, err);
    }
    return status;
}
