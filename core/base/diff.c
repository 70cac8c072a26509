#include "windassay/diff.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { AROUND = 3, EDITS_MOST = 2000 };

typedef struct line {
    const char *at;
    size_t length; /* without its end      */
    bool ended;    /* a line feed ends it  */
} line;

typedef struct lines {
    line *at;
    size_t n;
} lines;

static wa_status split(lines *out, const char *text, size_t n, wa_error *err)
{
    size_t count = 1;
    for (size_t i = 0; i < n; i++)
        count += text[i] == '\n';
    out->at = calloc(count, sizeof *out->at);
    if (out->at == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    for (size_t from = 0; from < n;) {
        const char *end = memchr(text + from, '\n', n - from);
        size_t length = end != NULL ? (size_t)(end - text) - from : n - from;
        out->at[out->n++] = (line){text + from, length, end != NULL};
        from += length + 1;
    }
    return WA_OK;
}

static bool same(const line *a, const line *b)
{
    return a->length == b->length && a->ended == b->ended && memcmp(a->at, b->at, a->length) == 0;
}

/* ---- the shortest edit script -------------------------------------------------------------- */

/** For each line whether it went (of the first text) or came (of the second). */
typedef struct edits {
    bool *went, *came;
} edits;

/* Furthest x on each diagonal k = x - y from -d to d, kept for every d: row d begins at d * d. */
static size_t row_of(size_t d)
{
    return d * d;
}

static int32_t furthest(const int32_t *before, int64_t d, int64_t k)
{
    const int32_t *v = before + row_of((size_t)d - 1) + (d - 1);
    if (k == -d || (k != d && v[k - 1] < v[k + 1]))
        return v[k + 1]; /* down: a line that came */
    return v[k - 1] + 1; /* right: a line that went */
}

/* Walks back from the end through the kept rows. */
static void trace(edits *e, const int32_t *kept, int64_t d, int64_t x, int64_t y)
{
    for (; d > 0; d--) {
        int64_t k = x - y;
        const int32_t *v = kept + row_of((size_t)d - 1) + (d - 1);
        bool down = k == -d || (k != d && v[k - 1] < v[k + 1]);
        int64_t from_k = down ? k + 1 : k - 1, from_x = v[from_k], from_y = from_x - from_k;
        if (down)
            e->came[from_y] = true;
        else
            e->went[from_x] = true;
        x = from_x;
        y = from_y;
    }
}

static void replace_all(edits *e, const lines *a, const lines *b)
{
    for (size_t i = 0; i < a->n; i++)
        e->went[i] = true;
    for (size_t i = 0; i < b->n; i++)
        e->came[i] = true;
}

static wa_status find_edits(edits *e, const lines *a, const lines *b, wa_error *err)
{
    size_t room = 0;
    int32_t *kept = NULL;
    int64_t n = (int64_t)a->n, m = (int64_t)b->n;
    for (int64_t d = 0; d <= n + m && d <= EDITS_MOST; d++) {
        if (row_of((size_t)d + 1) > room) {
            room = 2 * row_of((size_t)d + 1);
            int32_t *more = realloc(kept, room * sizeof *more);
            if (more == NULL) {
                free(kept);
                return wa_fail(err, WA_ERR_NOMEM, "out of memory");
            }
            kept = more;
        }
        int32_t *v = kept + row_of((size_t)d) + d;
        for (int64_t k = -d; k <= d; k++)
            v[k] = -1;
        for (int64_t k = -d; k <= d; k += 2) {
            int64_t x = d == 0 ? 0 : furthest(kept, d, k), y = x - k;
            while (x >= 0 && y >= 0 && x < n && y < m && same(&a->at[x], &b->at[y]))
                x++, y++;
            v[k] = x > n || y > m || y < 0 ? -1 : (int32_t)x;
            if (x == n && y == m) {
                trace(e, kept, d, x, y);
                free(kept);
                return WA_OK;
            }
        }
    }
    free(kept);
    replace_all(e, a, b);
    return WA_OK;
}

/* ---- hunks --------------------------------------------------------------------------------- */

static void put(wa_text *out, char sign, const line *l)
{
    wa_text_add_bytes(out, &sign, 1);
    wa_text_add_bytes(out, l->at, l->length);
    wa_text_add(out, l->ended ? "\n" : "\n\\ No newline at end of file\n");
}

/** A place in both texts at once. */
typedef struct spot {
    size_t a, b;
} spot;

static bool changed(const edits *e, const lines *a, const lines *b, spot s)
{
    return (s.a < a->n && e->went[s.a]) || (s.b < b->n && e->came[s.b]);
}

static void step(spot *s, const edits *e, const lines *a, const lines *b)
{
    if (s->a < a->n && e->went[s->a])
        s->a++;
    else if (s->b < b->n && e->came[s->b])
        s->b++;
    else
        s->a++, s->b++;
}

/* The end of the hunk that begins at `s`: up to the last change that no seven equal lines part. */
static spot end_of(spot s, const edits *e, const lines *a, const lines *b)
{
    size_t equal = 0;
    spot end = s;
    while ((s.a < a->n || s.b < b->n) && equal <= (size_t)2 * AROUND) {
        bool change = changed(e, a, b, s);
        step(&s, e, a, b);
        equal = change ? 0 : equal + 1;
        if (change)
            end = s;
    }
    for (int i = 0; i < AROUND && end.a < a->n && end.b < b->n; i++)
        end.a++, end.b++;
    return end;
}

/* "7", "7,3"; an empty range names the line before it. */
static void put_range(wa_text *out, size_t from, size_t to)
{
    wa_text_printf(out, "%zu", to > from ? from + 1 : from);
    if (to - from != 1)
        wa_text_printf(out, ",%zu", to - from);
}

static spot put_hunk(wa_text *out, spot s, const edits *e, const lines *a, const lines *b)
{
    spot from = s, end = end_of(s, e, a, b);
    for (int i = 0; i < AROUND && from.a > 0 && from.b > 0; i++)
        from.a--, from.b--;
    wa_text_add(out, "@@ -");
    put_range(out, from.a, end.a);
    wa_text_add(out, " +");
    put_range(out, from.b, end.b);
    wa_text_add(out, " @@\n");
    for (spot at = from; at.a < end.a || at.b < end.b;) {
        if (at.a < end.a && e->went[at.a])
            put(out, '-', &a->at[at.a]);
        else if (at.b < end.b && e->came[at.b])
            put(out, '+', &b->at[at.b]);
        else
            put(out, ' ', &a->at[at.a]);
        step(&at, e, a, b);
    }
    return end;
}

wa_status wa_diff(wa_text *out, const char *before, size_t n_before, const char *after,
                  size_t n_after, wa_error *err)
{
    lines a = {0}, b = {0};
    edits e = {0};
    wa_status s = split(&a, before, n_before, err);
    if (s == WA_OK)
        s = split(&b, after, n_after, err);
    if (s == WA_OK) {
        e = (edits){calloc(a.n + 1, sizeof *e.went), calloc(b.n + 1, sizeof *e.came)};
        s = e.went == NULL || e.came == NULL ? wa_fail(err, WA_ERR_NOMEM, "out of memory")
                                             : find_edits(&e, &a, &b, err);
    }
    for (spot at = {0, 0}; s == WA_OK && (at.a < a.n || at.b < b.n);) {
        if (changed(&e, &a, &b, at))
            at = put_hunk(out, at, &e, &a, &b);
        else
            step(&at, &e, &a, &b);
    }
    free(e.went);
    free(e.came);
    free(a.at);
    free(b.at);
    return s;
}
