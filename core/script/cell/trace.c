/* trace.c - placeholders: what `prepare` does with them is written down, not computed.
 *
 * A tracer (userdata) owns the growing description and the formula that checks it step by step
 * with the same code that decodes it in the parent, so that a mistake is an error at its line.
 * Lua cannot see what `==`, `if`, `and`, `or` and `not` do with a placeholder; therefore every
 * value that was traced must be used by a formula in the end. */
#include "script/cell/trace.h"

#include "script/cell/open.h"
#include "script/cell/state.h"
#include "script/cell/trace_state.h"

#include <string.h>

bool cell_is_placeholder(lua_State *L, int arg)
{
    return luaL_testudata(L, arg, CELL_PLACEHOLDER) != NULL;
}

cell_tracer *cell_push_tracer(lua_State *L, int arg)
{
    lua_getiuservalue(L, arg, 1);
    cell_tracer *t = lua_touserdata(L, -1);
    if (t->closed)
        cell_fail_hint(L, "data are not seen by the campaign file; a check sees them",
                       "this value belongs to 'prepare', which is over");
    return t;
}

/* ---- growing ----------------------------------------------------------------------------- */

void cell_trace_set(lua_State *L, wa_value *map, const char *key, wa_value *value)
{
    if (!wa_map_set(map, key, value))
        cell_end_limit(L, "memory");
}

wa_value *cell_trace_new(lua_State *L, const char *op)
{
    wa_value *node = wa_map();
    cell_trace_set(L, node, "op", wa_string(op));
    return node;
}

void cell_trace_grow(lua_State *L, cell_tracer *t, const char *list, cell_trace_take *check,
                     wa_value *item)
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
    cell_tracer *t = lua_touserdata(L, owner);
    cell_charge(L, COST);
    cell_trace_grow(L, t, "nodes", wa_formula_take_node, node);
    cell_trace_node *n = &t->nodes[t->n++];
    *n = (cell_trace_node){.spoken = spoken};
    cell_where(L, 1, n->file, sizeof n->file, &n->line);
    return t->n;
}

int cell_trace_push(lua_State *L, int owner, wa_value *node)
{
    owner = lua_absindex(L, owner);
    size_t number = add_node(L, owner, node, false);
    cell_placeholder *p = lua_newuserdatauv(L, sizeof *p, 1);
    p->node = number;
    lua_pushvalue(L, owner);
    lua_setiuservalue(L, -2, 1);
    luaL_setmetatable(L, CELL_PLACEHOLDER);
    return 1;
}

/* The node of an argument: a placeholder, or a number that becomes a node. */
static size_t operand(lua_State *L, int arg, int owner, int unit_arg, const char *what)
{
    cell_tracer *t = lua_touserdata(L, owner);
    cell_placeholder *p = luaL_testudata(L, arg, CELL_PLACEHOLDER);
    if (p != NULL) {
        if (cell_push_tracer(L, arg) != t)
            cell_fail(L, "%s: the values belong to different sources", what);
        lua_pop(L, 1);
        t->nodes[p->node - 1].used = true;
        return p->node;
    }
    if (cell_test_column(L, arg) != NULL)
        cell_fail(L, "%s: a column cannot meet samples that are not read yet", what);
    wa_operand o = cell_bound(L, arg, unit_arg, what);
    wa_value *node = cell_trace_new(L, "number");
    cell_trace_set(L, node, "value", wa_number(o.number));
    if (o.has_unit)
        cell_trace_set(L, node, "unit", wa_string(o.unit.text));
    return add_node(L, owner, node, true);
}

void cell_trace_set_node(lua_State *L, wa_value *node, const char *key, size_t number)
{
    cell_trace_set(L, node, key, wa_number((double)number));
}

static int trace_one(lua_State *L, const char *op)
{
    cell_push_tracer(L, 1);
    int owner = lua_gettop(L);
    size_t a = operand(L, 1, owner, 0, op);
    wa_value *node = cell_trace_new(L, op);
    cell_trace_set_node(L, node, "a", a);
    return cell_trace_push(L, owner, node);
}

int cell_trace_function(lua_State *L, const char *op)
{
    return trace_one(L, op);
}

int cell_trace_pair(lua_State *L, const char *op)
{
    cell_push_tracer(L, cell_is_placeholder(L, 1) ? 1 : 2);
    int owner = lua_gettop(L);
    size_t a = operand(L, 1, owner, owner + 1, op), b = operand(L, 2, owner, owner + 1, op);
    wa_value *node = cell_trace_new(L, op);
    cell_trace_set_node(L, node, "a", a);
    cell_trace_set_node(L, node, "b", b);
    return cell_trace_push(L, owner, node);
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
    cell_push_tracer(L, 1);
    size_t a = operand(L, 1, 4, 0, op_of(L)), b = operand(L, 2, 4, 3, op_of(L));
    wa_value *node = cell_trace_new(L, op_of(L));
    cell_trace_set_node(L, node, "a", a);
    cell_trace_set_node(L, node, "b", b);
    return cell_trace_push(L, 4, node);
}

static int between(lua_State *L)
{
    lua_settop(L, 4);
    check_self(L);
    cell_push_tracer(L, 1);
    size_t a = operand(L, 1, 5, 0, "between");
    size_t b = operand(L, 2, 5, 4, "between"), c = operand(L, 3, 5, 4, "between");
    wa_value *node = cell_trace_new(L, "between");
    cell_trace_set_node(L, node, "a", a);
    cell_trace_set_node(L, node, "b", b);
    cell_trace_set_node(L, node, "c", c);
    return cell_trace_push(L, 5, node);
}

static int in_sector(lua_State *L)
{
    lua_settop(L, 3);
    check_self(L);
    double from = cell_degrees(L, 2, "in_sector"), to = cell_degrees(L, 3, "in_sector");
    cell_push_tracer(L, 1);
    size_t a = operand(L, 1, 4, 0, "in_sector");
    wa_value *node = cell_trace_new(L, "in_sector");
    cell_trace_set_node(L, node, "a", a);
    cell_trace_set(L, node, "from", wa_number(from));
    cell_trace_set(L, node, "to", wa_number(to));
    return cell_trace_push(L, 4, node);
}

/* Ops with one number beside the placeholder, under the key that is upvalue 2. */
static int counted(lua_State *L)
{
    lua_settop(L, 2);
    check_self(L);
    double x = cell_check_number(L, 2, op_of(L));
    cell_push_tracer(L, 1);
    size_t a = operand(L, 1, 3, 0, op_of(L));
    wa_value *node = cell_trace_new(L, op_of(L));
    cell_trace_set_node(L, node, "a", a);
    cell_trace_set(L, node, lua_tostring(L, lua_upvalueindex(2)), wa_number(x));
    return cell_trace_push(L, 3, node);
}

/* Ops with one text beside the placeholder, under the key that is upvalue 2. */
static int named(lua_State *L)
{
    lua_settop(L, 2);
    check_self(L);
    const char *text = cell_check_text(L, 2, op_of(L));
    cell_push_tracer(L, 1);
    size_t a = operand(L, 1, 3, 0, op_of(L));
    wa_value *node = cell_trace_new(L, op_of(L));
    cell_trace_set_node(L, node, "a", a);
    cell_trace_set(L, node, lua_tostring(L, lua_upvalueindex(2)), wa_string(text));
    return cell_trace_push(L, 3, node);
}

/* What would look at data: upvalue 1 says what was tried. */
static int refuse(lua_State *L)
{
    return cell_fail_hint(L,
                          "data are not read yet: choose with x:where(mask), compare with "
                          "x:below(2, \"m/s\"), sum up with x:median() and the like",
                          "'prepare' describes samples and cannot %s", op_of(L));
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
    cell_type(L, CELL_PLACEHOLDER, none, none);
    luaL_getmetatable(L, CELL_PLACEHOLDER);
    set_methods(L, operators);
    lua_getfield(L, -1, "__index");
    lua_getupvalue(L, -1, 1);
    set_methods(L, methods);
    lua_pop(L, 1);
    lua_pushcclosure(L, index_placeholder, 1);
    lua_setfield(L, -2, "__index");
    lua_pop(L, 1);
    cell_open_trace_source(L);
}
