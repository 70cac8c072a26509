#include "data/cell.h"

#include "data/series.h"

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
    *w = (wa_workroom){0};
}

static bool workroom_grow(wa_workroom *w, size_t n)
{
    if (n <= w->room)
        return true;
    wa_workroom larger = {malloc(n * 2 * sizeof *larger.numbers), malloc(n * 2), n * 2};
    if (larger.numbers == NULL || larger.out == NULL) {
        wa_workroom_release(&larger);
        return false;
    }
    wa_workroom_release(w);
    *w = larger;
    return true;
}

/* ---- life ---- */

static bool holds(const wa_cell *cell, const wa_channel *c)
{
    return !cell->plan->any_shared || c->shared == cell->shared;
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
    cell->series = calloc(s->n_channels + 1, sizeof *cell->series);
    cell->channel = calloc(s->n_channels + 1, sizeof *cell->channel);
    cell->angles = calloc(s->n_channels + 1, sizeof *cell->angles);
    cell->read = calloc(plan->n, sizeof *cell->read);
    cell->dropped = calloc(plan->n_reasons + 1, sizeof *cell->dropped);
    bool ok = cell->series != NULL && cell->channel != NULL && cell->angles != NULL &&
              cell->read != NULL && cell->dropped != NULL;
    ok = ok && wa_batch_init(&cell->batch, s->n_channels, NULL) == WA_OK;
    for (size_t c = 0; ok && c < s->n_channels; c++) {
        if (!holds(cell, &s->channels[c]))
            continue;
        wa_series *series = &cell->series[cell->n_series];
        cell->channel[cell->n_series++] = c;
        ok = wa_series_make(series, plan, &s->channels[c], cell->expected > 0);
        series->has_beam = cell->has_beam;
        series->beam = cell->beam;
        series->has_range = cell->has_range;
        series->range = cell->range;
    }
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

double wa_cell_value(const wa_plan *plan, size_t channel, size_t interval, double in_file)
{
    const wa_channel *c = plan->channel[channel].channel;
    wa_affine a;
    if (!wa_plan_affine(&a, plan, channel, interval))
        return (double)NAN;
    double x = wa_affine_apply(&a, in_file);
    if (c->kind == WA_CHANNEL_DIRECTION) {
        x += c->north_offset;
        x -= 360 * floor(x / 360);
        x = x >= 360 ? 0 : x; /* a value just below 0 rounds up to it */
    }
    return x;
}

/* Marks the samples that a quality limit drops. A sample that cannot be judged is dropped too. */
static wa_status keep_if(wa_cell *cell, size_t interval, uint8_t *out, wa_error *err)
{
    const wa_plan *p = cell->plan;
    for (size_t k = 0; k < p->source->n_keep_if; k++) {
        const wa_keep_if *rule = &p->source->keep_if[k];
        uint32_t unknown = 0, outside = 0;
        for (size_t j = 0; j < cell->batch.n; j++) {
            if (out[j] != 0)
                continue;
            double x = wa_cell_value(p, rule->channel, interval,
                                     wa_sample_number(cell->batch.is[rule->channel][j],
                                                      cell->batch.tag[rule->channel][j]));
            if (x >= rule->lowest && x <= rule->highest)
                continue;
            out[j] = 1;
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

static wa_status average_series(wa_cell *cell, size_t i, size_t interval, wa_workroom *w,
                                wa_error *err)
{
    const wa_plan *p = cell->plan;
    size_t c = cell->channel[i];
    const wa_channel *channel = p->channel[c].channel;
    wa_samples s = {cell->batch.is[c], cell->batch.tag[c], w->out, cell->batch.n};
    uint32_t missing = 0, present = 0;
    for (size_t j = 0; j < s.n; j++) {
        missing += s.out[j] == 0 && s.tag[j] == WA_TAG_MISSING;
        present += s.out[j] == 0 && s.tag[j] != WA_TAG_MISSING;
    }
    wa_status status = wa_cell_drop(cell, interval, p->place.missing + c, missing, err);
    if (status != WA_OK)
        return status;
    wa_affine affine;
    if (!wa_plan_affine(&affine, p, c, interval))
        return wa_cell_drop(cell, interval, p->place.uncalibrated + c, present, err);
    wa_statistics t = {.count = present};
    if (channel->kind == WA_CHANNEL_SCALAR) {
        status = wa_average_scalar(&t, &s, p->divisor, w->numbers, err);
        for (size_t k = 0; k < affine.n; k++)
            wa_average_affine(&t, affine.slope[k], affine.offset[k]);
    } else if (channel->kind == WA_CHANNEL_DIRECTION) {
        double slope = 1, offset = 0;
        for (size_t k = 0; k < affine.n; k++) {
            offset = fma(offset, affine.slope[k], affine.offset[k]);
            slope *= affine.slope[k];
        }
        offset += channel->north_offset;
        status = wa_average_direction(&t, &s, slope, offset, &cell->angles[i], err);
    } else {
        wa_series_put_shares(&cell->series[i], interval, channel, &s);
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
        status = keep_if(cell, interval, w->out, err);
    for (size_t i = 0; status == WA_OK && i < cell->n_series; i++)
        status = average_series(cell, i, interval, w, err);
    cell->batch.n = 0;
    cell->repeated = 0;
    return status;
}
