/* bind_campaign.c - the campaign as a check sees it: what its file says, its phases, its accounts;
 * and the tables of a free script. Everything is a copy: writing to it harms nobody else. */
#include "script/cell/grid.h"

#include <string.h>

static const char CAMPAIGN[] = "windassay.campaign", TEXTS[] = "windassay.text column";

/* ---- phases -------------------------------------------------------------------------------- */

/* campaign:phase{ beam =, range =, name = }: exactly one. Upvalue 1: the list of phases. */
static int find_phase(lua_State *L)
{
    static const char *const keys[] = {"beam", "range", "name", NULL};
    size_t found = 0;
    lua_remove(L, 1); /* the callable itself; the campaign is 1 now */
    if (!cell_options(L, 2, "phase", keys))
        return cell_fail(L, "phase: takes a table, as in campaign:phase{ beam = 1, range = 240 }");
    lua_settop(L, 2);
    lua_Integer n = (lua_Integer)lua_rawlen(L, lua_upvalueindex(1));
    for (lua_Integer i = 1; i <= n; i++) {
        bool same = true;
        lua_rawgeti(L, lua_upvalueindex(1), i);
        int phase = lua_gettop(L);
        for (const char *const *key = keys; *key != NULL; key++) {
            if (lua_getfield(L, 2, *key) != LUA_TNIL) {
                lua_getfield(L, phase, *key);
                same = same && lua_compare(L, -1, -2, LUA_OPEQ);
            }
            lua_settop(L, phase);
        }
        found += same;
        if (!same)
            lua_pop(L, 1);
    }
    if (found != 1)
        return cell_fail(L, "phase: %zu of the campaign's %lld phases match; exactly one must",
                         found, (long long)n);
    return 1;
}

/* campaign.phase: the phase of this run of the check, and a function that finds one. */
static void set_phases(lua_State *L, int data, const wa_value *job)
{
    const wa_value *current = wa_get(job, "phase");
    if (lua_getfield(L, data, "phases") != LUA_TTABLE) {
        lua_pop(L, 1);
        lua_newtable(L);
        lua_pushvalue(L, -1);
        lua_setfield(L, data, "phases");
    }
    if (wa_value_kind(current) == WA_MAP)
        cell_push_plain(L, current);
    else
        lua_newtable(L);
    lua_createtable(L, 0, 1);
    lua_pushvalue(L, -3);
    lua_pushcclosure(L, find_phase, 1);
    lua_setfield(L, -2, "__call");
    lua_setmetatable(L, -2);
    lua_setfield(L, data, "phase");
    lua_pop(L, 1);
}

/* ---- sources ------------------------------------------------------------------------------- */

static const char *role_of(const wa_value *campaign, const char *source)
{
    static const char *const roles[] = {"unit", "reference"};
    for (size_t r = 0; r < 2; r++) {
        const wa_value *list = wa_get(wa_get(campaign, "roles"), roles[r]);
        for (size_t i = 0; i < wa_count(list); i++)
            if (wa_string_of(wa_at(list, i)) != NULL &&
                strcmp(wa_string_of(wa_at(list, i)), source) == 0)
                return roles[r];
    }
    return "none";
}

/* campaign.sources as a list: what the file says of each, with its name and role. */
static void set_sources(lua_State *L, int data, const wa_value *campaign)
{
    const wa_value *sources = wa_get(campaign, "sources");
    lua_newtable(L);
    for (size_t i = 0; i < wa_count(sources); i++) {
        if (wa_value_kind(wa_at(sources, i)) != WA_MAP || wa_key(sources, i) == NULL)
            continue;
        cell_push_plain(L, wa_at(sources, i));
        cell_set_text(L, "name", wa_key(sources, i));
        cell_set_text(L, "role", role_of(campaign, wa_key(sources, i)));
        lua_rawseti(L, -2, (lua_Integer)lua_rawlen(L, -2) + 1);
    }
    lua_setfield(L, data, "sources");
}

/* ---- results of other checks --------------------------------------------------------------- */

static int no_such_column(lua_State *L)
{
    const char *name = cell_push_text_of(L, 2);
    return cell_fail_nearest(L, 1, name, "there is no '%s' here", name);
}

/* Reading what is not there is an error that names the nearest. */
static void make_strict(lua_State *L)
{
    lua_createtable(L, 0, 1);
    lua_pushcfunction(L, no_such_column);
    lua_setfield(L, -2, "__index");
    lua_setmetatable(L, -2);
}

/* campaign.uses, and campaign.results in a check that needs "results": asking for a dossier or a
 * check that is not there is an error. */
static void set_results(lua_State *L, int data)
{
    lua_settop(L, data);
    if (lua_getfield(L, data, "uses") == LUA_TTABLE) {
        for (lua_pushnil(L); lua_next(L, data + 1) != 0; lua_settop(L, data + 2))
            if (lua_getfield(L, data + 3, "checks") == LUA_TTABLE)
                make_strict(L);
        make_strict(L);
    }
    lua_settop(L, data);
    if (lua_getfield(L, data, "results") == LUA_TTABLE &&
        lua_getfield(L, data + 1, "checks") == LUA_TTABLE)
        make_strict(L);
    lua_settop(L, data);
}

/* ---- the object ---------------------------------------------------------------------------- */

/* campaign:account(name) */
static int campaign_account(lua_State *L)
{
    luaL_checkudata(L, 1, CAMPAIGN);
    const char *name = cell_check_text(L, 2, "account: the name");
    size_t n = strlen(name);
    if (n == 0 || n > 60 || !wa_utf8_valid(name, n) || strpbrk(name, "\r\n\t,\"") != NULL)
        return cell_fail(L, "account: a name is one line of 1 to 60 bytes without commas");
    cell_push_intervals(L, name);
    const cell_intervals *r = lua_touserdata(L, -1);
    r->account->touched = true;
    return 1;
}

static int campaign_index(lua_State *L)
{
    luaL_checkudata(L, 1, CAMPAIGN);
    const char *key = cell_check_text(L, 2, "an entry of the campaign");
    if (strcmp(key, "intervals") == 0)
        cell_push_intervals(L, "intervals");
    else if (strcmp(key, "account") == 0)
        lua_pushcfunction(L, campaign_account);
    else {
        lua_getiuservalue(L, 1, 1);
        lua_getfield(L, -1, key);
    }
    return 1;
}

static int campaign_write(lua_State *L)
{
    return cell_fail(L, "the campaign is read-only");
}

void cell_push_campaign(lua_State *L, const wa_value *job)
{
    const wa_value *campaign = wa_get(job, "campaign");
    cell_make_grid(L, wa_get(job, "records"));
    lua_newuserdatauv(L, 0, 1); /* slot 1: what the campaign says */
    luaL_setmetatable(L, CAMPAIGN);
    cell_push_plain(L, campaign);
    if (!lua_istable(L, -1))
        cell_fail(L, "a job without its campaign");
    int data = lua_gettop(L);
    set_phases(L, data, job);
    set_sources(L, data, campaign);
    cell_set_instruments(L, data, campaign);
    set_results(L, data);
    if (wa_get(job, "tables") != NULL) {
        cell_push_tables(L, job);
        lua_setfield(L, data, "tables");
    }
    lua_setiuservalue(L, -2, 1);
}

/* ---- the tables of a free script --------------------------------------------------------------- */

/* A column of texts. Slot 1: the list of them. Slot 2: its name and where the first text stands. */
static int texts_as_numbers(lua_State *L)
{
    int at = luaL_testudata(L, 1, TEXTS) != NULL ? 1 : 2;
    luaL_checkudata(L, at, TEXTS);
    lua_getiuservalue(L, at, 2);
    return cell_fail(L, "%s holds text and cannot be used as numbers", lua_tostring(L, -1));
}

static int texts_len(lua_State *L)
{
    luaL_checkudata(L, 1, TEXTS);
    lua_getiuservalue(L, 1, 1);
    lua_pushinteger(L, (lua_Integer)lua_rawlen(L, -1));
    return 1;
}

/* texts:equals("ok"): a mask; unknown where there is no text. */
static int texts_equals(lua_State *L)
{
    luaL_checkudata(L, 1, TEXTS);
    cell_check_text(L, 2, "equals");
    lua_getiuservalue(L, 1, 1);
    size_t n = lua_rawlen(L, 3);
    cell_charge(L, n);
    wa_mask *m = cell_new_mask(L, n);
    for (size_t i = 0; i < n; i++) {
        lua_rawgeti(L, 3, (lua_Integer)i + 1);
        m->at[i] = cell_is_missing(L, -1)   ? WA_UNKNOWN
                   : lua_rawequal(L, -1, 2) ? WA_TRUE
                                            : WA_FALSE;
        lua_pop(L, 1);
    }
    return 1;
}

static int texts_index(lua_State *L)
{
    luaL_checkudata(L, 1, TEXTS);
    if (lua_isinteger(L, 2)) {
        lua_getiuservalue(L, 1, 1);
        lua_pushvalue(L, 2);
        lua_rawget(L, -2);
        return 1;
    }
    const char *key = cell_check_text(L, 2, "an entry of a column of texts");
    if (strcmp(key, "equals") == 0) {
        lua_pushcfunction(L, texts_equals);
        return 1;
    }
    return texts_as_numbers(L);
}

void cell_push_texts_behind(lua_State *L, int index)
{
    if (luaL_testudata(L, index, TEXTS) != NULL)
        lua_getiuservalue(L, index, 1);
    else
        lua_pushvalue(L, index);
}

static void push_texts(lua_State *L, const char *table, const wa_value *column)
{
    double line;
    lua_newuserdatauv(L, 0, 2);
    cell_push_plain(L, wa_get(column, "texts"));
    lua_setiuservalue(L, -2, 1);
    if (wa_number_of(wa_get(column, "line"), &line))
        lua_pushfstring(L, "column '%s' of '%s' (first in line %d)", wa_get_string(column, "name"),
                        table, (int)line);
    else
        lua_pushfstring(L, "column '%s' of '%s'", wa_get_string(column, "name"), table);
    lua_setiuservalue(L, -2, 2);
    luaL_setmetatable(L, TEXTS);
}

/* The doubles of a column begin at element `at` of the memory file. */
static const double *numbers(lua_State *L, const wa_value *column, size_t n)
{
    const cell_state *cell = cell_of(L);
    double at = -1;
    wa_number_of(wa_get(column, "at"), &at);
    if (at < 0 || (size_t)at + n > cell->n_doubles)
        cell_fail(L, "the job's tables are shorter than described");
    return cell->doubles + (size_t)at;
}

/* The one column of times of a table, or NULL. */
static const double *times(lua_State *L, const wa_value *columns, size_t n)
{
    const double *time = NULL;
    for (size_t i = 0; i < wa_count(columns); i++) {
        const char *kind = wa_get_string(wa_at(columns, i), "kind");
        if (kind == NULL || strcmp(kind, "time") != 0)
            continue;
        if (time != NULL)
            return NULL;
        time = numbers(L, wa_at(columns, i), n);
    }
    for (size_t i = 0; time != NULL && i < n; i++)
        if (time[i] != time[i])
            return NULL;
    return time;
}

static void push_table(lua_State *L, const wa_value *table)
{
    const wa_value *columns = wa_get(table, "columns");
    double rows = 0;
    wa_number_of(wa_get(table, "n"), &rows);
    size_t n = (size_t)rows;
    const double *time = times(L, columns, n);
    lua_createtable(L, 0, (int)wa_count(columns));
    for (size_t i = 0; i < wa_count(columns); i++) {
        const wa_value *column = wa_at(columns, i);
        const char *kind = wa_get_string(column, "kind"), *unit = wa_get_string(column, "unit");
        if (kind != NULL && strcmp(kind, "text") == 0) {
            push_texts(L, wa_get_string(table, "name"), column);
        } else {
            bool is_time = kind != NULL && strcmp(kind, "time") == 0;
            wa_unit u = cell_unit_of_text(L, is_time ? "s" : unit != NULL ? unit : "1");
            const double *at = numbers(L, column, n);
            wa_column *c = cell_new_column(L, n, &u);
            memcpy(c->at, at, n * sizeof *at);
            c->time = time;
        }
        lua_setfield(L, -2, wa_get_string(column, "name"));
    }
    make_strict(L);
}

void cell_push_tables(lua_State *L, const wa_value *job)
{
    const wa_value *tables = wa_get(job, "tables");
    lua_newtable(L);
    for (size_t i = 0; i < wa_count(tables); i++) {
        push_table(L, wa_at(tables, i));
        lua_setfield(L, -2, wa_get_string(wa_at(tables, i), "name"));
    }
    make_strict(L);
}

void cell_open_campaign(lua_State *L)
{
    static const luaL_Reg none[] = {{NULL, NULL}};
    static const luaL_Reg meta[] = {
        {"__index", campaign_index}, {"__newindex", campaign_write}, {NULL, NULL}};
    static const luaL_Reg texts[] = {{"__index", texts_index},
                                     {"__len", texts_len},
                                     {"__add", texts_as_numbers},
                                     {"__sub", texts_as_numbers},
                                     {"__mul", texts_as_numbers},
                                     {"__div", texts_as_numbers},
                                     {"__pow", texts_as_numbers},
                                     {"__unm", texts_as_numbers},
                                     {"__lt", texts_as_numbers},
                                     {"__le", texts_as_numbers},
                                     {NULL, NULL}};
    cell_type(L, CAMPAIGN, meta, none);
    cell_type(L, TEXTS, texts, none);
}
