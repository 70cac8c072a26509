#include "data/part.h"

#include "data/supply.h"
#include "windassay/digest.h"
#include "windassay/lock.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { PROBE = 16 * 1024 };

struct wa_shared {
    wa_lock *lock; /* around all that follows */
    bool open, given_up, undigested;
    wa_source_file head; /* its names and columns serve all parts */
    wa_file_stamp was;
    wa_sha256 hash;
    size_t turn, ended; /* the part to be hashed next; parts that were read to their end */
    size_t users;       /* parts that are open */
    wa_time_seen seen;
};

static void close_shared(struct wa_shared *s)
{
    wa_sha256_release(&s->hash);
    if (s->open)
        wa_source_file_release(&s->head);
    s->open = false;
}

static void drop_cuts(wa_file_entry *e)
{
    if (e->shared != NULL) {
        close_shared(e->shared);
        if (e->shared->lock != NULL)
            wa_lock_free(e->shared->lock);
    }
    free(e->shared);
    free(e->cut);
    e->shared = NULL;
    e->cut = NULL;
    e->n_cuts = 0;
}

void wa_file_entry_release(wa_file_entry *e)
{
    drop_cuts(e);
}

wa_status wa_whole_open(wa_source_file *out, const wa_plan *plan, const char *path, bool head,
                        wa_error *err)
{
    int fd = -1;
    *out = (wa_source_file){0};
    wa_status status = wa_campaign_open_file(&fd, plan->campaign, path, err);
    return status == WA_OK ? wa_source_file_open(out, plan, fd, path, head, err) : status;
}

/* ---- cutting ---- */

static uint64_t end_of(const wa_file_entry *e, size_t part)
{
    return part + 1 < e->n_cuts ? e->cut[part + 1].at : e->bytes;
}

/* The first byte of the first line that begins behind byte `at`, and where that line ends; false
 * where none is near. */
static bool next_line(uint64_t *line, uint64_t *end, int fd, uint64_t at)
{
    char block[PROBE];
    ssize_t n = pread(fd, block, sizeof block, (off_t)at);
    const char *feed = n > 0 ? memchr(block, '\n', (size_t)n) : NULL;
    if (feed == NULL)
        return false;
    size_t from = (size_t)(feed - block) + 1, rest = (size_t)n - from;
    feed = memchr(block + from, '\n', rest);
    *line = at + from;
    *end = *line + (feed != NULL ? (size_t)(feed - block) + 1 - from : PROBE);
    return true;
}

/* The time of the row at byte `at`, of which nothing lies behind `end`. */
static bool probe(int64_t *first, const wa_source_file *head, int fd, uint64_t at, uint64_t end)
{
    wa_source_file f;
    int own = dup(fd);
    if (own < 0)
        return false;
    bool good = wa_source_file_open_part(&f, head, own, at, end, true, NULL) == WA_OK &&
                wa_source_file_next(&f, NULL) == WA_OK && f.any;
    *first = good ? f.middle : 0;
    wa_source_file_release(&f);
    return good;
}

/* Cuts a file; `begin` is where its first row begins. False: it is to be read as a whole. */
static bool cut(wa_file_entry *e, const wa_source_file *head, uint64_t begin, int fd, size_t piece)
{
    size_t room = (size_t)((e->bytes - begin) / piece) + 2;
    e->cut = calloc(room, sizeof *e->cut);
    e->shared = calloc(1, sizeof *e->shared);
    if (e->cut == NULL || e->shared == NULL || (e->shared->lock = wa_lock_new()) == NULL)
        return false;
    e->cut[e->n_cuts++] = (wa_cut){begin, e->first};
    uint64_t at = begin + piece;
    while (at + piece / 2 < e->bytes && e->n_cuts < room) {
        wa_cut *c = &e->cut[e->n_cuts];
        uint64_t end;
        if (!next_line(&c->at, &end, fd, at - 1) || c->at >= e->bytes ||
            !probe(&c->first, head, fd, c->at, end < e->bytes ? end : e->bytes) ||
            c->first < c[-1].first)
            return false;
        e->n_cuts++;
        at = c->at + piece;
    }
    return e->n_cuts > 1;
}

void wa_part_look(wa_file_entry *e, const wa_plan *plan, const char *path, size_t piece)
{
    wa_source_file f;
    uint64_t begin = 0;
    e->status = wa_whole_open(&f, plan, path, true, &e->error);
    if (e->status == WA_OK) {
        begin = wa_rows_can_part(f.rows) ? wa_rows_offset(f.rows) : 0;
        e->status = wa_source_file_next(&f, &e->error);
    }
    if (e->status == WA_OK) {
        e->first = f.any ? f.middle : INT64_MIN;
        e->bytes = wa_rows_size(f.rows);
        int fd = -1;
        bool large =
            piece > 0 && f.any && begin > 0 && e->bytes > begin && (e->bytes - begin) / 2 >= piece;
        if (large && wa_campaign_open_file(&fd, plan->campaign, path, NULL) == WA_OK) {
            if (!cut(e, &f, begin, fd, piece))
                drop_cuts(e);
            close(fd);
        }
    }
    wa_source_file_release(&f);
}

/* ---- reading ---- */

/* What stands in front of the first part belongs to the digest, too. */
static wa_status hash_head(struct wa_shared *s, const wa_plan *plan, const char *path,
                           uint64_t bytes, wa_error *err)
{
    int fd = -1;
    char block[PROBE];
    wa_status status = wa_sha256_init(&s->hash, err);
    if (status == WA_OK)
        status = wa_campaign_open_file(&fd, plan->campaign, path, err);
    for (uint64_t at = 0; status == WA_OK && at < bytes;) {
        size_t most = bytes - at < sizeof block ? (size_t)(bytes - at) : sizeof block;
        ssize_t n = pread(fd, block, most, (off_t)at);
        if (n <= 0)
            status = wa_fail_at(err, WA_ERR_IO, path, 0, 0, "cannot be read");
        else
            status = wa_sha256_add(&s->hash, block, (size_t)n, err);
        at += n > 0 ? (uint64_t)n : 0;
    }
    if (fd >= 0)
        close(fd);
    return status;
}

static wa_status open_shared(struct wa_shared *s, const wa_file_entry *e, const wa_plan *plan,
                             const char *path, wa_error *err)
{
    if (s->open)
        return WA_OK;
    wa_status status = wa_whole_open(&s->head, plan, path, true, err);
    s->open = true;
    s->undigested = plan->undigested;
    if (status == WA_OK)
        s->was = wa_lines_stamp(wa_rows_lines(s->head.rows));
    if (status == WA_OK && (s->was.size != e->bytes || wa_rows_offset(s->head.rows) != e->cut->at))
        status = wa_fail_at(err, WA_ERR_DATA, path, 0, 0, "changed while it was read");
    if (status == WA_OK && s->turn == 0 && !s->undigested)
        status = hash_head(s, plan, path, e->cut->at, err);
    if (status != WA_OK)
        close_shared(s);
    return status;
}

wa_status wa_part_open(wa_source_file *out, const wa_part *p, const wa_plan *plan, const char *path,
                       bool own, wa_error *err)
{
    struct wa_shared *s = p->file->shared;
    int fd = -1;
    *out = (wa_source_file){0};
    if (s == NULL)
        return wa_whole_open(out, plan, path, false, err);
    wa_status status = wa_campaign_open_file(&fd, plan->campaign, path, err);
    if (status != WA_OK)
        return status;
    wa_lock_take(s->lock);
    status = open_shared(s, p->file, plan, path, err);
    s->users += status == WA_OK;
    wa_lock_leave(s->lock);
    if (status != WA_OK) {
        close(fd);
        return status;
    }
    status = wa_source_file_open_part(out, &s->head, fd, p->file->cut[p->index].at,
                                      end_of(p->file, p->index), own, err);
    if (status == WA_OK)
        status = wa_lines_check(wa_rows_lines(out->rows), &s->was, err);
    return status;
}

void wa_part_close(wa_source_file *f, const wa_part *p)
{
    struct wa_shared *s = p->file->shared;
    bool user = s != NULL && f->borrowed;
    wa_source_file_release(f);
    if (!user)
        return;
    wa_lock_take(s->lock);
    if (--s->users == 0 && s->ended == p->file->n_cuts)
        close_shared(s);
    wa_lock_leave(s->lock);
}

static wa_status hash(struct wa_shared *s, const wa_source_file *f, wa_error *err)
{
    size_t n;
    const char *bytes = wa_lines_part(wa_rows_lines(f->rows), &n);
    return wa_sha256_add(&s->hash, bytes, n, err);
}

/* With the lock taken and its turn come: hashes, and hands the turn on. */
static wa_status take_turn(struct wa_shared *s, const wa_source_file *f, wa_error *err)
{
    wa_lock_leave(s->lock); /* nobody else has the turn */
    wa_status status = hash(s, f, err);
    wa_lock_take(s->lock);
    s->turn++;
    wa_lock_wake(s->lock);
    return status;
}

wa_status wa_part_hash(bool *hashed, const wa_part *p, const wa_source_file *f, wa_error *err)
{
    struct wa_shared *s = p->file->shared;
    wa_status status = WA_OK;
    *hashed = s == NULL || s->undigested;
    if (*hashed)
        return WA_OK;
    wa_lock_take(s->lock);
    if (s->turn == p->index && !s->given_up) {
        status = take_turn(s, f, err);
        *hashed = true;
    }
    wa_lock_leave(s->lock);
    return status;
}

static void begin_input(wa_input *in, const wa_part *p)
{
    *in = (wa_input){.source = p->file->source,
                     .path = in->path,
                     .bytes = p->file->bytes,
                     .first = INT64_MIN,
                     .last = INT64_MIN};
}

/* Whether this part and the next one are not what two parts of one sound file are. */
static bool does_not_fit(const struct wa_shared *s, const wa_part *p, const wa_source_file *f)
{
    const wa_file_entry *e = p->file;
    bool other = s->seen.any && f->seen.any && s->seen.offset != f->seen.offset;
    if (p->index + 1 == e->n_cuts)
        return other;
    return other || f->middle > e->cut[p->index + 1].first || wa_rows_blank(f->rows);
}

static wa_status add_part(wa_input *in, struct wa_shared *s, const wa_part *p, wa_source_file *f,
                          wa_error *err)
{
    if (s->ended++ == 0)
        begin_input(in, p);
    if (f->seen.any)
        s->seen = f->seen;
    in->rows += f->rows_read;
    in->outside += f->outside;
    if (p->index == 0)
        in->first = f->first;
    if (p->index + 1 == p->file->n_cuts) {
        in->last = f->last;
        in->torn = wa_rows_torn(f->rows);
    }
    if (s->ended < p->file->n_cuts)
        return WA_OK;
    wa_status status = wa_lines_check(wa_rows_lines(f->rows), &s->was, err);
    if (status == WA_OK && !s->undigested)
        status = wa_sha256_end(in->sha256, &s->hash, err);
    return status;
}

static wa_status end_whole(wa_input *in, const wa_part *p, wa_source_file *f)
{
    *in = (wa_input){.source = p->file->source,
                     .path = in->path,
                     .bytes = wa_rows_stored(f->rows),
                     .rows = f->rows_read,
                     .outside = f->outside,
                     .torn = wa_rows_torn(f->rows),
                     .first = f->first,
                     .last = f->last};
    memcpy(in->sha256, wa_rows_sha256(f->rows), sizeof in->sha256);
    return WA_OK;
}

wa_status wa_part_end(wa_input *in, bool *again, bool hashed, const wa_part *p, wa_source_file *f,
                      wa_error *err)
{
    struct wa_shared *s = p->file->shared;
    wa_status status = WA_OK;
    if (s != NULL)
        wa_lock_take(s->lock);
    if (in->path == NULL && (in->path = strdup(f->path)) == NULL)
        status = wa_no_memory(err);
    if (s == NULL)
        return status == WA_OK ? end_whole(in, p, f) : status;
    while (!hashed && s->turn != p->index && !s->given_up)
        wa_lock_wait(s->lock);
    if (status == WA_OK && !hashed && !s->given_up)
        status = take_turn(s, f, err);
    if (s->given_up || does_not_fit(s, p, f))
        *again = true;
    else if (status == WA_OK)
        status = add_part(in, s, p, f, err);
    wa_lock_leave(s->lock);
    return status;
}

void wa_part_give_up(const wa_part *p)
{
    struct wa_shared *s = p->file->shared;
    if (s == NULL)
        return;
    wa_lock_take(s->lock);
    s->given_up = true;
    wa_lock_wake(s->lock);
    wa_lock_leave(s->lock);
}
