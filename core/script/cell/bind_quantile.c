/* bind_quantile.c - quantile.normal, .t, .f and .chi2: what limits and coverage factors are made of. */
#include "script/cell/bind.h"
#include "script/cell/open.h"
#include "windassay/quantile.h"

#include <math.h>

/* A probability between 0 and 1, both left out: there the quantile has no bound. */
static double probability(lua_State *L, const char *what)
{
    double p = cell_check_number(L, 1, what);
    if (!(p > 0 && p < 1))
        cell_fail(L, "%s: a probability lies between 0 and 1, not at %g", what, p);
    return p;
}

/* Degrees of freedom; math.huge where `unbounded`. */
static double freedom(lua_State *L, int arg, const char *what, bool unbounded)
{
    if (unbounded && lua_type(L, arg) == LUA_TNUMBER && lua_tonumber(L, arg) == (double)INFINITY)
        return (double)INFINITY;
    double dof = cell_check_number(L, arg, what);
    if (dof < 1)
        cell_fail(L, "%s: %g degrees of freedom, below 1", what, dof);
    return dof;
}

static int give(lua_State *L, double x, const char *what)
{
    if (!isfinite(x))
        return cell_raise_undefined(L, "%s is not defined for these arguments", what);
    lua_pushnumber(L, x);
    return 1;
}

static int normal(lua_State *L)
{
    double p = probability(L, "quantile.normal");
    return give(L, wa_normal_quantile(p), "quantile.normal");
}

static int student(lua_State *L)
{
    double p = probability(L, "quantile.t");
    return give(L, wa_t_quantile(p, freedom(L, 2, "quantile.t", true)), "quantile.t");
}

static int fisher(lua_State *L)
{
    double p = probability(L, "quantile.f"), above = freedom(L, 2, "quantile.f", false);
    return give(L, wa_f_quantile(p, above, freedom(L, 3, "quantile.f", false)), "quantile.f");
}

static int squares(lua_State *L)
{
    double p = probability(L, "quantile.chi2");
    return give(L, wa_chi2_quantile(p, freedom(L, 2, "quantile.chi2", false)), "quantile.chi2");
}

void cell_open_distributions(lua_State *L)
{
    static const luaL_Reg library[] = {
        {"normal", normal}, {"t", student}, {"f", fisher}, {"chi2", squares}, {NULL, NULL}};
    cell_library(L, "quantile", library);
}
