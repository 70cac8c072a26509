/* bind_summary.c - methods of columns that give one number. */
#include "script/cell/operands.h"
#include "windassay/summary.h"

typedef wa_status summary(double *out, const double *x, size_t n, wa_error *err);

static int one_number(lua_State *L, summary *f, const char *what)
{
    wa_error err;
    double value = 0;
    const wa_column *c = cell_check_column(L, 1, what);
    cell_charge(L, c->n);
    cell_need(L, f(&value, c->at, c->n, &err), &err);
    lua_pushnumber(L, value);
    return 1;
}

static int mean(lua_State *L)
{
    return one_number(L, wa_summary_mean, "mean");
}

static int sd(lua_State *L)
{
    return one_number(L, wa_summary_sd, "sd");
}

static int min(lua_State *L)
{
    return one_number(L, wa_summary_min, "min");
}

static int max(lua_State *L)
{
    return one_number(L, wa_summary_max, "max");
}

static int sum(lua_State *L)
{
    const wa_column *c = cell_check_column(L, 1, "sum");
    if (wa_unit_has_zero(&c->unit))
        cell_fail_hint(L, "convert with :to(\"K\") first, or take the mean",
                       "sum: '%s' has a zero of its own and cannot be added up", c->unit.text);
    return one_number(L, wa_summary_sum, "sum");
}

static int count(lua_State *L)
{
    const wa_column *c = cell_check_column(L, 1, "count");
    cell_charge(L, c->n);
    lua_pushinteger(L, (lua_Integer)wa_summary_count(c->at, c->n));
    return 1;
}

static int push_quantile(lua_State *L, double p, const char *what)
{
    enum { SORTING = 20 }; /* comparisons a value, about */
    wa_error err;
    double value = 0;
    const wa_column *c = cell_check_column(L, 1, what);
    cell_charge(L, c->n * SORTING);
    double *scratch = lua_newuserdatauv(L, (c->n + 1) * sizeof *scratch, 0);
    cell_need(L, wa_summary_quantile(&value, c->at, c->n, p, scratch, &err), &err);
    lua_pushnumber(L, value);
    return 1;
}

static int quantile(lua_State *L)
{
    return push_quantile(L, cell_check_number(L, 2, "quantile"), "quantile");
}

static int median(lua_State *L)
{
    return push_quantile(L, 0.5, "median");
}

static int autocorrelation(lua_State *L)
{
    wa_error err;
    double value = 0;
    const wa_column *c = cell_check_column(L, 1, "autocorrelation");
    int64_t lag = cell_check_whole(L, 2, "autocorrelation", 1, INT32_MAX);
    cell_charge(L, c->n * 4);
    cell_need(L, wa_summary_autocorrelation(&value, c->at, c->time, c->n, (size_t)lag, &err), &err);
    lua_pushnumber(L, value);
    return 1;
}

static int effective_count(lua_State *L)
{
    wa_error err;
    double value = 0;
    const wa_column *c = cell_check_column(L, 1, "effective_count");
    cell_charge(L, c->n * 4);
    cell_need(L, wa_summary_effective_count(&value, c->at, c->time, c->n, &err), &err);
    lua_pushnumber(L, value);
    return 1;
}

const luaL_Reg cell_summary_methods[] = {{"mean", mean},
                                         {"sd", sd},
                                         {"min", min},
                                         {"max", max},
                                         {"sum", sum},
                                         {"count", count},
                                         {"quantile", quantile},
                                         {"median", median},
                                         {"autocorrelation", autocorrelation},
                                         {"effective_count", effective_count},
                                         {NULL, NULL}};
