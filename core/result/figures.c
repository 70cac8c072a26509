/* Figures of a check's answer; where points are too many to draw, their counts on a grid. */
#include "result/entry.h"
#include "result/parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    FIGURES_MAX = 200,
    SERIES_MAX = 50,
    POINTS_MAX = 2000000,
    GRID_X = 120, /* cells of a grid of counts: near the shape of a figure */
    GRID_Y = 90,
    WHERE_SIZE = 200
};

/* What each kind of series has beside kind and label: lists of equal length, or one number. */
typedef struct series_kind {
    const char *kind;
    const char *lists[4];   /* NULL-terminated */
    const char *numbers[2]; /* NULL-terminated */
} series_kind;

static const series_kind kinds[] = {
    {"points", {"x", "y"}, {NULL}},
    {"line", {"x", "y"}, {NULL}},
    {"error", {"x", "y", "u"}, {NULL}},
    {"band", {"x", "low", "high"}, {NULL}},
    {"bars", {"x", "y", "width"}, {NULL}},
    {"level", {NULL}, {"y"}},
    {"mark", {NULL}, {"x"}},
};

static wa_status no_memory(const strict *s)
{
    return wa_fail(s->err, WA_ERR_NOMEM, "out of memory");
}

static wa_status check_axis(const strict *s, const wa_value *axis, const char *where)
{
    static const strict_field fields[] = {{"label", STRICT_TEXT | STRICT_REQUIRED},
                                          {"unit", STRICT_TEXT}};
    return strict_map(s, axis, where, fields, STRICT_COUNT(fields));
}

static const series_kind *kind_of(const wa_value *series)
{
    const char *word = wa_get_string(series, "kind");
    for (size_t i = 0; word != NULL && i < STRICT_COUNT(kinds); i++)
        if (strcmp(word, kinds[i].kind) == 0)
            return &kinds[i];
    return NULL;
}

static wa_status check_lists(const strict *s, const wa_value *series, const series_kind *k,
                             const char *where)
{
    size_t n = wa_count(wa_get(series, "x"));
    wa_status code = WA_OK;
    for (size_t i = 0; code == WA_OK && i < STRICT_COUNT(k->lists) && k->lists[i] != NULL; i++) {
        const wa_value *list = wa_get(series, k->lists[i]);
        if (strcmp(k->lists[i], "width") == 0 && wa_value_kind(list) == WA_NUMBER)
            continue; /* bars may all have one width */
        code = strict_list(s, list, where, STRICT_NUMBER, POINTS_MAX);
        if (code == WA_OK && wa_count(list) != n)
            code = strict_refuse(s, where, "'%s' has %zu numbers, 'x' has %zu", k->lists[i],
                                 wa_count(list), n);
    }
    return code;
}

static wa_status check_series(const strict *s, const wa_value *series, const char *where)
{
    strict_field fields[2 + 4 + 2] = {{"kind", STRICT_NAME | STRICT_REQUIRED},
                                      {"label", STRICT_TEXT}};
    size_t n = 2;
    const series_kind *k = kind_of(series);
    if (k == NULL)
        return strict_refuse(s, where,
                             "a series is 'points', 'line', 'error', 'band', 'bars', "
                             "'level' or 'mark'");
    for (size_t i = 0; i < STRICT_COUNT(k->lists) && k->lists[i] != NULL; i++)
        fields[n++] = (strict_field){
            k->lists[i], STRICT_REQUIRED | STRICT_LIST |
                             (strcmp(k->lists[i], "width") == 0 ? (unsigned)STRICT_NUMBER : 0U)};
    for (size_t i = 0; i < STRICT_COUNT(k->numbers) && k->numbers[i] != NULL; i++)
        fields[n++] = (strict_field){k->numbers[i], STRICT_REQUIRED | STRICT_NUMBER};
    wa_status code = strict_map(s, series, where, fields, n);
    return code == WA_OK ? check_lists(s, series, k, where) : code;
}

/* One side of the grid: n cells of width d from the lowest value on. */
typedef struct side {
    double from, d;
    size_t n;
} side;

static side side_of(const wa_value *list, size_t cells)
{
    double low = 0, high = 0, x;
    for (size_t i = 0; i < wa_count(list); i++) {
        wa_number_of(wa_at(list, i), &x);
        low = i == 0 || x < low ? x : low;
        high = i == 0 || x > high ? x : high;
    }
    double d = high / (double)cells - low / (double)cells;
    if (!(d > 0))
        return (side){low - 0.5, 1, 1}; /* all at one place: one cell around it */
    return (side){low, d, cells};
}

static size_t cell_of(const side *s, const wa_value *number)
{
    double x = 0;
    wa_number_of(number, &x);
    double at = (x - s->from) / s->d;
    if (!(at >= 0))
        return 0;
    return at < (double)s->n ? (size_t)at : s->n - 1; /* the highest value: the last cell */
}

static bool put_side(wa_value *m, const side *s, const char *const keys[3])
{
    return wa_map_set(m, keys[0], wa_number(s->from)) && wa_map_set(m, keys[1], wa_number(s->d)) &&
           wa_map_set(m, keys[2], wa_number((double)s->n));
}

/* { kind = "counts", label, x0, dx, nx, y0, dy, ny, count }: count[iy * nx + ix] is the number of
 * points with x in [x0 + ix dx, x0 + (ix + 1) dx), y alike; the upper ends belong to the last. */
static wa_value *counts_of(const wa_value *series)
{
    static const char *const x_keys[] = {"x0", "dx", "nx"}, *const y_keys[] = {"y0", "dy", "ny"};
    const wa_value *x = wa_get(series, "x"), *y = wa_get(series, "y");
    side sx = side_of(x, GRID_X), sy = side_of(y, GRID_Y);
    double *count = calloc(sx.n * sy.n, sizeof *count);
    wa_value *m = wa_map(), *list = wa_list();
    bool ok = count != NULL && m != NULL && list != NULL &&
              wa_map_set(m, "kind", wa_string("counts")) && entry_carry(m, series, "label") &&
              put_side(m, &sx, x_keys) && put_side(m, &sy, y_keys);
    for (size_t i = 0; ok && i < wa_count(x); i++)
        count[cell_of(&sy, wa_at(y, i)) * sx.n + cell_of(&sx, wa_at(x, i))]++;
    for (size_t i = 0; ok && i < sx.n * sy.n; i++)
        ok = wa_list_add(list, wa_number(count[i]));
    free(count);
    if (ok)
        ok = wa_map_set(m, "count", list);
    else
        wa_value_free(list);
    if (!ok) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

/* The series in the record's form. Keys in the order of the kind. */
static wa_value *series_of(const wa_value *v)
{
    const series_kind *k = kind_of(v);
    if (strcmp(k->kind, "points") == 0 && wa_count(wa_get(v, "x")) > WA_FIGURE_POINTS)
        return counts_of(v);
    wa_value *m = wa_map();
    bool ok = m != NULL && entry_carry(m, v, "kind") && entry_carry(m, v, "label");
    for (size_t i = 0; ok && i < STRICT_COUNT(k->lists) && k->lists[i] != NULL; i++) {
        const wa_value *list = wa_get(v, k->lists[i]);
        bool empty = wa_value_kind(list) != WA_NUMBER && wa_count(list) == 0;
        ok = wa_map_set(m, k->lists[i], empty ? wa_list() : wa_value_copy(list));
    }
    for (size_t i = 0; ok && i < STRICT_COUNT(k->numbers) && k->numbers[i] != NULL; i++)
        ok = entry_carry(m, v, k->numbers[i]);
    if (!ok) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

static wa_status add_figure(wa_value *out, const wa_value *v, const strict *s)
{
    const wa_value *series = wa_get(v, "series");
    wa_value *m = wa_map(), *list = wa_list();
    bool ok = m != NULL && list != NULL && entry_carry(m, v, "name") &&
              entry_carry(m, v, "title") && entry_carry(m, v, "x") && entry_carry(m, v, "y");
    for (size_t i = 0; ok && i < wa_count(series); i++)
        ok = wa_list_add(list, series_of(wa_at(series, i)));
    if (!ok) {
        wa_value_free(m);
        wa_value_free(list);
        return no_memory(s);
    }
    if (!wa_map_set(m, "series", list)) {
        wa_value_free(m);
        return no_memory(s);
    }
    return wa_list_add(out, m) ? WA_OK : no_memory(s);
}

static wa_status check_figure(const strict *s, const wa_value *list, size_t i)
{
    static const strict_field fields[] = {
        {"name", STRICT_NAME | STRICT_REQUIRED},   {"title", STRICT_TEXT},
        {"x", STRICT_MAP | STRICT_REQUIRED},       {"y", STRICT_MAP | STRICT_REQUIRED},
        {"series", STRICT_LIST | STRICT_REQUIRED},
    };
    char where[WHERE_SIZE], place[WHERE_SIZE + 50];
    const wa_value *v = wa_at(list, i), *series = wa_get(v, "series");
    snprintf(where, sizeof where, "figure %zu", i + 1);
    wa_status code = strict_map(s, v, where, fields, STRICT_COUNT(fields));
    if (code != WA_OK)
        return code;
    snprintf(where, sizeof where, "figure '%s'", wa_get_string(v, "name"));
    if (entry_named(list, wa_get_string(v, "name")) != v)
        return strict_refuse(s, where, "it stands twice");
    code = check_axis(s, wa_get(v, "x"), where);
    if (code == WA_OK)
        code = check_axis(s, wa_get(v, "y"), where);
    if (code == WA_OK)
        code = strict_list(s, series, where, STRICT_MAP, SERIES_MAX);
    for (size_t k = 0; code == WA_OK && k < wa_count(series); k++) {
        snprintf(place, sizeof place, "%s, series %zu", where, k + 1);
        code = check_series(s, wa_at(series, k), place);
    }
    return code;
}

wa_status parts_figures(wa_value *found, const wa_value *list, const strict *s)
{
    wa_value *out = wa_list();
    wa_status code = out == NULL ? no_memory(s) : WA_OK;
    if (code == WA_OK && list != NULL)
        code = strict_list(s, list, "figures", STRICT_MAP, FIGURES_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        code = check_figure(s, list, i);
        if (code == WA_OK)
            code = add_figure(out, wa_at(list, i), s);
    }
    if (code != WA_OK) {
        wa_value_free(out);
        return code;
    }
    return wa_map_set(found, "figures", out) ? WA_OK : no_memory(s);
}
