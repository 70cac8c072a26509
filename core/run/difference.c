#include "run/difference_walk.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

wa_status wa_differences_begin(wa_differences *d, size_t most, wa_error *err)
{
    *d = (wa_differences){.list = wa_list(), .most = most};
    return d->list == NULL ? wa_no_memory(err) : WA_OK;
}

void wa_differences_release(wa_differences *d)
{
    wa_value_free(d->list);
    *d = (wa_differences){0};
}

/* ---- one difference ------------------------------------------------------------------------- */

/* Doubles in their order as integers. */
static int64_t place_of(double x)
{
    int64_t bits;
    memcpy(&bits, &x, sizeof bits);
    return bits < 0 ? INT64_MIN - bits : bits;
}

double wa_ulps_between(double a, double b)
{
    int64_t x = place_of(a), y = place_of(b);
    return (double)(x > y ? (uint64_t)x - (uint64_t)y : (uint64_t)y - (uint64_t)x);
}

static bool set_text(wa_value *map, const char *key, const char *text)
{
    return text == NULL || wa_map_set(map, key, wa_string(text));
}

static bool set_copy(wa_value *map, const char *key, const wa_value *v)
{
    return v == NULL || wa_map_set(map, key, wa_value_copy(v));
}

static bool set_distance(wa_value *map, const wa_value *before, const wa_value *after)
{
    double a, b;
    if (!wa_number_of(before, &a) || !wa_number_of(after, &b))
        return true;
    double relative = fabs(b - a) / fabs(a), ulps = wa_ulps_between(a, b);
    return (!isfinite(relative) || wa_map_set(map, "relative", wa_number(relative))) &&
           (ulps > 0x1p53 || wa_map_set(map, "ulps", wa_number(ulps)));
}

static wa_value *describe(const wa_walk *w, const wa_value *before, const wa_value *after)
{
    wa_value *v = wa_map();
    bool good = v != NULL && set_text(v, "check", w->check) && set_text(v, "table", w->table) &&
                (w->row == 0 || wa_map_set(v, "row", wa_number((double)w->row))) &&
                set_copy(v, "key", w->key) && set_text(v, "column", w->column) &&
                (w->place.length == 0 || set_text(v, "place", wa_text_string(&w->place))) &&
                set_copy(v, "before", before) && set_copy(v, "after", after) &&
                set_distance(v, before, after);
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

void wa_walk_add(wa_walk *w, const wa_value *before, const wa_value *after)
{
    if (w->d->n++ < w->d->most)
        w->failed = !wa_list_add(w->d->list, describe(w, before, after)) || w->failed;
}

/* ---- walking two values --------------------------------------------------------------------- */

static void walk_both(wa_walk *w, const wa_value *a, const wa_value *b);

/* What a member of a list goes by; NULL: by its number. */
static const char *name_of(const wa_value *item)
{
    static const char *const keys[] = {"id", "name", "code", "path", "reason"};
    const char *name = NULL;
    for (size_t i = 0; i < sizeof keys / sizeof *keys && name == NULL; i++)
        name = wa_get_string(item, keys[i]);
    return name;
}

static bool same_name(const wa_value *a, const wa_value *b)
{
    static const char *const keys[] = {"criteria", "account", "source"};
    const char *x = name_of(a), *y = name_of(b);
    bool same = x != NULL && y != NULL && strcmp(x, y) == 0;
    for (size_t i = 0; i < sizeof keys / sizeof *keys && same; i++) {
        x = wa_get_string(a, keys[i]);
        y = wa_get_string(b, keys[i]);
        same = x == NULL || y == NULL ? x == y : strcmp(x, y) == 0;
    }
    return same;
}

/* The member of `list` that the k-th of `from` is, or SIZE_MAX: of equal names the same one in
 * order. */
static size_t match(const wa_value *list, const wa_value *from, size_t k)
{
    const wa_value *item = wa_at(from, k);
    size_t before = 0;
    if (name_of(item) == NULL)
        return k < wa_count(list) && name_of(wa_at(list, k)) == NULL ? k : SIZE_MAX;
    for (size_t i = 0; i < k; i++)
        before += same_name(wa_at(from, i), item);
    for (size_t i = 0; i < wa_count(list); i++)
        if (same_name(wa_at(list, i), item) && before-- == 0)
            return i;
    return SIZE_MAX;
}

/* One member of a list, with its name added to the place: " 'slope' [house]", or its number. */
static void walk_item(wa_walk *w, const wa_value *item, size_t number, const wa_value *a,
                      const wa_value *b)
{
    size_t length = w->place.length;
    const char *name = name_of(item), *criteria = wa_get_string(item, "criteria");
    if (name != NULL)
        wa_text_printf(&w->place, " '%s'", name);
    else
        wa_text_printf(&w->place, " %zu", number + 1);
    if (criteria != NULL)
        wa_text_printf(&w->place, " [%s]", criteria);
    walk_both(w, a, b);
    if (!wa_text_failed(&w->place))
        w->place.at[w->place.length = length] = '\0';
}

static void walk_lists(wa_walk *w, const wa_value *a, const wa_value *b)
{
    for (size_t i = 0; i < wa_count(a) && !w->failed; i++)
        walk_item(w, wa_at(a, i), i, wa_at(a, i), wa_at(b, match(b, a, i)));
    for (size_t i = 0; i < wa_count(b) && !w->failed; i++)
        if (match(a, b, i) == SIZE_MAX)
            walk_item(w, wa_at(b, i), i, NULL, wa_at(b, i));
}

static void walk_key(wa_walk *w, const char *key, const wa_value *a, const wa_value *b)
{
    size_t length = w->place.length;
    wa_text_printf(&w->place, "%s%s", length == 0 ? "" : ", ", key);
    walk_both(w, a, b);
    if (!wa_text_failed(&w->place) && w->place.at != NULL)
        w->place.at[w->place.length = length] = '\0';
}

static bool skipped(const char *const *skip, const char *key)
{
    for (; skip != NULL && *skip != NULL; skip++)
        if (strcmp(*skip, key) == 0)
            return true;
    return false;
}

static void walk_maps(wa_walk *w, const wa_value *a, const wa_value *b, const char *const *skip)
{
    for (size_t i = 0; i < wa_count(a) && !w->failed; i++)
        if (!skipped(skip, wa_key(a, i)))
            walk_key(w, wa_key(a, i), wa_at(a, i), wa_get(b, wa_key(a, i)));
    for (size_t i = 0; i < wa_count(b) && !w->failed; i++)
        if (!skipped(skip, wa_key(b, i)) && wa_get(a, wa_key(b, i)) == NULL)
            walk_key(w, wa_key(b, i), NULL, wa_at(b, i));
}

/* A table's rows by number, its cells by the name of their column. */
static void walk_rows(wa_walk *w, const wa_value *a, const wa_value *b)
{
    const wa_value *columns = wa_get(a, "columns"), *x = wa_get(a, "rows"), *y = wa_get(b, "rows");
    size_t n = wa_count(x) > wa_count(y) ? wa_count(x) : wa_count(y);
    for (size_t i = 0; i < n && !w->failed; i++) {
        const wa_value *r = wa_at(x, i), *s = wa_at(y, i);
        w->row = i + 1;
        w->key = wa_at(r == NULL ? s : r, 0);
        if (r == NULL || s == NULL)
            wa_walk_add(w, r, s);
        for (size_t k = 0; r != NULL && s != NULL && k < wa_count(columns); k++) {
            w->column = wa_get_string(wa_at(columns, k), "name");
            if (!wa_value_equal(wa_at(r, k), wa_at(s, k)))
                wa_walk_add(w, wa_at(r, k), wa_at(s, k));
        }
        w->column = NULL;
    }
    w->row = 0;
    w->key = NULL;
}

static void walk_table(wa_walk *w, const wa_value *a, const wa_value *b)
{
    static const char *const rows[] = {"rows", NULL};
    wa_text place = w->place;
    w->place = (wa_text)WA_TEXT_INIT;
    w->table = wa_get_string(a, "name");
    if (!wa_value_equal(wa_get(a, "columns"), wa_get(b, "columns")))
        walk_maps(w, a, b, rows);
    else
        walk_rows(w, a, b);
    w->table = NULL;
    wa_text_release(&w->place);
    w->place = place;
}

static void walk_check(wa_walk *w, const wa_value *a, const wa_value *b)
{
    wa_text place = w->place;
    w->place = (wa_text)WA_TEXT_INIT;
    w->check = wa_get_string(a == NULL ? b : a, "id");
    if (a == NULL || b == NULL)
        wa_walk_add(w, a, b);
    else
        walk_maps(w, a, b, NULL);
    w->check = NULL;
    w->failed = w->failed || wa_text_failed(&w->place);
    wa_text_release(&w->place);
    w->place = place;
}

static bool is_check(const wa_value *v)
{
    return wa_get_string(v, "id") != NULL && wa_get(v, "parameters") != NULL;
}

static bool is_table(const wa_value *v)
{
    return wa_get(v, "columns") != NULL && wa_get(v, "rows") != NULL;
}

static void walk_both(wa_walk *w, const wa_value *a, const wa_value *b)
{
    wa_kind x = wa_value_kind(a), y = wa_value_kind(b);
    if ((a == NULL) == (b == NULL) && wa_value_equal(a, b))
        return;
    if (w->check == NULL && (is_check(a) || is_check(b)))
        walk_check(w, a, b);
    else if (wa_get(a, "series") != NULL && wa_get(b, "series") != NULL)
        wa_walk_add(w, a, b); /* a figure: what it draws stands in the tables */
    else if (w->table == NULL && is_table(a) && is_table(b))
        walk_table(w, a, b);
    else if (a != NULL && b != NULL && x == WA_MAP && y == WA_MAP)
        walk_maps(w, a, b, NULL);
    else if (a != NULL && b != NULL && x == WA_LIST && y == WA_LIST)
        walk_lists(w, a, b);
    else
        wa_walk_add(w, a, b);
}

wa_status wa_difference_records(wa_differences *d, const wa_value *before, const wa_value *after,
                                const char *const *skip, wa_error *err)
{
    wa_walk w = {.d = d, .place = WA_TEXT_INIT};
    walk_maps(&w, before, after, skip);
    bool good = !w.failed && !wa_text_failed(&w.place);
    wa_text_release(&w.place);
    return good ? WA_OK : wa_no_memory(err);
}
