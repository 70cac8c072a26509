/* errors.c - whatever a script or a primitive raises becomes one kind of record:
 * { kind =, message =, hint =, file =, line =, source =, trace = }, with the place of the
 * innermost line of a script. pcall gives scripts the same record. */
#include "script/cell/state.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char ERROR_TYPE[] = "windassay.error";
static const char SOURCES[] = "windassay.sources";
enum { TRACE_LEVELS = 12 };

/* ---- places ------------------------------------------------------------------------------ */

/* The next frame of a script at or above `level`; gives its level, or -1. */
static int script_frame(lua_State *L, int level, lua_Debug *ar)
{
    for (; lua_getstack(L, level, ar); level++)
        if (lua_getinfo(L, "Slnt", ar) && *ar->what != 'C' && ar->currentline > 0 &&
            *ar->source == '@')
            return level;
    return -1;
}

bool cell_where(lua_State *L, int level, char *file, size_t size, int *line)
{
    lua_Debug ar;
    if (script_frame(L, level, &ar) < 0)
        return false;
    snprintf(file, size, "%s", ar.source + 1);
    *line = ar.currentline;
    return true;
}

void cell_keep_source(lua_State *L, const char *path, const char *text, size_t n)
{
    luaL_getsubtable(L, LUA_REGISTRYINDEX, SOURCES);
    lua_pushlstring(L, text, n);
    lua_setfield(L, -2, path);
    lua_pop(L, 1);
}

bool cell_push_source(lua_State *L, const char *file, int line)
{
    enum { MOST = 200 };
    luaL_getsubtable(L, LUA_REGISTRYINDEX, SOURCES);
    const char *at = lua_getfield(L, -1, file) == LUA_TSTRING ? lua_tostring(L, -1) : NULL;
    for (; line > 1 && at != NULL; line--) {
        at = strchr(at, '\n');
        at = at != NULL ? at + 1 : NULL;
    }
    if (at != NULL) {
        size_t n = strcspn(at, "\r\n");
        lua_pushlstring(L, at, n < MOST ? n : MOST);
        lua_replace(L, -3);
    }
    lua_pop(L, at != NULL ? 1 : 2);
    return at != NULL;
}

static void set_place(lua_State *L, int record, const char *file, int line)
{
    lua_pushstring(L, file);
    lua_setfield(L, record, "file");
    lua_pushinteger(L, line);
    lua_setfield(L, record, "line");
    if (cell_push_source(L, file, line))
        lua_setfield(L, record, "source");
}

static void set_trace(lua_State *L, int record, int level)
{
    lua_Debug ar;
    luaL_Buffer b;
    int shown = 0;
    luaL_buffinit(L, &b);
    while ((level = script_frame(L, level, &ar)) >= 0 && shown < TRACE_LEVELS) {
        char text[256];
        const char *name = *ar.what == 'm' ? "the file" : ar.name != NULL ? ar.name : NULL;
        snprintf(text, sizeof text, "%s%s:%d: in %s%s%s%s", shown > 0 ? "\n" : "", ar.source + 1,
                 ar.currentline,
                 name == NULL      ? "a function"
                 : *ar.what == 'm' ? ""
                                   : "function '",
                 name != NULL ? name : "", name == NULL || *ar.what == 'm' ? "" : "'",
                 ar.istailcall ? " (called by return f(...))" : "");
        luaL_addstring(&b, text);
        shown++;
        level++;
    }
    luaL_pushresult(&b);
    lua_setfield(L, record, "trace");
}

/* ---- making records ------------------------------------------------------------------------ */

/* Pushes a record without a place. The text lies on top of the stack and is replaced. */
void cell_make_error(lua_State *L, const char *kind)
{
    lua_createtable(L, 0, 7);
    lua_insert(L, -2);
    lua_setfield(L, -2, "message");
    lua_pushstring(L, kind);
    lua_setfield(L, -2, "kind");
    luaL_setmetatable(L, ERROR_TYPE);
}

bool cell_is_error(lua_State *L, int index)
{
    if (!lua_istable(L, index) || !lua_getmetatable(L, index))
        return false;
    luaL_getmetatable(L, ERROR_TYPE);
    bool same = lua_rawequal(L, -1, -2);
    lua_pop(L, 2);
    return same;
}

/* A message of Lua itself begins with "FILE:LINE: "; the record says that in its fields. */
static const char *without_place(lua_State *L, const char *text)
{
    lua_Debug ar;
    int level = script_frame(L, 1, &ar);
    if (level < 0)
        return text;
    char place[LUA_IDSIZE + 24];
    int n = snprintf(place, sizeof place, "%s:%d: ", ar.short_src, ar.currentline);
    return strncmp(text, place, (size_t)n) == 0 ? text + n : text;
}

static void set_hint(lua_State *L, const char *hint)
{
    if (hint == NULL || *hint == '\0')
        return;
    lua_pushstring(L, hint);
    lua_setfield(L, -2, "hint");
}

/* Some messages of Lua are known to puzzle: say what would be right. */
static const char *hint_for(const char *message)
{
    static const struct {
        const char *part, *hint;
    } known[] = {
        {"a nil value (field '", "is the field's name spelt as the reference has it?"},
        {"a nil value (method '", "is the method's name spelt as the reference has it?"},
        {"a nil value (local '", "the variable has no value here"},
        {"a nil value (upvalue '", "the variable has no value here"},
        {"string values (", "tonumber(text) turns text into a number"},
        {"stack overflow", "does a function call itself without end?"},
    };
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (strstr(message, known[i].part) != NULL)
            return known[i].hint;
    return NULL;
}

int cell_handler(lua_State *L)
{
    if (lua_type(L, 1) == LUA_TSTRING) {
        const char *text = lua_tostring(L, 1);
        lua_pushstring(L, without_place(L, text));
        cell_make_error(L, "script");
        set_hint(L, hint_for(text));
    } else if (cell_is_error(L, 1)) {
        lua_pushvalue(L, 1);
    } else {
        return 1; /* the script's own value: its pcall gets it as it is */
    }
    int record = lua_gettop(L);
    if (lua_getfield(L, record, "trace") == LUA_TNIL) {
        lua_Debug ar;
        int level = script_frame(L, 1, &ar);
        if (level >= 0) {
            if (lua_getfield(L, record, "line") == LUA_TNIL)
                set_place(L, record, ar.source + 1, ar.currentline);
            lua_settop(L, record);
            set_trace(L, record, level);
        }
    }
    lua_settop(L, record);
    return 1;
}

/* Pushes a record from the message and the hint (or nil) on top of the stack. */
static void make_with_hint(lua_State *L, const char *kind)
{
    lua_insert(L, -2);
    cell_make_error(L, kind);
    lua_insert(L, -2);
    lua_setfield(L, -2, "hint");
}

/* ---- raising ------------------------------------------------------------------------------- */

static int raise(lua_State *L, const char *kind, const char *hint)
{
    cell_make_error(L, kind);
    set_hint(L, hint);
    return lua_error(L);
}

int cell_raise(lua_State *L, const wa_error *err)
{
    if (err->code == WA_ERR_NOMEM)
        cell_end_limit(L, "memory");
    if (*err->file != '\0' && err->line > 0)
        lua_pushfstring(L, "%s:%d: %s", err->file, (int)err->line, err->text);
    else
        lua_pushstring(L, err->text);
    return raise(L, err->code == WA_ERR_UNDEFINED ? "undefined" : "script", err->hint);
}

WA_PRINTF(2, 0)
static void push_formatted(lua_State *L, const char *format, va_list args)
{
    char text[WA_ERROR_TEXT_SIZE];
    vsnprintf(text, sizeof text, format, args);
    lua_pushstring(L, text);
}

int cell_fail(lua_State *L, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    push_formatted(L, format, args);
    va_end(args);
    return raise(L, "script", NULL);
}

int cell_fail_hint(lua_State *L, const char *hint, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    push_formatted(L, format, args);
    va_end(args);
    return raise(L, "script", hint);
}

int cell_fail_nearest(lua_State *L, int names, const char *word, const char *format, ...)
{
    va_list args;
    names = lua_absindex(L, names);
    va_start(args, format);
    push_formatted(L, format, args);
    va_end(args);
    lua_Integer n = cell_push_sorted_keys(L, names);
    const char **known = lua_newuserdatauv(L, (size_t)(n + 1) * sizeof *known, 0);
    size_t texts = 0;
    for (lua_Integer i = 1; i <= n; i++) {
        if (lua_rawgeti(L, -2, i) == LUA_TSTRING)
            known[texts++] = lua_tostring(L, -1); /* the table of keys keeps it */
        lua_pop(L, 1);
    }
    const char *near = wa_nearest(word, known, texts);
    if (near != NULL)
        lua_pushfstring(L, "did you mean '%s'?", near);
    else
        lua_pushnil(L);
    lua_replace(L, -3);
    lua_pop(L, 1);
    make_with_hint(L, "script");
    return lua_error(L);
}

int cell_raise_undefined(lua_State *L, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    push_formatted(L, format, args);
    va_end(args);
    return raise(L, "undefined", NULL);
}

int cell_fail_at(lua_State *L, const char *file, int line, const char *message)
{
    lua_pushstring(L, message);
    cell_make_error(L, "script");
    set_place(L, lua_gettop(L), file, line);
    return lua_error(L);
}

/* ---- the script's side ----------------------------------------------------------------------- */

/* error(message [, level]): text gets the place of the level; any other value is raised as is. */
static int base_error(lua_State *L)
{
    lua_Integer level = luaL_optinteger(L, 2, 1);
    lua_settop(L, 1);
    if (lua_type(L, 1) == LUA_TNUMBER)
        cell_push_text_of(L, 1);
    if (lua_type(L, -1) != LUA_TSTRING)
        return lua_error(L);
    cell_make_error(L, "script");
    lua_Debug ar;
    if (level > 0 && level < 100 && lua_getstack(L, (int)level, &ar) && lua_getinfo(L, "Sl", &ar) &&
        ar.currentline > 0)
        set_place(L, lua_gettop(L), ar.source + 1, ar.currentline);
    return lua_error(L);
}

/* undefined(reason): this check has no result, and that is an outcome. */
static int base_undefined(lua_State *L)
{
    cell_check_text(L, 1, "the reason");
    lua_settop(L, 1);
    return raise(L, "undefined", NULL);
}

/* pcall(f, ...): as in Lua, but a limit cannot be caught, and errors come as records. */
static int base_pcall(lua_State *L)
{
    luaL_checkany(L, 1);
    lua_pushcfunction(L, cell_handler);
    lua_insert(L, 1);
    int status = lua_pcall(L, lua_gettop(L) - 2, LUA_MULTRET, 1);
    if (status == LUA_ERRMEM)
        cell_end_limit(L, "memory");
    lua_pushboolean(L, status == LUA_OK);
    lua_replace(L, 1);
    return lua_gettop(L);
}

static int record_text(lua_State *L)
{
    if (lua_getfield(L, 1, "line") == LUA_TNUMBER && lua_getfield(L, 1, "file") == LUA_TSTRING)
        lua_pushfstring(L, "%s:%I: ", lua_tostring(L, -1), (LUAI_UACINT)lua_tointeger(L, -2));
    else
        lua_pushstring(L, "");
    if (lua_getfield(L, 1, "message") != LUA_TSTRING)
        lua_pushstring(L, "?");
    lua_concat(L, 2);
    return 1;
}

void cell_open_errors(lua_State *L)
{
    static const luaL_Reg meta[] = {{"__tostring", record_text}, {NULL, NULL}};
    luaL_newmetatable(L, ERROR_TYPE);
    luaL_setfuncs(L, meta, 0);
    lua_pushstring(L, "locked");
    lua_setfield(L, -2, "__metatable");
    lua_pop(L, 1);
    lua_register(L, "error", base_error);
    lua_register(L, "undefined", base_undefined);
    lua_register(L, "pcall", base_pcall);
}
