/* lists.c - table.* of the sandbox, on raw lengths and charged: a length can be made huge by a few
 * entries, and no hook runs inside a C loop. table.sort is a stable merge sort: Lua's own picks
 * pivots from the clock when a list is unbalanced, and ties then fall as they like. */
#include "script/cell/state.h"

#include <string.h>

static lua_Integer check_list(lua_State *L, const char *what)
{
    cell_check_table(L, 1, what);
    if (luaL_getmetafield(L, 1, "__metatable") != LUA_TNIL) {
        if (lua_type(L, -1) == LUA_TSTRING)
            cell_fail(L, "%s: this table is read-only", what);
        lua_pop(L, 1);
    }
    return (lua_Integer)lua_rawlen(L, 1);
}

/* table.insert(list, [position,] value) */
static int list_insert(lua_State *L)
{
    lua_Integer n = check_list(L, "table.insert"), at = n + 1;
    if (lua_gettop(L) == 3) {
        at = cell_check_whole(L, 2, "table.insert: the position", 1, n + 1);
        lua_remove(L, 2);
    } else if (lua_gettop(L) != 2) {
        return cell_fail(L, "table.insert: takes a list, a position or none, and a value");
    }
    cell_charge(L, (uint64_t)(n + 1 - at));
    for (lua_Integer i = n; i >= at; i--) {
        lua_rawgeti(L, 1, i);
        lua_rawseti(L, 1, i + 1);
    }
    lua_rawseti(L, 1, at);
    return 0;
}

/* table.remove(list [, position]) gives what it removed */
static int list_remove(lua_State *L)
{
    lua_Integer n = check_list(L, "table.remove"), at = n;
    if (!lua_isnoneornil(L, 2))
        at = cell_check_whole(L, 2, "table.remove: the position", n > 0 ? 1 : 0, n + 1);
    cell_charge(L, (uint64_t)(n > at ? n - at : 0));
    lua_rawgeti(L, 1, at);
    for (; at < n; at++) {
        lua_rawgeti(L, 1, at + 1);
        lua_rawseti(L, 1, at);
    }
    if (at > 0 && at == n) {
        lua_pushnil(L);
        lua_rawseti(L, 1, at);
    }
    return 1;
}

/* table.concat(list [, between [, first [, last]]]) of texts and numbers */
static int list_concat(lua_State *L)
{
    lua_Integer n = check_list(L, "table.concat");
    size_t between_n;
    const char *between = luaL_optlstring(L, 2, "", &between_n);
    lua_Integer i = luaL_optinteger(L, 3, 1), last = luaL_optinteger(L, 4, n);
    luaL_Buffer b;
    lua_settop(L, 2);
    luaL_buffinit(L, &b);
    for (; i <= last; i++) {
        cell_charge(L, 2);
        int type = lua_rawgeti(L, 1, i);
        if (type != LUA_TSTRING && type != LUA_TNUMBER)
            return cell_fail(L, "table.concat: entry %lld is a %s, not a text or number",
                             (long long)i, cell_type_name(L, -1));
        if (type == LUA_TNUMBER) {
            cell_push_text_of(L, -1);
            lua_replace(L, -2);
        }
        luaL_addvalue(&b);
        if (i < last)
            luaL_addlstring(&b, between, between_n);
        if (i == LUA_MAXINTEGER)
            break;
    }
    luaL_pushresult(&b);
    return 1;
}

static int list_pack(lua_State *L)
{
    int n = lua_gettop(L);
    lua_createtable(L, n, 1);
    lua_insert(L, 1);
    for (int i = n; i >= 1; i--)
        lua_rawseti(L, 1, i);
    lua_pushinteger(L, n);
    lua_setfield(L, 1, "n");
    return 1;
}

static int list_unpack(lua_State *L)
{
    enum { MOST = 8000 };
    cell_check_table(L, 1, "table.unpack");
    lua_Integer i = luaL_optinteger(L, 2, 1);
    lua_Integer last = luaL_optinteger(L, 3, (lua_Integer)lua_rawlen(L, 1));
    if (i > last)
        return 0;
    if ((lua_Unsigned)last - (lua_Unsigned)i >= MOST || !lua_checkstack(L, MOST + 10))
        return cell_fail(L, "table.unpack: more than %d values", MOST);
    int n = (int)(last - i) + 1;
    cell_charge(L, (uint64_t)n);
    for (int k = 0; k < n; k++)
        lua_rawgeti(L, 1, i + k);
    return n;
}

/* ---- sort ---------------------------------------------------------------------------------- */

/* Stack: 1 the list, 2 the order or nil, 3 the scratch list. Is entry b (on top) to stand before
 * entry a (below it)? Both stay. */
static bool before(lua_State *L)
{
    if (lua_isnil(L, 2))
        return lua_compare(L, -1, -2, LUA_OPLT);
    lua_pushvalue(L, 2);
    lua_pushvalue(L, -2);
    lua_pushvalue(L, -4);
    lua_call(L, 2, 1);
    bool yes = lua_toboolean(L, -1);
    lua_pop(L, 1);
    return yes;
}

/* Merges [low, middle) and [middle, high) of `from` into `to`. Of equals the left one is first. */
static void merge(lua_State *L, int from, int to, lua_Integer low, lua_Integer middle,
                  lua_Integer high)
{
    lua_Integer i = low, k = middle;
    for (lua_Integer out = low; out < high; out++) {
        bool right = i >= middle;
        if (!right && k < high) {
            lua_rawgeti(L, from, i);
            lua_rawgeti(L, from, k);
            right = before(L);
            lua_pop(L, 2);
        }
        lua_rawgeti(L, from, right ? k++ : i++);
        lua_rawseti(L, to, out);
    }
}

/* table.sort(list [, before]) */
static int list_sort(lua_State *L)
{
    lua_Integer n = check_list(L, "table.sort");
    lua_settop(L, 2);
    if (!lua_isnil(L, 2))
        luaL_checktype(L, 2, LUA_TFUNCTION);
    if (n > 1 << 24)
        return cell_fail(L, "table.sort: more than %d entries", 1 << 24);
    lua_createtable(L, (int)n, 0);
    lua_createtable(L, (int)n, 0); /* a copy: a comparison that fails leaves the list as it was */
    for (lua_Integer i = 1; i <= n; i++) {
        lua_rawgeti(L, 1, i);
        lua_rawseti(L, 4, i);
    }
    int from = 4, to = 3;
    for (lua_Integer width = 1; width < n; width *= 2) {
        cell_charge(L, (uint64_t)n * 4);
        for (lua_Integer low = 1; low <= n; low += 2 * width) {
            lua_Integer middle = low + width < n + 1 ? low + width : n + 1;
            lua_Integer high = low + 2 * width < n + 1 ? low + 2 * width : n + 1;
            merge(L, from, to, low, middle, high);
        }
        int other = from;
        from = to;
        to = other;
    }
    for (lua_Integer i = 1; i <= n; i++) {
        lua_rawgeti(L, from, i);
        lua_rawseti(L, 1, i);
    }
    return 0;
}

void cell_open_lists(lua_State *L)
{
    static const luaL_Reg functions[] = {{"insert", list_insert},
                                         {"remove", list_remove},
                                         {"concat", list_concat},
                                         {"pack", list_pack},
                                         {"unpack", list_unpack},
                                         {"sort", list_sort},
                                         {NULL, NULL}};
    cell_library(L, "table", functions);
}
