/* bind_channel.c - one channel: channel.mean, channel.share, channel:gives. */
#include "script/cell/grid.h"
#include "script/cell/origin.h"

#include <stdio.h>
#include <string.h>

static const char CHANNEL[] = "windassay.channel";
static const char LABELS[] = "windassay.column labels";
static const char *const statistics[] = {"mean",  "sd",           "min",       "max",
                                         "count", "availability", "resultant", NULL};

typedef struct channel {
    size_t series;
} channel;

static const wa_value *series_of(lua_State *L, size_t i)
{
    return wa_at(cell_grid_of(L)->series, i);
}

/* ---- describing ---------------------------------------------------------------------------- */

/* "mast.v_top", "beams.los_speed of beam 1 at 240 m" */
void cell_name_channel(wa_text *t, const wa_value *s)
{
    double x;
    wa_text_printf(t, "%s.%s", wa_get_string(s, "source"), wa_get_string(s, "name"));
    if (wa_number_of(wa_get(s, "beam"), &x))
        wa_text_printf(t, " of beam %g", x);
    if (wa_number_of(wa_get(s, "range"), &x))
        wa_text_printf(t, " at %g m", x);
}

void cell_describe_channel(wa_text *t, const wa_value *s)
{
    double height;
    const char *use = wa_get_string(s, "use");
    cell_name_channel(t, s);
    wa_text_printf(t, " (%s", wa_get_string(s, "quantity"));
    if (wa_number_of(wa_get(s, "height"), &height))
        wa_text_printf(t, ", %g m", height);
    if (use != NULL)
        wa_text_printf(t, ", %s", use);
    wa_text_add(t, ")");
}

/* Pushes the text and lets go of it. */
const char *cell_push_built(lua_State *L, wa_text *t)
{
    if (wa_text_failed(t))
        cell_end_limit(L, "memory");
    lua_pushstring(L, wa_text_string(t));
    wa_text_release(t);
    return lua_tostring(L, -1);
}

/* ---- a channel ----------------------------------------------------------------------------- */

void cell_push_channel(lua_State *L, size_t series)
{
    channel *c = lua_newuserdatauv(L, sizeof *c, 1); /* slot 1: its columns, by statistic */
    c->series = series;
    lua_newtable(L);
    lua_setiuservalue(L, -2, 1);
    luaL_setmetatable(L, CHANNEL);
}

/* The array behind a statistic or share; NULL when the source does not give it. */
static const double *array(lua_State *L, const wa_value *index)
{
    const cell_state *cell = cell_of(L);
    size_t n = cell_grid_of(L)->n;
    double at;
    if (!wa_number_of(index, &at))
        return NULL;
    if (((size_t)at + 1) * n > cell->n_doubles)
        cell_fail(L, "the job's records are shorter than described");
    return cell->doubles + (size_t)at * n;
}

static uint8_t side_of(const wa_value *s)
{
    const char *name = wa_get_string(s, "role");
    return name == NULL                     ? WA_SIDE_NONE
           : strcmp(name, "unit") == 0      ? WA_SIDE_UNIT
           : strcmp(name, "reference") == 0 ? WA_SIDE_REFERENCE
                                            : WA_SIDE_NONE;
}

static wa_unit unit_of(lua_State *L, const wa_value *s, const char *statistic)
{
    const char *text = wa_get_string(s, "unit");
    bool counts = strcmp(statistic, "count") == 0 || strcmp(statistic, "availability") == 0 ||
                  strcmp(statistic, "resultant") == 0;
    wa_unit unit = counts || text == NULL ? wa_unit_one() : cell_unit_of_text(L, text);
    return strcmp(statistic, "sd") == 0 ? wa_unit_difference(&unit) : unit;
}

/* Remembers what the column on top of the stack is, for the text of r:need. */
static void set_label(lua_State *L, const wa_value *s, const char *statistic)
{
    wa_text t = WA_TEXT_INIT;
    cell_name_channel(&t, s);
    if (strcmp(statistic, "mean") != 0)
        wa_text_printf(&t, " %s", statistic);
    luaL_getsubtable(L, LUA_REGISTRYINDEX, LABELS);
    lua_pushvalue(L, -2);
    cell_push_built(L, &t);
    lua_rawset(L, -3);
    lua_pop(L, 1);
}

const char *cell_column_label(lua_State *L, int index)
{
    lua_pushvalue(L, index);
    luaL_getsubtable(L, LUA_REGISTRYINDEX, LABELS);
    lua_insert(L, -2);
    lua_rawget(L, -2);
    const char *label = lua_tostring(L, -1); /* the registry holds it */
    lua_pop(L, 2);
    return label;
}

static const char *push_given(lua_State *L, const wa_value *s)
{
    wa_text t = WA_TEXT_INIT;
    const wa_value *columns = wa_get(s, "columns");
    wa_text_add(&t, "its source gives");
    for (size_t i = 0; i < wa_count(columns); i++)
        wa_text_printf(&t, "%s %s", i > 0 ? "," : "", wa_key(columns, i));
    return cell_push_built(L, &t);
}

static void push_statistic(lua_State *L, const wa_value *s, const char *name)
{
    const double *at = array(L, wa_get(wa_get(s, "columns"), name));
    if (at == NULL) {
        wa_text t = WA_TEXT_INIT;
        cell_name_channel(&t, s);
        const char *hint = push_given(L, s), *what = cell_push_built(L, &t);
        cell_fail_hint(L, hint, "'%s' has no '%s'", what, name);
        return;
    }
    wa_unit unit = unit_of(L, s, name);
    cell_push_grid_column(L, at, &unit, side_of(s));
    set_label(L, s, name);
    cell_origin_series(L, s, name, "");
}

static int no_such_share(lua_State *L)
{
    const char *name = cell_push_text_of(L, 2);
    return cell_fail_nearest(L, 1, name, "the channel has no share of '%s'", name);
}

static void push_shares(lua_State *L, const wa_value *s)
{
    const wa_value *share = wa_get(s, "share");
    const wa_unit one = wa_unit_one();
    lua_newtable(L);
    for (size_t i = 0; i < wa_count(share); i++) {
        cell_push_grid_column(L, array(L, wa_at(share, i)), &one, side_of(s));
        set_label(L, s, wa_key(share, i));
        cell_origin_series(L, s, "share.", wa_key(share, i));
        lua_setfield(L, -2, wa_key(share, i));
    }
    lua_createtable(L, 0, 1);
    lua_pushcfunction(L, no_such_share);
    lua_setfield(L, -2, "__index");
    lua_setmetatable(L, -2);
}

/* channel:gives("sd") */
static int channel_gives(lua_State *L)
{
    const channel *c = luaL_checkudata(L, 1, CHANNEL);
    const char *name = cell_check_text(L, 2, "gives");
    const wa_value *s = series_of(L, c->series);
    const char *const *known = statistics;
    size_t n = 0;
    while (known[n] != NULL && strcmp(known[n], name) != 0)
        n++;
    if (known[n] == NULL && strcmp(name, "share") != 0)
        return cell_fail_hint(L, "mean, sd, min, max, count, availability, resultant, share",
                              "gives: there is no statistic '%s'", name);
    lua_pushboolean(L, known[n] == NULL ? wa_count(wa_get(s, "share")) > 0
                                        : wa_get(wa_get(s, "columns"), name) != NULL);
    return 1;
}

/* channel.KEY: a statistic, what the channel is, or a method. Columns are made once. */
static int channel_index(lua_State *L)
{
    static const char *const facts[] = {"name",  "quantity", "unit",       "height",
                                        "use",   "source",   "instrument", "beam",
                                        "range", "kind",     NULL};
    const channel *c = luaL_checkudata(L, 1, CHANNEL);
    const char *key = cell_check_text(L, 2, "a channel's entry");
    const wa_value *s = series_of(L, c->series);
    lua_settop(L, 2);
    lua_getiuservalue(L, 1, 1);
    if (lua_getfield(L, 3, key) != LUA_TNIL)
        return 1;
    for (const char *const *f = facts; *f != NULL; f++)
        if (strcmp(*f, key) == 0) {
            if (wa_get(s, key) == NULL)
                lua_pushnil(L);
            else
                cell_push_plain(L, wa_get(s, key));
            return 1;
        }
    if (strcmp(key, "gives") == 0) {
        lua_pushcfunction(L, channel_gives);
        return 1;
    }
    bool known = false;
    for (const char *const *n = statistics; *n != NULL && !known; n++)
        known = strcmp(*n, key) == 0;
    if (known)
        push_statistic(L, s, key);
    else if (strcmp(key, "share") == 0)
        push_shares(L, s);
    else
        return cell_fail_hint(L,
                              "mean, sd, min, max, count, availability, resultant, share; name, "
                              "quantity, unit, height, use, source, instrument, beam, range",
                              "a channel has no '%s'", key);
    lua_pushvalue(L, -1);
    lua_setfield(L, 3, key);
    return 1;
}

static int channel_text(lua_State *L)
{
    const channel *c = luaL_checkudata(L, 1, CHANNEL);
    wa_text t = WA_TEXT_INIT;
    cell_describe_channel(&t, series_of(L, c->series));
    cell_push_built(L, &t);
    return 1;
}

void cell_open_channel(lua_State *L)
{
    static const luaL_Reg none[] = {{NULL, NULL}};
    static const luaL_Reg meta[] = {
        {"__index", channel_index}, {"__tostring", channel_text}, {NULL, NULL}};
    cell_open_role(L);
    cell_type(L, CHANNEL, meta, none);
}
