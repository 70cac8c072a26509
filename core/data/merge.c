#include "data/merge.h"

#include <stdlib.h>
#include <string.h>

enum { OPEN_FILES_MOST = 64 };

typedef struct open_file {
    wa_source_file *file;
    size_t place; /* in the order of time   */
    uint64_t told;
    bool hashed;
} open_file;

typedef struct merge {
    wa_stretch *s;
    open_file open[OPEN_FILES_MOST]; /* in order of opening */
    size_t n_open, next;             /* next: the first of the order that was not opened */
} merge;

static bool own(const wa_stretch *s, const open_file *o)
{
    return o->place >= s->begin && o->place < s->end;
}

static void tell(const wa_stretch *s, open_file *o)
{
    uint64_t stored = wa_rows_stored(o->file->rows);
    if (s->tell != NULL && own(s, o) && stored != o->told)
        s->tell(s->context, stored - o->told);
    o->told = stored;
}

static const wa_part *part_of(const merge *m, const open_file *o)
{
    return &m->s->order[o->place];
}

static void close_file(merge *m, size_t k)
{
    wa_part_close(m->open[k].file, part_of(m, &m->open[k]));
    free(m->open[k].file);
    m->n_open--;
    memmove(&m->open[k], &m->open[k + 1], (m->n_open - k) * sizeof m->open[0]);
}

/* After a step in open file k: closes it at its end. */
static wa_status stepped(merge *m, size_t k, wa_error *err)
{
    wa_stretch *s = m->s;
    open_file *o = &m->open[k];
    const wa_part *p = part_of(m, o);
    wa_status status = WA_OK;
    tell(s, o);
    if (o->file->any)
        return WA_OK;
    if (own(s, o)) {
        for (size_t i = 0; i < m->n_open; i++) /* then its digest could not be waited for */
            s->overlaps |= i != k && part_of(m, &m->open[i])->file == p->file &&
                           part_of(m, &m->open[i])->index < p->index;
        if (!s->overlaps)
            status =
                wa_part_end(&s->input[p->file->index], &s->overlaps, o->hashed, p, o->file, err);
    }
    close_file(m, k);
    return status;
}

static wa_status open_next(merge *m, wa_error *err)
{
    const wa_stretch *s = m->s;
    const wa_part *p = &s->order[m->next];
    const char *path = s->paths->at[p->file->index];
    if (m->n_open == OPEN_FILES_MOST)
        return wa_fail_at(err, WA_ERR_DATA, path, 0, 0,
                          "more than %d files of one source hold the same time", OPEN_FILES_MOST);
    wa_source_file *f = calloc(1, sizeof *f);
    if (f == NULL)
        return wa_no_memory(err);
    size_t k = m->n_open++;
    open_file *o = &m->open[k];
    *o = (open_file){.file = f, .place = m->next++};
    wa_status status = wa_part_open(f, p, s->plan, path, own(s, o), err);
    if (status == WA_OK && own(s, o))
        status = wa_part_hash(&o->hashed, p, f, err);
    if (status == WA_OK)
        status = wa_source_file_next(f, err);
    if (status == WA_OK)
        status = stepped(m, k, err);
    if (status == WA_OK && m->n_open > k && f->middle != p->first)
        return wa_fail_at(err, WA_ERR_DATA, path, 0, 0, "changed while it was read");
    return status;
}

/* The open file whose present row is the earliest; SIZE_MAX when none is open. */
static size_t earliest(const merge *m)
{
    size_t k = m->n_open > 0 ? 0 : SIZE_MAX;
    for (size_t i = 1; i < m->n_open; i++)
        if (m->open[i].file->middle < m->open[k].file->middle)
            k = i;
    return k;
}

/* True where a file of the stretch has rows that belong to a later one. */
static bool own_rows_left(const merge *m)
{
    for (size_t i = 0; i < m->n_open; i++)
        if (own(m->s, &m->open[i]))
            return true;
    return m->next < m->s->end;
}

/* Up to which time the rows of open file k come before those of all others. */
static int64_t limit_of(const merge *m, size_t k)
{
    const wa_stretch *s = m->s;
    int64_t limit = s->upto;
    if (m->next < s->n_order && s->order[m->next].first < limit)
        limit = s->order[m->next].first;
    for (size_t i = 0; i < m->n_open; i++)
        if (i != k && m->open[i].file->middle < limit)
            limit = m->open[i].file->middle;
    return limit;
}

/* Goes over rows that are not gathered: outside of the period, or another stretch's. */
static wa_status pass(merge *m, wa_source_file *f, wa_error *err)
{
    const wa_campaign *c = m->s->plan->campaign;
    uint64_t before = f->rows_read - 1;
    bool early = f->middle < c->from, late = f->middle >= c->to;
    int64_t limit = early ? c->from : late ? INT64_MAX : m->s->after;
    wa_source_file_run(f, limit < m->s->upto ? limit : m->s->upto, NULL);
    if (early || late)
        f->outside += f->rows_read - before;
    return wa_source_file_next(f, err);
}

/* Takes at least the present row of open file k, and goes to the next. */
static wa_status take(merge *m, size_t k, wa_gather *g, wa_error *err)
{
    wa_source_file *f = m->open[k].file;
    wa_status status = WA_OK;
    if (wa_plan_covers(m->s->plan, f->middle) && f->middle >= m->s->after)
        status = wa_gather_take(g, f, limit_of(m, k), err);
    else
        status = pass(m, f, err);
    return status == WA_OK ? stepped(m, k, err) : status;
}

static wa_status merge_files(merge *m, wa_gather *g, wa_error *err)
{
    wa_stretch *s = m->s;
    while (!s->overlaps) {
        size_t k = earliest(m);
        if (m->next < s->n_order && (m->next < s->end || s->order[m->next].first < s->upto) &&
            (k == SIZE_MAX || s->order[m->next].first <= m->open[k].file->middle)) {
            wa_status status = open_next(m, err);
            if (status != WA_OK)
                return status;
            continue;
        }
        if (k == SIZE_MAX)
            return WA_OK;
        if (m->open[k].file->middle >= s->upto) {
            s->overlaps = own_rows_left(m);
            return WA_OK;
        }
        wa_status status = take(m, k, g, err);
        if (status != WA_OK)
            return status;
    }
    return WA_OK;
}

wa_status wa_merge_read(wa_stretch *s, wa_gather *g, wa_error *err)
{
    merge m = {.s = s, .next = s->begin};
    wa_status status = merge_files(&m, g, err);
    if (status == WA_OK)
        status = wa_gather_end(g, err);
    while (m.n_open > 0)
        close_file(&m, m.n_open - 1);
    for (size_t i = s->begin; (status != WA_OK || s->overlaps) && i < s->end; i++)
        wa_part_give_up(&s->order[i]);
    return status;
}
