/* bind_instruments.c - campaign.instruments: what the file says of each place for an instrument, with
 * its name, the times at which instruments were fitted there, and the method `components`. */
#include "script/cell/grid.h"
#include "script/cell/operands.h"
#include "windassay/time.h"

/* instrument:components(reading [, options]): what the practice makes of the campaign's words. */
static int instrument_components(lua_State *L)
{
    cell_check_table(L, 1, "components: write campaign.instruments.NAME:components(reading)");
    lua_settop(L, 3);
    cell_require(L, "practice.instruments");
    lua_getfield(L, -1, "components");
    lua_insert(L, 1);
    lua_pop(L, 1);
    lua_call(L, 3, 1);
    return 1;
}

/* s since 1970 of the instant that stands in the entry `key` of the table on top; false where there
 * is none. */
static bool instant_of(lua_State *L, const char *key, double *out)
{
    size_t n = 0;
    int64_t t = 0;
    wa_error err;
    bool there = lua_getfield(L, -1, key) == LUA_TSTRING;
    const char *text = there ? lua_tolstring(L, -1, &n) : NULL;
    if (there)
        cell_need(L, wa_instant_parse(&t, text, n, &err), &err);
    lua_pop(L, 1);
    *out = (double)t / 1e9;
    return there;
}

static void set_number(lua_State *L, const char *key, double x)
{
    lua_pushnumber(L, x);
    lua_setfield(L, -2, key);
}

/* When each was fitted as numbers, `starts` and `ends` (none while it is still there), in the
 * instrument on top. One that does not say when it was taken down ends where the next one starts. */
static void set_spans(lua_State *L)
{
    lua_Integer n = lua_getfield(L, -1, "fitted") == LUA_TTABLE ? luaL_len(L, -1) : 0;
    for (lua_Integer i = n; i >= 1; i--) {
        double t;
        lua_geti(L, -1, i);
        if (instant_of(L, "from", &t))
            set_number(L, "starts", t);
        if (instant_of(L, "to", &t)) {
            set_number(L, "ends", t);
        } else if (i < n) {
            lua_geti(L, -2, i + 1);
            lua_getfield(L, -1, "starts");
            lua_setfield(L, -3, "ends");
            lua_pop(L, 1);
        }
        lua_pop(L, 1);
    }
    lua_pop(L, 1);
}

void cell_set_instruments(lua_State *L, int data, const wa_value *campaign)
{
    const wa_value *instruments = wa_get(campaign, "instruments");
    if (lua_getfield(L, data, "instruments") == LUA_TTABLE) {
        lua_createtable(L, 0, 2);
        lua_createtable(L, 0, 1);
        lua_pushcfunction(L, instrument_components);
        lua_setfield(L, -2, "components");
        lua_setfield(L, -2, "__index");
        lua_pushliteral(L, "locked");
        lua_setfield(L, -2, "__metatable");
        for (size_t i = 0; i < wa_count(instruments); i++) {
            const char *name = wa_key(instruments, i);
            if (name == NULL || lua_getfield(L, -2, name) != LUA_TTABLE)
                cell_fail(L, "campaign.instruments is not as it must be");
            cell_set_text(L, "name", name);
            set_spans(L);
            lua_pushvalue(L, -2);
            lua_setmetatable(L, -2);
            lua_pop(L, 1);
        }
        lua_pop(L, 1);
    }
    lua_pop(L, 1);
}
