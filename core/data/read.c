/* Reading a campaign: which files, in which order, on which threads; what comes of it. */
#include "data/merge.h"
#include "data/records_parts.h"
#include "data/supply.h"
#include "windassay/lock.h"
#include "windassay/pool.h"
#include "windassay/records.h"

#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PIECE = 1024 * 1024 }; /* stays in the processor's cache from reading to hashing */

typedef struct source_job {
    wa_plan plan;
    wa_paths paths;
    wa_file_entry *file;   /* of paths.n, in order of path                       */
    wa_part *order;        /* of those with sound heads, in order of time        */
    size_t n_order, sound; /* the first `sound` in order of path have such heads */
    wa_grid grid;
    wa_lock *lock; /* around the gathers that no thread is using */
    wa_gather **spare;
    size_t n_spare;
    wa_input *input; /* in order of path */
    size_t first_stretch, n_stretches;
    bool cut;
    wa_error error; /* of its only stretch */
} source_job;

typedef struct stretch_job {
    size_t source;
    wa_stretch stretch;
    wa_status status;
} stretch_job;

typedef struct reading {
    const wa_campaign *campaign;
    source_job *source;
    wa_file_entry **file; /* of all sources */
    size_t n_files;
    stretch_job *stretch; /* of all sources, one after another */
    size_t n_stretches;
    size_t *turn; /* the order in which they are read */
    const wa_reading *how;
    size_t piece; /* bytes of a part; 0: files are not cut */
    uint64_t bytes_all;
    _Atomic uint64_t bytes_done;
} reading;

/* ---- which files there are, and when each begins ---- */

static wa_status find_files(reading *r, size_t i, wa_error *err)
{
    const wa_campaign *c = r->campaign;
    source_job *s = &r->source[i];
    wa_status status = wa_plan_make(&s->plan, c, i, err);
    s->plan.level = wa_index_level(r->how->level);
    s->plan.undigested = r->how->undigested;
    if (status == WA_OK)
        status = wa_campaign_files(&s->paths, c, i, err);
    if (status != WA_OK)
        return status;
    s->file = calloc(s->paths.n + 1, sizeof *s->file);
    s->spare = calloc(r->how->jobs + 1, sizeof *s->spare);
    s->lock = wa_lock_new();
    s->input = calloc(s->paths.n + 1, sizeof *s->input);
    wa_file_entry **all = realloc(r->file, (r->n_files + s->paths.n + 1) * sizeof *all);
    if (all != NULL)
        r->file = all;
    if (s->file == NULL || s->spare == NULL || s->lock == NULL || s->input == NULL || all == NULL)
        return wa_no_memory(err);
    for (size_t k = 0; k < s->paths.n; k++) {
        s->file[k] = (wa_file_entry){.source = i, .index = k, .first = INT64_MIN};
        r->file[r->n_files++] = &s->file[k];
    }
    return WA_OK;
}

/* A pool task: looks at the head of a file. Its error waits until it is the file's turn. */
static wa_status look_at_file(void *context, size_t index, wa_error *err)
{
    reading *r = context;
    wa_file_entry *e = r->file[index];
    const source_job *s = &r->source[e->source];
    (void)err;
    wa_part_look(e, &s->plan, s->paths.at[e->index], s->plan.raw ? r->piece : 0);
    return WA_OK;
}

/* In order of the first sample; of equal ones in order of path, then as they stand in the file. */
static int by_first(const void *a, const void *b)
{
    const wa_part *x = a, *y = b;
    if (x->first != y->first)
        return x->first < y->first ? -1 : 1;
    if (x->file != y->file)
        return x->file->index < y->file->index ? -1 : 1;
    return x->index < y->index ? -1 : 1;
}

static wa_status put_in_order(source_job *s, wa_error *err)
{
    size_t n = 0;
    while (s->sound < s->paths.n && s->file[s->sound].status == WA_OK)
        s->sound++;
    s->cut = false;
    for (size_t i = 0; i < s->paths.n; i++) {
        if (s->sound < s->paths.n)
            wa_file_entry_release(&s->file[i]); /* errors need one order */
        n += s->file[i].n_cuts + 1;
    }
    free(s->order);
    s->order = calloc(n + 1, sizeof *s->order);
    if (s->order == NULL)
        return wa_no_memory(err);
    s->n_order = 0;
    for (size_t i = 0; i < s->sound; i++) {
        wa_file_entry *e = &s->file[i];
        s->cut |= e->n_cuts > 0;
        for (size_t k = 0; k == 0 || k < e->n_cuts; k++)
            s->order[s->n_order++] = (wa_part){e, k, k == 0 ? e->first : e->cut[k].first};
    }
    qsort(s->order, s->n_order, sizeof *s->order, by_first);
    return WA_OK;
}

/* ---- stretches ---- */

static void tell(void *context, uint64_t more)
{
    reading *r = context;
    uint64_t done = atomic_fetch_add(&r->bytes_done, more) + more;
    r->how->progress->tell(r->how->progress->ctx, done, r->bytes_all);
}

/* End of the interval in which t lies; the grid goes on before and behind the period. */
static int64_t interval_end(const wa_campaign *c, int64_t t)
{
    int64_t rest = (t - c->from) % c->interval_ns;
    return t - rest + (rest < 0 ? 0 : c->interval_ns);
}

static void begin_stretch(reading *r, size_t source, size_t begin, int64_t after)
{
    source_job *s = &r->source[source];
    stretch_job *j = &r->stretch[r->n_stretches++];
    *j = (stretch_job){.source = source};
    j->stretch = (wa_stretch){.plan = &s->plan,
                              .paths = &s->paths,
                              .order = s->order,
                              .n_order = s->n_order,
                              .begin = begin,
                              .end = s->n_order,
                              .after = after,
                              .upto = INT64_MAX,
                              .input = s->input};
    if (r->how->progress != NULL && r->how->progress->tell != NULL) {
        j->stretch.tell = tell;
        j->stretch.context = r;
    }
    s->n_stretches++;
}

static uint64_t bytes_of(const wa_part *p)
{
    const wa_file_entry *e = p->file;
    if (e->n_cuts == 0)
        return e->bytes;
    return (p->index + 1 < e->n_cuts ? e->cut[p->index + 1].at : e->bytes) - e->cut[p->index].at;
}

/* Cuts a source into stretches of at least `share` bytes; 0: it stays one. */
static void cut(reading *r, size_t source, uint64_t share)
{
    source_job *s = &r->source[source];
    uint64_t here = 0;
    s->first_stretch = r->n_stretches;
    begin_stretch(r, source, 0, INT64_MIN);
    if (share == 0 || !s->plan.raw || s->sound < s->paths.n) /* averages are small */
        return;
    for (size_t i = 0; i < s->n_order; i++) {
        int64_t first = s->order[i].first;
        if (i > 0 && here >= share && first != INT64_MIN) {
            wa_stretch *before = &r->stretch[r->n_stretches - 1].stretch;
            before->end = i;
            before->upto = interval_end(r->campaign, first);
            begin_stretch(r, source, i, before->upto);
            here = 0;
        }
        here += bytes_of(&s->order[i]);
    }
}

/* A gather that another stretch of the source has done with, or a new one. */
static wa_status take_gather(wa_gather **out, source_job *s, wa_error *err)
{
    wa_gather *g = NULL;
    wa_lock_take(s->lock);
    if (s->n_spare > 0)
        g = s->spare[--s->n_spare];
    wa_lock_leave(s->lock);
    if (g != NULL) {
        *out = g;
        return WA_OK;
    }
    if ((g = malloc(sizeof *g)) == NULL)
        return wa_no_memory(err);
    wa_status status = wa_gather_init(g, &s->grid, err);
    if (status == WA_OK) {
        *out = g;
        return WA_OK;
    }
    wa_gather_release(g);
    free(g);
    return status;
}

static void leave_gather(source_job *s, wa_gather *g)
{
    wa_lock_take(s->lock);
    s->spare[s->n_spare++] = g;
    wa_lock_leave(s->lock);
}

static void release_gathers(source_job *s)
{
    while (s->n_spare > 0) {
        wa_gather *g = s->spare[--s->n_spare];
        wa_gather_release(g);
        free(g);
    }
}

static wa_status read_one(source_job *s, wa_stretch *stretch, wa_error *err)
{
    wa_gather *g = NULL;
    wa_status status = take_gather(&g, s, err);
    for (size_t i = stretch->begin; status != WA_OK && i < stretch->end; i++)
        wa_part_give_up(&stretch->order[i]);
    if (status != WA_OK)
        return status;
    status = wa_merge_read(stretch, g, err);
    if (status == WA_OK && !stretch->overlaps) {
        leave_gather(s, g);
    } else {
        wa_gather_release(g);
        free(g);
    }
    return status;
}

static wa_status read_stretch(void *context, size_t index, wa_error *err)
{
    reading *r = context;
    stretch_job *j = &r->stretch[r->turn[index]];
    source_job *s = &r->source[j->source];
    wa_error error;
    (void)err;
    j->status = read_one(s, &j->stretch, &error);
    if (s->n_stretches == 1)
        s->error = error;
    return WA_OK;
}

/* Reads a source again, its files as wholes and in one stretch. */
static wa_status read_again(source_job *s, stretch_job *j, wa_error *err)
{
    release_gathers(s);
    wa_grid_release(&s->grid);
    for (size_t i = 0; i < s->paths.n; i++)
        wa_file_entry_release(&s->file[i]);
    wa_status status = put_in_order(s, err);
    if (status == WA_OK)
        status = wa_grid_init(&s->grid, &s->plan, err);
    j->stretch.order = s->order;
    j->stretch.n_order = j->stretch.end = s->n_order;
    j->stretch.upto = INT64_MAX;
    j->stretch.overlaps = false;
    j->stretch.tell = NULL; /* was told already */
    return status == WA_OK ? read_one(s, &j->stretch, err) : status;
}

/* What the stretches of a source came to. Where something went wrong in one of several, or its
 * files overlap, the source is read again in one: what is found then is what one thread finds. */
static wa_status end_source(reading *r, size_t source, wa_error *err)
{
    source_job *s = &r->source[source];
    stretch_job *j = &r->stretch[s->first_stretch];
    wa_status status = j->status;
    bool again = false;
    for (size_t i = 0; (s->n_stretches > 1 || s->cut) && i < s->n_stretches; i++)
        again |= j[i].status != WA_OK || j[i].stretch.overlaps;
    if (again)
        status = read_again(s, j, &s->error);
    if (status == WA_OK && s->sound < s->paths.n) {
        s->error = s->file[s->sound].error;
        status = s->file[s->sound].status;
    }
    if (status != WA_OK && err != NULL)
        *err = s->error;
    release_gathers(s);
    wa_grid_sort(&s->grid);
    return status;
}

/* Sources take turns by how far each is, for threads that read the same file wait for each other: its
 * parts are hashed one after another. Within a source the order stays. */
static wa_status take_turns(reading *r, wa_error *err)
{
    size_t n = r->campaign->n_sources, *done = calloc(n + 1, sizeof *done);
    r->turn = calloc(r->n_stretches + 1, sizeof *r->turn);
    if (done == NULL || r->turn == NULL) {
        free(done);
        return wa_no_memory(err);
    }
    for (size_t k = 0; k < r->n_stretches; k++) {
        size_t least = SIZE_MAX;
        for (size_t i = 0; i < n; i++) {
            const source_job *s = &r->source[i];
            if (done[i] < s->n_stretches &&
                (least == SIZE_MAX || (2 * done[i] + 1) * r->source[least].n_stretches <
                                          (2 * done[least] + 1) * s->n_stretches))
                least = i;
        }
        r->turn[k] = r->source[least].first_stretch + done[least]++;
    }
    free(done);
    return WA_OK;
}

static wa_status read_sources(reading *r, size_t jobs, wa_error *err)
{
    size_t parts = 0, n = r->campaign->n_sources;
    wa_status status = WA_OK;
    for (size_t i = 0; status == WA_OK && i < n; i++) {
        status = put_in_order(&r->source[i], err);
        parts += r->source[i].n_order + 1;
    }
    if (status == WA_OK && (r->stretch = calloc(parts + 1, sizeof *r->stretch)) == NULL)
        status = wa_no_memory(err);
    for (size_t i = 0; status == WA_OK && i < n; i++) {
        cut(r, i, jobs > 1 ? r->piece : 0);
        status = wa_grid_init(&r->source[i].grid, &r->source[i].plan, err);
    }
    if (status == WA_OK)
        status = take_turns(r, err);
    if (status == WA_OK)
        status = wa_pool_run(jobs, r->n_stretches, read_stretch, r, err);
    for (size_t i = 0; status == WA_OK && i < n; i++)
        status = end_source(r, i, err);
    return status;
}

/* ---- the records ---- */

static wa_status hand_over_source(wa_records *to, source_job *s, wa_error *err)
{
    wa_status status = wa_grid_hand_over(to, &s->grid, err);
    for (size_t i = 0; i < s->paths.n; i++) {
        to->inputs[to->n_inputs++] = s->input[i];
        s->input[i] = (wa_input){0};
    }
    return status;
}

static wa_status hand_over(wa_records **out, reading *r, wa_error *err)
{
    const wa_campaign *c = r->campaign;
    wa_records *to = NULL;
    wa_status status = wa_records_begin(&to, c, err);
    if (status != WA_OK)
        return status;
    to->inputs = calloc(r->n_files + 1, sizeof *to->inputs);
    if (to->inputs == NULL)
        status = wa_no_memory(err);
    for (size_t i = 0; status == WA_OK && i < c->n_sources; i++)
        status = hand_over_source(to, &r->source[i], err);
    if (status == WA_OK)
        status = wa_records_end(to, c, err);
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
        release_gathers(s);
        free(s->spare);
        if (s->lock != NULL)
            wa_lock_free(s->lock);
        for (size_t k = 0; s->file != NULL && k < s->paths.n; k++)
            wa_file_entry_release(&s->file[k]);
        wa_grid_release(&s->grid);
        for (size_t k = 0; s->input != NULL && k < s->paths.n; k++)
            free(s->input[k].path);
        free(s->input);
        free(s->file);
        free(s->order);
        wa_paths_release(&s->paths);
        wa_plan_release(&s->plan);
    }
    free(r->source);
    free(r->stretch);
    free(r->turn);
    free(r->file);
}

wa_status wa_records_read_as(wa_records **out, const wa_campaign *campaign, const wa_reading *how,
                             wa_error *err)
{
    reading r = {.campaign = campaign, .how = how};
    size_t jobs = how->jobs;
    if (jobs > 1 || how->piece > 0)
        r.piece = how->piece > 0 ? how->piece : PIECE;
    wa_status status = WA_OK;
    r.source = calloc(campaign->n_sources + 1, sizeof *r.source);
    if (r.source == NULL)
        status = wa_no_memory(err);
    for (size_t i = 0; status == WA_OK && i < campaign->n_sources; i++)
        status = find_files(&r, i, err);
    if (status == WA_OK)
        status = wa_pool_run(jobs, r.n_files, look_at_file, &r, err);
    for (size_t i = 0; i < r.n_files; i++)
        r.bytes_all += r.file[i]->bytes;
    if (status == WA_OK)
        status = read_sources(&r, jobs, err);
    if (status == WA_OK)
        status = hand_over(out, &r, err);
    release(&r);
    return status;
}

wa_status wa_records_read(wa_records **out, const wa_campaign *campaign, size_t jobs,
                          const wa_progress *progress, wa_error *err)
{
    return wa_records_read_as(out, campaign, &(wa_reading){.jobs = jobs, .progress = progress},
                              err);
}
