/* Rows that are averages already: statistics by column become those of the interval. */
#include "data/cell.h"

#include "data/series.h"
#include "data/source_file.h"

#include <math.h>

static double number(const wa_sample *s)
{
    return wa_sample_number(s->is, s->tag);
}

/* Which quality limit drops the row: the place of its reason, SIZE_MAX for none. */
static size_t dropped_by(const wa_cell *cell, size_t interval, const wa_sample *sample)
{
    const wa_plan *p = cell->plan;
    for (size_t k = 0; k < p->source->n_keep_if; k++) {
        const wa_keep_if *rule = &p->source->keep_if[k];
        const wa_sample *mean = &sample[rule->channel * WA_COLUMNS + WA_COLUMN_VALUE];
        double x = wa_cell_value(p, rule->channel, interval, number(mean));
        if (!(x >= rule->lowest && x <= rule->highest))
            return p->place.keep_if + 2 * k + (isnan(x) ? 1 : 0);
    }
    return SIZE_MAX;
}

static void put_optional(double *column, size_t i, double x)
{
    if (column != NULL)
        column[i] = x == 0 ? 0 : x;
}

static void put_numbers(wa_cell *cell, size_t i, size_t interval, const wa_affine *affine,
                        const wa_sample *sample, bool percent)
{
    wa_series *s = &cell->series[i];
    wa_statistics t = {.mean = number(&sample[WA_COLUMN_VALUE]),
                       .sd = number(&sample[WA_COLUMN_SD]),
                       .min = number(&sample[WA_COLUMN_MIN]),
                       .max = number(&sample[WA_COLUMN_MAX])};
    for (size_t k = 0; k < affine->n; k++)
        wa_average_affine(&t, affine->slope[k], affine->offset[k]);
    if (s->kind == WA_CHANNEL_DIRECTION)
        t.mean =
            wa_cell_value(cell->plan, cell->channel[i], interval, number(&sample[WA_COLUMN_VALUE]));
    put_optional(s->mean, interval, t.mean);
    put_optional(s->sd, interval, t.sd);
    put_optional(s->min, interval, t.min);
    put_optional(s->max, interval, t.max);
    put_optional(s->resultant, interval, number(&sample[WA_COLUMN_RESULTANT]));
    put_optional(s->count, interval, number(&sample[WA_COLUMN_COUNT]));
    double availability = number(&sample[WA_COLUMN_AVAILABILITY]);
    put_optional(s->availability, interval, percent ? availability / 100 : availability);
}

static wa_status put_series(wa_cell *cell, size_t i, size_t interval, const wa_sample *sample,
                            bool percent, wa_error *err)
{
    const wa_plan *p = cell->plan;
    size_t c = cell->channel[i];
    const wa_channel *channel = p->channel[c].channel;
    const wa_sample *value = &sample[WA_COLUMN_VALUE];
    if (value->tag == WA_TAG_MISSING)
        return wa_cell_drop(cell, interval, p->place.missing + c, 1, err);
    wa_affine affine;
    if (!wa_plan_affine(&affine, p, c, interval))
        return wa_cell_drop(cell, interval, p->place.uncalibrated + c, 1, err);
    if (channel->kind == WA_CHANNEL_SCALAR || channel->kind == WA_CHANNEL_DIRECTION) {
        put_numbers(cell, i, interval, &affine, sample, percent);
    } else {
        wa_samples one = {&value->is, &value->tag, NULL, 1};
        wa_series_put_shares(&cell->series[i], interval, channel, &one);
    }
    return WA_OK;
}

wa_status wa_cell_put_averages(wa_cell *cell, size_t interval, const wa_sample *sample,
                               const bool *percent, wa_error *err)
{
    cell->read[interval]++;
    size_t reason = dropped_by(cell, interval, sample);
    if (reason != SIZE_MAX)
        return wa_cell_drop(cell, interval, reason, 1, err);
    wa_status status = WA_OK;
    for (size_t i = 0; status == WA_OK && i < cell->n_series; i++) {
        size_t c = cell->channel[i];
        status = put_series(cell, i, interval, sample + c * WA_COLUMNS, percent[c], err);
    }
    return status;
}
