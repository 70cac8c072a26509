/* Records made again from the files that an earlier reading left: intervals.csv, samples.csv,
 * inputs.csv. Which beams and ranges there were is in the names of samples.csv; everything else
 * about a series follows from the campaign. */
#include "data/grid.h"
#include "data/records_parts.h"
#include "data/rows.h"
#include "windassay/number.h"
#include "windassay/time.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { TIME_COLUMN = 0, LEAST_TIME = sizeof "2026-03-02T00:00:00Z" - 1 };

typedef struct source_part {
    wa_plan plan;
    wa_grid grid;
} source_part;

/* Where a column of samples.csv goes; at: NULL for one that follows from the campaign. */
typedef struct counts {
    uint32_t *at;
} counts;

typedef struct making {
    const wa_campaign *c;
    source_part *source;
    size_t n_planned;
    wa_records *r;
} making;

static wa_status open_rows(wa_rows **out, int fd, const char *name, wa_error *err)
{
    static char utf8[] = "utf-8";
    const wa_layout layout = {.delimiter = ',', .decimal = '.', .names_row = 1, .encoding = utf8};
    wa_status s = wa_rows_open(out, fd, name, &layout, err);
    if (s != WA_OK)
        return s;
    s = strcmp(wa_rows_names(*out)[0], "time") == 0 || strcmp(name, "inputs.csv") == 0
            ? WA_OK
            : wa_rows_fail_name(*out, 0, false, err, "the first column must be 'time'");
    if (s != WA_OK) {
        wa_rows_close(*out);
        *out = NULL;
    }
    return s;
}

/* ---- rows on the grid ----------------------------------------------------------------------- */

/* A file has a time and a comma for each column on each of n rows: what does not, is refused before
 * room is taken for what it says. */
static wa_status large_enough(wa_rows *rows, const wa_records *r, const char *name, wa_error *err)
{
    uint64_t least = (uint64_t)r->n * (LEAST_TIME + wa_rows_columns(rows));
    if (wa_rows_size(rows) >= least)
        return WA_OK;
    return wa_fail_at(err, WA_ERR_DATA, name, 0, 0,
                      "it is too short for the %zu intervals of the campaign", r->n);
}

/* The next row, which must be that of interval i. */
static wa_status next_interval(const wa_field **fields, wa_rows *rows, const wa_records *r,
                               size_t i, wa_error *err)
{
    char time[WA_TIME_TEXT_SIZE];
    wa_status s = wa_rows_next(rows, fields, err);
    if (s != WA_OK)
        return s;
    if (i == r->n && *fields == NULL)
        return WA_OK;
    if (*fields == NULL)
        return wa_fail(err, WA_ERR_DATA, "it ends after %zu of %zu intervals", i, r->n);
    if (i == r->n)
        return wa_rows_fail(rows, TIME_COLUMN, err, "the campaign has no such interval");
    wa_time_print(time, r->from + (int64_t)i * r->interval_ns);
    if (strcmp((*fields)[TIME_COLUMN].at, time) != 0)
        return wa_rows_fail(rows, TIME_COLUMN, err, "the interval of %s is expected here", time);
    return WA_OK;
}

static wa_status read_count(uint32_t *to, wa_rows *rows, const wa_field *f, size_t column,
                            wa_error *err)
{
    double x;
    if (wa_number_parse(&x, f->at, f->length) != WA_PARSE_OK || !(x >= 0 && x <= UINT32_MAX) ||
        x != floor(x))
        return wa_rows_fail(rows, column, err, "'%.40s' is no number of samples", f->at);
    *to = (uint32_t)x;
    return WA_OK;
}

static wa_status read_value(double *to, wa_rows *rows, const wa_field *f, size_t column,
                            wa_error *err)
{
    double x = (double)NAN;
    if (f->length > 0 && wa_number_parse(&x, f->at, f->length) != WA_PARSE_OK)
        return wa_rows_fail(rows, column, err, "'%.40s' is no number", f->at);
    *to = x;
    return WA_OK;
}

/* ---- samples.csv: beams, ranges, and what happened to the samples --------------------------- */

/* "@beam=1,range=240" up to `end`; nothing: neither. */
static bool read_key(wa_cell_key *key, const char *at, const char *end)
{
    if (at == end)
        return true;
    for (const char *mark = "@"; at < end; mark = ",") {
        const char *to = memchr(at + 1, ',', (size_t)(end - at - 1));
        if (to == NULL)
            to = end;
        bool beam = strncmp(at + 1, "beam=", 5) == 0, range = strncmp(at + 1, "range=", 6) == 0;
        const char *number = at + (beam ? 6 : 7);
        if (*at != *mark || (!beam && !range) || (beam && (key->has_beam || key->has_range)) ||
            (range && key->has_range) || number >= to ||
            wa_number_parse(beam ? &key->beam : &key->range, number, (size_t)(to - number)) !=
                WA_PARSE_OK)
            return false;
        key->has_beam |= beam;
        key->has_range |= range;
        at = to;
    }
    return true;
}

/* What a column is about: its source, cell, and "read", "expected" or "dropped: REASON". */
static bool read_name(size_t *source, wa_cell_key *key, const char **what, const wa_campaign *c,
                      const char *name)
{
    static const char *const marks[] = {".dropped: ", ".expected", ".read"};
    size_t length = strcspn(name, ".@");
    const char *end = NULL;
    for (size_t i = 0; i < 3 && end == NULL; i++) {
        end = strstr(name, marks[i]);
        if (end != NULL && i > 0 && end[strlen(marks[i])] != '\0')
            end = NULL;
    }
    *key = (wa_cell_key){.shared = false};
    if (end == NULL || !read_key(key, name + length, end))
        return false;
    *what = end + 1;
    for (*source = 0; *source < c->n_sources; ++*source)
        if (strlen(c->sources[*source].name) == length &&
            strncmp(c->sources[*source].name, name, length) == 0)
            return true;
    return false;
}

/* A cell as the reading would have made it. */
static bool possible(const wa_plan *p, wa_cell_key *key)
{
    const wa_source *s = p->source;
    key->shared = p->any_shared && !key->has_beam && !key->has_range;
    if (key->shared || !p->split)
        return !key->has_beam && !key->has_range;
    return key->has_beam == (s->beam_column != NULL) && key->has_range == (s->range_column != NULL);
}

static size_t series_of_cell(const wa_plan *p, const wa_cell_key *key)
{
    size_t shared = 0, all = p->source->n_channels + p->n_added;
    for (size_t i = 0; i < p->source->n_channels; i++)
        shared += p->any_shared && p->source->channels[i].shared;
    return key->shared ? shared : all - shared;
}

/* The list of counts for a reason of the cell; NULL where there is no such reason, or no memory. */
static uint32_t **dropped_for(const wa_plan *p, wa_grid_cell *cell, const char *reason)
{
    for (size_t k = 0; k < p->n_reasons; k++)
        if (cell->dropped[k] == NULL && strcmp(p->reason[k], reason) == 0)
            return &cell->dropped[k];
    return NULL;
}

static wa_status place_column(counts *to, making *m, wa_rows *rows, size_t column, size_t *room,
                              wa_error *err)
{
    size_t at;
    wa_cell_key key;
    const char *what, *name = wa_rows_names(rows)[column];
    wa_grid_cell *cell = NULL;
    if (!read_name(&at, &key, &what, m->c, name) || !possible(&m->source[at].plan, &key))
        return wa_rows_fail_name(rows, column, false, err,
                                 "the campaign has no samples of this name");
    const wa_plan *plan = &m->source[at].plan;
    wa_grid *grid = &m->source[at].grid;
    size_t before = grid->n_cells, series = series_of_cell(plan, &key);
    if (series > *room)
        return wa_rows_fail_name(rows, column, false, err,
                                 "intervals.csv has not the columns of so many beams and ranges");
    wa_status s = wa_grid_cell_of(&cell, grid, &key, err);
    if (s != WA_OK)
        return s;
    if (cell == NULL)
        return wa_rows_fail_name(rows, column, false, err, "too many beams and ranges");
    if (grid->n_cells > before)
        *room -= series;
    if (strcmp(what, "read") == 0)
        to->at = cell->read;
    if (strncmp(what, "dropped: ", 9) != 0)
        return WA_OK;
    uint32_t **dropped = dropped_for(plan, cell, what + 9);
    if (dropped == NULL)
        return wa_rows_fail_name(rows, column, false, err, "the campaign drops nothing like that");
    *dropped = to->at = calloc(m->r->n, sizeof **dropped);
    return to->at == NULL ? wa_no_memory(err) : WA_OK;
}

static wa_status read_samples(making *m, int fd, size_t series_most, wa_error *err)
{
    wa_rows *rows = NULL;
    const wa_field *fields = NULL;
    wa_status s = open_rows(&rows, fd, "samples.csv", err);
    if (s != WA_OK)
        return s;
    size_t n = wa_rows_columns(rows);
    counts *to = calloc(n, sizeof *to);
    s = to == NULL ? wa_no_memory(err) : large_enough(rows, m->r, "samples.csv", err);
    for (size_t k = 1; k < n && s == WA_OK; k++)
        s = place_column(&to[k], m, rows, k, &series_most, err);
    for (size_t i = 0; i <= m->r->n && s == WA_OK; i++) {
        s = next_interval(&fields, rows, m->r, i, err);
        for (size_t k = 1; k < n && s == WA_OK && fields != NULL; k++)
            if (to[k].at != NULL)
                s = read_count(&to[k].at[i], rows, &fields[k], k, err);
    }
    free(to);
    wa_rows_close(rows);
    return s;
}

/* ---- intervals.csv: the statistics ---------------------------------------------------------- */

/* The columns of the series that files gave, in order; derived ones follow them. */
typedef struct statistics {
    wa_rows *rows;
    double **at;
    size_t n, room;
    bool other; /* a column of another name stands at n */
} statistics;

static bool place_statistic(void *context, const char *name, size_t length, double *values)
{
    statistics *t = context;
    const char *found = t->n < t->room ? wa_rows_names(t->rows)[t->n] : "";
    if (strlen(found) != length || memcmp(found, name, length) != 0) {
        t->other = true;
        return false;
    }
    t->at[t->n++] = values;
    return true;
}

static wa_status place_statistics(statistics *t, const making *m, wa_error *err)
{
    for (size_t i = 0; i < m->r->n_series; i++) {
        if (wa_series_columns(&m->r->series[i], m->c, place_statistic, t))
            continue;
        if (!t->other)
            return wa_no_memory(err);
        wa_text name = WA_TEXT_INIT;
        wa_series_name(&name, &m->r->series[i], m->c);
        wa_status s = wa_rows_fail_name(t->rows, t->n < t->room ? t->n : t->room - 1, false, err,
                                        "a column of '%s' is expected here", wa_text_string(&name));
        wa_text_release(&name);
        return s;
    }
    return WA_OK;
}

static wa_status read_statistics(making *m, wa_rows *rows, wa_error *err)
{
    size_t n = wa_rows_columns(rows);
    statistics t = {.rows = rows, .at = calloc(n, sizeof *t.at), .n = 1, .room = n};
    const wa_field *fields = NULL;
    wa_status s = t.at == NULL ? wa_no_memory(err) : place_statistics(&t, m, err);
    for (size_t i = 0; i <= m->r->n && s == WA_OK; i++) {
        s = next_interval(&fields, rows, m->r, i, err);
        for (size_t k = 1; k < t.n && s == WA_OK && fields != NULL; k++)
            s = read_value(&t.at[k][i], rows, &fields[k], k, err);
    }
    free(t.at);
    return s;
}

/* ---- inputs.csv ----------------------------------------------------------------------------- */

enum { PATH, SOURCE, BYTES, SHA256, ROWS, OUTSIDE, FIRST, LAST, INPUT_COLUMNS };

static bool whole(uint64_t *to, const wa_field *f)
{
    double x;
    bool good = wa_number_parse(&x, f->at, f->length) == WA_PARSE_OK && x >= 0 && x < 0x1p53 &&
                x == floor(x);
    if (good)
        *to = (uint64_t)x;
    return good;
}

static bool instant(int64_t *to, const wa_field *f)
{
    return f->length == 0 || wa_instant_parse(to, f->at, f->length, NULL) == WA_OK;
}

static bool read_input(wa_input *to, const wa_campaign *c, const wa_field *f)
{
    for (to->source = 0; to->source < c->n_sources; to->source++)
        if (strcmp(c->sources[to->source].name, f[SOURCE].at) == 0)
            break;
    if (to->source == c->n_sources || f[SHA256].length != 64 ||
        strspn(f[SHA256].at, "0123456789abcdef") != 64)
        return false;
    memcpy(to->sha256, f[SHA256].at, sizeof to->sha256);
    return whole(&to->bytes, &f[BYTES]) && whole(&to->rows, &f[ROWS]) &&
           whole(&to->outside, &f[OUTSIDE]) && instant(&to->first, &f[FIRST]) &&
           instant(&to->last, &f[LAST]);
}

static wa_status add_input(wa_records *r, const wa_campaign *c, wa_rows *rows, const wa_field *f,
                           wa_error *err)
{
    wa_input *more = realloc(r->inputs, (r->n_inputs + 1) * sizeof *more);
    if (more == NULL)
        return wa_no_memory(err);
    r->inputs = more;
    wa_input *to = &more[r->n_inputs];
    *to = (wa_input){.source = 0};
    if (!read_input(to, c, f))
        return wa_rows_fail(rows, PATH, err, "this is no input of the campaign");
    if ((to->path = strdup(f[PATH].at)) == NULL)
        return wa_no_memory(err);
    r->n_inputs++;
    return WA_OK;
}

static wa_status read_inputs(wa_records *r, const wa_campaign *c, int fd, wa_error *err)
{
    static const char *const names[] = {"path", "source",  "bytes", "sha256",
                                        "rows", "outside", "first", "last"};
    wa_rows *rows = NULL;
    wa_status s = open_rows(&rows, fd, "inputs.csv", err);
    if (s != WA_OK)
        return s;
    bool known = wa_rows_columns(rows) == INPUT_COLUMNS;
    for (size_t i = 0; i < INPUT_COLUMNS && known; i++)
        known = strcmp(wa_rows_names(rows)[i], names[i]) == 0;
    if (!known)
        s = wa_rows_fail_name(rows, 0, false, err, "these are not the columns of inputs.csv");
    while (s == WA_OK) {
        const wa_field *f = NULL;
        s = wa_rows_next(rows, &f, err);
        if (s != WA_OK || f == NULL)
            break;
        s = add_input(r, c, rows, f, err);
    }
    wa_rows_close(rows);
    return s;
}

/* ---- all of it ------------------------------------------------------------------------------ */

static wa_status plan_sources(making *m, wa_error *err)
{
    wa_status s = WA_OK;
    m->source = calloc(m->c->n_sources + 1, sizeof *m->source);
    if (m->source == NULL)
        return wa_no_memory(err);
    for (size_t i = 0; i < m->c->n_sources && s == WA_OK; i++) {
        source_part *p = &m->source[i];
        s = wa_plan_make(&p->plan, m->c, i, err);
        if (s != WA_OK)
            break;
        m->n_planned++;
        s = wa_grid_init(&p->grid, &p->plan, err);
    }
    return s;
}

static wa_status make(making *m, const wa_records_files *files, wa_rows **intervals, wa_error *err)
{
    wa_status s = plan_sources(m, err);
    if (s == WA_OK)
        s = wa_records_begin(&m->r, m->c, err);
    if (s == WA_OK)
        s = large_enough(*intervals, m->r, "intervals.csv", err);
    if (s != WA_OK)
        close(files->samples);
    else
        s = read_samples(m, files->samples, wa_rows_columns(*intervals), err);
    for (size_t i = 0; i < m->c->n_sources && s == WA_OK; i++) {
        wa_grid_sort(&m->source[i].grid);
        s = wa_grid_hand_over(m->r, &m->source[i].grid, err);
    }
    if (s == WA_OK)
        s = read_statistics(m, *intervals, err);
    if (s != WA_OK)
        close(files->inputs);
    else
        s = read_inputs(m->r, m->c, files->inputs, err);
    return s == WA_OK ? wa_records_end(m->r, m->c, err) : s;
}

wa_status wa_records_read_intervals(wa_records **out, const wa_campaign *campaign,
                                    const wa_records_files *files, wa_error *err)
{
    making m = {.c = campaign};
    wa_rows *intervals = NULL;
    wa_status s = open_rows(&intervals, files->intervals, "intervals.csv", err);
    if (s != WA_OK) {
        close(files->samples);
        close(files->inputs);
        return s;
    }
    s = make(&m, files, &intervals, err);
    wa_rows_close(intervals);
    for (size_t i = 0; i < m.n_planned; i++) {
        wa_grid_release(&m.source[i].grid);
        wa_plan_release(&m.source[i].plan);
    }
    free(m.source);
    if (s == WA_OK)
        *out = m.r;
    else
        wa_records_free(m.r);
    return s;
}
