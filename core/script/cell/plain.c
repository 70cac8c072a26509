/* plain.c - Lua values to plain values and back. */
#include "script/cell/state.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DEPTH_MOST = 32 };

/* ---- to Lua -------------------------------------------------------------------------------- */

/* Keys that cell_plain wrote for integers come back as integers. */
static void push_key(lua_State *L, const char *key)
{
    char again[24], *end;
    long n = strtol(key, &end, 10);
    snprintf(again, sizeof again, "%ld", n);
    if (*end == '\0' && strcmp(again, key) == 0)
        lua_pushinteger(L, n);
    else
        lua_pushstring(L, key);
}

static void push_number(lua_State *L, double x)
{
    const double most = 2147483648.0;
    if (floor(x) == x && fabs(x) <= most)
        lua_pushinteger(L, (lua_Integer)x);
    else
        lua_pushnumber(L, x);
}

void cell_push_plain(lua_State *L, const wa_value *v)
{
    luaL_checkstack(L, 6, "a plain value");
    double x = 0;
    size_t n = wa_count(v);
    switch (wa_value_kind(v)) {
    case WA_NULL:
        cell_push_missing(L);
        break;
    case WA_BOOL:
        lua_pushboolean(L, wa_true(v));
        break;
    case WA_NUMBER:
        wa_number_of(v, &x);
        push_number(L, x);
        break;
    case WA_STRING:
        lua_pushlstring(L, wa_string_of(v), wa_length_of(v));
        break;
    case WA_LIST:
        lua_createtable(L, n < 1 << 24 ? (int)n : 0, 0);
        for (size_t i = 0; i < n; i++) {
            cell_push_plain(L, wa_at(v, i));
            lua_rawseti(L, -2, (lua_Integer)i + 1);
        }
        break;
    case WA_MAP:
        lua_createtable(L, 0, n < 1 << 24 ? (int)n : 0);
        for (size_t i = 0; i < n; i++) {
            if (wa_value_kind(wa_at(v, i)) == WA_NULL)
                continue;
            push_key(L, wa_key(v, i));
            cell_push_plain(L, wa_at(v, i));
            lua_rawset(L, -3);
        }
        break;
    }
}

/* ---- from Lua ------------------------------------------------------------------------------ */

typedef struct trail {
    wa_text path;
    int depth;
    wa_error *err;
} trail;

static wa_value *any(lua_State *L, int index, trail *t);

static wa_value *refuse(trail *t, const char *what)
{
    char shown[256];
    wa_shown(shown, sizeof shown, wa_text_string(&t->path), t->path.length);
    wa_fail(t->err, WA_ERR_SCRIPT, "%s: %s", shown, what);
    return NULL;
}

static void step(trail *t, lua_State *L, int key)
{
    if (lua_isinteger(L, key)) {
        wa_text_printf(&t->path, "[%lld]", (long long)lua_tointeger(L, key));
    } else {
        wa_text_add(&t->path, ".");
        wa_text_add(&t->path, lua_tostring(L, key));
    }
}

static void step_back(trail *t, size_t length)
{
    t->path.length = length;
    if (t->path.at != NULL)
        t->path.at[length] = '\0';
}

/* True where the keys of the table are exactly 1..n. */
static bool is_list(lua_State *L, int index, lua_Unsigned n)
{
    lua_Unsigned keys = 0;
    lua_pushnil(L);
    while (lua_next(L, index) != 0) {
        lua_pop(L, 1);
        keys++;
        if (!lua_isinteger(L, -1) || lua_tointeger(L, -1) < 1 ||
            (lua_Unsigned)lua_tointeger(L, -1) > n) {
            lua_pop(L, 1);
            return false;
        }
    }
    return keys == n;
}

static wa_value *list(lua_State *L, int index, trail *t, lua_Unsigned n)
{
    wa_value *out = wa_list();
    for (lua_Unsigned i = 1; i <= n; i++) {
        size_t length = t->path.length;
        lua_pushinteger(L, (lua_Integer)i);
        step(t, L, -1);
        lua_pop(L, 1);
        lua_rawgeti(L, index, (lua_Integer)i);
        wa_value *item = any(L, lua_gettop(L), t);
        lua_pop(L, 1);
        step_back(t, length);
        if (item == NULL) {
            wa_value_free(out);
            return NULL;
        }
        if (!wa_list_add(out, item))
            cell_end_limit(L, "memory");
    }
    return out;
}

/* One entry; the key lies at `key`. */
static bool entry(lua_State *L, int index, int key, wa_value *out, trail *t)
{
    char digits[24];
    size_t length = t->path.length;
    step(t, L, key);
    const char *name = lua_isinteger(L, key) ? digits : lua_tostring(L, key);
    if (lua_isinteger(L, key))
        snprintf(digits, sizeof digits, "%lld", (long long)lua_tointeger(L, key));
    else if (strlen(name) != lua_rawlen(L, key))
        return refuse(t, "a key with a zero byte") != NULL;
    if (wa_get(out, name) != NULL)
        return refuse(t, "the same key as a number and as a text") != NULL;
    lua_pushvalue(L, key);
    lua_rawget(L, index);
    wa_value *item = any(L, lua_gettop(L), t);
    lua_pop(L, 1);
    step_back(t, length);
    if (item == NULL)
        return false;
    if (!wa_map_set(out, name, item))
        cell_end_limit(L, "memory");
    return true;
}

static wa_value *map(lua_State *L, int index, trail *t)
{
    lua_pushnil(L);
    while (lua_next(L, index) != 0) { /* cell_push_sorted_keys raises on other keys: look first */
        lua_pop(L, 1);
        if (!lua_isinteger(L, -1) && lua_type(L, -1) != LUA_TSTRING) {
            lua_pop(L, 1);
            return refuse(t, "keys are texts or whole numbers");
        }
    }
    wa_value *out = wa_map();
    lua_Integer n = cell_push_sorted_keys(L, index);
    for (lua_Integer i = 1; i <= n; i++) {
        lua_rawgeti(L, -1, i);
        bool ok = entry(L, index, lua_gettop(L), out, t);
        lua_pop(L, 1);
        if (!ok) {
            lua_pop(L, 1);
            wa_value_free(out);
            return NULL;
        }
    }
    lua_pop(L, 1);
    return out;
}

static wa_value *table(lua_State *L, int index, trail *t)
{
    if (++t->depth > DEPTH_MOST)
        return refuse(t, "tables lie too deep in each other, or one holds itself");
    cell_push_behind(L, index);
    int real = lua_gettop(L);
    lua_Unsigned n = lua_rawlen(L, real);
    wa_value *out = is_list(L, real, n) ? list(L, real, t, n) : map(L, real, t);
    lua_settop(L, real - 1);
    t->depth--;
    return out;
}

static wa_value *any(lua_State *L, int index, trail *t)
{
    char what[80];
    wa_value *out = NULL;
    size_t n;
    if (!lua_checkstack(L, 10))
        return refuse(t, "too deep");
    cell_charge(L, 10);
    switch (lua_type(L, index)) {
    case LUA_TBOOLEAN:
        out = wa_bool(lua_toboolean(L, index));
        break;
    case LUA_TNUMBER:
        if (!isfinite(lua_tonumber(L, index)))
            return refuse(t, "a number that is not finite");
        out = wa_number(lua_tonumber(L, index));
        break;
    case LUA_TSTRING: {
        const char *text = lua_tolstring(L, index, &n);
        if (!wa_utf8_valid(text, n))
            return refuse(t, "a text that is not UTF-8");
        out = wa_bytes(text, n);
        break;
    }
    case LUA_TTABLE:
        return table(L, index, t);
    default:
        if (cell_is_missing(L, index)) {
            out = wa_null();
            break;
        }
        snprintf(what, sizeof what, "a %s, where only plain values can stand",
                 cell_type_name(L, index));
        return refuse(t, what);
    }
    if (out == NULL)
        cell_end_limit(L, "memory");
    return out;
}

wa_value *cell_plain(lua_State *L, int index, const char *path, wa_error *err)
{
    trail t = {WA_TEXT_INIT, 0, err};
    wa_text_add(&t.path, path);
    wa_value *out = any(L, lua_absindex(L, index), &t);
    wa_text_release(&t.path);
    return out;
}
