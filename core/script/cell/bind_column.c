/* bind_column.c - columns in scripts: making, arithmetic, cutting, units. */
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/origin.h"
#include "windassay/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char COLUMN[] = "windassay.column";

/* ---- the userdata ---------------------------------------------------------------------------- */

/* Header, n numbers and room for n times; user value 1 is the column whose times are borrowed. */
static wa_column *push_column(lua_State *L, size_t n, bool own_times, const wa_unit *unit,
                              double **times)
{
    const size_t most = (size_t)1 << 40;
    size_t each = own_times ? 2 * sizeof(double) : sizeof(double);
    if (n > most)
        cell_fail(L, "a column of %zu values is too long", n);
    cell_charge(L, n);
    wa_column *c = lua_newuserdatauv(L, sizeof *c + n * each, CELL_COLUMN_VALUES);
    *c = (wa_column){.at = (double *)(void *)(c + 1), .n = n, .unit = *unit};
    for (size_t i = 0; i < n; i++)
        c->at[i] = (double)NAN;
    if (times != NULL)
        *times = own_times ? c->at + n : NULL;
    luaL_setmetatable(L, COLUMN);
    return c;
}

wa_column *cell_new_column(lua_State *L, size_t n, const wa_unit *unit)
{
    return push_column(L, n, false, unit, NULL);
}

wa_column *cell_test_column(lua_State *L, int arg)
{
    return luaL_testudata(L, arg, COLUMN);
}

wa_column *cell_check_column(lua_State *L, int arg, const char *what)
{
    wa_column *c = cell_test_column(L, arg);
    if (c == NULL)
        cell_fail(L, "%s: expected a column, got %s", what, cell_type_name(L, arg));
    return c;
}

void cell_need(lua_State *L, wa_status s, const wa_error *err)
{
    if (s != WA_OK)
        cell_raise(L, err);
}

/* The times of the column or mask at `arg`, or NULL. */
static const double *times_of(lua_State *L, int arg)
{
    const wa_column *c = cell_test_column(L, arg);
    const wa_mask *m = c == NULL ? cell_test_mask(L, arg) : NULL;
    return c != NULL ? c->time : m != NULL ? m->time : NULL;
}

void cell_keep_times(lua_State *L, int arg)
{
    const double *times = times_of(L, arg);
    if (times == NULL || times_of(L, -1) != times)
        return;
    arg = lua_absindex(L, arg);
    if (lua_getiuservalue(L, arg, 1) != LUA_TUSERDATA) {
        lua_pop(L, 1);
        lua_pushvalue(L, arg); /* it owns its times, or they are always there */
    }
    lua_setiuservalue(L, -2, 1);
}

/* ---- operands -------------------------------------------------------------------------------- */

wa_unit cell_unit(lua_State *L, int arg, const char *what)
{
    wa_unit unit;
    wa_error err;
    cell_need(L, wa_unit_parse(&unit, cell_check_text(L, arg, what), &err), &err);
    return unit;
}

/* { 0.5, "m/s" }; further named entries (u = 0.02) do not matter here. */
static wa_operand quantity(lua_State *L, int arg, const char *what)
{
    wa_operand o = {.has_unit = true};
    arg = lua_absindex(L, arg);
    if (lua_geti(L, arg, 1) != LUA_TNUMBER || lua_geti(L, arg, 2) != LUA_TSTRING)
        cell_fail_hint(L, "a number with its unit is written { 0.5, \"m/s\" }",
                       "%s: the table is not a number with its unit", what);
    o.number = cell_check_number(L, -2, what);
    o.unit = cell_unit(L, -1, what);
    lua_pop(L, 2);
    return o;
}

wa_operand cell_operand(lua_State *L, int arg, const char *what)
{
    wa_operand o = {.column = cell_test_column(L, arg)};
    if (o.column != NULL)
        return o;
    if (lua_istable(L, arg))
        return quantity(L, arg, what);
    if (lua_type(L, arg) != LUA_TNUMBER)
        cell_fail(L, "%s: expected a column or a number, got %s", what, cell_type_name(L, arg));
    o.number = cell_check_number(L, arg, what);
    return o;
}

wa_operand cell_bound(lua_State *L, int arg, int unit_arg, const char *what)
{
    wa_operand o = cell_operand(L, arg, what);
    if (lua_isnoneornil(L, unit_arg))
        return o;
    if (o.column != NULL || o.has_unit)
        cell_fail(L, "%s: the bound has a unit already", what);
    o.unit = cell_unit(L, unit_arg, what);
    o.has_unit = true;
    return o;
}

double cell_degrees(lua_State *L, int arg, const char *what)
{
    if (!lua_istable(L, arg))
        return cell_check_number(L, arg, what);
    wa_operand o = quantity(L, arg, what);
    wa_unit degree = wa_unit_degree();
    wa_error err;
    double x = 0;
    cell_need(L, wa_unit_convert(&x, o.number, &o.unit, &degree, &err), &err);
    return x;
}

size_t cell_rows(const wa_operand *a, const wa_operand *b)
{
    if (a->column != NULL)
        return a->column->n;
    return b->column != NULL ? b->column->n : 1;
}

/* ---- operators ------------------------------------------------------------------------------- */

static int combine(lua_State *L, wa_operator op)
{
    static const char *const names[] = {"+", "-", "*", "/", "^"};
    wa_error err;
    wa_operand a = cell_operand(L, 1, names[op]), b = cell_operand(L, 2, names[op]);
    wa_unit one = wa_unit_one();
    wa_column *out = cell_new_column(L, cell_rows(&a, &b), &one);
    cell_need(L, wa_column_combine(out, op, &a, &b, &err), &err);
    cell_keep_times(L, 1);
    cell_keep_times(L, 2);
    cell_origin_operator(L, 1, names[op], 2);
    return 1;
}

static int add(lua_State *L)
{
    return combine(L, WA_ADD);
}

static int subtract(lua_State *L)
{
    return combine(L, WA_SUBTRACT);
}

static int multiply(lua_State *L)
{
    return combine(L, WA_MULTIPLY);
}

static int divide(lua_State *L)
{
    return combine(L, WA_DIVIDE);
}

static int power(lua_State *L)
{
    return combine(L, WA_POWER);
}

static int apply(lua_State *L, wa_function f, const char *what)
{
    wa_error err;
    const wa_column *a = cell_check_column(L, 1, what);
    wa_column *out = cell_new_column(L, a->n, &a->unit);
    cell_need(L, wa_column_apply(out, f, a, &err), &err);
    cell_keep_times(L, 1);
    cell_origin_function(L, what, 1, 1);
    return 1;
}

static int negate(lua_State *L)
{
    return apply(L, WA_NEGATE, "-");
}

static int absolute(lua_State *L)
{
    return apply(L, WA_ABS, "abs");
}

static int root(lua_State *L)
{
    return apply(L, WA_SQRT, "sqrt");
}

static int exponential(lua_State *L)
{
    return apply(L, WA_EXP, "exp");
}

static int logarithm(lua_State *L)
{
    return apply(L, WA_LOG, "log");
}

static int refuse_order(lua_State *L)
{
    return cell_fail_hint(L,
                          "use col:below(2, \"m/s\"), :above, :between or :equals, which give a "
                          "mask",
                          "columns have no order: < and > cannot compare them");
}

static int refuse_write(lua_State *L)
{
    return cell_fail_hint(L, "compute a new one, or column.new{...}", "a column is read-only");
}

/* ---- methods --------------------------------------------------------------------------------- */

static int to(lua_State *L)
{
    wa_error err;
    const wa_column *a = cell_check_column(L, 1, "to");
    wa_unit unit = cell_unit(L, 2, "to");
    wa_column *out = cell_new_column(L, a->n, &unit);
    cell_need(L, wa_column_to(out, a, &unit, &err), &err);
    cell_keep_times(L, 1);
    if (wa_unit_equal(&a->unit, &unit))
        cell_origin_same(L, 1);
    else
        cell_origin_operator(L, 1, "in", 2);
    return 1;
}

static int lag(lua_State *L)
{
    const int64_t most = 1000000000;
    const wa_column *a = cell_check_column(L, 1, "lag");
    int64_t n = cell_check_whole(L, 2, "lag", -most, most);
    wa_column *out = cell_new_column(L, a->n, &a->unit);
    wa_column_lag(out, a, n);
    cell_keep_times(L, 1);
    cell_origin_function(L, "lag", 1, 2);
    return 1;
}

static int where(lua_State *L)
{
    wa_error err;
    double *times;
    const wa_column *a = cell_check_column(L, 1, "where");
    const wa_mask *mask = cell_check_mask(L, 2, "where");
    cell_charge(L, a->n);
    wa_column *out =
        push_column(L, wa_mask_count(mask, WA_TRUE), a->time != NULL, &a->unit, &times);
    cell_need(L, wa_column_where(out, times, a, mask, &err), &err);
    cell_origin_same(L, 1);
    return 1;
}

static int length(lua_State *L)
{
    lua_pushinteger(L, (lua_Integer)cell_check_column(L, 1, "#")->n);
    return 1;
}

static void push_value(lua_State *L, double x)
{
    if (isnan(x))
        cell_push_missing(L);
    else
        lua_pushnumber(L, x);
}

/* col[i] and col.unit; upvalue 1 finds methods. One past the end is nil, so that ipairs ends. */
static int index_column(lua_State *L)
{
    const wa_column *c = cell_check_column(L, 1, "index");
    if (lua_type(L, 2) == LUA_TNUMBER) {
        lua_Integer n = (lua_Integer)c->n;
        lua_Integer i = cell_check_whole(L, 2, "the index of a column", 1, n + 1);
        if (i == n + 1)
            return 0;
        push_value(L, c->at[i - 1]);
        return 1;
    }
    if (lua_type(L, 2) == LUA_TSTRING && strcmp(lua_tostring(L, 2), "unit") == 0) {
        lua_pushstring(L, c->unit.text);
        return 1;
    }
    lua_settop(L, 2);
    lua_pushvalue(L, lua_upvalueindex(1));
    lua_insert(L, 1);
    lua_call(L, 2, 1);
    return 1;
}

static int text(lua_State *L)
{
    enum { SHOWN = 8 };
    const wa_column *c = cell_check_column(L, 1, "tostring");
    luaL_Buffer b;
    luaL_buffinit(L, &b);
    lua_pushfstring(L, "column of %I in %s:", (LUAI_UACINT)c->n, c->unit.text);
    luaL_addvalue(&b);
    for (size_t i = 0; i < c->n && i < SHOWN; i++) {
        char number[WA_NUMBER_SIZE] = "missing";
        if (!isnan(c->at[i]))
            wa_number_print(number, c->at[i]);
        luaL_addchar(&b, ' ');
        luaL_addstring(&b, number);
    }
    if (c->n > SHOWN)
        luaL_addstring(&b, " ...");
    luaL_pushresult(&b);
    return 1;
}

/* column.new({1, missing, 3} [, unit]) */
static int new_column(lua_State *L)
{
    cell_check_table(L, 1, "column.new");
    wa_unit unit = lua_isnoneornil(L, 2) ? wa_unit_one() : cell_unit(L, 2, "column.new");
    size_t n = (size_t)lua_rawlen(L, 1);
    wa_column *c = cell_new_column(L, n, &unit);
    for (size_t i = 0; i < n; i++) {
        char what[48];
        lua_rawgeti(L, 1, (lua_Integer)i + 1);
        snprintf(what, sizeof what, "column.new: value %zu", i + 1);
        if (!cell_is_missing(L, -1))
            c->at[i] = cell_check_number(L, -1, what) + 0.0;
        lua_pop(L, 1);
    }
    return 1;
}

/* ---- opening --------------------------------------------------------------------------------- */

/* Adds a list of functions to the table of methods behind the closure __index. */
static void add_methods(lua_State *L, const luaL_Reg *methods)
{
    lua_getupvalue(L, -1, 1);
    luaL_setfuncs(L, methods, 0);
    lua_pop(L, 1);
}

void cell_open_column(lua_State *L)
{
    static const luaL_Reg meta[] = {{"__add", add},         {"__sub", subtract},
                                    {"__mul", multiply},    {"__div", divide},
                                    {"__pow", power},       {"__unm", negate},
                                    {"__len", length},      {"__lt", refuse_order},
                                    {"__le", refuse_order}, {"__newindex", refuse_write},
                                    {"__tostring", text},   {NULL, NULL}};
    static const luaL_Reg methods[] = {{"abs", absolute},  {"sqrt", root}, {"exp", exponential},
                                       {"log", logarithm}, {"to", to},     {"lag", lag},
                                       {"where", where},   {NULL, NULL}};
    static const luaL_Reg library[] = {{"new", new_column}, {NULL, NULL}};
    cell_type(L, COLUMN, meta, methods);
    luaL_getmetatable(L, COLUMN);
    lua_getfield(L, -1, "__index");
    add_methods(L, cell_summary_methods);
    add_methods(L, cell_rolling_methods);
    add_methods(L, cell_comparison_methods);
    lua_pushcclosure(L, index_column, 1);
    lua_setfield(L, -2, "__index");
    lua_pop(L, 1);
    cell_library(L, "column", library);
    cell_open_mask(L);
}
