/* Raw rows in long form, many at once: whose row each is, then channel by channel, then out to the
 * cells. What is not as it nearly always is (a time said twice, a field that needs a second look at a
 * beam, an error) is left to the way row by row, from where the rows began: it decides. */
#include "data/gather_inside.h"

#include <stdlib.h>
#include <string.h>

enum { KNOWN = 256 };

/* What the key columns said, and whose row that is. */
typedef struct known_key {
    int64_t beam, range;
    wa_cell *cell; /* NULL: nothing is known */
} known_key;

/* Rows of a source, in the order of the file. */
struct wa_scan {
    size_t room;
    wa_batch batch;
    int64_t *middle;
    wa_datum *key[2]; /* beam and range, integers at their column's scale */
    uint8_t scale[2], *tag;
    wa_cell **cell;
    size_t *place; /* in the cell's batch               */
    size_t *scan;  /* in that of the channels all share */
    known_key known[KNOWN];
    /* of each cell, before these rows */
    int64_t last[WA_CELLS_MOST + 1];
    size_t n[WA_CELLS_MOST + 1];
};

static void release_rows(wa_scan *s)
{
    s->room = 0;
    free(s->middle);
    free(s->key[0]);
    free(s->key[1]);
    free(s->tag);
    free(s->cell);
    free(s->place);
    free(s->scan);
}

void wa_scan_free(wa_scan *s)
{
    if (s == NULL)
        return;
    release_rows(s);
    wa_batch_release(&s->batch);
    free(s);
}

wa_scan *wa_scan_make(size_t n_channels)
{
    wa_scan *s = calloc(1, sizeof *s);
    if (s != NULL && wa_batch_init(&s->batch, n_channels, NULL) == WA_OK)
        return s;
    wa_scan_free(s);
    return NULL;
}

static bool scan_room(wa_scan *s, size_t n)
{
    if (n <= s->room)
        return wa_batch_room(&s->batch, n, NULL) == WA_OK;
    release_rows(s);
    s->middle = malloc(n * sizeof *s->middle);
    s->key[0] = malloc(n * sizeof *s->key[0]);
    s->key[1] = malloc(n * sizeof *s->key[1]);
    s->tag = malloc(n);
    s->cell = malloc(n * sizeof *s->cell);
    s->place = malloc(n * sizeof *s->place);
    s->scan = malloc(n * sizeof *s->scan);
    bool good = s->middle != NULL && s->key[0] != NULL && s->key[1] != NULL && s->tag != NULL &&
                s->cell != NULL && s->place != NULL && s->scan != NULL &&
                wa_batch_room(&s->batch, n, NULL) == WA_OK;
    s->room = good ? n : 0;
    return good;
}

/* ---- whose row ---- */

/* Reads a key column of n plain rows as integers at one scale. False: not all of them are. */
static bool read_keys(wa_scan *s, size_t key, const wa_gather *g, const wa_source_file *f,
                      size_t column, size_t first, size_t n)
{
    const wa_plain *p = wa_rows_plain(f->rows);
    const wa_layout *layout = &g->plan->source->layout;
    if (column == SIZE_MAX) {
        memset(s->key[key], 0, n * sizeof *s->key[key]);
        return true;
    }
    if (column == 0 || column + 1 == p->columns) /* what delimits it may be more than one byte */
        return false;
    wa_fields fields = {.text = p->text,
                        .begin = wa_plain_ends(p, first) + p->index.per * column - 1,
                        .stride = wa_plain_stride(p)};
    for (unsigned tried = 0; tried < WA_PLAIN_SCALES; tried++) {
        wa_decimals d;
        wa_decimals_set(&d, layout->decimal, (uint8_t)((s->scale[key] + tried) % WA_PLAIN_SCALES));
        size_t read = wa_decimals_read(s->key[key], s->tag, &d, &fields, n, wa_rows_level(f->rows));
        if (read == n) {
            if (d.scale != s->scale[key])
                memset(s->known, 0, sizeof s->known);
            s->scale[key] = d.scale;
            return memchr(s->tag, WA_TAG_MISSING, n) == NULL;
        }
    }
    return false;
}

/* Makes row i of the plain ones the present row. */
static void go_to(wa_source_file *f, size_t i)
{
    wa_plain *p = wa_rows_plain(f->rows);
    p->next = i + 1;
    wa_plain_at(p, i, &f->row);
}

/* The cell of a row, by what its keys say. What they said once is not read again. */
static wa_cell *cell_of(wa_gather *g, wa_source_file *f, wa_scan *s, size_t first, size_t i)
{
    int64_t beam = s->key[0][i].digits, range = s->key[1][i].digits;
    known_key *k = &s->known[((uint64_t)beam * 31 + (uint64_t)range) % KNOWN];
    if (k->cell == NULL || k->beam != beam || k->range != range) {
        go_to(f, first + i);
        k->cell = NULL;
        if (wa_gather_find_cell(g, f, NULL) != WA_OK)
            return NULL;
        *k = (known_key){beam, range, g->recent};
    }
    return k->cell;
}

static bool room_for_one(wa_batch *b)
{
    return b->n < b->room || wa_batch_room(b, 1, NULL) == WA_OK;
}

/* Finds cell and place of each row. False: one must be looked at alone. */
static bool find_places(wa_gather *g, wa_source_file *f, wa_scan *s, size_t first, size_t n)
{
    if (!read_keys(s, 0, g, f, f->beam_column, first, n) ||
        !read_keys(s, 1, g, f, f->range_column, first, n))
        return false;
    for (size_t i = 0; i < n; i++) {
        wa_cell *cell = s->cell[i] = cell_of(g, f, s, first, i);
        if (cell == NULL || cell->last == s->middle[i] || !room_for_one(&cell->batch))
            return false;
        cell->last = s->middle[i];
        s->place[i] = cell->batch.n++;
    }
    return true;
}

/* ---- what it says ---- */

/* Finds the row of each scan among those of the shared cell; new ones are behind those that are there. */
static bool find_scans(wa_scan *s, wa_cell *shared, size_t n)
{
    wa_batch *b = &shared->batch;
    for (size_t i = 0; i < n; i++) {
        if (shared->last != s->middle[i]) {
            if (!room_for_one(b))
                return false;
            shared->last = s->middle[i];
            b->n++;
        }
        s->scan[i] = b->n - 1;
    }
    return true;
}

/* One channel that all rows of a scan share; false: two of its rows differ. */
static bool take_shared_channel(wa_batch *to, const wa_scan *s, size_t c, size_t before, size_t n)
{
    const wa_datum *is = s->batch.is[c];
    const uint8_t *tag = s->batch.tag[c];
    for (size_t i = 0; i < n; i++) {
        size_t at = s->scan[i];
        bool first = at >= before && (i == 0 || s->scan[i - 1] != at);
        wa_sample here = {is[i], tag[i]}, there = {to->is[c][at], to->tag[c][at]};
        if (first)
            wa_batch_put(to, c, at, &here);
        else if ((here.tag != there.tag || here.is.digits != there.is.digits) &&
                 !wa_sample_equal(&there, &here))
            return false;
    }
    return true;
}

/* The channels that all rows of a scan share, once a scan. False: two of its rows differ. */
static bool take_shared(wa_gather *g, wa_scan *s, size_t n)
{
    const wa_source *source = g->plan->source;
    wa_batch *b = &g->shared->batch;
    size_t before = b->n;
    if (!find_scans(s, g->shared, n))
        return false;
    for (size_t c = 0; c < source->n_channels; c++) {
        if (!source->channels[c].shared) {
            memset(b->is[c] + before, 0, (b->n - before) * sizeof *b->is[c]);
            memset(b->tag[c] + before, WA_TAG_MISSING, b->n - before);
        } else if (!take_shared_channel(b, s, c, before, n))
            return false;
    }
    return true;
}

static void hand_out(wa_scan *s, size_t n)
{
    for (size_t c = 0; c < s->batch.n_channels; c++) {
        const wa_datum *is = s->batch.is[c];
        const uint8_t *tag = s->batch.tag[c];
        for (size_t i = 0; i < n; i++) {
            wa_batch *to = &s->cell[i]->batch;
            to->is[c][s->place[i]] = is[i];
            to->tag[c][s->place[i]] = tag[i];
        }
    }
}

static bool take_together(wa_gather *g, wa_source_file *f, wa_scan *s, size_t first, size_t n)
{
    if (!find_places(g, f, s, first, n))
        return false;
    for (size_t c = 0; c < s->batch.n_channels; c++)
        if (wa_gather_read_channel(g, f, &s->batch, c, first, n) != WA_OK)
            return false;
    if (g->shared != NULL && !take_shared(g, s, n))
        return false;
    hand_out(s, n);
    return true;
}

/* ---- and back, where it cannot be done so ---- */

static void remember(wa_scan *s, const wa_gather *g)
{
    for (size_t i = 0; i < g->n_cells; i++) {
        s->last[i] = g->cell[i]->last;
        s->n[i] = g->cell[i]->batch.n;
    }
}

static void take_back(const wa_scan *s, wa_gather *g, size_t n_cells)
{
    for (size_t i = 0; i < g->n_cells; i++) { /* a cell that is new has had no row */
        g->cell[i]->last = i < n_cells ? s->last[i] : INT64_MIN;
        g->cell[i]->batch.n = i < n_cells ? s->n[i] : 0;
    }
}

static wa_status take_each(wa_gather *g, wa_source_file *f, const wa_scan *s, size_t first,
                           size_t n, wa_error *err)
{
    int64_t stamp = f->stamp - f->middle, start = f->start - f->middle;
    wa_status status = WA_OK;
    for (size_t i = 0; status == WA_OK && i < n; i++) {
        go_to(f, first + i);
        f->middle = s->middle[i];
        f->stamp = f->middle + stamp;
        f->start = f->middle + start;
        status = wa_gather_find_cell(g, f, err);
        if (status == WA_OK)
            status = wa_gather_take_row(g, f, err);
    }
    return status;
}

wa_status wa_gather_take_split(wa_gather *g, wa_source_file *f, int64_t limit, wa_error *err)
{
    const wa_plain *p = wa_rows_plain(f->rows);
    wa_scan *s = g->scan;
    size_t first = p->next - 1, n_cells = g->n_cells;
    if (!scan_room(s, p->ready - first))
        return wa_no_memory(err);
    s->middle[0] = f->middle;
    size_t n = 1 + wa_source_file_run(f, limit, s->middle + 1);
    remember(s, g);
    bool taken = take_together(g, f, s, first, n);
    go_to(f, first + n - 1);
    if (taken)
        return WA_OK;
    take_back(s, g, n_cells);
    return take_each(g, f, s, first, n, err);
}
