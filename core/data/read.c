/* Reading a campaign: which files, in which order, on which threads; what comes of it. */
#include "data/events.h"
#include "data/files.h"
#include "data/gather.h"
#include "data/series.h"
#include "windassay/pool.h"
#include "windassay/records.h"

#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { OPEN_FILES_MOST = 64 };

typedef struct file_entry {
    size_t source, index; /* of the source; among its files in order of path        */
    int64_t first;        /* true middle of its first sample; INT64_MIN without rows */
    uint64_t bytes;
    wa_status status; /* of the look at its head */
    wa_error error;
} file_entry;

typedef struct source_job {
    wa_plan plan;
    wa_paths paths;
    file_entry *file;   /* of paths.n, in order of path */
    file_entry **order; /* the same in order of time    */
    size_t n_order;
    wa_gather gather;
    wa_input *input; /* in order of path */
} source_job;

typedef struct reading {
    const wa_campaign *campaign;
    source_job *source;
    file_entry **file; /* of all sources */
    size_t n_files;
    const wa_progress *progress;
    uint64_t bytes_all;
    _Atomic uint64_t bytes_done;
} reading;

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

/* ---- which files there are, and when each begins ---- */

static wa_status find_files(reading *r, size_t i, wa_error *err)
{
    const wa_campaign *c = r->campaign;
    source_job *s = &r->source[i];
    const wa_source *source = &c->sources[i];
    wa_status status = wa_plan_make(&s->plan, c, i, err);
    if (status == WA_OK)
        status = wa_files_find(&s->paths, c->folder, c->root, (const char *const *)source->files,
                               source->n_files, err);
    if (status != WA_OK)
        return status;
    s->file = calloc(s->paths.n + 1, sizeof *s->file);
    s->order = calloc(s->paths.n + 1, sizeof *s->order);
    s->input = calloc(s->paths.n + 1, sizeof *s->input);
    file_entry **all = realloc(r->file, (r->n_files + s->paths.n + 1) * sizeof *all);
    if (all != NULL)
        r->file = all;
    if (s->file == NULL || s->order == NULL || s->input == NULL || all == NULL)
        return no_memory(err);
    for (size_t k = 0; k < s->paths.n; k++) {
        s->file[k] = (file_entry){.source = i, .index = k, .first = INT64_MIN};
        r->file[r->n_files++] = &s->file[k];
    }
    return WA_OK;
}

static wa_status open_entry(wa_source_file *f, const reading *r, const file_entry *e, wa_error *err)
{
    const wa_campaign *c = r->campaign;
    const source_job *s = &r->source[e->source];
    int fd = -1;
    *f = (wa_source_file){0};
    wa_status status = wa_file_open(&fd, c->folder, c->root, s->paths.at[e->index], err);
    return status == WA_OK ? wa_source_file_open(f, &s->plan, fd, s->paths.at[e->index], err)
                           : status;
}

/* A pool task: looks at the head of a file. Its error waits until it is the file's turn. */
static wa_status look_at_file(void *context, size_t index, wa_error *err)
{
    reading *r = context;
    file_entry *e = r->file[index];
    const wa_campaign *c = r->campaign;
    const source_job *s = &r->source[e->source];
    (void)err;
    struct stat st;
    int fd = -1;
    e->status = wa_file_open(&fd, c->folder, c->root, s->paths.at[e->index], &e->error);
    if (e->status != WA_OK)
        return WA_OK;
    e->bytes = fstat(fd, &st) == 0 ? (uint64_t)st.st_size : 0;
    wa_source_file f = {0};
    e->status = wa_source_file_open(&f, &s->plan, fd, s->paths.at[e->index], &e->error);
    if (e->status == WA_OK)
        e->status = wa_source_file_next(&f, &e->error);
    if (e->status == WA_OK && f.fields != NULL)
        e->first = f.middle;
    wa_source_file_release(&f);
    return WA_OK;
}

/* In order of the first sample; of equal ones in order of path. */
static int by_first(const void *a, const void *b)
{
    const file_entry *x = *(file_entry *const *)a, *y = *(file_entry *const *)b;
    if (x->first != y->first)
        return x->first < y->first ? -1 : 1;
    return x->index < y->index ? -1 : 1;
}

/* ---- one source: a merge of its files in order of time ---- */

typedef struct merge {
    reading *r;
    source_job *s;
    wa_source_file *open[OPEN_FILES_MOST];
    file_entry *entry[OPEN_FILES_MOST];
    uint64_t told[OPEN_FILES_MOST];
    size_t n_open, next; /* next: the first of s->order that was not opened */
} merge;

static void tell(merge *m, size_t k)
{
    const wa_progress *p = m->r->progress;
    uint64_t stored = wa_rows_stored(m->open[k]->rows);
    if (p == NULL || p->tell == NULL || stored == m->told[k])
        return;
    uint64_t more = stored - m->told[k];
    m->told[k] = stored;
    p->tell(p->ctx, atomic_fetch_add(&m->r->bytes_done, more) + more, m->r->bytes_all);
}

static wa_status keep_input(merge *m, size_t k, wa_error *err)
{
    const wa_source_file *f = m->open[k];
    wa_input *in = &m->s->input[m->entry[k]->index];
    *in = (wa_input){.source = m->entry[k]->source,
                     .path = strdup(f->path),
                     .bytes = wa_rows_stored(f->rows),
                     .rows = f->rows_read,
                     .outside = f->outside,
                     .first = f->first,
                     .last = f->last};
    if (in->path == NULL)
        return no_memory(err);
    memcpy(in->sha256, wa_rows_sha256(f->rows), sizeof in->sha256);
    return WA_OK;
}

/* Goes on in open file k; closes it at its end. */
static wa_status advance(merge *m, size_t k, wa_error *err)
{
    wa_source_file *f = m->open[k];
    wa_status status = wa_source_file_next(f, err);
    if (status != WA_OK)
        return status;
    tell(m, k);
    if (f->fields != NULL)
        return WA_OK;
    status = keep_input(m, k, err);
    wa_source_file_release(f);
    free(f);
    m->n_open--;
    for (size_t i = k; i < m->n_open; i++) { /* the others stay in order of opening */
        m->open[i] = m->open[i + 1];
        m->entry[i] = m->entry[i + 1];
        m->told[i] = m->told[i + 1];
    }
    return status;
}

static wa_status open_next(merge *m, wa_error *err)
{
    file_entry *e = m->s->order[m->next++];
    const char *path = m->s->paths.at[e->index];
    if (m->n_open == OPEN_FILES_MOST)
        return wa_fail_at(err, WA_ERR_DATA, path, 0, 0,
                          "more than %d files of one source hold the same time", OPEN_FILES_MOST);
    wa_source_file *f = calloc(1, sizeof *f);
    if (f == NULL)
        return no_memory(err);
    size_t k = m->n_open++;
    m->open[k] = f;
    m->entry[k] = e;
    m->told[k] = 0;
    wa_status status = open_entry(f, m->r, e, err);
    if (status == WA_OK)
        status = advance(m, k, err);
    if (status == WA_OK && m->n_open > k && e->first != INT64_MIN && f->middle != e->first)
        return wa_fail_at(err, WA_ERR_DATA, path, 0, 0, "changed while it was read");
    return status;
}

/* The open file whose present row is the earliest; SIZE_MAX when none is open. */
static size_t earliest(const merge *m)
{
    size_t k = m->n_open > 0 ? 0 : SIZE_MAX;
    for (size_t i = 1; i < m->n_open; i++)
        if (m->open[i]->middle < m->open[k]->middle)
            k = i;
    return k;
}

static wa_status merge_files(merge *m, wa_error *err)
{
    for (;;) {
        size_t k = earliest(m);
        if (m->next < m->s->n_order &&
            (k == SIZE_MAX || m->s->order[m->next]->first <= m->open[k]->middle)) {
            wa_status status = open_next(m, err);
            if (status != WA_OK)
                return status;
            continue;
        }
        if (k == SIZE_MAX)
            return WA_OK;
        wa_status status = wa_gather_take(&m->s->gather, m->open[k], err);
        if (status == WA_OK)
            status = advance(m, k, err);
        if (status != WA_OK)
            return status;
    }
}

/* A pool task: reads one source. Where the head of a file is wrong, the files before it (in
 * order of path) are read all the same, as an earlier error is the one to report. */
static wa_status read_source(void *context, size_t index, wa_error *err)
{
    reading *r = context;
    source_job *s = &r->source[index];
    size_t sound = 0;
    while (sound < s->paths.n && s->file[sound].status == WA_OK)
        sound++;
    for (size_t i = 0; i < sound; i++)
        s->order[i] = &s->file[i];
    s->n_order = sound;
    qsort(s->order, sound, sizeof *s->order, by_first);
    merge m = {.r = r, .s = s};
    wa_status status = wa_gather_init(&s->gather, &s->plan, err);
    if (status == WA_OK)
        status = merge_files(&m, err);
    for (size_t k = 0; k < m.n_open; k++) {
        wa_source_file_release(m.open[k]);
        free(m.open[k]);
    }
    if (status == WA_OK && sound < s->paths.n) {
        if (err != NULL)
            *err = s->file[sound].error;
        return s->file[sound].status;
    }
    return status == WA_OK ? wa_gather_end(&s->gather, err) : status;
}

/* ---- the records ---- */

static wa_status hand_over_source(wa_records *to, source_job *s, wa_error *err)
{
    for (size_t k = 0; k < s->gather.n_cells; k++) {
        wa_cell *cell = s->gather.cell[k];
        wa_status status = wa_cell_finish(cell, &to->samples[to->n_samples++], err);
        if (status != WA_OK)
            return status;
        for (size_t i = 0; i < cell->n_series; i++) {
            to->series[to->n_series++] = cell->series[i];
            cell->series[i] = (wa_series){0};
        }
    }
    for (size_t i = 0; i < s->paths.n; i++) {
        to->inputs[to->n_inputs++] = s->input[i];
        s->input[i] = (wa_input){0};
    }
    return WA_OK;
}

static wa_status hand_over(wa_records **out, reading *r, wa_error *err)
{
    const wa_campaign *c = r->campaign;
    size_t series = 0, cells = 0;
    for (size_t i = 0; i < c->n_sources; i++) {
        cells += r->source[i].gather.n_cells;
        for (size_t k = 0; k < r->source[i].gather.n_cells; k++)
            series += r->source[i].gather.cell[k]->n_series;
    }
    wa_records *to = calloc(1, sizeof *to);
    if (to == NULL)
        return no_memory(err);
    *to = (wa_records){.from = c->from, .interval_ns = c->interval_ns};
    to->n = (size_t)((c->to - c->from) / c->interval_ns);
    to->series = calloc(series + 1, sizeof *to->series);
    to->samples = calloc(cells + 1, sizeof *to->samples);
    to->inputs = calloc(r->n_files + 1, sizeof *to->inputs);
    wa_status status = WA_OK;
    if (to->series == NULL || to->samples == NULL || to->inputs == NULL)
        status = no_memory(err);
    for (size_t i = 0; status == WA_OK && i < c->n_sources; i++)
        status = hand_over_source(to, &r->source[i], err);
    if (status == WA_OK)
        status = wa_events_add(to, c, err);
    if (status != WA_OK)
        wa_records_free(to);
    else
        *out = to;
    return status;
}

static void release(reading *r)
{
    for (size_t i = 0; r->source != NULL && i < r->campaign->n_sources; i++) {
        source_job *s = &r->source[i];
        wa_gather_release(&s->gather);
        for (size_t k = 0; s->input != NULL && k < s->paths.n; k++)
            free(s->input[k].path);
        free(s->input);
        free(s->file);
        free(s->order);
        wa_paths_release(&s->paths);
        wa_plan_release(&s->plan);
    }
    free(r->source);
    free(r->file);
}

wa_status wa_records_read(wa_records **out, const wa_campaign *campaign, size_t jobs,
                          const wa_progress *progress, wa_error *err)
{
    reading r = {.campaign = campaign, .progress = progress};
    wa_status status = WA_OK;
    r.source = calloc(campaign->n_sources + 1, sizeof *r.source);
    if (r.source == NULL)
        status = no_memory(err);
    for (size_t i = 0; status == WA_OK && i < campaign->n_sources; i++)
        status = find_files(&r, i, err);
    if (status == WA_OK)
        status = wa_pool_run(jobs, r.n_files, look_at_file, &r, err);
    for (size_t i = 0; i < r.n_files; i++)
        r.bytes_all += r.file[i]->bytes;
    if (status == WA_OK)
        status = wa_pool_run(jobs, campaign->n_sources, read_source, &r, err);
    if (status == WA_OK)
        status = hand_over(out, &r, err);
    release(&r);
    return status;
}
