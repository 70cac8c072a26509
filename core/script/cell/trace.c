/* trace.c - placeholders: what `prepare` does with them is written down, not computed.
 *
 * A tracer (userdata) owns the growing description and the formula that checks it step by step
 * with the same code that decodes it in the parent, so that a mistake is an error at its line.
 * Lua cannot see what `==`, `if`, `and`, `or` and `not` do with a placeholder; therefore every
 * value that was traced must be used by a formula in the end. */
#include "script/cell/trace.h"

#include "data/campaign_parts.h"
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/state.h"
#include "windassay/formula.h"

#include <string.h>

static const char TRACER[] = "windassay.tracer";
static const char PLACEHOLDER[] = "windassay.placeholder";
static const char SOURCE[] = "windassay.samples";

typedef struct trace_node {
    char file[64];
    int line;
    bool used, spoken; /* spoken: a number of the script, which need not be used */
} trace_node;

typedef struct tracer {
    wa_formula *f;
    wa_value *described; /* { nodes =, adds =, drops = } */
    size_t n;
    bool closed;
    trace_node nodes[WA_FORMULA_NODES_MOST];
} tracer;

/* User value 1 is the tracer. */
typedef struct placeholder {
    size_t node;
} placeholder;

static int free_tracer(lua_State *L)
{
    tracer *t = lua_touserdata(L, 1);
    wa_formula_free(t->f);
    wa_value_free(t->described);
    t->f = NULL;
    t->described = NULL;
    return 0;
}

bool cell_is_placeholder(lua_State *L, int arg)
{
    return luaL_testudata(L, arg, PLACEHOLDER) != NULL;
}

/* Pushes the tracer of a placeholder or of the source `s`; it must still be open. */
static tracer *push_tracer(lua_State *L, int arg)
{
    lua_getiuservalue(L, arg, 1);
    tracer *t = lua_touserdata(L, -1);
    if (t->closed)
        cell_fail_hint(L, "data are not seen by the campaign file; a check sees them",
                       "this value belongs to 'prepare', which is over");
    return t;
}

/* ---- growing ----------------------------------------------------------------------------- */

static void set(lua_State *L, wa_value *map, const char *key, wa_value *value)
{
    if (!wa_map_set(map, key, value))
        cell_end_limit(L, "memory");
}

static wa_value *new_node(lua_State *L, const char *op)
{
    wa_value *node = wa_map();
    set(L, node, "op", wa_string(op));
    return node;
}

typedef wa_status take(wa_formula *f, const wa_value *item, wa_error *err);

/* Checks an entry and adds it to the description; takes `item`, also when it raises. */
static void grow(lua_State *L, tracer *t, const char *list, take *check, wa_value *item)
{
    wa_error err = {0};
    if (check(t->f, item, &err) != WA_OK) {
        wa_value_free(item);
        cell_raise(L, &err);
    }
    if (!wa_list_add(wa_get_mutable(t->described, list), item))
        cell_end_limit(L, "memory");
}

/* Takes `node`; the tracer lies at `owner`. Gives the node's number, from 1. */
static size_t add_node(lua_State *L, int owner, wa_value *node, bool spoken)
{
    enum { COST = 100 };
    tracer *t = lua_touserdata(L, owner);
    cell_charge(L, COST);
    grow(L, t, "nodes", wa_formula_take_node, node);
    trace_node *n = &t->nodes[t->n++];
    *n = (trace_node){.spoken = spoken};
    cell_where(L, 1, n->file, sizeof n->file, &n->line);
    return t->n;
}

/* Adds the node and pushes its placeholder. */
static int push_node(lua_State *L, int owner, wa_value *node)
{
    owner = lua_absindex(L, owner);
    size_t number = add_node(L, owner, node, false);
    placeholder *p = lua_newuserdatauv(L, sizeof *p, 1);
    p->node = number;
    lua_pushvalue(L, owner);
    lua_setiuservalue(L, -2, 1);
    luaL_setmetatable(L, PLACEHOLDER);
    return 1;
}

/* The node of an argument: a placeholder, or a number that becomes a node. */
static size_t operand(lua_State *L, int arg, int owner, int unit_arg, const char *what)
{
    tracer *t = lua_touserdata(L, owner);
    placeholder *p = luaL_testudata(L, arg, PLACEHOLDER);
    if (p != NULL) {
        if (push_tracer(L, arg) != t)
            cell_fail(L, "%s: the values belong to different sources", what);
        lua_pop(L, 1);
        t->nodes[p->node - 1].used = true;
        return p->node;
    }
    if (cell_test_column(L, arg) != NULL)
        cell_fail(L, "%s: a column cannot meet samples that are not read yet", what);
    wa_operand o = cell_bound(L, arg, unit_arg, what);
    wa_value *node = new_node(L, "number");
    set(L, node, "value", wa_number(o.number));
    if (o.has_unit)
        set(L, node, "unit", wa_string(o.unit.text));
    return add_node(L, owner, node, true);
}

static void set_operand(lua_State *L, wa_value *node, const char *key, size_t number)
{
    set(L, node, key, wa_number((double)number));
}

static int trace_one(lua_State *L, const char *op)
{
    push_tracer(L, 1);
    int owner = lua_gettop(L);
    size_t a = operand(L, 1, owner, 0, op);
    wa_value *node = new_node(L, op);
    set_operand(L, node, "a", a);
    return push_node(L, owner, node);
}

int cell_trace_function(lua_State *L, const char *op)
{
    return trace_one(L, op);
}

int cell_trace_pair(lua_State *L, const char *op)
{
    push_tracer(L, cell_is_placeholder(L, 1) ? 1 : 2);
    int owner = lua_gettop(L);
    size_t a = operand(L, 1, owner, owner + 1, op), b = operand(L, 2, owner, owner + 1, op);
    wa_value *node = new_node(L, op);
    set_operand(L, node, "a", a);
    set_operand(L, node, "b", b);
    return push_node(L, owner, node);
}

/* ---- methods and operators: the op is upvalue 1 ---------------------------------------------- */

static const char *op_of(lua_State *L)
{
    return lua_tostring(L, lua_upvalueindex(1));
}

static void check_self(lua_State *L)
{
    if (!cell_is_placeholder(L, 1))
        cell_fail_hint(L, "call it with a colon: s.x:median()",
                       "%s: expected a placeholder, got %s", op_of(L), cell_type_name(L, 1));
}

static int unary(lua_State *L)
{
    lua_settop(L, 1);
    check_self(L);
    return trace_one(L, op_of(L));
}

static int binary(lua_State *L)
{
    lua_settop(L, 2);
    return cell_trace_pair(L, op_of(L));
}

/* x:below(2, "m/s") */
static int bounded(lua_State *L)
{
    lua_settop(L, 3);
    check_self(L);
    push_tracer(L, 1);
    size_t a = operand(L, 1, 4, 0, op_of(L)), b = operand(L, 2, 4, 3, op_of(L));
    wa_value *node = new_node(L, op_of(L));
    set_operand(L, node, "a", a);
    set_operand(L, node, "b", b);
    return push_node(L, 4, node);
}

static int between(lua_State *L)
{
    lua_settop(L, 4);
    check_self(L);
    push_tracer(L, 1);
    size_t a = operand(L, 1, 5, 0, "between");
    size_t b = operand(L, 2, 5, 4, "between"), c = operand(L, 3, 5, 4, "between");
    wa_value *node = new_node(L, "between");
    set_operand(L, node, "a", a);
    set_operand(L, node, "b", b);
    set_operand(L, node, "c", c);
    return push_node(L, 5, node);
}

static int in_sector(lua_State *L)
{
    lua_settop(L, 3);
    check_self(L);
    double from = cell_degrees(L, 2, "in_sector"), to = cell_degrees(L, 3, "in_sector");
    push_tracer(L, 1);
    size_t a = operand(L, 1, 4, 0, "in_sector");
    wa_value *node = new_node(L, "in_sector");
    set_operand(L, node, "a", a);
    set(L, node, "from", wa_number(from));
    set(L, node, "to", wa_number(to));
    return push_node(L, 4, node);
}

/* Ops with one number beside the placeholder, under the key that is upvalue 2. */
static int counted(lua_State *L)
{
    lua_settop(L, 2);
    check_self(L);
    double x = cell_check_number(L, 2, op_of(L));
    push_tracer(L, 1);
    size_t a = operand(L, 1, 3, 0, op_of(L));
    wa_value *node = new_node(L, op_of(L));
    set_operand(L, node, "a", a);
    set(L, node, lua_tostring(L, lua_upvalueindex(2)), wa_number(x));
    return push_node(L, 3, node);
}

/* Ops with one text beside the placeholder, under the key that is upvalue 2. */
static int named(lua_State *L)
{
    lua_settop(L, 2);
    check_self(L);
    const char *text = cell_check_text(L, 2, op_of(L));
    push_tracer(L, 1);
    size_t a = operand(L, 1, 3, 0, op_of(L));
    wa_value *node = new_node(L, op_of(L));
    set_operand(L, node, "a", a);
    set(L, node, lua_tostring(L, lua_upvalueindex(2)), wa_string(text));
    return push_node(L, 3, node);
}

/* What would look at data: upvalue 1 says what was tried. */
static int refuse(lua_State *L)
{
    return cell_fail_hint(L,
                          "data are not read yet: choose with x:where(mask), compare with "
                          "x:below(2, \"m/s\"), sum up with x:median() and the like",
                          "'prepare' describes samples and cannot %s", op_of(L));
}

/* ---- the source `s` -------------------------------------------------------------------------- */

static tracer *check_source(lua_State *L)
{
    if (luaL_testudata(L, 1, SOURCE) == NULL)
        cell_fail_hint(L, "call it with a colon: s:drop(...)", "expected the source, got %s",
                       cell_type_name(L, 1));
    tracer *t = push_tracer(L, 1);
    return t;
}

static size_t use(lua_State *L, tracer *t, int arg, const char *what)
{
    placeholder *p = luaL_testudata(L, arg, PLACEHOLDER);
    if (p == NULL)
        cell_fail(L, "%s: expected what s.x or a formula gives, got %s", what,
                  cell_type_name(L, arg));
    if (push_tracer(L, arg) != t)
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
    tracer *t = check_source(L);
    const char *name = cell_check_text(L, 2, "add"), *quantity = NULL, *unit = NULL;
    size_t node = use(L, t, 3, "add");
    cell_options(L, 4, "add", options);
    cell_option_text(L, 4, "quantity", &quantity);
    cell_option_text(L, 4, "unit", &unit);
    wa_value *add = wa_map();
    set(L, add, "name", wa_string(name));
    set_operand(L, add, "node", node);
    if (quantity != NULL)
        set(L, add, "quantity", wa_string(quantity));
    if (unit != NULL)
        set(L, add, "unit", wa_string(unit));
    grow(L, t, "adds", wa_formula_take_add, add);
    return 0;
}

/* s:drop("reason", mask [, { "channel", ... }]) */
static int source_drop(lua_State *L)
{
    lua_settop(L, 4);
    tracer *t = check_source(L);
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
    set(L, drop, "reason", wa_string(reason));
    set_operand(L, drop, "mask", mask);
    for (lua_Integer i = 1; i <= n; i++) {
        lua_rawgeti(L, 4, i);
        if (!wa_list_add(channels, wa_string(lua_tostring(L, -1))))
            cell_end_limit(L, "memory");
        lua_pop(L, 1);
    }
    if (n > 0)
        set(L, drop, "channels", channels);
    grow(L, t, "drops", wa_formula_take_drop, drop);
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
    push_tracer(L, 1);
    wa_value *node = new_node(L, "channel");
    set(L, node, "name", wa_string(name));
    return push_node(L, 3, node);
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
static void read_channels(lua_State *L, int source, tracer *t)
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
    tracer *t = lua_newuserdatauv(L, sizeof *t, 0);
    memset(t, 0, sizeof *t);
    luaL_setmetatable(L, TRACER);
    t->described = wa_map();
    set(L, t->described, "nodes", wa_list());
    set(L, t->described, "adds", wa_list());
    set(L, t->described, "drops", wa_list());
    read_channels(L, source, t);
}

static void check_all_used(lua_State *L, const tracer *t)
{
    for (size_t i = 0; i < t->n; i++) {
        const trace_node *n = &t->nodes[i];
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
    tracer *t = lua_touserdata(L, owner);
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

typedef struct traced_method {
    const char *name, *op, *key;
    lua_CFunction f;
} traced_method;

/* Sets each method as a closure over its op and key in the table on top of the stack. */
static void set_methods(lua_State *L, const traced_method *m)
{
    for (; m->name != NULL; m++) {
        lua_pushstring(L, m->op);
        lua_pushstring(L, m->key);
        lua_pushcclosure(L, m->f, 2);
        lua_setfield(L, -2, m->name);
    }
}

static const traced_method operators[] = {
    {"__add", "add", NULL, binary},
    {"__sub", "sub", NULL, binary},
    {"__mul", "mul", NULL, binary},
    {"__div", "div", NULL, binary},
    {"__pow", "pow", NULL, binary},
    {"__band", "and", NULL, binary},
    {"__bor", "or", NULL, binary},
    {"__unm", "neg", NULL, unary},
    {"__bnot", "not", NULL, unary},
    {"__lt", "compare them with < or >", NULL, refuse},
    {"__le", "compare them with <= or >=", NULL, refuse},
    {"__len", "count them with #", NULL, refuse},
    {"__newindex", "change them", NULL, refuse},
    {"__concat", "make a text of them", NULL, refuse},
    {"__tostring", "make a text of them", NULL, refuse},
    {"__call", "call them", NULL, refuse},
    {NULL, NULL, NULL, NULL},
};

static const traced_method methods[] = {
    {"abs", "abs", NULL, unary},
    {"sqrt", "sqrt", NULL, unary},
    {"exp", "exp", NULL, unary},
    {"log", "log", NULL, unary},
    {"mean", "mean", NULL, unary},
    {"sd", "sd", NULL, unary},
    {"min", "min", NULL, unary},
    {"max", "max", NULL, unary},
    {"median", "median", NULL, unary},
    {"count", "count", NULL, unary},
    {"missing", "missing", NULL, unary},
    {"where", "where", NULL, binary},
    {"below", "below", NULL, bounded},
    {"above", "above", NULL, bounded},
    {"equals", "equals", NULL, bounded},
    {"between", "between", NULL, between},
    {"in_sector", "in_sector", NULL, in_sector},
    {"quantile", "quantile", "p", counted},
    {"lag", "lag", "n", counted},
    {"unchanged", "unchanged", "n", counted},
    {"grow", "grow", "n", counted},
    {"to", "to", "unit", named},
    {"has", "has", "name", named},
    {"is", "is", "name", named},
    {NULL, NULL, NULL, NULL},
};

/* An index by number would look at data; upvalue 1 finds methods. */
static int index_placeholder(lua_State *L)
{
    lua_settop(L, 2);
    if (lua_type(L, 2) == LUA_TNUMBER) {
        lua_pushliteral(L, "look at a single one");
        lua_pushcclosure(L, refuse, 1);
        lua_call(L, 0, 0);
    }
    lua_pushvalue(L, lua_upvalueindex(1));
    lua_insert(L, 1);
    lua_call(L, 2, 1);
    return 1;
}

void cell_open_trace(lua_State *L)
{
    static const luaL_Reg none[] = {{NULL, NULL}};
    static const luaL_Reg tracer_meta[] = {{"__gc", free_tracer}, {NULL, NULL}};
    static const luaL_Reg source_meta[] = {
        {"__index", index_source}, {"__newindex", write_source}, {NULL, NULL}};
    cell_type(L, TRACER, tracer_meta, none);
    cell_type(L, SOURCE, source_meta, none);
    cell_type(L, PLACEHOLDER, none, none);
    luaL_getmetatable(L, PLACEHOLDER);
    set_methods(L, operators);
    lua_getfield(L, -1, "__index");
    lua_getupvalue(L, -1, 1);
    set_methods(L, methods);
    lua_pop(L, 1);
    lua_pushcclosure(L, index_placeholder, 1);
    lua_setfield(L, -2, "__index");
    lua_pop(L, 1);
}
