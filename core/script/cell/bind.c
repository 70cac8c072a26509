#include "script/cell/bind.h"

#include "script/cell/state.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char MISSING[] = "windassay.missing";

/* ---- arguments ----------------------------------------------------------------------------- */

const char *cell_type_name(lua_State *L, int arg)
{
    if (lua_isnoneornil(L, arg))
        return "nothing";
    if (cell_is_missing(L, arg))
        return "missing";
    if (luaL_getmetafield(L, arg, "__name") == LUA_TSTRING) {
        /* The metatable keeps the name alive after the pop. */
        const char *name = lua_tostring(L, -1);
        lua_pop(L, 1);
        return strncmp(name, "windassay.", 10) == 0 ? name + 10 : name;
    }
    return luaL_typename(L, arg);
}

double cell_check_number(lua_State *L, int arg, const char *what)
{
    if (lua_type(L, arg) != LUA_TNUMBER)
        cell_fail(L, "%s: expected a number, got %s", what, cell_type_name(L, arg));
    double x = lua_tonumber(L, arg);
    if (!isfinite(x))
        cell_fail(L, "%s: expected a finite number, got %s", what, x != x ? "nan" : "infinity");
    return x;
}

int64_t cell_check_whole(lua_State *L, int arg, const char *what, int64_t lowest, int64_t highest)
{
    double x = cell_check_number(L, arg, what);
    int is_whole;
    lua_Integer n = lua_tointegerx(L, arg, &is_whole);
    if (!is_whole)
        cell_fail(L, "%s: expected a whole number, got %.17g", what, x);
    if (n < lowest || n > highest)
        cell_fail(L, "%s: expected a whole number from %lld to %lld, got %lld", what,
                  (long long)lowest, (long long)highest, (long long)n);
    return n;
}

const char *cell_check_text(lua_State *L, int arg, const char *what)
{
    if (lua_type(L, arg) != LUA_TSTRING)
        cell_fail(L, "%s: expected a text, got %s", what, cell_type_name(L, arg));
    size_t n;
    const char *text = lua_tolstring(L, arg, &n);
    if (strlen(text) != n)
        cell_fail(L, "%s: holds a zero byte", what);
    return text;
}

void cell_check_table(lua_State *L, int arg, const char *what)
{
    if (!lua_istable(L, arg))
        cell_fail(L, "%s: expected a table, got %s", what, cell_type_name(L, arg));
}

/* ---- options ------------------------------------------------------------------------------- */

bool cell_options(lua_State *L, int arg, const char *function, const char *const *names)
{
    if (lua_isnoneornil(L, arg))
        return false;
    if (!lua_istable(L, arg))
        cell_fail(L, "%s: expected a table of options, got %s", function, cell_type_name(L, arg));
    arg = lua_absindex(L, arg);
    size_t n = 0;
    while (names[n] != NULL)
        n++;
    lua_Integer keys = cell_push_sorted_keys(L, arg);
    for (lua_Integer i = 1; i <= keys; i++) {
        if (lua_rawgeti(L, -1, i) != LUA_TSTRING)
            cell_fail(L, "%s: options have names, as in { width = 0.5 }; found a value without",
                      function);
        const char *key = lua_tostring(L, -1);
        size_t k = 0;
        while (k < n && strcmp(names[k], key) != 0)
            k++;
        if (k == n) {
            const char *near = wa_nearest(key, names, n);
            if (near == NULL)
                cell_fail(L, "%s: unknown option '%s'", function, key);
            lua_pushfstring(L, "did you mean '%s'?", near);
            cell_fail_hint(L, lua_tostring(L, -1), "%s: unknown option '%s'", function, key);
        }
        lua_pop(L, 1);
    }
    lua_pop(L, 1);
    return true;
}

int cell_option(lua_State *L, int arg, const char *name)
{
    if (lua_istable(L, arg))
        return lua_getfield(L, arg, name);
    lua_pushnil(L);
    return LUA_TNIL;
}

bool cell_option_number(lua_State *L, int arg, const char *name, double *out)
{
    bool there = cell_option(L, arg, name) != LUA_TNIL;
    if (there)
        *out = cell_check_number(L, -1, name);
    lua_pop(L, 1);
    return there;
}

bool cell_option_whole(lua_State *L, int arg, const char *name, int64_t lowest, int64_t highest,
                       int64_t *out)
{
    bool there = cell_option(L, arg, name) != LUA_TNIL;
    if (there)
        *out = cell_check_whole(L, -1, name, lowest, highest);
    lua_pop(L, 1);
    return there;
}

bool cell_option_flag(lua_State *L, int arg, const char *name, bool *out)
{
    int type = cell_option(L, arg, name);
    if (type != LUA_TNIL && type != LUA_TBOOLEAN)
        cell_fail(L, "%s: expected true or false, got %s", name, cell_type_name(L, -1));
    if (type == LUA_TBOOLEAN)
        *out = lua_toboolean(L, -1);
    lua_pop(L, 1);
    return type != LUA_TNIL;
}

bool cell_option_text(lua_State *L, int arg, const char *name, const char **out)
{
    bool there = cell_option(L, arg, name) != LUA_TNIL;
    if (there)
        *out = cell_check_text(L, -1, name);
    lua_pop(L, 1);
    return there;
}

/* ---- results ------------------------------------------------------------------------------- */

void cell_set_number(lua_State *L, const char *field, double x)
{
    if (!isfinite(x))
        cell_raise_undefined(L, "%s is not defined", field);
    lua_pushnumber(L, x == 0 ? 0 : x);
    lua_setfield(L, -2, field);
}

void cell_set_whole(lua_State *L, const char *field, uint64_t n)
{
    lua_pushinteger(L, (lua_Integer)n);
    lua_setfield(L, -2, field);
}

void cell_set_text(lua_State *L, const char *field, const char *text)
{
    lua_pushstring(L, text);
    lua_setfield(L, -2, field);
}

/* ---- missing ------------------------------------------------------------------------------- */

static int missing_text(lua_State *L)
{
    lua_pushliteral(L, "missing");
    return 1;
}

static int missing_use(lua_State *L)
{
    return cell_fail_hint(L, "test it first: if x ~= missing then ... end",
                          "a missing value cannot be used as a number");
}

void cell_push_missing(lua_State *L)
{
    if (lua_getfield(L, LUA_REGISTRYINDEX, "windassay.the missing") != LUA_TNIL)
        return;
    lua_pop(L, 1);
    static const luaL_Reg meta[] = {{"__tostring", missing_text}, {"__add", missing_use},
                                    {"__sub", missing_use},       {"__mul", missing_use},
                                    {"__div", missing_use},       {"__mod", missing_use},
                                    {"__pow", missing_use},       {"__unm", missing_use},
                                    {"__idiv", missing_use},      {"__lt", missing_use},
                                    {"__le", missing_use},        {"__index", missing_use},
                                    {"__concat", missing_use},    {NULL, NULL}};
    lua_newuserdatauv(L, 0, 0);
    luaL_newmetatable(L, MISSING);
    luaL_setfuncs(L, meta, 0);
    lua_pushliteral(L, "locked");
    lua_setfield(L, -2, "__metatable");
    lua_setmetatable(L, -2);
    lua_pushvalue(L, -1);
    lua_setfield(L, LUA_REGISTRYINDEX, "windassay.the missing");
}

bool cell_is_missing(lua_State *L, int index)
{
    return luaL_testudata(L, index, MISSING) != NULL;
}

/* ---- bins ---------------------------------------------------------------------------------- */

const wa_bins *cell_test_bins(lua_State *L, int arg)
{
    wa_bins *const *at = luaL_testudata(L, arg, "windassay.bins");
    return at != NULL ? *at : NULL;
}

/* ---- libraries and types ------------------------------------------------------------------- */

void cell_library(lua_State *L, const char *name, const luaL_Reg *functions)
{
    lua_newtable(L);
    luaL_setfuncs(L, functions, 0);
    lua_setglobal(L, name);
}

/* __index of a type: upvalue 1 the methods, upvalue 2 the type's name. */
static int unknown_method(lua_State *L)
{
    const char *type = lua_tostring(L, lua_upvalueindex(2));
    if (lua_type(L, 2) != LUA_TSTRING)
        return cell_fail(L, "a %s has no entry of type %s", type, cell_type_name(L, 2));
    const char *key = lua_tostring(L, 2);
    return cell_fail_nearest(L, lua_upvalueindex(1), key, "a %s has no '%s'", type, key);
}

static int index_method(lua_State *L)
{
    lua_pushvalue(L, 2);
    if (lua_rawget(L, lua_upvalueindex(1)) != LUA_TNIL)
        return 1;
    return unknown_method(L);
}

void cell_type(lua_State *L, const char *type, const luaL_Reg *metamethods, const luaL_Reg *methods)
{
    luaL_newmetatable(L, type); /* sets __name */
    lua_newtable(L);
    luaL_setfuncs(L, methods, 0);
    lua_pushstring(L, strncmp(type, "windassay.", 10) == 0 ? type + 10 : type);
    lua_pushcclosure(L, index_method, 2);
    lua_setfield(L, -2, "__index");
    luaL_setfuncs(L, metamethods, 0); /* may replace __index */
    lua_pushliteral(L, "locked");
    lua_setfield(L, -2, "__metatable");
    lua_pop(L, 1);
}
