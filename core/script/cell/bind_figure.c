/* bind_figure.c - report:figure(name, spec): which points a figure shows. How it looks is the
 * report's. Points with a missing value are left out here, so that the lists hold numbers only. */
#include "script/cell/jobs.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SERIES_MOST = 50, POINTS_MOST = 1024 * 1024, LISTS = 3 };

/* What a kind of series takes: lists of equal length, or one number. */
typedef struct shape {
    const char *kind;
    const char *lists[LISTS + 1];
    const char *number;
} shape;

static const shape shapes[] = {
    {"points", {"x", "y", NULL}, NULL},
    {"line", {"x", "y", NULL}, NULL},
    {"error", {"x", "y", "u", NULL}, NULL},
    {"band", {"x", "low", "high", NULL}, NULL},
    {"bars", {"x", "y", NULL}, "width"},
    {"level", {NULL}, "y"},
    {"mark", {NULL}, "x"},
};
enum { SHAPES = sizeof shapes / sizeof *shapes };

static const shape *check_shape(lua_State *L, const char *figure, int series)
{
    const char *names[SHAPES], *kind = NULL;
    cell_option_text(L, series, "kind", &kind);
    for (size_t i = 0; i < SHAPES; i++) {
        names[i] = shapes[i].kind;
        if (kind != NULL && strcmp(kind, names[i]) == 0)
            return &shapes[i];
    }
    const char *near = kind != NULL ? wa_nearest(kind, names, SHAPES) : NULL;
    if (near != NULL)
        lua_pushfstring(L, "did you mean '%s'?", near);
    else
        lua_pushliteral(L, "points, line, error, band, bars, level, mark");
    cell_fail_hint(L, lua_tostring(L, -1), "report:figure: '%s': no kind of series '%s'", figure,
                   kind != NULL ? kind : "");
    return NULL;
}

static void check_keys(lua_State *L, const shape *s, int series)
{
    const char *keys[LISTS + 4] = {"kind", "label"};
    size_t n = 2;
    for (const char *const *list = s->lists; *list != NULL; list++)
        keys[n++] = *list;
    if (s->number != NULL)
        keys[n++] = s->number;
    keys[n] = NULL;
    cell_options(L, series, "report:figure: a series", keys);
}

/* A number of a column or list; NAN where it is missing. */
static double number_at(lua_State *L, int index, size_t i, const char *what)
{
    const wa_column *c = cell_test_column(L, index);
    if (c != NULL)
        return c->at[i];
    double x = (double)NAN;
    lua_rawgeti(L, index, (lua_Integer)i + 1);
    if (!cell_is_missing(L, -1))
        x = cell_check_number(L, -1, what);
    lua_pop(L, 1);
    return x;
}

/* Pushes the lists of a series and checks them; gives their length. */
static size_t push_lists(lua_State *L, const shape *s, int series, const char *figure)
{
    char what[160];
    size_t n = 0;
    for (int k = 0; s->lists[k] != NULL; k++) {
        snprintf(what, sizeof what, "report:figure: '%.80s', %s", figure, s->lists[k]);
        lua_getfield(L, series, s->lists[k]);
        const wa_column *c = cell_test_column(L, -1);
        if (c == NULL && !lua_istable(L, -1))
            cell_fail(L, "%s: expected a column or a list, got %s", what, cell_type_name(L, -1));
        size_t here = c != NULL ? c->n : (size_t)lua_rawlen(L, -1);
        if (k > 0 && here != n)
            cell_fail(L, "%s: %zu values, where '%s' has %zu", what, here, s->lists[0], n);
        n = here;
        for (size_t i = 0; c == NULL && i < n; i++)
            number_at(L, lua_gettop(L), i, what);
    }
    if (n > POINTS_MOST)
        cell_fail(L, "report:figure: '%s': more than %d points", figure, POINTS_MOST);
    cell_charge(L, 4 * n);
    return n;
}

/* The lists on the stack from `first` on, without the points that miss a value. */
static void set_lists(lua_State *L, wa_value *to, const shape *s, int first, size_t n)
{
    wa_value *lists[LISTS] = {NULL, NULL, NULL};
    size_t count = 0;
    for (; s->lists[count] != NULL; count++)
        lists[count] = wa_list();
    for (size_t i = 0; i < n; i++) {
        double x[LISTS];
        bool whole = true;
        for (size_t k = 0; k < count; k++) {
            x[k] = number_at(L, first + (int)k, i, "");
            whole = whole && isfinite(x[k]);
        }
        for (size_t k = 0; whole && k < count; k++)
            if (!wa_list_add(lists[k], wa_number(x[k])))
                cell_end_limit(L, "memory");
    }
    for (size_t k = 0; k < count; k++)
        cell_value_set(L, to, s->lists[k], lists[k]);
}

static wa_value *one_series(lua_State *L, const char *figure)
{
    int series = lua_gettop(L);
    const char *label = "";
    double number = 0;
    if (!lua_istable(L, series))
        cell_fail(L, "report:figure: '%s': a series is a table", figure);
    const shape *s = check_shape(L, figure, series);
    check_keys(L, s, series);
    cell_option_text(L, series, "label", &label);
    if (s->number != NULL && !cell_option_number(L, series, s->number, &number))
        cell_fail(L, "report:figure: '%s': a series '%s' needs '%s'", figure, s->kind, s->number);
    size_t n = push_lists(L, s, series, figure);
    wa_value *v = wa_map();
    cell_value_set(L, v, "kind", wa_string(s->kind));
    cell_value_set(L, v, "label", wa_string(label));
    set_lists(L, v, s, series + 1, n);
    if (s->number != NULL)
        cell_value_set(L, v, s->number, wa_number(number));
    lua_settop(L, series);
    return v;
}

/* { label =, unit = } */
static wa_value *axis(lua_State *L, const char *key)
{
    static const char *const keys[] = {"label", "unit", NULL};
    const char *label = NULL, *unit = NULL;
    cell_option(L, 3, key);
    if (!cell_options(L, -1, "report:figure: an axis", keys) ||
        !cell_option_text(L, -1, "label", &label) || !cell_option_text(L, -1, "unit", &unit))
        cell_fail_hint(L, "{ label = \"wind speed\", unit = \"m s-1\" }",
                       "report:figure: '%s' needs a label and a unit", key);
    wa_value *v = wa_map();
    cell_value_set(L, v, "label", wa_string(label));
    cell_value_set(L, v, "unit", wa_string(unit));
    lua_pop(L, 1);
    return v;
}

int cell_report_figure(lua_State *L)
{
    static const char *const keys[] = {"title", "x", "y", "series", NULL};
    const char *name = cell_report_name(L, "report:figure", "figures"), *title = name;
    lua_settop(L, 3);
    if (!cell_options(L, 3, "report:figure", keys))
        return cell_fail(L, "report:figure: '%s' has no description", name);
    cell_option_text(L, 3, "title", &title);
    if (cell_option(L, 3, "series") != LUA_TTABLE)
        return cell_fail(L, "report:figure: '%s' has no series", name);
    lua_Integer n = (lua_Integer)lua_rawlen(L, 4);
    if (n < 1 || n > SERIES_MOST)
        return cell_fail(L, "report:figure: '%s' has %lld series; 1 to %d can stand", name,
                         (long long)n, SERIES_MOST);
    wa_value *v = wa_map(), *list = wa_list();
    cell_value_set(L, v, "name", wa_string(name));
    cell_value_set(L, v, "title", wa_string(title));
    cell_value_set(L, v, "x", axis(L, "x"));
    cell_value_set(L, v, "y", axis(L, "y"));
    for (lua_Integer i = 1; i <= n; i++) {
        lua_rawgeti(L, 4, i);
        if (!wa_list_add(list, one_series(L, name)))
            cell_end_limit(L, "memory");
        lua_pop(L, 1);
    }
    cell_value_set(L, v, "series", list);
    cell_report_add(L, "figures", v);
    return 0;
}
