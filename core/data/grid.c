#include "data/grid.h"

#include "data/series.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- cells ---- */

static const wa_channel *target_channel(const wa_plan *p, size_t target)
{
    size_t n = p->source->n_channels;
    return target < n ? &p->source->channels[target] : &p->added[target - n];
}

static bool add_series(wa_grid_cell *cell, const wa_plan *plan, size_t target)
{
    wa_series *s = &cell->series[cell->n_series];
    cell->target[cell->n_series++] = target;
    bool ok = wa_series_make(s, plan, target_channel(plan, target), cell->expected > 0);
    s->has_beam = cell->key.has_beam;
    s->beam = cell->key.beam;
    s->has_range = cell->key.has_range;
    s->range = cell->key.range;
    return ok;
}

static void free_cell(wa_grid_cell *cell, const wa_plan *plan)
{
    if (cell == NULL)
        return;
    for (size_t i = 0; i < cell->n_series; i++)
        wa_series_release(&cell->series[i]);
    for (size_t i = 0; cell->dropped != NULL && i < plan->n_reasons; i++)
        free(cell->dropped[i]);
    free(cell->series);
    free(cell->target);
    free(cell->read);
    free(cell->dropped);
    free(cell);
}

static wa_grid_cell *make_cell(const wa_plan *plan, const wa_cell_key *key)
{
    wa_grid_cell *cell = calloc(1, sizeof *cell);
    if (cell == NULL)
        return NULL;
    size_t most = plan->source->n_channels + plan->n_added;
    cell->key = *key;
    if (plan->raw && !key->shared)
        cell->expected =
            wa_plan_expected(plan, key->has_beam, key->beam, key->has_range, key->range);
    cell->series = calloc(most + 1, sizeof *cell->series);
    cell->target = calloc(most + 1, sizeof *cell->target);
    cell->read = calloc(plan->n, sizeof *cell->read);
    cell->dropped = calloc(plan->n_reasons + 1, sizeof *cell->dropped);
    bool ok =
        cell->series != NULL && cell->target != NULL && cell->read != NULL && cell->dropped != NULL;
    /* shared channels lie in a cell of their own, where there are any */
    for (size_t t = 0; ok && t < most; t++)
        if (!plan->any_shared || target_channel(plan, t)->shared == key->shared)
            ok = add_series(cell, plan, t);
    if (ok)
        return cell;
    free_cell(cell, plan);
    return NULL;
}

wa_status wa_grid_init(wa_grid *g, const wa_plan *plan, wa_error *err)
{
    *g = (wa_grid){.plan = plan, .lock = wa_lock_new()};
    return g->lock == NULL ? wa_no_memory(err) : WA_OK;
}

void wa_grid_release(wa_grid *g)
{
    for (size_t i = 0; i < g->n_cells; i++)
        free_cell(g->cell[i], g->plan);
    if (g->lock != NULL)
        wa_lock_free(g->lock);
    *g = (wa_grid){0};
}

static bool same_key(const wa_cell_key *a, const wa_cell_key *b)
{
    return a->shared == b->shared && a->beam == b->beam && a->range == b->range;
}

wa_status wa_grid_cell_of(wa_grid_cell **out, wa_grid *g, const wa_cell_key *key, wa_error *err)
{
    wa_status status = WA_OK;
    wa_grid_cell *cell = NULL;
    wa_lock_take(g->lock);
    for (size_t i = 0; cell == NULL && i < g->n_cells; i++)
        if (same_key(&g->cell[i]->key, key))
            cell = g->cell[i];
    if (cell == NULL && g->n_cells < WA_CELLS_MOST) {
        if ((cell = make_cell(g->plan, key)) == NULL)
            status = wa_no_memory(err);
        else
            g->cell[g->n_cells++] = cell;
    }
    wa_lock_leave(g->lock);
    if (status == WA_OK)
        *out = cell;
    return status;
}

static int by_beam_and_range(const void *a, const void *b)
{
    const wa_cell_key *x = &(*(wa_grid_cell *const *)a)->key;
    const wa_cell_key *y = &(*(wa_grid_cell *const *)b)->key;
    if (x->shared != y->shared)
        return x->shared ? -1 : 1;
    if (x->beam != y->beam)
        return x->beam < y->beam ? -1 : 1;
    return x->range < y->range ? -1 : x->range > y->range;
}

void wa_grid_sort(wa_grid *g)
{
    qsort(g->cell, g->n_cells, sizeof *g->cell, by_beam_and_range);
}

/* ---- accounts ---- */

wa_status wa_grid_drop(wa_grid *g, wa_grid_cell *cell, size_t interval, size_t reason, uint32_t n,
                       wa_error *err)
{
    if (n == 0)
        return WA_OK;
    wa_lock_take(g->lock);
    uint32_t *of = cell->dropped[reason];
    if (of == NULL)
        of = cell->dropped[reason] = calloc(g->plan->n, sizeof *of);
    wa_lock_leave(g->lock);
    if (of == NULL)
        return wa_no_memory(err);
    of[interval] += n;
    return WA_OK;
}

/* Reasons that the campaign names stand in the account with zeros too; others where they occur. */
static wa_status move_reasons(wa_sample_account *a, const wa_plan *p, wa_grid_cell *cell,
                              wa_error *err)
{
    for (size_t r = 0; r < p->n_reasons; r++) {
        bool named = r < p->place.missing || r >= p->place.prepare;
        if (cell->dropped[r] == NULL && !(named && !cell->key.shared))
            continue;
        if (cell->dropped[r] == NULL &&
            (cell->dropped[r] = calloc(p->n, sizeof *cell->dropped[r])) == NULL)
            return wa_no_memory(err);
        if ((a->reason[a->n_reasons] = strdup(p->reason[r])) == NULL)
            return wa_no_memory(err);
        a->dropped[a->n_reasons++] = cell->dropped[r];
        cell->dropped[r] = NULL;
    }
    return WA_OK;
}

/* Moves a cell's account out of it. */
static wa_status move_account(wa_sample_account *out, wa_grid *g, wa_grid_cell *cell, wa_error *err)
{
    const wa_plan *p = g->plan;
    *out = (wa_sample_account){.source = p->index,
                               .has_beam = cell->key.has_beam,
                               .beam = cell->key.beam,
                               .has_range = cell->key.has_range,
                               .range = cell->key.range,
                               .read = cell->read};
    cell->read = NULL;
    out->reason = calloc(p->n_reasons + 1, sizeof *out->reason);
    out->dropped = calloc(p->n_reasons + 1, sizeof *out->dropped);
    if (out->reason == NULL || out->dropped == NULL)
        return wa_no_memory(err);
    double expected = p->raw ? cell->expected : 1;
    if (expected > 0) {
        if ((out->expected = calloc(p->n, sizeof *out->expected)) == NULL)
            return wa_no_memory(err);
        for (size_t i = 0; i < p->n; i++)
            out->expected[i] = (uint32_t)floor(expected + 0.5);
    }
    return move_reasons(out, p, cell, err);
}

wa_status wa_grid_hand_over(wa_records *to, wa_grid *g, wa_error *err)
{
    size_t series = to->n_series;
    for (size_t k = 0; k < g->n_cells; k++)
        series += g->cell[k]->n_series;
    wa_series *list = realloc(to->series, (series + 1) * sizeof *list);
    if (list != NULL)
        to->series = list;
    wa_sample_account *accounts =
        realloc(to->samples, (to->n_samples + g->n_cells + 1) * sizeof *accounts);
    if (accounts != NULL)
        to->samples = accounts;
    if (list == NULL || accounts == NULL)
        return wa_no_memory(err);
    for (size_t k = 0; k < g->n_cells; k++) {
        wa_grid_cell *cell = g->cell[k];
        wa_status status = move_account(&to->samples[to->n_samples++], g, cell, err);
        if (status != WA_OK)
            return status;
        for (size_t i = 0; i < cell->n_series; i++) {
            to->series[to->n_series++] = cell->series[i];
            cell->series[i] = (wa_series){0};
        }
    }
    return WA_OK;
}
