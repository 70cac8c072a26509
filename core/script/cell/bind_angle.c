/* bind_angle.c - angle.sin and the like: degrees, the same bits on every machine. */
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/origin.h"
#include "script/cell/trace.h"
#include "windassay/portable.h"

#include <math.h>

static int push_defined(lua_State *L, double value, const char *what)
{
    if (!isfinite(value))
        return cell_raise_undefined(L, "angle.%s is not defined for this argument", what);
    lua_pushnumber(L, value + 0.0);
    return 1;
}

/* One argument: a number (for angles also { 0.5, "rad" }), a column or a placeholder. */
static int apply(lua_State *L, wa_function f, double (*of_number)(double), const char *what)
{
    wa_error err;
    lua_settop(L, 1);
    if (cell_is_placeholder(L, 1))
        return cell_trace_function(L, what);
    const wa_column *a = cell_test_column(L, 1);
    if (a == NULL) {
        bool of_angle = f == WA_SIN || f == WA_COS || f == WA_TAN;
        double x = of_angle ? cell_degrees(L, 1, what) : cell_check_number(L, 1, what);
        return push_defined(L, of_number(x), what);
    }
    wa_column *out = cell_new_column(L, a->n, &a->unit);
    cell_need(L, wa_column_apply(out, f, a, &err), &err);
    cell_keep_times(L, 1);
    cell_origin_function(L, what, 1, 1);
    return 1;
}

static int sine(lua_State *L)
{
    return apply(L, WA_SIN, wa_sin_deg, "sin");
}

static int cosine(lua_State *L)
{
    return apply(L, WA_COS, wa_cos_deg, "cos");
}

static int tangent(lua_State *L)
{
    return apply(L, WA_TAN, wa_tan_deg, "tan");
}

static int arc_sine(lua_State *L)
{
    return apply(L, WA_ASIN, wa_asin_deg, "asin");
}

static int arc_cosine(lua_State *L)
{
    return apply(L, WA_ACOS, wa_acos_deg, "acos");
}

/* angle.atan2(y, x): the direction of the point (x, y), counted from the x axis. */
static int arc_tangent(lua_State *L)
{
    wa_error err;
    lua_settop(L, 2);
    if (cell_is_placeholder(L, 1) || cell_is_placeholder(L, 2))
        return cell_trace_pair(L, "atan2");
    wa_operand y = cell_operand(L, 1, "atan2"), x = cell_operand(L, 2, "atan2");
    if (y.column == NULL && x.column == NULL) {
        if (y.has_unit || x.has_unit)
            cell_fail(L, "atan2: two numbers are given without units");
        return push_defined(L, wa_atan2_deg(y.number, x.number), "atan2");
    }
    wa_unit degree = wa_unit_degree();
    wa_column *out = cell_new_column(L, cell_rows(&y, &x), &degree);
    cell_need(L, wa_column_atan2(out, &y, &x, &err), &err);
    cell_keep_times(L, 1);
    cell_keep_times(L, 2);
    cell_origin_function(L, "atan2", 1, 2);
    return 1;
}

void cell_open_angle(lua_State *L)
{
    static const luaL_Reg library[] = {
        {"sin", sine},        {"cos", cosine},        {"tan", tangent}, {"asin", arc_sine},
        {"acos", arc_cosine}, {"atan2", arc_tangent}, {NULL, NULL}};
    cell_library(L, "angle", library);
}
