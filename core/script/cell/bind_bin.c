/* bind_bin.c - bin.by and the bins that it gives. */
#include "windassay/bin.h"
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/share.h"

#include <math.h>
#include <string.h>

static const char BINS[] = "windassay.bins";

/* What a script holds: first the pointer (cell_test_bins of bind.h), unit and side of the
 * reference, then the bins. User value 1 keeps the columns that were asked for, 2 and 3 (share.h)
 * those that the bins were made from. */
typedef struct held_bins {
    const wa_bins *bins;
    wa_unit unit;
    uint8_t side;
} held_bins;

/* Owns bins of the core until they are copied into memory that Lua counts. */
typedef struct owner {
    wa_bins *bins;
} owner;

static const char OWNER[] = "windassay.owner of bins";

static int owner_gc(lua_State *L)
{
    owner *o = luaL_checkudata(L, 1, OWNER);
    wa_bins_free(o->bins);
    o->bins = NULL;
    return 0;
}

static size_t aligned(size_t size)
{
    return (size + 15) / 16 * 16;
}

void cell_push_bins(lua_State *L, const wa_bins *bins, const wa_unit *unit, uint8_t side)
{
    size_t head = aligned(sizeof(held_bins));
    char *piece = lua_newuserdatauv(L, head + wa_bins_size(bins), 3);
    held_bins *h = (held_bins *)(void *)piece;
    *h = (held_bins){.unit = *unit, .bins = wa_bins_copy(piece + head, bins), .side = side};
    luaL_setmetatable(L, BINS);
    lua_newtable(L);
    lua_setiuservalue(L, -2, 1);
}

void cell_bins_keep(lua_State *L, int by, int measured)
{
    lua_pushvalue(L, by);
    lua_setiuservalue(L, -2, CELL_BINS_BY);
    if (measured == 0)
        return;
    lua_pushvalue(L, measured);
    lua_setiuservalue(L, -2, CELL_BINS_MEASURED);
}

bool cell_push_bins_column(lua_State *L, int arg, int which)
{
    return lua_getiuservalue(L, arg, which) == LUA_TUSERDATA;
}

static const held_bins *check_bins(lua_State *L, int arg)
{
    const held_bins *h = luaL_testudata(L, arg, BINS);
    if (h == NULL)
        cell_fail_hint(L, "a method is called with a colon: bins:mean(column)",
                       "expected bins, got %s", cell_type_name(L, arg));
    return h;
}

void cell_push_values(lua_State *L, const double *at, size_t n, const wa_unit *unit, uint8_t side)
{
    wa_column *c = cell_new_column(L, n, unit);
    c->side = side;
    if (n > 0)
        memcpy(c->at, at, n * sizeof *at);
}

/* ---- options --------------------------------------------------------------------------------- */

/* A number of the spec in the unit of the reference; `difference`: a width has no zero. */
static bool spec_number(lua_State *L, int arg, const char *name, const wa_unit *unit,
                        bool difference, double *out)
{
    wa_error err;
    if (cell_option(L, arg, name) == LUA_TNIL) {
        lua_pop(L, 1);
        return false;
    }
    wa_operand o = cell_operand(L, -1, name);
    if (o.column != NULL)
        cell_fail(L, "%s: expected a number, got column", name);
    *out = o.number;
    if (o.has_unit) {
        wa_unit to = difference ? wa_unit_difference(unit) : *unit;
        wa_unit from = difference ? wa_unit_difference(&o.unit) : o.unit;
        cell_need(L, wa_unit_convert(out, o.number, &from, &to, &err), &err);
    }
    lua_pop(L, 1);
    return true;
}

/* Edges as a list of numbers; what holds them stays on the stack. */
static void take_edges(lua_State *L, wa_bin_spec *spec)
{
    int list = lua_gettop(L);
    cell_check_table(L, list, "edges");
    size_t n = (size_t)lua_rawlen(L, list);
    cell_charge(L, n);
    double *edges = lua_newuserdatauv(L, (n + 1) * sizeof *edges, 0);
    for (size_t k = 0; k < n; k++) {
        lua_rawgeti(L, list, (lua_Integer)k + 1);
        edges[k] = cell_check_number(L, -1, "edges");
        lua_pop(L, 1);
    }
    spec->edges = edges;
    spec->edge_count = n;
}

void cell_bin_spec(lua_State *L, int arg, const char *function, const wa_column *reference,
                   wa_bin_spec *spec)
{
    static const char *const options[] = {"width", "lowest",     "highest", "at_least",
                                          "edges", "centred_on", NULL};
    int64_t at_least = 1;
    *spec = (wa_bin_spec){0};
    if (!cell_options(L, arg, function, options))
        cell_fail_hint(L, "{ width = 0.5, lowest = 4, highest = 16, at_least = 3 }",
                       "%s: needs to know the bins", function);
    cell_option_whole(L, arg, "at_least", 1, INT32_MAX, &at_least);
    spec->at_least = (size_t)at_least;
    const wa_unit *unit = &reference->unit;
    bool width = spec_number(L, arg, "width", unit, true, &spec->width);
    bool lowest = spec_number(L, arg, "lowest", unit, false, &spec->lowest);
    bool highest = spec_number(L, arg, "highest", unit, false, &spec->highest);
    bool centred = spec_number(L, arg, "centred_on", unit, false, &spec->centred_on);
    bool edges = cell_option(L, arg, "edges") != LUA_TNIL;
    if (edges && (width || lowest || highest || centred))
        cell_fail(L, "%s: bins go either by edges or by width, lowest and highest", function);
    if (edges)
        take_edges(L, spec);
    else if (!width || !lowest || !highest)
        cell_fail_hint(L,
                       "{ width = 0.5, lowest = 4, highest = 16 }, centres of bins, or "
                       "{ edges = { 4, 8, 16 } }",
                       "%s: needs width, lowest and highest", function);
}

/* bin.by(reference, { width =, lowest =, highest =, centred_on =, at_least = } or { edges = }) */
static int by(lua_State *L)
{
    wa_bin_spec spec;
    wa_error err;
    const wa_column *c = cell_check_column(L, 1, "bin.by");
    lua_settop(L, 2);
    owner *o = lua_newuserdatauv(L, sizeof *o, 0);
    o->bins = NULL;
    luaL_setmetatable(L, OWNER);
    int kept = lua_gettop(L);
    cell_bin_spec(L, 2, "bin.by", c, &spec);
    cell_charge(L, 20 * c->n);
    cell_need(L, wa_bins_make(&o->bins, c->at, c->time, c->n, &spec, &err), &err);
    cell_push_bins(L, o->bins, &c->unit, c->side);
    cell_bins_keep(L, 1, 0);
    wa_bins_free(o->bins);
    o->bins = NULL;
    lua_replace(L, kept);
    lua_settop(L, kept);
    return 1;
}

/* ---- statistics ------------------------------------------------------------------------------ */

static int statistic(lua_State *L, wa_bin_statistic which, const char *name)
{
    wa_error err;
    const held_bins *h = check_bins(L, 1);
    const wa_column *c = cell_check_column(L, 2, name);
    bool spread = which == WA_BIN_SD || which == WA_BIN_STANDARD_ERROR;
    if (c->n != h->bins->records)
        return cell_fail(L, "%s: the bins were made from %zu records, the column has %zu", name,
                         h->bins->records, c->n);
    cell_charge(L, 8 * c->n);
    wa_unit unit = spread ? wa_unit_difference(&c->unit) : c->unit;
    wa_column *out = cell_new_column(L, h->bins->n, &unit);
    out->side = c->side;
    cell_need(L, wa_bins_statistic(out->at, h->bins, which, c->at, &err), &err);
    return 1;
}

static int bins_mean(lua_State *L)
{
    return statistic(L, WA_BIN_MEAN, "mean");
}

static int bins_sd(lua_State *L)
{
    return statistic(L, WA_BIN_SD, "sd");
}

static int bins_rms(lua_State *L)
{
    return statistic(L, WA_BIN_RMS, "rms");
}

static int bins_standard_error(lua_State *L)
{
    return statistic(L, WA_BIN_STANDARD_ERROR, "standard_error");
}

static int bins_min(lua_State *L)
{
    return statistic(L, WA_BIN_MIN, "min");
}

static int bins_max(lua_State *L)
{
    return statistic(L, WA_BIN_MAX, "max");
}

/* bins:share(mask): the share of a bin's records for which it is true, of those for which it is known. */
static int bins_share(lua_State *L)
{
    wa_error err;
    const held_bins *h = check_bins(L, 1);
    const wa_mask *m = cell_check_mask(L, 2, "share");
    if (m->n != h->bins->records)
        return cell_fail(L, "share: the bins were made from %zu records, the mask has %zu",
                         h->bins->records, m->n);
    cell_charge(L, 8 * m->n);
    double *hit = lua_newuserdatauv(L, (m->n + 1) * sizeof *hit, 0);
    for (size_t i = 0; i < m->n; i++)
        hit[i] = m->at[i] == WA_UNKNOWN ? (double)NAN : m->at[i] == WA_TRUE;
    wa_unit one = wa_unit_one();
    wa_column *out = cell_new_column(L, h->bins->n, &one);
    out->side = m->sides;
    cell_need(L, wa_bins_statistic(out->at, h->bins, WA_BIN_MEAN, hit, &err), &err);
    return 1;
}

/* ---- fields ---------------------------------------------------------------------------------- */

static void push_counts(lua_State *L, const size_t *count, size_t n)
{
    wa_unit one = wa_unit_one();
    wa_column *c = cell_new_column(L, n, &one);
    for (size_t k = 0; k < n; k++)
        c->at[k] = (double)count[k];
}

static void push_complete(lua_State *L, const wa_bins *b)
{
    wa_mask *m = cell_new_mask(L, b->n);
    for (size_t k = 0; k < b->n; k++)
        m->at[k] = b->complete[k] ? WA_TRUE : WA_FALSE;
}

static void push_outside(lua_State *L, const held_bins *h)
{
    const wa_bins *b = h->bins;
    wa_mask *m = cell_new_mask(L, b->records);
    m->sides = h->side;
    for (size_t i = 0; i < b->records; i++)
        m->at[i] = b->of_record[i] == WA_NO_BIN        ? WA_TRUE
                   : b->of_record[i] == WA_BIN_UNKNOWN ? WA_UNKNOWN
                                                       : WA_FALSE;
}

/* Pushes the field, or nothing for an unknown one. */
static bool push_field(lua_State *L, const held_bins *h, const char *key)
{
    const wa_bins *b = h->bins;
    if (strcmp(key, "centre") == 0)
        cell_push_values(L, b->centre, b->n, &h->unit, WA_SIDE_NONE);
    else if (strcmp(key, "lower") == 0)
        cell_push_values(L, b->edge, b->n, &h->unit, WA_SIDE_NONE);
    else if (strcmp(key, "upper") == 0)
        cell_push_values(L, b->edge + 1, b->n, &h->unit, WA_SIDE_NONE);
    else if (strcmp(key, "count") == 0)
        push_counts(L, b->count, b->n);
    else if (strcmp(key, "days") == 0 && b->days != NULL)
        push_counts(L, b->days, b->n);
    else if (strcmp(key, "complete") == 0)
        push_complete(L, b);
    else if (strcmp(key, "outside") == 0)
        push_outside(L, h);
    else
        return false;
    return true;
}

static const luaL_Reg METHODS[] = {{"mean", bins_mean},   {"sd", bins_sd},
                                   {"rms", bins_rms},     {"standard_error", bins_standard_error},
                                   {"min", bins_min},     {"max", bins_max},
                                   {"share", bins_share}, {NULL, NULL}};

static int unknown_field(lua_State *L, const char *key)
{
    static const char *const fields[] = {"centre", "lower",    "upper",  "count",
                                         "days",   "complete", "outside"};
    if (strcmp(key, "days") == 0)
        return cell_fail(L, "bins of a column without times have no 'days'");
    lua_newtable(L);
    for (size_t k = 0; k < sizeof fields / sizeof *fields; k++)
        cell_set_text(L, fields[k], "");
    for (const luaL_Reg *m = METHODS; m->name != NULL; m++)
        cell_set_text(L, m->name, "");
    return cell_fail_nearest(L, lua_gettop(L), key, "bins have no '%s'", key);
}

/* A field is made once, a method is looked up: both stay in user value 1. */
static int bins_index(lua_State *L)
{
    const held_bins *h = check_bins(L, 1);
    if (lua_type(L, 2) != LUA_TSTRING)
        return cell_fail(L, "bins have no entry of type %s; their means are bins:mean(column)[i]",
                         cell_type_name(L, 2));
    const char *key = lua_tostring(L, 2);
    lua_settop(L, 2);
    lua_getiuservalue(L, 1, 1);
    if (lua_getfield(L, 3, key) != LUA_TNIL)
        return 1;
    lua_pop(L, 1);
    const luaL_Reg *m = METHODS;
    while (m->name != NULL && strcmp(m->name, key) != 0)
        m++;
    if (m->name != NULL)
        lua_pushcfunction(L, m->func);
    else if (!push_field(L, h, key))
        return unknown_field(L, key);
    lua_pushvalue(L, -1);
    lua_setfield(L, 3, key);
    return 1;
}

static int bins_length(lua_State *L)
{
    lua_pushinteger(L, (lua_Integer)check_bins(L, 1)->bins->n);
    return 1;
}

static int bins_write(lua_State *L)
{
    return cell_fail_hint(L, "keep your own in a local variable", "bins are read-only");
}

void cell_open_bin(lua_State *L)
{
    static const luaL_Reg meta[] = {
        {"__index", bins_index}, {"__len", bins_length}, {"__newindex", bins_write}, {NULL, NULL}};
    static const luaL_Reg owner_meta[] = {{"__gc", owner_gc}, {NULL, NULL}};
    static const luaL_Reg none[] = {{NULL, NULL}};
    static const luaL_Reg functions[] = {{"by", by}, {NULL, NULL}};
    cell_type(L, BINS, meta, none);
    cell_type(L, OWNER, owner_meta, none);
    cell_library(L, "bin", functions);
}
