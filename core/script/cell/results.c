#include "script/cell/results.h"

#include <math.h>
#include <string.h>

static const char RESULT[] = "windassay.result";

/* User values of a result. */
enum { FIELDS = 1, UNDEFINED = 2 };

/* The union keeps the caller's bytes aligned for anything that a fit holds. */
typedef union head {
    const char *kind;
    double aligned[2];
} head;

void *cell_new_result(lua_State *L, const char *kind, size_t more)
{
    head *h = lua_newuserdatauv(L, sizeof *h + more, 2);
    h->kind = kind;
    luaL_setmetatable(L, RESULT);
    lua_newtable(L);
    lua_setiuservalue(L, -2, FIELDS);
    lua_newtable(L);
    lua_setiuservalue(L, -2, UNDEFINED);
    return h + 1;
}

void *cell_result_data(lua_State *L, int arg, const char *kind)
{
    head *h = luaL_testudata(L, arg, RESULT);
    return h != NULL && strcmp(h->kind, kind) == 0 ? h + 1 : NULL;
}

/* The value on top becomes `field` of user value `slot` of the result below it. */
static void set(lua_State *L, int slot, const char *field)
{
    lua_getiuservalue(L, -2, slot);
    lua_insert(L, -2);
    lua_setfield(L, -2, field);
    lua_pop(L, 1);
}

void cell_result_value(lua_State *L, const char *field)
{
    set(L, FIELDS, field);
}

void cell_result_undefined(lua_State *L, const char *field, const char *why)
{
    lua_pushstring(L, why);
    set(L, UNDEFINED, field);
}

void cell_result_number(lua_State *L, const char *field, double x, const char *why)
{
    if (!isfinite(x)) {
        cell_result_undefined(L, field, why);
        return;
    }
    lua_pushnumber(L, x);
    set(L, FIELDS, field);
}

void cell_result_whole(lua_State *L, const char *field, uint64_t n)
{
    lua_pushinteger(L, (lua_Integer)n);
    set(L, FIELDS, field);
}

void cell_result_text(lua_State *L, const char *field, const char *text)
{
    lua_pushstring(L, text);
    set(L, FIELDS, field);
}

static int result_index(lua_State *L)
{
    const head *h = luaL_checkudata(L, 1, RESULT);
    lua_settop(L, 2);
    lua_getiuservalue(L, 1, FIELDS);
    lua_pushvalue(L, 2);
    if (lua_rawget(L, 3) != LUA_TNIL)
        return 1;
    if (lua_type(L, 2) != LUA_TSTRING)
        return cell_fail(L, "a %s has no entry of type %s", h->kind, cell_type_name(L, 2));
    const char *key = lua_tostring(L, 2);
    lua_getiuservalue(L, 1, UNDEFINED);
    lua_pushvalue(L, 2);
    if (lua_rawget(L, -2) != LUA_TNIL)
        return cell_raise_undefined(L, "%s is not defined: %s", key, lua_tostring(L, -1));
    return cell_fail_nearest(L, 3, key, "a %s has no '%s'", h->kind, key);
}

static int result_write(lua_State *L)
{
    const head *h = luaL_checkudata(L, 1, RESULT);
    return cell_fail_hint(L, "keep your own in a local variable", "a %s is read-only", h->kind);
}

static int result_text(lua_State *L)
{
    const head *h = luaL_checkudata(L, 1, RESULT);
    lua_pushstring(L, h->kind);
    return 1;
}

void cell_open_results(lua_State *L)
{
    static const luaL_Reg meta[] = {{"__index", result_index},
                                    {"__newindex", result_write},
                                    {"__tostring", result_text},
                                    {NULL, NULL}};
    static const luaL_Reg none[] = {{NULL, NULL}};
    cell_type(L, RESULT, meta, none);
}
