/* base.c - the basic functions of the sandbox: those of Lua that are safe and repeatable, and our
 * own in place of those that are not. What is not listed here does not exist for a script. */
#include "script/cell/state.h"
#include "windassay/number.h"

#include <lualib.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- tostring ------------------------------------------------------------------------------ */

/* The shortest text that reads back; a float that is whole keeps its ".0", as in Lua. */
static void push_number_text(lua_State *L, int index)
{
    char text[WA_NUMBER_SIZE];
    if (lua_isinteger(L, index)) {
        lua_pushfstring(L, "%I", (LUAI_UACINT)lua_tointeger(L, index));
        return;
    }
    double x = lua_tonumber(L, index);
    if (!isfinite(x)) {
        lua_pushstring(L, x != x ? "nan" : x > 0 ? "inf" : "-inf");
        return;
    }
    wa_number_print(text, x);
    lua_pushstring(L, text);
    if (strpbrk(text, ".e") == NULL) {
        lua_pushliteral(L, ".0");
        lua_concat(L, 2);
    }
}

const char *cell_push_text_of(lua_State *L, int index)
{
    index = lua_absindex(L, index);
    if (luaL_callmeta(L, index, "__tostring")) {
        if (lua_type(L, -1) != LUA_TSTRING)
            cell_fail(L, "__tostring must return a text");
        return lua_tostring(L, -1);
    }
    switch (lua_type(L, index)) {
    case LUA_TNUMBER:
        push_number_text(L, index);
        break;
    case LUA_TSTRING:
        lua_pushvalue(L, index);
        break;
    case LUA_TBOOLEAN:
        lua_pushstring(L, lua_toboolean(L, index) ? "true" : "false");
        break;
    case LUA_TNIL:
    case LUA_TNONE:
        lua_pushliteral(L, "nil");
        break;
    default: /* never an address */
        lua_pushstring(L, cell_type_name(L, index));
        break;
    }
    return lua_tostring(L, -1);
}

static int base_tostring(lua_State *L)
{
    luaL_checkany(L, 1);
    cell_push_text_of(L, 1);
    return 1;
}

/* Keeps the line on top of the stack. */
static void keep_printed(cell_state *cell, lua_State *L)
{
    size_t n;
    const char *line = lua_tolstring(L, -1, &n);
    cell_charge(L, n + 10);
    if (cell->print_cut)
        return;
    size_t before = cell->printed.length;
    if (wa_utf8_valid(line, n) && memchr(line, '\0', n) == NULL) {
        wa_text_add_bytes(&cell->printed, line, n);
    } else {
        wa_text_add_shown(&cell->printed, line, n - 1);
        wa_text_add_char(&cell->printed, '\n');
    }
    if (cell->printed.length <= CELL_PRINT_MOST)
        return;
    cell->print_cut = true;
    cell->printed.length = before;
    wa_text_add(&cell->printed, "(what was printed beyond 64 KiB is left out)\n");
}

/* print(...): kept with the result; what goes beyond the most is cut, and said so. */
static int base_print(lua_State *L)
{
    int n = lua_gettop(L);
    luaL_Buffer b;
    luaL_buffinit(L, &b);
    for (int i = 1; i <= n; i++) {
        if (i > 1)
            luaL_addchar(&b, '\t');
        cell_push_text_of(L, i);
        luaL_addvalue(&b);
    }
    luaL_addchar(&b, '\n');
    luaL_pushresult(&b);
    keep_printed(cell_of(L), L);
    return 0;
}

/* ---- pairs --------------------------------------------------------------------------------- */

typedef struct sort_key {
    int rank; /* numbers, texts, booleans */
    double number;
    lua_Integer whole;
    bool is_whole;
    const char *text;
    size_t length;
} sort_key;

static int compare_keys(const void *left, const void *right)
{
    const sort_key *a = left, *b = right;
    if (a->rank != b->rank)
        return a->rank < b->rank ? -1 : 1;
    if (a->rank == 1) {
        size_t n = a->length < b->length ? a->length : b->length;
        int c = memcmp(a->text, b->text, n);
        return c != 0 ? c : (a->length > b->length) - (a->length < b->length);
    }
    if (a->is_whole && b->is_whole)
        return (a->whole > b->whole) - (a->whole < b->whole);
    return (a->number > b->number) - (a->number < b->number);
}

static void describe_key(lua_State *L, sort_key *k)
{
    *k = (sort_key){0};
    switch (lua_type(L, -1)) {
    case LUA_TNUMBER:
        k->is_whole = lua_isinteger(L, -1);
        k->whole = k->is_whole ? lua_tointeger(L, -1) : 0;
        k->number = lua_tonumber(L, -1);
        break;
    case LUA_TSTRING: /* the table keeps it where it is */
        k->rank = 1;
        k->text = lua_tolstring(L, -1, &k->length);
        break;
    case LUA_TBOOLEAN:
        k->rank = 2;
        k->number = lua_toboolean(L, -1);
        break;
    default:
        cell_fail_hint(L, "keep such values in a list",
                       "a table with a %s as a key has no order to walk it in",
                       cell_type_name(L, -1));
    }
}

static void push_key(lua_State *L, const sort_key *k)
{
    if (k->rank == 1)
        lua_pushlstring(L, k->text, k->length);
    else if (k->rank == 2)
        lua_pushboolean(L, k->number != 0);
    else if (k->is_whole)
        lua_pushinteger(L, k->whole);
    else
        lua_pushnumber(L, k->number);
}

lua_Integer cell_push_sorted_keys(lua_State *L, int index)
{
    index = lua_absindex(L, index);
    luaL_checkstack(L, 8, "keys");
    size_t n = 0;
    lua_pushnil(L);
    while (lua_next(L, index) != 0) {
        lua_pop(L, 1);
        n++;
    }
    cell_charge(L, 10 * (uint64_t)n);
    sort_key *keys = lua_newuserdatauv(L, (n + 1) * sizeof *keys, 0);
    size_t i = 0;
    lua_pushnil(L);
    while (lua_next(L, index) != 0 && i < n) {
        lua_pop(L, 1);
        describe_key(L, &keys[i++]);
    }
    qsort(keys, n, sizeof *keys, compare_keys); /* no two keys are equal */
    lua_createtable(L, n < 1 << 24 ? (int)n : 0, 0);
    for (i = 0; i < n; i++) {
        push_key(L, &keys[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_replace(L, -2); /* the keys' own texts live on in the array */
    return (lua_Integer)n;
}

/* Upvalues: the table, its keys, how many were given out. Entries gone meanwhile are passed by. */
static int next_pair(lua_State *L)
{
    lua_Integer i = lua_tointeger(L, lua_upvalueindex(3));
    for (;;) {
        i++;
        if (lua_rawgeti(L, lua_upvalueindex(2), i) == LUA_TNIL)
            return 1;
        lua_pushvalue(L, -1);
        if (lua_rawget(L, lua_upvalueindex(1)) != LUA_TNIL)
            break;
        lua_pop(L, 2);
    }
    lua_pushinteger(L, i);
    lua_replace(L, lua_upvalueindex(3));
    return 2;
}

static int base_pairs(lua_State *L)
{
    if (luaL_getmetafield(L, 1, "__pairs") != LUA_TNIL) { /* a type of ours */
        lua_pushvalue(L, 1);
        lua_call(L, 1, 3);
        return 3;
    }
    cell_check_table(L, 1, "pairs");
    cell_push_behind(L, 1);
    cell_push_sorted_keys(L, -1);
    lua_pushinteger(L, 0);
    lua_pushcclosure(L, next_pair, 3);
    return 1;
}

/* ---- metatables ---------------------------------------------------------------------------- */

/* A script's metatable is copied, so that what is refused here cannot be added afterwards; the
 * copy's __metatable is the original, which is what getmetatable gives. */
static int base_setmetatable(lua_State *L)
{
    static const char *const refused[] = {"__gc",    "__mode", "__close",    "__len",
                                          "__pairs", "__name", "__metatable"};
    cell_check_table(L, 1, "setmetatable");
    if (!lua_isnil(L, 2))
        cell_check_table(L, 2, "setmetatable");
    lua_settop(L, 2);
    if (luaL_getmetafield(L, 1, "__metatable") == LUA_TSTRING)
        return cell_fail(L, "setmetatable: this table is read-only");
    lua_settop(L, 2);
    if (lua_isnil(L, 2)) {
        lua_setmetatable(L, 1); /* leaves the table on top */
        return 1;
    }
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        lua_pushstring(L, refused[i]);
        if (lua_rawget(L, 2) != LUA_TNIL)
            return cell_fail(L, "setmetatable: '%s' is not available in scripts", refused[i]);
        lua_pop(L, 1);
    }
    lua_newtable(L);
    lua_pushnil(L);
    while (lua_next(L, 2) != 0) {
        lua_pushvalue(L, -2);
        lua_insert(L, -2);
        lua_rawset(L, 3);
    }
    lua_pushvalue(L, 2);
    lua_setfield(L, 3, "__metatable");
    lua_setmetatable(L, 1);
    lua_settop(L, 1);
    return 1;
}

/* ---- math ---------------------------------------------------------------------------------- */

void cell_open_math(lua_State *L)
{
    static const char *const kept[] = {"floor", "ceil", "abs", "min",       "max",
                                       "sqrt",  "huge", "pi",  "tointeger", "type"};
    luaL_requiref(L, "math", luaopen_math, 0);
    lua_newtable(L);
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++) {
        lua_getfield(L, -2, kept[i]);
        lua_setfield(L, -2, kept[i]);
    }
    lua_setglobal(L, "math");
    lua_pop(L, 1);
}

void cell_open_base(lua_State *L)
{
    static const char *const kept[] = {"assert", "getmetatable", "ipairs",   "rawequal",
                                       "rawlen", "select",       "tonumber", "type"};
    static const luaL_Reg own[] = {{"pairs", base_pairs},
                                   {"print", base_print},
                                   {"setmetatable", base_setmetatable},
                                   {"tostring", base_tostring},
                                   {NULL, NULL}};
    /* Lua's own set goes into a table that nobody keeps; what is safe is taken from it. */
    lua_pushcfunction(L, luaopen_base);
    lua_call(L, 0, 1); /* opens into the globals and gives them back */
    lua_newtable(L);
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++) {
        lua_getfield(L, -2, kept[i]);
        lua_setfield(L, -2, kept[i]);
    }
    luaL_setfuncs(L, own, 0);
    /* error, pcall and undefined are ours already (errors.c). */
    static const char *const errors[] = {"error", "pcall", "undefined"};
    cell_open_errors(L);
    for (size_t i = 0; i < sizeof errors / sizeof *errors; i++) {
        lua_getglobal(L, errors[i]);
        lua_setfield(L, -2, errors[i]);
    }
    cell_push_missing(L);
    lua_setfield(L, -2, "missing");
    lua_rawseti(L, LUA_REGISTRYINDEX, LUA_RIDX_GLOBALS);
    lua_pop(L, 1);
}
