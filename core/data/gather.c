#include "data/gather_inside.h"

#include "windassay/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static size_t samples_a_row(const wa_plan *p)
{
    return p->source->n_channels * WA_COLUMNS;
}

/* A cell of this thread for a key; *out is NULL where the grid has too many. */
static wa_status add_cell(wa_cell **out, wa_gather *g, const wa_cell_key *key, wa_error *err)
{
    wa_grid_cell *to = NULL;
    wa_status status = wa_grid_cell_of(&to, g->grid, key, err);
    *out = NULL;
    if (status != WA_OK || to == NULL)
        return status;
    if ((*out = wa_cell_make(g->grid, to)) == NULL)
        return wa_no_memory(err);
    g->cell[g->n_cells++] = *out;
    return WA_OK;
}

wa_status wa_gather_init(wa_gather *g, wa_grid *grid, wa_error *err)
{
    const wa_plan *plan = grid->plan;
    size_t n = samples_a_row(plan) + 1;
    *g = (wa_gather){
        .plan = plan, .grid = grid, .interval = SIZE_MAX, .low = INT64_MAX, .high = INT64_MIN};
    g->scale = calloc(plan->source->n_channels + 1, sizeof *g->scale);
    if (g->scale == NULL)
        return wa_no_memory(err);
    if (!plan->raw) {
        g->sample = calloc(n, sizeof *g->sample);
        g->means = calloc(n, sizeof *g->means);
        g->previous = calloc(n * WA_CELLS_MOST, sizeof *g->previous);
        if (g->sample == NULL || g->means == NULL || g->previous == NULL)
            return wa_no_memory(err);
    }
    if (plan->raw && plan->split && (g->scan = wa_scan_make(plan->source->n_channels)) == NULL)
        return wa_no_memory(err);
    wa_status status = WA_OK;
    if (plan->any_shared || !plan->split) {
        status = add_cell(&g->recent, g, &(wa_cell_key){.shared = plan->any_shared}, err);
        g->shared = plan->any_shared ? g->recent : NULL;
    }
    return status;
}

void wa_gather_release(wa_gather *g)
{
    for (size_t i = 0; i < g->n_cells; i++)
        wa_cell_free(g->cell[i]);
    wa_workroom_release(&g->work);
    wa_scan_free(g->scan);
    free(g->scale);
    free(g->sample);
    free(g->previous);
    free(g->means);
    *g = (wa_gather){0};
}

/* ---- to which cell a row belongs ---- */

static wa_status read_key(double *out, const wa_source_file *f, size_t column, const char *what,
                          wa_error *err)
{
    wa_sample s;
    wa_field field = wa_source_field(f, column);
    wa_status status = wa_sample_read(&s, f->rows, &field, column, &f->plan->source->layout, err);
    if (status != WA_OK)
        return status;
    if (s.tag == WA_TAG_MISSING)
        return wa_rows_fail(f->rows, column, err, "the %s is missing", what);
    *out = wa_sample_number(s.is, s.tag);
    return WA_OK;
}

static wa_status nominal_range(double *range, const wa_source_file *f, wa_error *err)
{
    const wa_source *s = f->plan->source;
    if (s->n_ranges == 0)
        return WA_OK;
    double nearest = s->ranges[0];
    for (size_t i = 1; i < s->n_ranges; i++)
        if (fabs(s->ranges[i] - *range) < fabs(nearest - *range))
            nearest = s->ranges[i];
    if (!(fabs(nearest - *range) <= s->ranges_within)) {
        wa_rows_fail(f->rows, f->range_column, err,
                     "range %.9g m is not within %.9g m of a stated one, the nearest is %.9g m",
                     *range, s->ranges_within, nearest);
        return wa_hint(err, WA_ERR_DATA, "list every range that the files hold");
    }
    *range = nearest;
    return WA_OK;
}

static bool same_key(const wa_cell *a, const wa_cell_key *key)
{
    const wa_cell_key *k = &a->to->key;
    return !k->shared && k->beam == key->beam && k->range == key->range;
}

wa_status wa_gather_find_cell(wa_gather *g, const wa_source_file *f, wa_error *err)
{
    wa_cell_key key = {.has_beam = f->beam_column != SIZE_MAX,
                       .has_range = f->range_column != SIZE_MAX};
    wa_status status = WA_OK;
    if (key.has_beam)
        status = read_key(&key.beam, f, f->beam_column, "beam", err);
    if (status == WA_OK && key.has_range) {
        status = read_key(&key.range, f, f->range_column, "range", err);
        if (status == WA_OK)
            status = nominal_range(&key.range, f, err);
    }
    if (status != WA_OK || (g->recent != NULL && same_key(g->recent, &key)))
        return status;
    for (size_t i = 0; i < g->n_cells; i++)
        if (same_key(g->cell[i], &key)) {
            g->recent = g->cell[i];
            return WA_OK;
        }
    wa_cell *cell = NULL;
    if ((status = add_cell(&cell, g, &key, err)) != WA_OK)
        return status;
    if (cell == NULL) {
        size_t column = key.has_range ? f->range_column : f->beam_column;
        wa_rows_fail(f->rows, column, err, "more than %d beams and ranges", WA_CELLS_MOST);
        return wa_hint(err, WA_ERR_DATA, "state ranges = { at = ..., within = ... }");
    }
    g->recent = cell;
    return WA_OK;
}

/* ---- rows of the same time ---- */

static wa_status second_row(const wa_source_file *f, bool differs, wa_error *err)
{
    char time[WA_TIME_TEXT_SIZE];
    wa_time_print(time, f->stamp);
    wa_rows_fail(f->rows, f->time_column[0], err, "a second row of %s%s", time,
                 differs ? ", and its values differ" : "");
    return wa_hint(err, WA_ERR_DATA,
                   differs ? "one of the two must be wrong"
                           : "overlap = \"identical\" lets equal rows count once");
}

wa_status wa_gather_check_repeated(bool *again, const wa_source_file *f, bool at_same_time,
                                   bool equal, wa_error *err)
{
    *again = at_same_time;
    if (!at_same_time || (f->plan->source->overlap == WA_OVERLAP_IDENTICAL && equal))
        return WA_OK;
    return second_row(f, f->plan->source->overlap == WA_OVERLAP_IDENTICAL, err);
}

/* ---- averaged rows ---- */

static wa_status refuse_statistic(const wa_source_file *f, size_t column, const char *what,
                                  wa_error *err)
{
    char shown[80];
    wa_field field = wa_source_field(f, column);
    return wa_rows_fail(f->rows, column, err, "'%s' is no %s",
                        wa_shown(shown, sizeof shown, field.at, field.length), what);
}

static wa_status check_statistic(const wa_source_file *f, size_t c, size_t k, const wa_sample *s,
                                 wa_error *err)
{
    double x = wa_sample_number(s->is, s->tag);
    size_t column = f->column[c][k];
    if (k == WA_COLUMN_SD && !(x >= 0))
        return refuse_statistic(f, column, "standard deviation", err);
    if (k == WA_COLUMN_COUNT && !(x >= 0 && floor(x) == x))
        return refuse_statistic(f, column, "number of samples", err);
    if (k == WA_COLUMN_RESULTANT && !(x >= 0 && x <= 1))
        return refuse_statistic(f, column, "length of a mean unit vector", err);
    double most = f->percent[c] ? 101 : 1.01;
    if (k == WA_COLUMN_AVAILABILITY && !(x >= 0 && x <= most)) {
        refuse_statistic(f, column, "availability", err);
        return wa_hint(err, WA_ERR_DATA,
                       "it is read as a ratio unless a row of units says '%%' for it");
    }
    return WA_OK;
}

static wa_status read_averages(wa_gather *g, const wa_source_file *f, wa_error *err)
{
    const wa_plan *p = g->plan;
    const wa_layout *layout = &p->source->layout;
    for (size_t c = 0; c < p->source->n_channels; c++) {
        for (size_t k = 0; k < WA_COLUMNS; k++) {
            wa_sample *s = &g->sample[c * WA_COLUMNS + k];
            size_t column = f->column[c][k];
            wa_status status = WA_OK;
            s->tag = WA_TAG_MISSING;
            if (column == SIZE_MAX)
                continue;
            wa_field field = wa_source_field(f, column);
            if (k == WA_COLUMN_VALUE)
                status =
                    wa_sample_read_channel(s, f->rows, &field, column, layout,
                                           p->channel[c].channel, p->channel[c].to_degree, err);
            else
                status = wa_sample_read(s, f->rows, &field, column, layout, err);
            if (status == WA_OK && s->tag != WA_TAG_MISSING)
                status = check_statistic(f, c, k, s, err);
            if (status != WA_OK)
                return status;
        }
    }
    return WA_OK;
}

static bool equal_rows(const wa_sample *a, const wa_sample *b, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!wa_sample_equal(&a[i], &b[i]))
            return false;
    return true;
}

static wa_status take_averaged(wa_gather *g, const wa_source_file *f, wa_error *err)
{
    const wa_plan *p = g->plan;
    size_t n = samples_a_row(p), which = 0;
    while (g->cell[which] != g->recent)
        which++;
    if (f->start != g->low) {
        char time[WA_TIME_TEXT_SIZE];
        wa_time_print(time, f->start);
        wa_rows_fail(f->rows, f->time_column[0], err,
                     "an average that starts at %s does not coincide with an interval", time);
        return wa_hint(err, WA_ERR_DATA, "see zone, stamp and interval of source '%s'",
                       p->source->name);
    }
    wa_status status = read_averages(g, f, err);
    if (status != WA_OK)
        return status;
    wa_sample *previous = g->previous + which * n;
    bool again = false, at_same_time = g->recent->last == f->middle;
    status = wa_gather_check_repeated(&again, f, at_same_time,
                                      at_same_time && equal_rows(previous, g->sample, n), err);
    if (status != WA_OK)
        return status;
    if (again) {
        g->recent->to->read[g->interval]++;
        return wa_grid_drop(g->grid, g->recent->to, g->interval, p->place.repeated, 1, err);
    }
    g->recent->last = f->middle;
    memcpy(previous, g->sample, n * sizeof *previous);
    for (size_t c = 0; c < p->source->n_channels; c++)
        g->means[c] = g->sample[c * WA_COLUMNS + WA_COLUMN_VALUE];
    return wa_cell_put_averages(g->recent, g->interval, g->sample, g->means, f->percent, &g->work,
                                err);
}

/* ---- rows ---- */

static wa_status close_intervals(wa_gather *g, wa_error *err)
{
    wa_status status = WA_OK;
    for (size_t i = 0; status == WA_OK && g->interval != SIZE_MAX && i < g->n_cells; i++)
        status = wa_cell_close_interval(g->cell[i], g->interval, &g->work, err);
    return status;
}

/* Goes to the interval in which a row lies. */
static wa_status open_interval(wa_gather *g, int64_t middle, wa_error *err)
{
    const wa_plan *p = g->plan;
    if (middle >= g->low && middle < g->high)
        return WA_OK;
    wa_status status = close_intervals(g, err);
    if (status != WA_OK)
        return status;
    g->interval = (size_t)((middle - p->campaign->from) / p->campaign->interval_ns);
    g->low = wa_plan_start(p, g->interval);
    g->high = g->low + p->campaign->interval_ns;
    return WA_OK;
}

wa_status wa_gather_take(wa_gather *g, wa_source_file *f, int64_t limit, wa_error *err)
{
    const wa_plan *p = g->plan;
    wa_status status = open_interval(g, f->middle, err);
    if (status != WA_OK)
        return status;
    if (p->raw)
        return wa_gather_take_raw(g, f, limit < g->high ? limit : g->high, err);
    if (p->split)
        status = wa_gather_find_cell(g, f, err);
    if (status == WA_OK)
        status = take_averaged(g, f, err);
    return status == WA_OK ? wa_source_file_next(f, err) : status;
}

wa_status wa_gather_end(wa_gather *g, wa_error *err)
{
    wa_status status = close_intervals(g, err);
    g->interval = SIZE_MAX;
    g->low = INT64_MAX;
    g->high = INT64_MIN;
    for (size_t i = 0; i < g->n_cells; i++)
        g->cell[i]->last = INT64_MIN;
    return status;
}
