/* trace_source.c - the source `s` of `prepare`: its channels, s:add and s:drop; running it. */
#include "data/campaign_parts.h"
#include "script/cell/state.h"
#include "script/cell/trace.h"
#include "script/cell/trace_state.h"

#include <string.h>

static const char SOURCE[] = "windassay.samples";

static int free_tracer(lua_State *L)
{
    cell_tracer *t = lua_touserdata(L, 1);
    wa_formula_free(t->f);
    wa_value_free(t->described);
    t->f = NULL;
    t->described = NULL;
    return 0;
}

static cell_tracer *check_source(lua_State *L)
{
    if (luaL_testudata(L, 1, SOURCE) == NULL)
        cell_fail_hint(L, "call it with a colon: s:drop(...)", "expected the source, got %s",
                       cell_type_name(L, 1));
    cell_tracer *t = cell_push_tracer(L, 1);
    return t;
}

static size_t use(lua_State *L, cell_tracer *t, int arg, const char *what)
{
    cell_placeholder *p = luaL_testudata(L, arg, CELL_PLACEHOLDER);
    if (p == NULL)
        cell_fail(L, "%s: expected what s.x or a formula gives, got %s", what,
                  cell_type_name(L, arg));
    if (cell_push_tracer(L, arg) != t)
        cell_fail(L, "%s: the value belongs to another source", what);
    lua_pop(L, 1);
    t->nodes[p->node - 1].used = true;
    return p->node;
}

/* s:add("name", x [, { quantity =, unit = }]) */
static int source_add(lua_State *L)
{
    static const char *const options[] = {"quantity", "unit", NULL};
    lua_settop(L, 4);
    cell_tracer *t = check_source(L);
    const char *name = cell_check_text(L, 2, "add"), *quantity = NULL, *unit = NULL;
    size_t node = use(L, t, 3, "add");
    cell_options(L, 4, "add", options);
    cell_option_text(L, 4, "quantity", &quantity);
    cell_option_text(L, 4, "unit", &unit);
    wa_value *add = wa_map();
    cell_trace_set(L, add, "name", wa_string(name));
    cell_trace_set_node(L, add, "node", node);
    if (quantity != NULL)
        cell_trace_set(L, add, "quantity", wa_string(quantity));
    if (unit != NULL)
        cell_trace_set(L, add, "unit", wa_string(unit));
    cell_trace_grow(L, t, "adds", wa_formula_take_add, add);
    return 0;
}

/* s:drop("reason", mask [, { "channel", ... }]) */
static int source_drop(lua_State *L)
{
    lua_settop(L, 4);
    cell_tracer *t = check_source(L);
    const char *reason = cell_check_text(L, 2, "drop");
    size_t mask = use(L, t, 3, "drop");
    lua_Integer n = 0;
    if (!lua_isnil(L, 4)) {
        cell_check_table(L, 4, "drop");
        n = (lua_Integer)lua_rawlen(L, 4);
        if (n == 0)
            cell_fail_hint(L, "write { \"los_speed\" }", "drop: the list of channels is empty");
        for (lua_Integer i = 1; i <= n; i++) {
            lua_rawgeti(L, 4, i);
            cell_check_text(L, -1, "drop: a channel");
            lua_pop(L, 1);
        }
    }
    wa_value *drop = wa_map(), *channels = n > 0 ? wa_list() : NULL;
    cell_trace_set(L, drop, "reason", wa_string(reason));
    cell_trace_set_node(L, drop, "mask", mask);
    for (lua_Integer i = 1; i <= n; i++) {
        lua_rawgeti(L, 4, i);
        if (!wa_list_add(channels, wa_string(lua_tostring(L, -1))))
            cell_end_limit(L, "memory");
        lua_pop(L, 1);
    }
    if (n > 0)
        cell_trace_set(L, drop, "channels", channels);
    cell_trace_grow(L, t, "drops", wa_formula_take_drop, drop);
    return 0;
}

static int index_source(lua_State *L)
{
    lua_settop(L, 2);
    const char *name = cell_check_text(L, 2, "the name of a channel");
    if (strcmp(name, "add") == 0 || strcmp(name, "drop") == 0) {
        lua_pushcfunction(L, *name == 'a' ? source_add : source_drop);
        return 1;
    }
    cell_push_tracer(L, 1);
    wa_value *node = cell_trace_new(L, "channel");
    cell_trace_set(L, node, "name", wa_string(name));
    return cell_trace_push(L, 3, node);
}

static int write_source(lua_State *L)
{
    return cell_fail_hint(L, "s:add(\"name\", formula) adds a channel",
                          "'prepare' cannot assign to a channel");
}

/* ---- running ------------------------------------------------------------------------------- */

/* Pushes the text under `key` of the table at `index`, or nothing and gives NULL. */
static const char *field(lua_State *L, int index, const char *key)
{
    if (lua_getfield(L, index, key) == LUA_TSTRING)
        return lua_tostring(L, -1);
    lua_pop(L, 1);
    return NULL;
}

/* Names of bits or words; the texts stay in the campaign's table. Leaves their room on the
 * stack. */
static void read_flags(lua_State *L, int channel, wa_formula_channel *c)
{
    if (lua_getfield(L, channel, "names") != LUA_TTABLE)
        return;
    int names = lua_gettop(L);
    lua_Integer n = cell_push_sorted_keys(L, names);
    wa_formula_flag *flags = lua_newuserdatauv(L, (size_t)(n + 1) * sizeof *flags, 0);
    lua_insert(L, names);
    c->flags = flags;
    for (lua_Integer i = 1; i <= n; i++) {
        int is_whole;
        lua_rawgeti(L, -1, i);
        lua_Integer bit = lua_tointegerx(L, -1, &is_whole);
        lua_rawget(L, names + 1);
        bool bit_good = c->kind == WA_FORMULA_WORDS || (is_whole && bit >= 0 && bit <= 31);
        if (bit_good && lua_type(L, -1) == LUA_TSTRING)
            flags[c->n_flags++] = (wa_formula_flag){lua_tostring(L, -1), (uint32_t)bit};
        lua_pop(L, 1);
    }
    lua_settop(L, names);
}

static bool ends_with(const char *text, const char *end)
{
    size_t n = strlen(text), m = strlen(end);
    return n >= m && strcmp(text + n - m, end) == 0;
}

/* The unit that samples of the channel have inside. What the campaign's decoder will refuse is
 * let through here: its message names the place. */
static wa_unit unit_inside(const char *text, const char *quantity)
{
    wa_unit unit = wa_unit_one(), of;
    if (text != NULL)
        (void)wa_unit_parse(&unit, text, NULL);
    const wa_quantity *known = wa_quantity_known(quantity);
    /* an instrument's signal (V, Hz) becomes what its certificate makes of it */
    if (known != NULL && wa_unit_parse(&of, known->unit, NULL) == WA_OK &&
        !wa_unit_comparable(&of, &unit))
        unit = of;
    return wa_unit_inside(&unit);
}

/* The channel at the top of the stack, as formulas see it; leaves what it needs on the stack. */
static void read_channel(lua_State *L, wa_formula_channel *c, const char *name)
{
    int channel = lua_gettop(L);
    const char *kind = field(L, channel, "kind"), *quantity = field(L, channel, "quantity");
    if (quantity == NULL)
        quantity = name;
    *c = (wa_formula_channel){.name = name, .unit = wa_unit_one()};
    if (kind != NULL && (strcmp(kind, "bits") == 0 || strcmp(kind, "words") == 0)) {
        c->kind = *kind == 'b' ? WA_FORMULA_BITS : WA_FORMULA_WORDS;
        read_flags(L, channel, c);
        return;
    }
    c->kind = ends_with(quantity, "_direction") ? WA_FORMULA_DIRECTION : WA_FORMULA_NUMBER;
    c->unit = unit_inside(field(L, channel, "unit"), quantity);
}

/* Makes the formula of a new tracer from the source's channels. */
static void read_channels(lua_State *L, int source, cell_tracer *t)
{
    int top = lua_gettop(L);
    wa_error err = {0};
    size_t n = 0;
    if (lua_getfield(L, source, "channels") != LUA_TTABLE) {
        cell_need(L, wa_formula_new(&t->f, NULL, 0, &err), &err);
        lua_settop(L, top);
        return;
    }
    int channels = lua_gettop(L);
    lua_Integer keys = cell_push_sorted_keys(L, channels);
    int sorted = lua_gettop(L);
    wa_formula_channel *list = lua_newuserdatauv(L, (size_t)(keys + 1) * sizeof *list, 0);
    for (lua_Integer i = 1; i <= keys; i++) {
        luaL_checkstack(L, 12, "too many channels");
        if (lua_rawgeti(L, sorted, i) != LUA_TSTRING)
            continue;
        const char *name = lua_tostring(L, -1);
        if (lua_getfield(L, channels, name) == LUA_TTABLE)
            read_channel(L, &list[n++], name);
    }
    cell_need(L, wa_formula_new(&t->f, list, n, &err), &err);
    lua_settop(L, top);
}

static void push_new_tracer(lua_State *L, int source)
{
    cell_tracer *t = lua_newuserdatauv(L, sizeof *t, 0);
    memset(t, 0, sizeof *t);
    luaL_setmetatable(L, CELL_TRACER);
    t->described = wa_map();
    cell_trace_set(L, t->described, "nodes", wa_list());
    cell_trace_set(L, t->described, "adds", wa_list());
    cell_trace_set(L, t->described, "drops", wa_list());
    read_channels(L, source, t);
}

static void check_all_used(lua_State *L, const cell_tracer *t)
{
    for (size_t i = 0; i < t->n; i++) {
        const cell_trace_node *n = &t->nodes[i];
        if (n->used || n->spoken)
            continue;
        cell_fail_at(L, n->file, n->line,
                     "'prepare' makes a value here and does not use it: 'if', '==', 'and', 'or' "
                     "and 'not' cannot see data that are not read yet (:where(mask), :equals, "
                     "& | ~ can)");
    }
}

void cell_trace(lua_State *L, int source, const char *name)
{
    source = lua_absindex(L, source);
    int type = lua_getfield(L, source, "prepare");
    if (type == LUA_TNIL) {
        lua_pop(L, 1);
        return;
    }
    if (type != LUA_TFUNCTION)
        cell_fail_hint(L, "write prepare = function(s) ... end",
                       "sources.%s.prepare: expected a function, got %s", name,
                       cell_type_name(L, -1));
    push_new_tracer(L, source);
    int owner = lua_gettop(L);
    cell_tracer *t = lua_touserdata(L, owner);
    lua_pushvalue(L, owner - 1);
    lua_newuserdatauv(L, 1, 1);
    lua_pushvalue(L, owner);
    lua_setiuservalue(L, -2, 1);
    luaL_setmetatable(L, SOURCE);
    lua_getfield(L, source, "limits");
    lua_call(L, 2, 0);
    t->closed = true;
    check_all_used(L, t);
    cell_push_plain(L, t->described);
    lua_setfield(L, source, "prepare");
    lua_settop(L, owner - 2);
}

/* ---- opening --------------------------------------------------------------------------------- */

void cell_open_trace_source(lua_State *L)
{
    static const luaL_Reg none[] = {{NULL, NULL}};
    static const luaL_Reg tracer_meta[] = {{"__gc", free_tracer}, {NULL, NULL}};
    static const luaL_Reg source_meta[] = {
        {"__index", index_source}, {"__newindex", write_source}, {NULL, NULL}};
    cell_type(L, CELL_TRACER, tracer_meta, none);
    cell_type(L, SOURCE, source_meta, none);
}
