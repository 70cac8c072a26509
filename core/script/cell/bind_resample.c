/* bind_resample.c - resample.blocks, resample.leave_out_days. */
#include "script/cell/grid.h"
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/results.h"
#include "script/cell/share.h"
#include "windassay/resample.h"
#include "windassay/time.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Owns what the core made until the script's columns are made of it. */
typedef struct owner {
    wa_resampled *blocks;
    wa_days_left_out *days;
} owner;

static const char OWNER[] = "windassay.owner of resamples";

static int owner_gc(lua_State *L)
{
    owner *o = luaL_checkudata(L, 1, OWNER);
    wa_resampled_free(o->blocks);
    wa_days_left_out_free(o->days);
    *o = (owner){0};
    return 0;
}

static owner *push_owner(lua_State *L)
{
    owner *o = lua_newuserdatauv(L, sizeof *o, 0);
    *o = (owner){0};
    luaL_setmetatable(L, OWNER);
    return o;
}

/* ---- what is resampled --------------------------------------------------------------------- */

typedef struct statistic {
    const char *name;
    wa_resample_of of;
    bool pairs, bins;
} statistic;

static const statistic STATISTICS[] = {
    {"mean", WA_RESAMPLE_MEAN, false, false},
    {"deviation", WA_RESAMPLE_DEVIATION, true, false},
    {"ratio", WA_RESAMPLE_RATIO, true, false},
    {"through_origin", WA_RESAMPLE_THROUGH_ORIGIN, true, false},
    {"line", WA_RESAMPLE_LINE, true, false},
    {"intercept", WA_RESAMPLE_INTERCEPT, true, false},
    {"through_origin.bin_means", WA_RESAMPLE_BINS_THROUGH_ORIGIN, true, true},
    {"line.bin_means", WA_RESAMPLE_BINS_LINE, true, true},
};

/* What the options ask for; columns and bins are borrowed from the stack. */
typedef struct asked {
    const statistic *statistic;
    const wa_column *x, *y; /* y NULL: of x alone */
    wa_bin_spec bins;
    wa_resample_data data;
    wa_unit unit; /* of the values */
} asked;

static const statistic *check_statistic(lua_State *L, const char *function)
{
    const char *name = NULL;
    size_t n = sizeof STATISTICS / sizeof *STATISTICS;
    cell_option_text(L, 1, "statistic", &name);
    for (size_t i = 0; i < n && name != NULL; i++)
        if (strcmp(STATISTICS[i].name, name) == 0)
            return &STATISTICS[i];
    lua_createtable(L, 0, (int)n);
    for (size_t i = 0; i < n; i++) {
        lua_pushboolean(L, 1);
        lua_setfield(L, -2, STATISTICS[i].name);
    }
    if (name == NULL)
        cell_fail_hint(L, "statistic = \"through_origin\"", "%s: needs the statistic", function);
    cell_fail_nearest(L, lua_gettop(L), name, "%s: no statistic '%s'", function, name);
    return NULL;
}

/* The column of an option, which stays on the stack. */
static const wa_column *check_option_column(lua_State *L, const char *function, const char *name)
{
    char what[64];
    snprintf(what, sizeof what, "%s: %s", function, name);
    if (cell_option(L, 1, name) == LUA_TNIL)
        cell_fail_hint(L, "{ x = column, y = column, statistic = \"through_origin\" }",
                       "%s: needs %s", function, name);
    return cell_check_column(L, -1, what);
}

static wa_unit unit_of(lua_State *L, const asked *a)
{
    switch (a->statistic->of) {
    case WA_RESAMPLE_MEAN:
        return a->x->unit;
    case WA_RESAMPLE_DEVIATION:
        return wa_unit_difference(&a->x->unit);
    case WA_RESAMPLE_INTERCEPT:
        return a->y->unit;
    default:
        return cell_unit_of_slope(L, &a->y->unit, &a->x->unit);
    }
}

/* Times: of the option, or of the columns. In a check neighbours are one interval of the grid
 * apart, even where no two records that are left are. */
static void take_times(lua_State *L, const char *function, asked *a)
{
    wa_error err;
    a->data.time = a->x->time != NULL ? a->x->time : a->y != NULL ? a->y->time : NULL;
    if (a->data.time != NULL && cell_of(L)->grid != NULL)
        a->data.interval_s = cell_of(L)->grid->interval_s;
    if (cell_option(L, 1, "time") != LUA_TNIL) {
        const wa_column *time = check_option_column(L, function, "time");
        wa_unit second = cell_unit_of_text(L, "s");
        if (!wa_unit_equal(&time->unit, &second) && time->unit.text[0] != '\0' &&
            strcmp(time->unit.text, "1") != 0)
            cell_fail(L, "%s: the time is in '%s', not in seconds", function, time->unit.text);
        cell_need(L, wa_column_aligned(a->x, time, "time", &err), &err);
        for (size_t i = 0; i < time->n; i++)
            if (isnan(time->at[i]))
                cell_fail(L, "%s: the time of row %zu is missing", function, i + 1);
        a->data.time = time->at;
        a->data.interval_s = 0;
    }
    if (cell_option_number(L, 1, "interval", &a->data.interval_s) && a->data.interval_s <= 0)
        cell_fail(L, "%s: the interval between neighbours is %g s", function, a->data.interval_s);
}

static void take_data(lua_State *L, const char *function, asked *a)
{
    wa_error err;
    *a = (asked){.statistic = check_statistic(L, function)};
    a->x = check_option_column(L, function, "x");
    if (a->statistic->pairs) {
        a->y = check_option_column(L, function, "y");
        cell_need(L, wa_column_aligned(a->x, a->y, "y", &err), &err);
        if (a->statistic->of == WA_RESAMPLE_DEVIATION && !wa_unit_equal(&a->x->unit, &a->y->unit))
            cell_fail_hint(L, "convert one with :to(unit)", "%s: x is in '%s', y in '%s'", function,
                           a->x->unit.text, a->y->unit.text);
    } else if (cell_option(L, 1, "y") != LUA_TNIL) {
        cell_fail(L, "%s: the %s is of x alone; there is a y", function, a->statistic->name);
    }
    bool bins = cell_option(L, 1, "bins") != LUA_TNIL;
    if (bins != a->statistic->bins)
        cell_fail_hint(L, "bins = { width = 0.5, lowest = 4, highest = 16, at_least = 3 }",
                       bins ? "%s: '%s' is not of bins" : "%s: '%s' needs bins", function,
                       a->statistic->name);
    if (bins)
        cell_bin_spec(L, lua_gettop(L), function, a->x, &a->bins);
    a->data = (wa_resample_data){.x = a->x->at,
                                 .y = a->y != NULL ? a->y->at : NULL,
                                 .n = a->x->n,
                                 .of = a->statistic->of,
                                 .bins = bins ? &a->bins : NULL};
    take_times(L, function, a);
    a->unit = unit_of(L, a);
}

/* ---- blocks -------------------------------------------------------------------------------- */

static void take_length(lua_State *L, size_t n, size_t *length)
{
    int64_t whole = 0;
    if (cell_option(L, 1, "length") == LUA_TSTRING) {
        if (strcmp(lua_tostring(L, -1), "cube root") != 0)
            cell_fail(L, "resample.blocks: length = 144, or \"cube root\"; not '%s'",
                      lua_tostring(L, -1));
        *length = wa_resample_cube_root(n);
    } else if (cell_option_whole(L, 1, "length", 1, INT32_MAX, &whole)) {
        *length = (size_t)whole;
    }
}

/* Pairs of which both values are there. */
static size_t pairs_of(const asked *a)
{
    size_t n = 0;
    for (size_t i = 0; i < a->x->n; i++)
        n += isnan(a->x->at[i]) || (a->y != NULL && isnan(a->y->at[i])) ? 0 : 1;
    return n;
}

static void push_interval(lua_State *L, const wa_resampled *r, double coverage)
{
    lua_createtable(L, 2, 3);
    lua_pushnumber(L, r->low);
    lua_rawseti(L, -2, 1);
    lua_pushnumber(L, r->high);
    lua_rawseti(L, -2, 2);
    cell_set_number(L, "low", r->low);
    cell_set_number(L, "high", r->high);
    cell_set_number(L, "coverage", coverage);
}

static void push_blocks(lua_State *L, const wa_resampled *r, const asked *a,
                        const wa_resample_options *o)
{
    cell_new_result(L, "block bootstrap", 0);
    cell_result_text(L, "statistic", a->statistic->name);
    cell_result_text(L, "unit", a->unit.text);
    cell_result_text(L, "generator", WA_RANDOM_GENERATOR);
    cell_result_number(L, "estimate", r->estimate, "");
    cell_result_number(L, "standard_error", r->standard_error, "");
    cell_result_number(L, "standard_error_iid", r->standard_error_iid,
                       "without one of the records the statistic is not defined");
    const struct {
        const char *name;
        uint64_t n;
    } counts[] = {{"n", r->n},           {"left_out", r->left_out},  {"runs", r->runs},
                  {"blocks", r->blocks}, {"length", r->length},      {"times", r->times},
                  {"seed", o->seed},     {"undefined", r->undefined}};
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++)
        cell_result_whole(L, counts[i].name, counts[i].n);
    push_interval(L, r, o->coverage);
    cell_result_value(L, "interval");
    cell_push_values(L, r->values, r->times, &a->unit, WA_SIDE_NONE);
    cell_result_value(L, "values");
}

/* What a record costs: exact sums, and its own omission. */
enum { PER_RECORD = 200, PER_BLOCK = 10 };

/* resample.blocks{ x =, y =, statistic =, length =, times =, seed =, coverage =, bins =, time =,
 * interval = } */
static int blocks(lua_State *L)
{
    static const char *const options[] = {"x",     "y",        "statistic", "length",
                                          "times", "seed",     "coverage",  "bins",
                                          "time",  "interval", NULL};
    asked a;
    wa_error err;
    int64_t times = 1000, seed = 1;
    wa_resample_options o = {.coverage = 0.95};
    cell_check_table(L, 1, "resample.blocks");
    cell_options(L, 1, "resample.blocks", options);
    lua_settop(L, 1);
    luaL_checkstack(L, 30, "resample.blocks");
    owner *own = push_owner(L);
    take_data(L, "resample.blocks", &a);
    size_t n = pairs_of(&a);
    take_length(L, n, &o.length);
    cell_option_whole(L, 1, "times", 2, WA_RESAMPLE_TIMES_MAX, &times);
    cell_option_whole(L, 1, "seed", 1, UINT32_MAX, &seed);
    cell_option_number(L, 1, "coverage", &o.coverage);
    o.times = (size_t)times;
    o.seed = (uint32_t)seed;
    size_t length = o.length > 0 ? o.length : wa_resample_cube_root(n);
    uint64_t a_resample = a.statistic->bins ? n : PER_BLOCK * (n / length + 1) + length;
    cell_charge(L, PER_RECORD * n + o.times * a_resample);
    cell_need(L, wa_resample_blocks(&own->blocks, &a.data, &o, &err), &err);
    push_blocks(L, own->blocks, &a, &o);
    wa_resampled_free(own->blocks);
    own->blocks = NULL;
    return 1;
}

/* ---- days ---------------------------------------------------------------------------------- */

static void push_date(lua_State *L, int64_t day)
{
    char text[WA_TIME_TEXT_SIZE];
    wa_time_print(text, day * WA_DAY_NS);
    lua_pushlstring(L, text, strlen("2026-03-02"));
}

static void push_rows(lua_State *L, const wa_days_left_out *d)
{
    lua_createtable(L, (int)d->days, 0);
    for (size_t k = 0; k < d->days; k++) {
        lua_createtable(L, 0, 3);
        push_date(L, d->day[k]);
        lua_setfield(L, -2, "date");
        cell_set_whole(L, "records", d->records[k]);
        if (isnan(d->value[k]))
            cell_push_missing(L);
        else
            lua_pushnumber(L, d->value[k]);
        lua_setfield(L, -2, "value");
        lua_rawseti(L, -2, (lua_Integer)k + 1);
    }
}

/* One of `columns`, whose values lie on top. */
static void add_column(lua_State *L, lua_Integer at, const char *name, const char *unit)
{
    lua_createtable(L, 0, 3);
    lua_insert(L, -2);
    lua_setfield(L, -2, "values");
    cell_set_text(L, "name", name);
    if (unit != NULL)
        cell_set_text(L, "unit", unit);
    lua_rawseti(L, -2, at);
}

/* The list of columns, so that report:table takes the result. */
static void push_columns(lua_State *L, const wa_days_left_out *d, const wa_unit *unit)
{
    wa_unit one = wa_unit_one();
    lua_createtable(L, 3, 0);
    lua_createtable(L, (int)d->days, 0);
    for (size_t k = 0; k < d->days; k++) {
        push_date(L, d->day[k]);
        lua_rawseti(L, -2, (lua_Integer)k + 1);
    }
    add_column(L, 1, "day left out", NULL);
    wa_column *records = cell_new_column(L, d->days, &one);
    for (size_t k = 0; k < d->days; k++)
        records->at[k] = (double)d->records[k];
    add_column(L, 2, "records", one.text);
    cell_push_values(L, d->value, d->days, unit, WA_SIDE_NONE);
    add_column(L, 3, "value", unit->text);
}

/* resample.leave_out_days{ x =, y =, statistic =, bins =, time = } */
static int leave_out_days(lua_State *L)
{
    static const char *const options[] = {"x", "y", "statistic", "bins", "time", NULL};
    asked a;
    wa_error err;
    cell_check_table(L, 1, "resample.leave_out_days");
    cell_options(L, 1, "resample.leave_out_days", options);
    lua_settop(L, 1);
    luaL_checkstack(L, 30, "resample.leave_out_days");
    owner *own = push_owner(L);
    take_data(L, "resample.leave_out_days", &a);
    if (a.data.time == NULL)
        return cell_fail_hint(L, "columns of a check have times; or time = column",
                              "resample.leave_out_days: the columns have no times");
    cell_charge(L, PER_RECORD * a.data.n);
    cell_need(L, wa_resample_leave_out_days(&own->days, &a.data, &err), &err);
    const wa_days_left_out *d = own->days;
    cell_new_result(L, "days left out", 0);
    cell_result_text(L, "statistic", a.statistic->name);
    cell_result_text(L, "unit", a.unit.text);
    cell_result_number(L, "estimate", d->estimate, "");
    cell_result_number(L, "standard_error", d->standard_error,
                       "without one of the days the statistic is not defined");
    cell_result_number(L, "least", d->least, "");
    cell_result_number(L, "most", d->most, "");
    cell_result_number(L, "spread", d->most - d->least, "");
    cell_result_whole(L, "n", d->n);
    cell_result_whole(L, "left_out", d->left_out);
    cell_result_whole(L, "days", d->days);
    push_rows(L, d);
    cell_result_value(L, "rows");
    push_columns(L, d, &a.unit);
    cell_result_value(L, "columns");
    cell_push_values(L, d->value, d->days, &a.unit, WA_SIDE_NONE);
    cell_result_value(L, "values");
    wa_days_left_out_free(own->days);
    own->days = NULL;
    return 1;
}

void cell_open_resample(lua_State *L)
{
    static const luaL_Reg owner_meta[] = {{"__gc", owner_gc}, {NULL, NULL}};
    static const luaL_Reg none[] = {{NULL, NULL}};
    static const luaL_Reg functions[] = {
        {"blocks", blocks}, {"leave_out_days", leave_out_days}, {NULL, NULL}};
    cell_type(L, OWNER, owner_meta, none);
    cell_library(L, "resample", functions);
}
