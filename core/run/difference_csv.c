/* Two CSV files of a dossier, cell by cell. */
#include "run/difference_walk.h"
#include "windassay/number.h"

#include <stdlib.h>
#include <string.h>

/* A cell as a number where it is one. */
static wa_value *cell(const wa_text *t)
{
    double x;
    if (wa_number_parse(&x, wa_text_string(t), t->length) == WA_PARSE_OK)
        return wa_number(x);
    return wa_bytes(wa_text_string(t), t->length);
}

/* The names of the columns. */
typedef struct names {
    char **at;
    size_t n;
} names;

static void release_names(names *t)
{
    for (size_t i = 0; i < t->n; i++)
        free(t->at[i]);
    free(t->at);
}

static bool read_names(names *t, wa_csv_side *f)
{
    wa_text field = WA_TEXT_INIT;
    bool good = true;
    for (bool more = wa_csv_side_more(f); more && good;) {
        more = wa_csv_side_next(&field, f);
        char **larger = realloc(t->at, (t->n + 1) * sizeof *larger);
        good = larger != NULL && !wa_text_failed(&field);
        if (larger != NULL)
            t->at = larger;
        if (good)
            good = (t->at[t->n] = strdup(wa_text_string(&field))) != NULL;
        t->n += good;
    }
    wa_text_release(&field);
    return good;
}

static bool same_names(const names *a, const names *b)
{
    bool same = a->n == b->n;
    for (size_t k = 0; k < a->n && same; k++)
        same = strcmp(a->at[k], b->at[k]) == 0;
    return same;
}

/* Compares a cell; NULL: a side has none. */
static void compare_cell(wa_walk *w, const char *column, const wa_text *x, const wa_text *y)
{
    if (x != NULL && y != NULL && x->length == y->length &&
        memcmp(wa_text_string(x), wa_text_string(y), x->length) == 0)
        return;
    wa_value *before = x != NULL ? cell(x) : NULL, *after = y != NULL ? cell(y) : NULL;
    w->column = column;
    wa_walk_add(w, before, after);
    w->column = NULL;
    wa_value_free(before);
    wa_value_free(after);
}

/* Where the names differ, cells cannot be told apart by them: the names alone are compared. */
static void compare_names(wa_walk *w, const names *a, const names *b)
{
    wa_text_add(&w->place, "the row of names");
    for (size_t k = 0; k < a->n || k < b->n; k++) {
        wa_text x = WA_TEXT_INIT, y = WA_TEXT_INIT;
        wa_text_add(&x, k < a->n ? a->at[k] : "");
        wa_text_add(&y, k < b->n ? b->at[k] : "");
        w->failed = w->failed || wa_text_failed(&x) || wa_text_failed(&y);
        if (!w->failed)
            compare_cell(w, k < a->n ? a->at[k] : NULL, k < a->n ? &x : NULL, k < b->n ? &y : NULL);
        wa_text_release(&x);
        wa_text_release(&y);
    }
}

/* Compares one row, cell by cell; `x` and `y` are room for the cells. */
static void compare_row(wa_walk *w, const names *columns, wa_csv_side *a, wa_csv_side *b,
                        wa_text *x, wa_text *y)
{
    bool more_a = wa_csv_side_more(a), more_b = wa_csv_side_more(b);
    wa_value *key = NULL;
    for (size_t k = 0; (more_a || more_b) && !w->failed; k++) {
        bool in_a = more_a, in_b = more_b;
        more_a = in_a && wa_csv_side_next(x, a);
        more_b = in_b && wa_csv_side_next(y, b);
        w->failed = wa_text_failed(x) || wa_text_failed(y);
        if (k == 0 && !w->failed)
            w->key = key = cell(in_a ? x : y);
        if (!w->failed)
            compare_cell(w, k < columns->n ? columns->at[k] : NULL, in_a ? x : NULL,
                         in_b ? y : NULL);
    }
    w->key = NULL;
    wa_value_free(key);
}

/* The number of differences before is where those of this file begin. */
static bool name_file(wa_differences *d, size_t from, const char *file)
{
    bool good = true;
    for (size_t i = from; i < wa_count(d->list) && good; i++)
        good = wa_map_set(wa_at_mutable(d->list, i), "file", wa_string(file));
    return good;
}

static wa_status outcome(const wa_csv_side *f, const char *file, wa_error *err)
{
    if (f->status == WA_ERR_IO)
        return wa_fail_at(err, WA_ERR_IO, file, 0, 0, "%s", f->why.text);
    return f->status == WA_OK ? WA_OK : wa_no_memory(err);
}

wa_status wa_difference_csv(wa_differences *d, const char *file, wa_csv_side *before,
                            wa_csv_side *after, wa_error *err)
{
    wa_walk w = {.d = d, .place = WA_TEXT_INIT};
    const size_t from = wa_count(d->list);
    wa_text x = WA_TEXT_INIT, y = WA_TEXT_INIT;
    names a = {NULL, 0}, b = {NULL, 0};
    w.failed = !read_names(&a, before) || !read_names(&b, after);
    if (!w.failed && !same_names(&a, &b))
        compare_names(&w, &a, &b);
    else
        for (w.row = 1; !w.failed && (wa_csv_side_more(before) || wa_csv_side_more(after)); w.row++)
            compare_row(&w, &a, before, after, &x, &y);
    release_names(&a);
    release_names(&b);
    wa_text_release(&x);
    wa_text_release(&y);
    bool good = !w.failed && !wa_text_failed(&w.place) && name_file(d, from, file);
    wa_text_release(&w.place);
    wa_status s = outcome(before, file, err);
    if (s == WA_OK)
        s = outcome(after, file, err);
    return s == WA_OK && !good ? wa_no_memory(err) : s;
}
