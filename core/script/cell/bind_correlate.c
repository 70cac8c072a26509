/* bind_correlate.c - correlate.lag. */
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/results.h"
#include "script/cell/share.h"
#include "windassay/correlate.h"

enum { WITHIN_MOST = 100000 };

/* Lags count rows: a column that was cut has lost the spacing. */
static void check_spacing(lua_State *L, const wa_column *c)
{
    for (size_t i = 2; c->time != NULL && i < c->n; i++)
        if (c->time[i] - c->time[i - 1] != c->time[1] - c->time[0])
            cell_fail_hint(L,
                           "correlate columns of the whole grid: gaps in them are missing values",
                           "correlate.lag: the rows are not evenly spaced in time");
}

/* Columns of 2 within + 1 values, from the lag -within on. */
static void set_columns(lua_State *L, const double *r, const size_t *pairs, int within)
{
    wa_unit one = wa_unit_one();
    size_t count = 2 * (size_t)within + 1;
    wa_column *lags = cell_new_column(L, count, &one);
    for (size_t i = 0; i < count; i++)
        lags->at[i] = (double)i - within;
    cell_result_value(L, "lags");
    cell_push_values(L, r, count, &one, WA_SIDE_NONE);
    cell_result_value(L, "correlation");
    wa_column *n = cell_new_column(L, count, &one);
    for (size_t i = 0; i < count; i++)
        n->at[i] = (double)pairs[i];
    cell_result_value(L, "pairs");
}

/* correlate.lag(a, b, { within =, differences = }): within in rows. */
static int lag(lua_State *L)
{
    static const char *const options[] = {"within", "differences", NULL};
    wa_column *a, *b;
    int64_t within = 0;
    bool differences = false;
    wa_error err;
    cell_check_pair(L, 1, 2, "correlate.lag", &a, &b);
    cell_options(L, 3, "correlate.lag", options);
    if (!cell_option_whole(L, 3, "within", 0, WITHIN_MOST, &within))
        return cell_fail_hint(L, "{ within = 12 }: two hours of 10-minute rows",
                              "correlate.lag: needs the lags to look at, in rows");
    cell_option_flag(L, 3, "differences", &differences);
    check_spacing(L, a);
    check_spacing(L, b);
    size_t count = 2 * (size_t)within + 1;
    cell_charge(L, 60 * count * (a->n + 1));
    double *r = lua_newuserdatauv(L, count * sizeof *r, 0);
    size_t *pairs = lua_newuserdatauv(L, count * sizeof *pairs, 0);
    wa_lag found;
    cell_need(
        L, wa_correlate_lag(&found, r, pairs, a->at, b->at, a->n, (int)within, differences, &err),
        &err);
    cell_new_result(L, "correlation by lag", 0);
    lua_pushinteger(L, found.lag);
    cell_result_value(L, "lag");
    cell_result_number(L, "sub_lag", found.sub_lag,
                       "the greatest correlation has no defined neighbours within the range on "
                       "both sides, or no peak");
    cell_result_number(L, "correlation_at_lag", found.greatest, "");
    set_columns(L, r, pairs, (int)within);
    return 1;
}

void cell_open_correlate(lua_State *L)
{
    static const luaL_Reg functions[] = {{"lag", lag}, {NULL, NULL}};
    cell_library(L, "correlate", functions);
}
