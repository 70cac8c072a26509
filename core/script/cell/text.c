/* text.c - string.* of the sandbox: Lua's, but for what leaks addresses, what depends on the
 * machine, and what makes gigabytes of one line. */
#include "script/cell/state.h"

#include <lualib.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { TEXT_MOST = 16 * 1024 * 1024, SPEC_MOST = 24 };

/* string.rep(s, n [, between]), at most 16 MiB. */
static int text_rep(lua_State *L)
{
    size_t n, m = 0;
    luaL_checklstring(L, 1, &n);
    lua_Integer times = luaL_checkinteger(L, 2);
    luaL_optlstring(L, 3, "", &m);
    double bytes = ((double)n + (double)m) * (double)(times > 0 ? times : 0);
    if (bytes > TEXT_MOST)
        return cell_fail(L, "string.rep: the text would have %.0f bytes; at most %d are allowed",
                         bytes, TEXT_MOST);
    cell_charge(L, (uint64_t)bytes / 8);
    lua_settop(L, 3);
    lua_pushvalue(L, lua_upvalueindex(1));
    lua_insert(L, 1);
    lua_call(L, 3, 1);
    return 1;
}

/* Reads one specification after its '%': flags, width, precision, conversion. */
static const char *read_spec(lua_State *L, const char *at, char spec[SPEC_MOST])
{
    const char *start = at;
    at += strspn(at, "-+ #0");
    at += strspn(at, "0123456789");
    if (*at == '.') {
        at++;
        at += strspn(at, "0123456789");
    }
    size_t n = (size_t)(at - start) + 1;
    if (*at == '\0' || n > SPEC_MOST - 2)
        cell_fail(L, "string.format: '%%%.20s' is not a complete specification", start);
    spec[0] = '%';
    memcpy(spec + 1, start, n);
    spec[n + 1] = '\0';
    return at + 1;
}

static bool has_text(lua_State *L, int arg)
{
    switch (lua_type(L, arg)) {
    case LUA_TNIL:
    case LUA_TBOOLEAN:
    case LUA_TNUMBER:
    case LUA_TSTRING:
        return true;
    default:
        if (luaL_getmetafield(L, arg, "__tostring") == LUA_TNIL)
            return false;
        lua_pop(L, 1);
        return true;
    }
}

/* Pushes the argument as the conversion wants it. */
static void push_argument(lua_State *L, int arg, char conversion)
{
    if (conversion == 's') {
        if (!has_text(L, arg))
            cell_fail(L, "string.format: argument %d: a %s has no text", arg,
                      cell_type_name(L, arg));
        cell_push_text_of(L, arg);
        return;
    }
    if (lua_type(L, arg) != LUA_TNUMBER)
        cell_fail(L, "string.format: argument %d: expected a number, got %s", arg,
                  cell_type_name(L, arg));
    double x = lua_tonumber(L, arg);
    if (strchr("eEfFgG", conversion) != NULL)
        lua_pushnumber(L, x != x ? fabs((double)NAN) : x == 0 ? 0 : x); /* never -nan, -0 */
    else
        lua_pushvalue(L, arg);
}

/* string.format: %c %d %i %o %x %X %e %f %g %s %%. No %p (an address), no %a (differs between
 * machines), no %q (for code, which scripts cannot load). */
static int text_format(lua_State *L)
{
    size_t n;
    const char *at = luaL_checklstring(L, 1, &n);
    int top = lua_gettop(L), arg = 1;
    if (strlen(at) != n)
        return cell_fail(L, "string.format: the format holds a zero byte");
    luaL_Buffer b;
    luaL_buffinit(L, &b);
    while (*at != '\0') {
        if (*at != '%' || *++at == '%') {
            luaL_addchar(&b, *at++);
            continue;
        }
        char spec[SPEC_MOST];
        at = read_spec(L, at, spec);
        if (strchr("cdioxXeEfFgGs", at[-1]) == NULL)
            return cell_fail_hint(L, "there are %d %x %o %c %e %f %g %s",
                                  "string.format: '%s' is not available in scripts", spec);
        if (++arg > top)
            return cell_fail(L, "string.format: no value for '%s'", spec);
        lua_pushvalue(L, lua_upvalueindex(1)); /* Lua's own, for one value at a time */
        /* "%.14g" alone is how Lua itself writes a float (portable_lua.c). */
        lua_pushstring(L, strcmp(spec, "%.14g") == 0 ? "%1.14g" : spec);
        push_argument(L, arg, at[-1]);
        lua_call(L, 2, 1);
        luaL_addvalue(&b);
    }
    luaL_pushresult(&b);
    return 1;
}

/* Puts `f` in place of entry `name` of the table on top; Lua's own becomes its upvalue. */
static void wrap(lua_State *L, const char *name, lua_CFunction f)
{
    lua_getfield(L, -1, name);
    lua_pushcclosure(L, f, 1);
    lua_setfield(L, -2, name);
}

void cell_open_text(lua_State *L)
{
    static const char *const removed[] = {"dump", "pack", "packsize", "unpack"};
    lua_pushcfunction(L, luaopen_string);
    lua_call(L, 0, 1); /* makes the metatable of texts, too */
    for (size_t i = 0; i < sizeof removed / sizeof *removed; i++) {
        lua_pushnil(L);
        lua_setfield(L, -2, removed[i]);
    }
    wrap(L, "rep", text_rep);
    wrap(L, "format", text_format);
    lua_setglobal(L, "string");
    lua_pushcfunction(L, luaopen_utf8);
    lua_call(L, 0, 1);
    lua_setglobal(L, "utf8");
}
