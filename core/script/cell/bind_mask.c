/* bind_mask.c - masks in scripts, and the comparisons that make them. */
#include "script/cell/operands.h"
#include "script/cell/origin.h"

#include <stdio.h>
#include <string.h>

static const char MASK[] = "windassay.mask";

wa_mask *cell_new_mask(lua_State *L, size_t n)
{
    cell_charge(L, n);
    wa_mask *m = lua_newuserdatauv(L, sizeof *m + n, CELL_MASK_VALUES);
    *m = (wa_mask){.at = (uint8_t *)(m + 1), .n = n};
    memset(m->at, WA_FALSE, n);
    luaL_setmetatable(L, MASK);
    return m;
}

wa_mask *cell_test_mask(lua_State *L, int arg)
{
    return luaL_testudata(L, arg, MASK);
}

wa_mask *cell_check_mask(lua_State *L, int arg, const char *what)
{
    wa_mask *m = cell_test_mask(L, arg);
    if (m == NULL)
        cell_fail_hint(L, "a mask is made by col:below(2, \"m/s\"), :missing() and the like",
                       "%s: expected a mask, got %s", what, cell_type_name(L, arg));
    return m;
}

/* ---- made from columns --------------------------------------------------------------------- */

static int compare(lua_State *L, wa_comparison c, const char *what)
{
    wa_error err;
    const wa_column *a = cell_check_column(L, 1, what);
    lua_settop(L, 3);
    wa_operand bound = cell_bound(L, 2, 3, what);
    wa_mask *out = cell_new_mask(L, a->n);
    cell_need(L, wa_mask_compare(out, c, a, &bound, &err), &err);
    cell_keep_times(L, 1);
    cell_keep_times(L, 2);
    cell_origin_compared(L, 1, what, 2, lua_tostring(L, 3));
    return 1;
}

static int below(lua_State *L)
{
    return compare(L, WA_BELOW, "below");
}

static int above(lua_State *L)
{
    return compare(L, WA_ABOVE, "above");
}

static int equals(lua_State *L)
{
    return compare(L, WA_EQUALS, "equals");
}

static int between(lua_State *L)
{
    wa_error err;
    const wa_column *a = cell_check_column(L, 1, "between");
    lua_settop(L, 4);
    wa_operand low = cell_bound(L, 2, 4, "between"), high = cell_bound(L, 3, 4, "between");
    wa_mask *out = cell_new_mask(L, a->n);
    cell_need(L, wa_mask_between(out, a, &low, &high, &err), &err);
    cell_keep_times(L, 1);
    cell_keep_times(L, 2);
    cell_keep_times(L, 3);
    cell_origin_within(L, 1, "from", 2, 3, lua_tostring(L, 4));
    return 1;
}

static int in_sector(lua_State *L)
{
    wa_error err;
    const wa_column *a = cell_check_column(L, 1, "in_sector");
    double from = cell_degrees(L, 2, "in_sector"), to = cell_degrees(L, 3, "in_sector");
    wa_mask *out = cell_new_mask(L, a->n);
    cell_need(L, wa_mask_in_sector(out, a, from, to, &err), &err);
    cell_keep_times(L, 1);
    cell_origin_within(L, 1, "in the sector from", 2, 3, "degree");
    return 1;
}

static int missing(lua_State *L)
{
    const wa_column *a = cell_check_column(L, 1, "missing");
    wa_mask_missing(cell_new_mask(L, a->n), a);
    cell_keep_times(L, 1);
    cell_origin_compared(L, 1, "missing", 0, NULL);
    return 1;
}

static int unchanged(lua_State *L)
{
    wa_error err;
    const wa_column *a = cell_check_column(L, 1, "unchanged");
    int64_t n = cell_check_whole(L, 2, "unchanged", 2, INT32_MAX);
    wa_mask *out = cell_new_mask(L, a->n);
    cell_need(L, wa_mask_unchanged(out, a, n, &err), &err);
    cell_keep_times(L, 1);
    cell_origin_compared(L, 1, "unchanged, intervals in a row at least", 2, NULL);
    return 1;
}

const luaL_Reg cell_comparison_methods[] = {
    {"below", below},         {"above", above},     {"equals", equals},       {"between", between},
    {"in_sector", in_sector}, {"missing", missing}, {"unchanged", unchanged}, {NULL, NULL}};

/* ---- their own ------------------------------------------------------------------------------- */

static int both(lua_State *L)
{
    wa_error err;
    const wa_mask *a = cell_check_mask(L, 1, "&"), *b = cell_check_mask(L, 2, "&");
    wa_mask *out = cell_new_mask(L, a->n);
    cell_need(L, wa_mask_and(out, a, b, &err), &err);
    cell_keep_times(L, 1);
    cell_keep_times(L, 2);
    cell_origin_joined(L, 1, "and", 2);
    return 1;
}

static int either(lua_State *L)
{
    wa_error err;
    const wa_mask *a = cell_check_mask(L, 1, "|"), *b = cell_check_mask(L, 2, "|");
    wa_mask *out = cell_new_mask(L, a->n);
    cell_need(L, wa_mask_or(out, a, b, &err), &err);
    cell_keep_times(L, 1);
    cell_keep_times(L, 2);
    cell_origin_joined(L, 1, "or", 2);
    return 1;
}

static int negate(lua_State *L)
{
    const wa_mask *a = cell_check_mask(L, 1, "~");
    wa_mask_not(cell_new_mask(L, a->n), a);
    cell_keep_times(L, 1);
    cell_origin_of_mask(L, "not ", 1, "");
    return 1;
}

static int grow(lua_State *L)
{
    wa_error err;
    const wa_mask *a = cell_check_mask(L, 1, "grow");
    int64_t n = cell_check_whole(L, 2, "grow", 0, INT32_MAX);
    wa_mask *out = cell_new_mask(L, a->n);
    cell_need(L, wa_mask_grow(out, a, n, &err), &err);
    cell_keep_times(L, 1);
    char near[64];
    snprintf(near, sizeof near, " within %lld intervals", (long long)n);
    cell_origin_of_mask(L, "", 1, near);
    return 1;
}

static int held(lua_State *L)
{
    wa_error err;
    const wa_mask *a = cell_check_mask(L, 1, "held");
    int64_t n = cell_check_whole(L, 2, "held", 1, INT32_MAX);
    wa_mask *out = cell_new_mask(L, a->n);
    cell_need(L, wa_mask_held(out, a, n, &err), &err);
    cell_keep_times(L, 1);
    char so_long[64];
    snprintf(so_long, sizeof so_long, " for at least %lld intervals", (long long)n);
    cell_origin_of_mask(L, "", 1, so_long);
    return 1;
}

static int latch(lua_State *L)
{
    wa_error err;
    const wa_mask *on = cell_check_mask(L, 1, "latch"), *off = cell_check_mask(L, 2, "latch");
    wa_mask *out = cell_new_mask(L, on->n);
    cell_need(L, wa_mask_latch(out, on, off, &err), &err);
    cell_keep_times(L, 1);
    cell_keep_times(L, 2);
    cell_origin_joined(L, 1, "and until", 2);
    return 1;
}

/* mask:count() counts what is true, mask:count("unknown") what cannot be judged. */
static int count(lua_State *L)
{
    const wa_mask *a = cell_check_mask(L, 1, "count");
    uint8_t state = WA_TRUE;
    if (!lua_isnoneornil(L, 2)) {
        const char *which = cell_check_text(L, 2, "count");
        if (strcmp(which, "unknown") == 0)
            state = WA_UNKNOWN;
        else if (strcmp(which, "false") == 0)
            state = WA_FALSE;
        else if (strcmp(which, "true") != 0)
            cell_fail(L, "count: '%s' is none of \"true\", \"false\", \"unknown\"", which);
    }
    cell_charge(L, a->n);
    lua_pushinteger(L, (lua_Integer)wa_mask_count(a, state));
    return 1;
}

static int length(lua_State *L)
{
    lua_pushinteger(L, (lua_Integer)cell_check_mask(L, 1, "#")->n);
    return 1;
}

/* mask[i]: true, false, or missing where it is unknown. */
static int index_mask(lua_State *L)
{
    const wa_mask *m = cell_check_mask(L, 1, "index");
    if (lua_type(L, 2) == LUA_TNUMBER) {
        lua_Integer n = (lua_Integer)m->n;
        lua_Integer i = cell_check_whole(L, 2, "the index of a mask", 1, n + 1);
        if (i == n + 1)
            return 0;
        if (m->at[i - 1] == WA_UNKNOWN)
            cell_push_missing(L);
        else
            lua_pushboolean(L, m->at[i - 1] == WA_TRUE);
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
    const wa_mask *m = cell_check_mask(L, 1, "tostring");
    lua_pushfstring(L, "mask of %I: %I true, %I unknown", (LUAI_UACINT)m->n,
                    (LUAI_UACINT)wa_mask_count(m, WA_TRUE),
                    (LUAI_UACINT)wa_mask_count(m, WA_UNKNOWN));
    return 1;
}

static int refuse_write(lua_State *L)
{
    return cell_fail_hint(L, "join masks with & | ~", "a mask is read-only");
}

void cell_open_mask(lua_State *L)
{
    static const luaL_Reg meta[] = {{"__band", both},
                                    {"__bor", either},
                                    {"__bnot", negate},
                                    {"__len", length},
                                    {"__newindex", refuse_write},
                                    {"__tostring", text},
                                    {NULL, NULL}};
    static const luaL_Reg methods[] = {
        {"grow", grow}, {"held", held}, {"latch", latch}, {"count", count}, {NULL, NULL}};
    cell_type(L, MASK, meta, methods);
    luaL_getmetatable(L, MASK);
    lua_getfield(L, -1, "__index");
    lua_pushcclosure(L, index_mask, 1);
    lua_setfield(L, -2, "__index");
    lua_pop(L, 1);
}
