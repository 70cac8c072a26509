/* bind_circular.c - circular.mean and the like: statistics of directions in degrees. */
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/origin.h"
#include "script/cell/trace.h"
#include "windassay/circular.h"

typedef wa_status statistic(double *out, const double *deg, size_t n, wa_error *err);

/* Directions are in degrees; a pure number is taken as such. */
static void check_degrees(lua_State *L, const wa_unit *unit, const char *what)
{
    wa_unit degree = wa_unit_degree();
    if (wa_unit_equal(unit, &degree) || wa_unit_is_one(unit))
        return;
    cell_fail_hint(L, "convert with :to(\"degree\") first",
                   "circular.%s: the column is in '%s', not in 'degree'", what, unit->text);
}

static int one_number(lua_State *L, statistic *f, const char *what)
{
    enum { COST = 20 }; /* a sine and a cosine to 62 bits */
    wa_error err;
    double value = 0;
    const wa_column *c = cell_check_column(L, 1, what);
    check_degrees(L, &c->unit, what);
    cell_charge(L, c->n * COST);
    cell_need(L, f(&value, c->at, c->n, &err), &err);
    lua_pushnumber(L, value);
    return 1;
}

static int mean(lua_State *L)
{
    if (cell_is_placeholder(L, 1))
        return cell_trace_function(L, "circular_mean");
    return one_number(L, wa_circular_mean, "mean");
}

static int resultant(lua_State *L)
{
    return one_number(L, wa_circular_resultant, "resultant");
}

static int sd(lua_State *L)
{
    return one_number(L, wa_circular_sd, "sd");
}

static int yamartino_sd(lua_State *L)
{
    return one_number(L, wa_circular_yamartino_sd, "yamartino_sd");
}

static int angular_deviation(lua_State *L)
{
    return one_number(L, wa_circular_angular_deviation, "angular_deviation");
}

/* One side of a difference: a column in degrees, or a direction. */
static wa_operand side(lua_State *L, int arg)
{
    wa_operand o = {.column = cell_test_column(L, arg)};
    if (o.column != NULL)
        check_degrees(L, &o.column->unit, "difference");
    else
        o.number = cell_degrees(L, arg, "difference");
    return o;
}

/* circular.difference(a, b): a - b on the circle, in (-180, 180]. */
static int difference(lua_State *L)
{
    wa_error err;
    lua_settop(L, 2);
    if (cell_is_placeholder(L, 1) || cell_is_placeholder(L, 2))
        return cell_trace_pair(L, "difference");
    wa_operand a = side(L, 1), b = side(L, 2);
    if (a.column == NULL && b.column == NULL) {
        lua_pushnumber(L, wa_circular_difference(a.number, b.number));
        return 1;
    }
    wa_unit degree = wa_unit_degree();
    wa_column *out = cell_new_column(L, cell_rows(&a, &b), &degree);
    cell_need(L, wa_column_difference(out, &a, &b, &err), &err);
    cell_keep_times(L, 1);
    cell_keep_times(L, 2);
    cell_origin_function(L, "difference", 1, 2);
    return 1;
}

void cell_open_circular(lua_State *L)
{
    static const luaL_Reg library[] = {{"mean", mean},
                                       {"resultant", resultant},
                                       {"sd", sd},
                                       {"yamartino_sd", yamartino_sd},
                                       {"angular_deviation", angular_deviation},
                                       {"difference", difference},
                                       {NULL, NULL}};
    cell_library(L, "circular", library);
}
