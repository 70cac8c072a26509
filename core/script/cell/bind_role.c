/* bind_role.c - the channels of a role: r.reference:find{...}, :all{...}, :at{...}. */
#include "script/cell/grid.h"

#include <stdio.h>
#include <string.h>

static const char ROLE[] = "windassay.role";
static const char *const selectors[] = {"quantity", "height", "use",        "name", "source",
                                        "beam",     "range",  "instrument", NULL};

typedef struct role {
    char name[16];
} role;

/* ---- selecting ----------------------------------------------------------------------------- */

/* Does the series have what the selector at `arg` names? */
static bool matches(lua_State *L, int arg, const wa_value *s)
{
    bool yes = true;
    for (const char *const *key = selectors; *key != NULL && yes; key++) {
        int type = cell_option(L, arg, *key);
        const wa_value *has = wa_get(s, *key);
        double x;
        if (type == LUA_TNUMBER)
            yes = wa_number_of(has, &x) && x == lua_tonumber(L, -1);
        else if (type == LUA_TSTRING)
            yes = wa_string_of(has) != NULL && strcmp(wa_string_of(has), lua_tostring(L, -1)) == 0;
        else if (type != LUA_TNIL)
            cell_fail(L, "find: %s: expected a text or a number, got %s", *key,
                      cell_type_name(L, -1));
        lua_pop(L, 1);
    }
    return yes;
}

static bool in_role(const wa_value *s, const role *r)
{
    const char *name = wa_get_string(s, "role");
    return name != NULL && strcmp(name, r->name) == 0;
}

/* What the script may have meant: channels of the same quantity, else all of the role. */
static const char *push_candidates(lua_State *L, const role *r, int arg)
{
    enum { MOST = 12 };
    const wa_value *series = cell_grid_of(L)->series;
    const char *quantity = NULL;
    cell_option_text(L, arg, "quantity", &quantity);
    wa_text t = WA_TEXT_INIT;
    size_t found = 0;
    for (int all = 0; all < 2 && found == 0; all++)
        for (size_t i = 0; i < wa_count(series); i++) {
            const wa_value *s = wa_at(series, i);
            const char *q = wa_get_string(s, "quantity");
            if (!in_role(s, r) || (!all && (quantity == NULL || strcmp(q, quantity) != 0)))
                continue;
            if (++found > MOST)
                continue;
            wa_text_add(&t, found > 1 ? "; " : "there are ");
            cell_describe_channel(&t, s);
        }
    if (found == 0)
        wa_text_printf(&t, "the campaign's roles name no source of the %s", r->name);
    if (found > MOST)
        wa_text_printf(&t, "; and %zu more", found - MOST);
    return cell_push_built(L, &t);
}

/* "quantity = wind_speed, use = primary" */
static const char *push_wanted(lua_State *L, int arg)
{
    wa_text t = WA_TEXT_INIT;
    for (const char *const *key = selectors; *key != NULL; key++) {
        if (cell_option(L, arg, *key) != LUA_TNIL) {
            wa_text_printf(&t, "%s%s = %s", t.length > 0 ? ", " : "", *key,
                           cell_push_text_of(L, -1));
            lua_pop(L, 1);
        }
        lua_pop(L, 1);
    }
    return cell_push_built(L, &t);
}

/* role:find{...}: exactly one channel. */
static int role_find(lua_State *L)
{
    const role *r = luaL_checkudata(L, 1, ROLE);
    const wa_value *series = cell_grid_of(L)->series;
    size_t found = 0, which = 0;
    if (!cell_options(L, 2, "find", selectors))
        return cell_fail_hint(L, "find{ quantity = \"wind_speed\", use = \"primary\" }",
                              "find: takes a table that says which channel");
    for (size_t i = 0; i < wa_count(series); i++)
        if (in_role(wa_at(series, i), r) && matches(L, 2, wa_at(series, i))) {
            found++;
            which = i;
        }
    if (found == 1) {
        cell_push_channel(L, which);
        return 1;
    }
    const char *hint = push_candidates(L, r, 2), *wanted = push_wanted(L, 2);
    if (found == 0)
        return cell_fail_hint(L, hint, "the %s has no channel with %s", r->name, wanted);
    return cell_fail_hint(L, hint, "the %s has %zu channels with %s; find needs exactly one",
                          r->name, found, wanted);
}

/* role:all{...}: a list, which may be empty. */
static int role_all(lua_State *L)
{
    const role *r = luaL_checkudata(L, 1, ROLE);
    const wa_value *series = cell_grid_of(L)->series;
    lua_Integer n = 0;
    cell_options(L, 2, "all", selectors);
    lua_settop(L, 2);
    lua_newtable(L);
    for (size_t i = 0; i < wa_count(series); i++)
        if (in_role(wa_at(series, i), r) && matches(L, 2, wa_at(series, i))) {
            cell_push_channel(L, i);
            lua_rawseti(L, 3, ++n);
        }
    return 1;
}

static int no_such_channel(lua_State *L)
{
    const char *name = cell_push_text_of(L, 2);
    return cell_fail_nearest(L, 1, name, "there is no channel '%s' here", name);
}

/* role:at{ beam =, range = }.NAME: the channels of one beam and range by their names. */
static int role_at(lua_State *L)
{
    static const char *const keys[] = {"beam", "range", "source", NULL};
    const role *r = luaL_checkudata(L, 1, ROLE);
    const wa_value *series = cell_grid_of(L)->series;
    size_t found = 0;
    if (!cell_options(L, 2, "at", keys))
        return cell_fail(L, "at: takes a table, as in at{ beam = 1, range = 240 }");
    lua_settop(L, 2);
    lua_newtable(L);
    for (size_t i = 0; i < wa_count(series); i++) {
        const wa_value *s = wa_at(series, i);
        if (!in_role(s, r) || !matches(L, 2, s))
            continue;
        found++;
        if (lua_getfield(L, 3, wa_get_string(s, "name")) != LUA_TNIL)
            return cell_fail_hint(L, "say more: at{ beam =, range =, source = }",
                                  "at: several channels '%s' match", wa_get_string(s, "name"));
        lua_pop(L, 1);
        cell_push_channel(L, i);
        lua_setfield(L, 3, wa_get_string(s, "name"));
    }
    if (found == 0) {
        const char *hint = push_candidates(L, r, 2), *wanted = push_wanted(L, 2);
        return cell_fail_hint(L, hint, "the %s has no channel with %s", r->name, wanted);
    }
    lua_createtable(L, 0, 1);
    lua_pushcfunction(L, no_such_channel);
    lua_setfield(L, -2, "__index");
    lua_setmetatable(L, 3);
    return 1;
}

void cell_push_role(lua_State *L, const char *name)
{
    role *r = lua_newuserdatauv(L, sizeof *r, 0);
    snprintf(r->name, sizeof r->name, "%s", name);
    luaL_setmetatable(L, ROLE);
}

void cell_open_role(lua_State *L)
{
    static const luaL_Reg none[] = {{NULL, NULL}};
    static const luaL_Reg methods[] = {
        {"all", role_all}, {"at", role_at}, {"find", role_find}, {NULL, NULL}};
    cell_type(L, ROLE, none, methods);
}
