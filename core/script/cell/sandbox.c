/* sandbox.c - what a chunk sees: one environment, strict and read-only, and `require`. */
#include "script/cell/state.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char LIBRARY[] = "windassay.library";
static const char ENVIRONMENT[] = "windassay.environment";
static const char MODULES[] = "windassay.modules";
enum { REQUIRE_COST = 10000 };

/* ---- read-only tables: an empty table before the real one ------------------------------------ */

static int refuse_write(lua_State *L)
{
    const char *name = lua_tostring(L, lua_upvalueindex(1));
    lua_settop(L, 2);
    return cell_fail_hint(L, "keep your own in a local variable", "'%s.%s' is read-only", name,
                          cell_push_text_of(L, 2));
}

static int unknown_entry(lua_State *L)
{
    const char *name = lua_tostring(L, lua_upvalueindex(1));
    lua_settop(L, 2);
    const char *key = cell_push_text_of(L, 2);
    return cell_fail_nearest(L, lua_upvalueindex(2), key, "'%s' has no '%s'", name, key);
}

/* Replaces the library table on top of the stack by its read-only face. */
static void make_library(lua_State *L, const char *name)
{
    int real = lua_gettop(L);
    lua_newtable(L); /* the real table's metatable: what it does not hold is an error */
    lua_pushstring(L, name);
    lua_pushvalue(L, real);
    lua_pushcclosure(L, unknown_entry, 2);
    lua_setfield(L, -2, "__index");
    lua_setmetatable(L, real);

    lua_newtable(L); /* the face */
    lua_createtable(L, 0, 4);
    lua_pushvalue(L, real);
    lua_setfield(L, -2, "__index");
    lua_pushstring(L, name);
    lua_pushcclosure(L, refuse_write, 1);
    lua_setfield(L, -2, "__newindex");
    lua_pushliteral(L, "__call"); /* a library that may be called says so in its functions */
    lua_rawget(L, real);
    lua_setfield(L, -2, "__call");
    lua_pushliteral(L, "__call");
    lua_pushnil(L);
    lua_rawset(L, real);
    lua_pushliteral(L, "locked");
    lua_setfield(L, -2, "__metatable");
    lua_pushstring(L, LIBRARY);
    lua_setfield(L, -2, "__name");
    lua_setmetatable(L, -2);
    lua_replace(L, real);
}

void cell_push_behind(lua_State *L, int index)
{
    index = lua_absindex(L, index);
    if (luaL_getmetafield(L, index, "__name") != LUA_TNIL) {
        bool library = lua_type(L, -1) == LUA_TSTRING && strcmp(lua_tostring(L, -1), LIBRARY) == 0;
        lua_pop(L, 1);
        if (library) {
            luaL_getmetafield(L, index, "__index");
            return;
        }
    }
    lua_pushvalue(L, index);
}

/* ---- globals ------------------------------------------------------------------------------- */

/* What stock Lua has and a script has not, and what to do instead. */
static const char *why_absent(const char *name)
{
    static const struct {
        const char *name, *hint;
    } known[] = {
        {"io", "a script computes; files are read by the sources of a campaign"},
        {"os", "a script sees no clock and no system: its result must be the same next year"},
        {"debug", "a script cannot look behind the sandbox"},
        {"package", "require \"practice.NAME\" finds the files of scripts/ and of the campaign"},
        {"coroutine", "loops over records belong into primitives"},
        {"load", "put the code into a file and require it"},
        {"loadstring", "put the code into a file and require it"},
        {"dofile", "require \"NAME\" runs a file of the campaign's folder"},
        {"loadfile", "require \"NAME\" runs a file of the campaign's folder"},
        {"next", "pairs(t) walks a table in sorted order"},
        {"xpcall", "pcall(f, ...) gives the error with its place and trace"},
        {"collectgarbage", "memory is the engine's to watch"},
        {"rawget", "tables of the sandbox are read as they are"},
        {"rawset", "tables of the sandbox are written as they are"},
        {"warn", "print(...) or report:note(text)"},
        {"_G", "declare what you need with 'local'"},
        {"unpack", "table.unpack(list)"},
    };
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (strcmp(known[i].name, name) == 0)
            return known[i].hint;
    return NULL;
}

static int read_unset(lua_State *L)
{
    lua_settop(L, 2);
    const char *name = cell_push_text_of(L, 2);
    const char *hint = why_absent(name);
    if (hint != NULL)
        return cell_fail_hint(L, hint, "'%s' is not available in scripts", name);
    lua_rawgeti(L, LUA_REGISTRYINDEX, LUA_RIDX_GLOBALS);
    return cell_fail_nearest(L, -1, name, "the variable '%s' is not declared", name);
}

static int write_global(lua_State *L)
{
    lua_settop(L, 3);
    const char *name = cell_push_text_of(L, 2);
    lua_rawgeti(L, LUA_REGISTRYINDEX, LUA_RIDX_GLOBALS);
    lua_pushvalue(L, 2);
    bool there = lua_rawget(L, -2) != LUA_TNIL;
    lua_settop(L, 4);
    if (there)
        return cell_fail_hint(L, "choose another name for your variable", "'%s' is read-only",
                              name);
    lua_pushfstring(L, "write 'local %s'", name);
    return cell_fail_hint(L, lua_tostring(L, -1), "the variable '%s' is not declared", name);
}

static int base_require(lua_State *L)
{
    cell_require(L, cell_check_text(L, 1, "require"));
    return 1;
}

/* Metatables that scripts can meet are locked, whoever made them. */
static void lock_metatables(lua_State *L)
{
    lua_pushliteral(L, "");
    lua_getmetatable(L, -1);
    lua_pushliteral(L, "locked");
    lua_setfield(L, -2, "__metatable");
    lua_pop(L, 2);
    lua_pushnil(L);
    while (lua_next(L, LUA_REGISTRYINDEX) != 0) {
        if (lua_type(L, -2) == LUA_TSTRING && lua_istable(L, -1)) {
            lua_pushliteral(L, "__name");
            if (lua_rawget(L, -2) == LUA_TSTRING) {
                lua_pushliteral(L, "locked");
                lua_setfield(L, -3, "__metatable");
            }
            lua_pop(L, 1);
        }
        lua_pop(L, 1);
    }
}

void cell_close_sandbox(lua_State *L)
{
    lua_register(L, "require", base_require);
    lua_rawgeti(L, LUA_REGISTRYINDEX, LUA_RIDX_GLOBALS);
    int globals = lua_gettop(L);
    lua_Integer n = cell_push_sorted_keys(L, globals);
    for (lua_Integer i = 1; i <= n; i++) {
        lua_rawgeti(L, -1, i);
        const char *name = lua_tostring(L, -1);
        if (lua_getfield(L, globals, name) == LUA_TTABLE) {
            make_library(L, name);
            lua_setfield(L, globals, name);
            lua_pop(L, 1);
        } else {
            lua_pop(L, 2);
        }
    }
    lua_settop(L, globals);
    lua_newtable(L);
    lua_pushcfunction(L, read_unset);
    lua_setfield(L, -2, "__index");
    lua_setmetatable(L, globals);

    lua_newtable(L); /* the environment: empty, so that every write is seen */
    lua_createtable(L, 0, 4);
    lua_pushstring(L, LIBRARY); /* pairs(_ENV) walks what is there */
    lua_setfield(L, -2, "__name");
    lua_pushvalue(L, globals);
    lua_setfield(L, -2, "__index");
    lua_pushcfunction(L, write_global);
    lua_setfield(L, -2, "__newindex");
    lua_pushliteral(L, "locked");
    lua_setfield(L, -2, "__metatable");
    lua_setmetatable(L, -2);
    lua_setfield(L, LUA_REGISTRYINDEX, ENVIRONMENT);
    lua_settop(L, globals - 1);
    lock_metatables(L);
}

/* ---- chunks -------------------------------------------------------------------------------- */

/* "NAME:LINE: what" of the compiler, as a place and a message. */
static int fail_syntax(lua_State *L, const char *path, const char *message)
{
    int line = 0;
    for (const char *at = strchr(message, ':'); at != NULL; at = strchr(at + 1, ':')) {
        char *end;
        long n = strtol(at + 1, &end, 10);
        if (end > at + 1 && *end == ':' && end[1] == ' ') {
            line = (int)n;
            message = end + 2;
            break;
        }
    }
    return cell_fail_at(L, path, line > 0 ? line : 1, message);
}

void cell_load(lua_State *L, const char *path, const char *text, size_t n)
{
    if (n > CELL_SOURCE_MOST)
        cell_fail(L, "'%s' has %zu bytes; a script has at most %d", path, n, CELL_SOURCE_MOST);
    cell_keep_source(L, path, text, n);
    lua_pushfstring(L, "@%s", path);
    int status = luaL_loadbufferx(L, text, n, lua_tostring(L, -1), "t");
    if (status == LUA_ERRMEM)
        cell_end_limit(L, "memory");
    if (status != LUA_OK && lua_istable(L, -1)) /* the handler saw it: nested too deep */
        lua_getfield(L, -1, "message");
    if (status != LUA_OK)
        fail_syntax(L, path, lua_tostring(L, -1) != NULL ? lua_tostring(L, -1) : "not Lua");
    lua_getfield(L, LUA_REGISTRYINDEX, ENVIRONMENT);
    lua_setupvalue(L, -2, 1);
    lua_replace(L, -2);
}

/* Asks the parent; pushes the chunk, ready to be called. */
static void load_module(lua_State *L, const char *name)
{
    wa_value *ask = wa_map();
    wa_map_set(ask, "ask", wa_string(name));
    cell_send(ask);
    wa_value_free(ask);
    wa_value *answer = cell_receive();
    const char *error = wa_get_string(answer, "error"), *hint = wa_get_string(answer, "hint");
    if (error != NULL) { /* the answer must go before anything is raised */
        lua_pushstring(L, hint != NULL ? hint : "");
        lua_pushstring(L, error);
        wa_value_free(answer);
        cell_fail_hint(L, lua_tostring(L, -2), "%s", lua_tostring(L, -1));
    }
    const wa_value *text = wa_get(answer, "text");
    lua_pushstring(L, wa_get_string(answer, "path"));
    lua_pushlstring(L, wa_string_of(text), wa_length_of(text));
    wa_value_free(answer);
    size_t n;
    const char *source = lua_tolstring(L, -1, &n);
    cell_load(L, lua_tostring(L, -2), source, n);
    lua_replace(L, -3);
    lua_pop(L, 1);
}

void cell_require(lua_State *L, const char *name)
{
    luaL_getsubtable(L, LUA_REGISTRYINDEX, MODULES);
    int modules = lua_gettop(L);
    int type = lua_getfield(L, modules, name);
    if (type == LUA_TBOOLEAN)
        cell_fail(L, "require: '%s' requires itself, directly or through others", name);
    if (type == LUA_TNIL) {
        lua_pop(L, 1);
        cell_charge(L, REQUIRE_COST);
        load_module(L, name);
        lua_pushboolean(L, 0);
        lua_setfield(L, modules, name);
        lua_call(L, 0, 1);
        if (lua_isnil(L, -1) || lua_isboolean(L, -1))
            cell_fail_hint(L, "a module ends with 'return' and its table",
                           "require: '%s' returned nothing", name);
        lua_pushvalue(L, -1);
        lua_setfield(L, modules, name);
    }
    lua_replace(L, modules);
}
