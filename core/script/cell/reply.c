/* reply.c - what the parent is told when a script fails, and what it printed. */
#include "script/cell/state.h"

#include <string.h>

wa_value *cell_clean_text(const char *text, size_t n)
{
    if (wa_utf8_valid(text, n) && memchr(text, '\0', n) == NULL)
        return wa_bytes(text, n);
    wa_text shown = WA_TEXT_INIT;
    wa_text_add_shown(&shown, text, n);
    wa_value *v = wa_text_failed(&shown) ? NULL : wa_bytes(wa_text_string(&shown), shown.length);
    wa_text_release(&shown);
    return v;
}

void cell_add_printed(const cell_state *cell, wa_value *reply)
{
    if (cell->printed.length > 0)
        wa_map_set(reply, "printed", wa_bytes(cell->printed.at, cell->printed.length));
}

static void copy_text(lua_State *L, wa_value *to, const char *field)
{
    if (lua_getfield(L, -1, field) == LUA_TSTRING) {
        size_t n;
        const char *text = lua_tolstring(L, -1, &n);
        wa_map_set(to, field, cell_clean_text(text, n));
    }
    lua_pop(L, 1);
}

void cell_add_undecided(cell_state *cell, const char *reason)
{
    wa_text_printf(&cell->undecided, "%s%s", cell->undecided.length > 0 ? "; " : "",
                   reason != NULL ? reason : "no reason given");
}

void cell_error_reply(lua_State *L)
{
    cell_state *cell = cell_of(L);
    if (!cell_is_error(L, -1)) { /* raised by the script: any value, whose text is all there is */
        const char *type = luaL_typename(L, -1);
        if (!lua_istable(L, -1) || lua_getfield(L, -1, "message") != LUA_TSTRING)
            lua_pushfstring(L, "the script raised a %s as an error", type);
        cell_make_error(L, "script");
    }
    if (lua_getfield(L, -1, "message") != LUA_TSTRING) { /* a script may have emptied it */
        lua_pushliteral(L, "no reason given");
        lua_setfield(L, -3, "message");
    }
    lua_pop(L, 1);
    const char *kind = lua_getfield(L, -1, "kind") == LUA_TSTRING ? lua_tostring(L, -1) : "";
    if (strcmp(kind, "undefined") != 0) {
        lua_pushliteral(L, "script");
        lua_setfield(L, -3, "kind");
    }
    lua_pop(L, 1);
    if (cell->is_check && strcmp(kind, "undefined") == 0) {
        size_t n;
        lua_getfield(L, -1, "message");
        const char *reason = lua_tolstring(L, -1, &n);
        wa_value *clean = cell_clean_text(reason, n);
        cell_add_undecided(cell, wa_string_of(clean));
        wa_value_free(clean);
        lua_pop(L, 1);
        return;
    }
    wa_value *error = wa_map();
    copy_text(L, error, "kind");
    copy_text(L, error, "message");
    copy_text(L, error, "file");
    if (lua_getfield(L, -1, "line") == LUA_TNUMBER)
        wa_map_set(error, "line", wa_number(lua_tonumber(L, -1)));
    lua_pop(L, 1);
    copy_text(L, error, "source");
    copy_text(L, error, "hint");
    copy_text(L, error, "trace");
    wa_value_free(cell->reply);
    cell->reply = wa_map();
    wa_map_set(cell->reply, "error", error);
}
