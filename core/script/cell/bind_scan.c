/* bind_scan.c - fit.scan: how residuals hang on the assumed direction of a line of sight. */
#include "script/cell/open.h"
#include "script/cell/results.h"
#include "script/cell/share.h"
#include "windassay/scan.h"

#include <math.h>

enum { PASSES = 80 };

static const wa_column *check_degrees(lua_State *L, int arg, const char *what)
{
    const wa_column *c = cell_check_column(L, arg, what);
    wa_unit degree = wa_unit_degree();
    if (!wa_unit_equal(&c->unit, &degree))
        cell_fail_hint(L, "convert it with :to(\"degree\")", "fit.scan: %s is in '%s', not degrees",
                       what, c->unit.text);
    return c;
}

static void check_sides(lua_State *L, const wa_column *d, const wa_column *x, const wa_column *y)
{
    static const char hint[] = "fit.scan(direction, reference, measured): the unit's column last";
    if (y->side == WA_SIDE_REFERENCE)
        cell_fail_hint(L, hint, "fit.scan: what is measured comes from the reference");
    if (x->side == WA_SIDE_UNIT || d->side == WA_SIDE_UNIT)
        cell_fail_hint(L, hint, "fit.scan: the reference comes from the unit");
}

/* Pushes the columns rss, gain and offset over the candidates `at`. */
static void push_candidates(lua_State *L, const wa_scan *s, const wa_column *at,
                            const wa_unit *gain_unit, const wa_unit *y)
{
    wa_unit rest = wa_unit_difference(y), square;
    wa_error err;
    if (wa_unit_multiply(&square, &rest, &rest, &err) != WA_OK)
        cell_raise(L, &err);
    cell_charge(L, 64 * at->n);
    wa_column *rss = cell_new_column(L, at->n, &square);
    wa_column *gain = cell_new_column(L, at->n, gain_unit);
    wa_column *offset = cell_new_column(L, at->n, y);
    for (size_t i = 0; i < at->n; i++)
        if (!isnan(at->at[i]) &&
            wa_scan_at(&rss->at[i], &gain->at[i], &offset->at[i], s, at->at[i], &err) != WA_OK)
            cell_raise(L, &err);
}

/* fit.scan(direction, x, y, { at = column of directions, offset = }) */
static int scan(lua_State *L)
{
    static const char *const options[] = {"at", "offset", NULL};
    static const char NO_OFFSET[] = "no offset was fitted; ask for it: { offset = true }";
    bool offset = false;
    wa_column *d, *x, *y;
    wa_scan s;
    wa_error err;
    cell_check_pair(L, 1, 2, "fit.scan", &d, &x);
    cell_check_pair(L, 1, 3, "fit.scan", &d, &y);
    check_degrees(L, 1, "the direction");
    check_sides(L, d, x, y);
    cell_options(L, 4, "fit.scan", options);
    cell_option_flag(L, 4, "offset", &offset);
    lua_settop(L, 4);
    if (cell_option(L, 4, "at") == LUA_TNIL)
        return cell_fail_hint(L, "{ at = column.new({ 286.9, 287.0, 287.1 }, \"degree\") }",
                              "fit.scan: needs the candidate directions");
    const wa_column *at = check_degrees(L, 5, "at");
    cell_charge(L, PASSES * d->n);
    if (wa_scan_make(&s, d->at, x->at, y->at, d->n, offset, &err) != WA_OK)
        return cell_raise(L, &err);
    wa_unit unit = cell_unit_of_slope(L, &y->unit, &x->unit);
    push_candidates(L, &s, at, &unit, &y->unit);
    cell_new_result(L, "scan of directions", 0);
    lua_pushvalue(L, 6);
    cell_result_value(L, "rss_at");
    lua_pushvalue(L, 7);
    cell_result_value(L, "gain_at");
    if (offset) {
        lua_pushvalue(L, 8);
        cell_result_value(L, "offset_at");
    } else {
        cell_result_undefined(L, "offset_at", NO_OFFSET);
    }
    cell_result_whole(L, "n", s.n);
    cell_result_whole(L, "left_out", s.left_out);
    cell_result_whole(L, "dof", s.dof);
    cell_result_text(L, "gain_unit", unit.text);
    cell_result_number(L, "direction", s.direction, "");
    cell_result_number(L, "direction_u", s.direction_u, "");
    cell_result_number(L, "gain", s.gain, "");
    cell_result_number(L, "offset", s.offset, NO_OFFSET);
    cell_result_number(L, "rss", s.rss, "");
    return 1;
}

void cell_open_scan(lua_State *L)
{
    lua_getglobal(L, "fit");
    lua_pushcfunction(L, scan);
    lua_setfield(L, -2, "scan");
    lua_pop(L, 1);
}
