/* bind_rolling.c - methods of columns that look at a window about each row. */
#include "script/cell/operands.h"
#include "script/cell/origin.h"
#include "windassay/rolling.h"

typedef wa_status rolling(wa_column *out, const wa_column *a, int64_t n, wa_error *err);

static int roll(lua_State *L, rolling *f, const char *what)
{
    wa_error err;
    const wa_column *a = cell_check_column(L, 1, what);
    int64_t n = cell_check_whole(L, 2, what, 1, WA_ROLLING_MAX);
    cell_charge(L, a->n * (uint64_t)n);
    wa_column *out = cell_new_column(L, a->n, &a->unit);
    cell_need(L, f(out, a, n, &err), &err);
    cell_keep_times(L, 1);
    cell_origin_function(L, what, 1, 2);
    return 1;
}

static int median(lua_State *L)
{
    return roll(L, wa_rolling_median, "rolling_median");
}

static int mad(lua_State *L)
{
    return roll(L, wa_rolling_mad, "rolling_mad");
}

const luaL_Reg cell_rolling_methods[] = {
    {"rolling_median", median}, {"rolling_mad", mad}, {NULL, NULL}};
