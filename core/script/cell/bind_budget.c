/* bind_budget.c - budget.new and what is added to a budget; bind_budget_results.c gives it back. */
#include "script/cell/budget.h"
#include "script/cell/open.h"
#include "script/cell/operands.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char BUDGET[] = "windassay.budget";

/* The columns of options; `name` and `u` only in lists of components. */
static const char *const OPTIONS[] = {"kind",        "shape", "k",      "dof",
                                      "sensitivity", "group", "source", "evidence",
                                      "effect",      "name",  "u",      NULL};

static int budget_gc(lua_State *L)
{
    cell_budget *h = luaL_checkudata(L, 1, BUDGET);
    wa_budget_free(h->b);
    h->b = NULL;
    return 0;
}

cell_budget *cell_check_budget(lua_State *L, int arg, const char *what)
{
    cell_budget *h = luaL_testudata(L, arg, BUDGET);
    if (h == NULL)
        cell_fail(L, "%s: expected a budget, got %s", what, cell_type_name(L, arg));
    return h;
}

/* budget.new(bins or number [, { unit = }]) */
static int new (lua_State *L)
{
    static const char *const options[] = {"unit", NULL};
    const wa_bins *bins = cell_test_bins(L, 1);
    wa_error err;
    int64_t n = 1;
    lua_settop(L, 2);
    if (bins != NULL)
        n = (int64_t)bins->n;
    else if (!lua_isnil(L, 1))
        n = cell_check_whole(L, 1, "budget.new: bins, or how many", 1, WA_BUDGET_BINS_MAX);
    cell_options(L, 2, "budget.new", options);
    cell_budget *h = lua_newuserdatauv(L, sizeof *h, 1);
    *h = (cell_budget){.unit = wa_unit_one()};
    luaL_setmetatable(L, BUDGET);
    cell_need(L, wa_budget_new(&h->b, (size_t)n, &err), &err);
    if (bins != NULL) {
        lua_getfield(L, 1, "centre");
        h->unit = wa_unit_difference(&cell_check_column(L, -1, "centre")->unit);
        h->has_unit = true;
        lua_setiuservalue(L, 3, 1);
    }
    if (cell_option(L, 2, "unit") != LUA_TNIL) {
        h->unit = cell_unit(L, -1, "budget.new: unit");
        h->has_unit = true;
    }
    lua_settop(L, 3);
    return 1;
}

/* ---- adding ---------------------------------------------------------------------------------- */

static bool same_text(const char *a, const char *b)
{
    return strcmp(a, b) == 0;
}

static wa_component_kind kind_of(lua_State *L, int options, const char *name)
{
    const char *word = "B";
    cell_option_text(L, options, "kind", &word);
    if (!same_text(word, "A") && !same_text(word, "B"))
        cell_fail_hint(L, "\"A\" (from the scatter of observations) or \"B\"",
                       "component '%s': no kind '%s'", name, word);
    return same_text(word, "A") ? WA_TYPE_A : WA_TYPE_B;
}

static const double *numbers_of(const wa_operand *o, size_t *n)
{
    *n = o->column != NULL ? o->column->n : 1;
    return o->column != NULL ? o->column->at : &o->number;
}

static const wa_unit *unit_of(const wa_operand *o)
{
    return o->column != NULL ? &o->column->unit : o->has_unit ? &o->unit : NULL;
}

/* What a component of u times c has to be multiplied by to be in the unit of the budget, which a
 * first component sets. Bare numbers are in the budget's own unit. */
static double into_unit(lua_State *L, cell_budget *h, const char *name, const wa_operand *u,
                        const wa_operand *const *c, size_t n_c)
{
    wa_error err;
    wa_unit one = wa_unit_one(), product = one;
    bool any = false;
    if (unit_of(u) != NULL) {
        product = wa_unit_difference(unit_of(u));
        any = true;
    }
    for (size_t i = 0; i < n_c; i++) {
        const wa_unit *unit = c[i] != NULL ? unit_of(c[i]) : NULL;
        if (unit == NULL)
            continue;
        wa_unit of_c = wa_unit_difference(unit);
        cell_need(L, wa_unit_multiply(&product, &product, &of_c, &err), &err);
        any = true;
    }
    if (!any)
        return 1;
    if (!h->has_unit) {
        h->unit = product;
        h->has_unit = true;
    }
    double slope = 1, offset;
    if (wa_unit_affine(&slope, &offset, &product, &h->unit, &err) != WA_OK)
        cell_fail_hint(L, "u times sensitivity must be in the unit of the budget",
                       "component '%s' is in '%s', the budget in '%s'", name, product.text,
                       h->unit.text);
    return slope;
}

/* Pushes scratch and fills it with the product of the sensitivities and `factor`. */
static const double *product_of(lua_State *L, size_t bins, const char *name,
                                const wa_operand *const *c, size_t n_c, double factor)
{
    double *out = lua_newuserdatauv(L, bins * sizeof *out, 0);
    for (size_t i = 0; i < bins; i++)
        out[i] = factor;
    for (size_t k = 0; k < n_c; k++) {
        size_t n;
        const double *at = c[k] != NULL ? numbers_of(c[k], &n) : NULL;
        if (at == NULL)
            continue;
        if (n != 1 && n != bins)
            cell_fail(L, "component '%s': %zu sensitivities for %zu bins", name, n, bins);
        for (size_t i = 0; i < bins; i++)
            out[i] *= at[n == 1 ? 0 : i];
    }
    return out;
}

/* u at `arg` as an operand; a quantity also says its degrees of freedom. */
static wa_operand uncertainty_at(lua_State *L, int arg, const char *name, double *dof)
{
    cell_quantity q;
    *dof = HUGE_VAL;
    if (luaL_testudata(L, arg, BUDGET) != NULL)
        cell_fail_hint(L, "budget:include keeps its components, so that none counts twice",
                       "component '%s': a budget is not one component", name);
    if (!cell_test_quantity(L, arg, &q)) {
        char what[160];
        snprintf(what, sizeof what, "component '%s'", name);
        return cell_operand(L, arg, what);
    }
    if (isnan(q.dof))
        cell_raise_undefined(L, "component '%s': its degrees of freedom are not defined", name);
    *dof = q.dof;
    return (wa_operand){.number = q.u, .has_unit = q.has_unit, .unit = q.unit};
}

/* The degrees of freedom that options state; math.huge is fine. */
static wa_per_bin dof_at(lua_State *L, int arg, const char *name, double *own)
{
    const wa_column *c = cell_test_column(L, arg);
    if (c != NULL)
        return (wa_per_bin){c->at, c->n};
    if (lua_type(L, arg) != LUA_TNUMBER || isnan(lua_tonumber(L, arg)))
        cell_fail(L, "component '%s': dof: expected a number or a column, got %s", name,
                  cell_type_name(L, arg));
    *own = lua_tonumber(L, arg);
    return (wa_per_bin){own, 1};
}

/* Adds the component with u at `arg` and the options at `options`; `outer` is a further
 * sensitivity, or NULL. */
static void add_component(lua_State *L, cell_budget *h, const char *name, int arg, int options,
                          const wa_operand *outer)
{
    wa_error err;
    wa_operand sensitivity;
    const wa_operand *c[2] = {NULL, outer};
    double dof, k = 0;
    const char *word = "normal";
    int top = lua_gettop(L);
    luaL_checkstack(L, 10, "a component");
    wa_operand u = uncertainty_at(L, arg, name, &dof);
    wa_component part = {.name = name, .kind = kind_of(L, options, name)};
    cell_option_text(L, options, "shape", &word);
    if (!wa_shape_of(&part.shape, word))
        cell_fail_hint(L, "normal, rectangular, triangular, u_shaped",
                       "component '%s': no shape '%s'", name, word);
    if (cell_option_number(L, options, "k", &k) && !(k > 0))
        cell_fail(L, "component '%s': a coverage factor is above 0", name);
    part.k = k;
    cell_quantity q;
    if ((k > 0 || part.shape != WA_SHAPE_NORMAL) && cell_test_quantity(L, arg, &q))
        cell_fail(L, "component '%s': a quantity knows its k; its u is standard already", name);
    if (cell_option(L, options, "sensitivity") != LUA_TNIL) {
        sensitivity = cell_operand(L, -1, "sensitivity");
        c[0] = &sensitivity;
    }
    part.u.at = numbers_of(&u, &part.u.n);
    part.dof = (wa_per_bin){&dof, 1};
    if (cell_option(L, options, "dof") != LUA_TNIL)
        part.dof = dof_at(L, -1, name, &dof);
    cell_option_text(L, options, "group", &part.group);
    cell_option_text(L, options, "source", &part.source);
    double factor = into_unit(L, h, name, &u, c, 2);
    size_t bins = wa_budget_bins(h->b);
    cell_charge(L, 10 * bins);
    part.sensitivity = (wa_per_bin){product_of(L, bins, name, c, 2, factor), bins};
    cell_need(L, wa_budget_add(h->b, &part, &err), &err);
    lua_settop(L, top);
}

/* b:add(name, u, { kind =, shape =, k =, sensitivity =, group =, dof =, source = }) */
static int add(lua_State *L)
{
    cell_budget *h = cell_check_budget(L, 1, "add");
    const char *name = cell_check_text(L, 2, "add: the name of the component");
    lua_settop(L, 4);
    if (cell_options(L, 4, "add", OPTIONS) &&
        (cell_option(L, 4, "name") != LUA_TNIL || cell_option(L, 4, "u") != LUA_TNIL))
        return cell_fail_hint(L, "budget:include takes lists of components",
                              "add: name and u come before the options");
    lua_settop(L, 4);
    add_component(L, h, name, 3, 4, NULL);
    lua_settop(L, 1);
    return 1;
}

/* ---- including --------------------------------------------------------------------------------- */

/* The rows of another budget, whose bins are one or as many. */
static void include_budget(lua_State *L, cell_budget *h, const cell_budget *other,
                           const wa_operand *outer)
{
    wa_error err;
    size_t bins = wa_budget_bins(h->b), own = wa_budget_bins(other->b);
    if (own != 1 && own != bins)
        cell_fail(L, "include: a budget of %zu bins in one of %zu", own, bins);
    for (size_t j = 0; j < wa_budget_count(other->b); j++) {
        const wa_budget_row *r = wa_budget_at(other->b, j);
        wa_operand u = {.has_unit = other->has_unit, .unit = other->unit};
        double factor = into_unit(L, h, r->name, &u, &outer, 1);
        double *size = lua_newuserdatauv(L, 2 * bins * sizeof *size, 0), *sign = size + bins;
        const double *c = product_of(L, bins, r->name, &outer, 1, factor);
        cell_charge(L, 10 * bins);
        for (size_t i = 0; i < bins; i++) {
            double s = r->contribution[own == 1 ? 0 : i];
            size[i] = fabs(s);
            sign[i] = s < 0 ? -c[i] : c[i];
        }
        wa_component part = {.name = r->name,
                             .kind = r->kind,
                             .u = {size, bins},
                             .sensitivity = {sign, bins},
                             .dof = {r->dof, own},
                             .group = r->group,
                             .source = r->source};
        cell_need(L, wa_budget_add(h->b, &part, &err), &err);
        lua_pop(L, 2);
    }
}

/* A list of components: { name =, u =, kind =, ... } */
static void include_list(lua_State *L, cell_budget *h, int arg, const wa_operand *outer)
{
    lua_Integer n = (lua_Integer)lua_rawlen(L, arg);
    for (lua_Integer i = 1; i <= n; i++) {
        const char *name = NULL;
        lua_geti(L, arg, i);
        int part = lua_gettop(L);
        if (!cell_options(L, part, "include: a component", OPTIONS) ||
            !cell_option_text(L, part, "name", &name))
            cell_fail(L, "include: component %lld has no name", (long long)i);
        lua_getfield(L, part, "u");
        add_component(L, h, name, part + 1, part, outer);
        lua_settop(L, part - 1);
    }
}

/* b:include(budget or list of components [, { sensitivity = }]) */
static int include(lua_State *L)
{
    static const char *const options[] = {"sensitivity", NULL};
    cell_budget *h = cell_check_budget(L, 1, "include");
    cell_budget *other = luaL_testudata(L, 2, BUDGET);
    wa_operand outer;
    const wa_operand *c = NULL;
    lua_settop(L, 3);
    if (other == h)
        return cell_fail(L, "include: a budget cannot hold itself");
    cell_options(L, 3, "include", options);
    if (cell_option(L, 3, "sensitivity") != LUA_TNIL) {
        outer = cell_operand(L, -1, "include: sensitivity");
        c = &outer;
    }
    if (other != NULL) {
        include_budget(L, h, other, c);
    } else {
        cell_check_table(L, 2, "include: a budget or a list of components");
        include_list(L, h, 2, c);
    }
    lua_settop(L, 1);
    return 1;
}

void cell_open_budget(lua_State *L)
{
    static const luaL_Reg meta[] = {{"__gc", budget_gc}, {NULL, NULL}};
    static const luaL_Reg functions[] = {{"new", new}, {NULL, NULL}};
    luaL_Reg methods[16] = {{"add", add}, {"include", include}};
    size_t n = 2;
    for (const luaL_Reg *m = cell_budget_results; m->name != NULL; m++)
        methods[n++] = *m;
    methods[n] = (luaL_Reg){NULL, NULL};
    cell_type(L, BUDGET, meta, methods);
    cell_library(L, "budget", functions);
}
