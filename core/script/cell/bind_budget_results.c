/* bind_budget_results.c - what a budget gives back: combined, expanded, over bins, tables. */
#include "script/cell/budget.h"
#include "script/cell/operands.h"
#include "script/cell/share.h"
#include "windassay/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Pushes scratch with u and degrees of freedom of each bin. */
static double *push_combined(lua_State *L, const cell_budget *h)
{
    wa_error err;
    size_t n = wa_budget_bins(h->b);
    double *u = lua_newuserdatauv(L, 2 * n * sizeof *u, 0);
    cell_charge(L, 10 * n * (wa_budget_count(h->b) + 1));
    cell_need(L, wa_budget_combined(u, u + n, h->b, &err), &err);
    return u;
}

/* One number a bin; a budget of one gives the number itself. */
static int push_numbers(lua_State *L, const cell_budget *h, const double *at, const char *what)
{
    size_t n = wa_budget_bins(h->b);
    if (n > 1) {
        cell_push_values(L, at, n, &h->unit, WA_SIDE_NONE);
        return 1;
    }
    if (!isfinite(at[0]))
        return cell_raise_undefined(L, "%s: a component of the budget is missing", what);
    lua_pushnumber(L, at[0]);
    return 1;
}

/* b:combined() */
static int combined(lua_State *L)
{
    const cell_budget *h = cell_check_budget(L, 1, "combined");
    return push_numbers(L, h, push_combined(L, h), "combined");
}

/* b:dof(): one number (math.huge where nothing limits it), or a column, missing there. */
static int dof(lua_State *L)
{
    const cell_budget *h = cell_check_budget(L, 1, "dof");
    size_t n = wa_budget_bins(h->b);
    wa_unit one = wa_unit_one();
    double *nu = push_combined(L, h) + n;
    if (n == 1) {
        if (isnan(nu[0]))
            return cell_raise_undefined(L, "dof: a component of the budget is missing");
        lua_pushnumber(L, nu[0]);
        return 1;
    }
    for (size_t i = 0; i < n; i++)
        nu[i] = isinf(nu[i]) ? (double)NAN : nu[i];
    cell_push_values(L, nu, n, &one, WA_SIDE_NONE);
    return 1;
}

/* b:expanded(k), b:expanded{ probability = 0.95 } */
static int expanded(lua_State *L)
{
    static const char *const options[] = {"probability", NULL};
    const cell_budget *h = cell_check_budget(L, 1, "expanded");
    size_t n = wa_budget_bins(h->b);
    bool by_dof = lua_istable(L, 2);
    double k = 2, p = 0.95;
    lua_settop(L, 2);
    if (by_dof) {
        cell_options(L, 2, "expanded", options);
        if (!cell_option_number(L, 2, "probability", &p) || !(p > 0 && p < 1))
            return cell_fail(L, "expanded: the probability lies between 0 and 1");
    } else {
        k = cell_check_number(L, 2, "expanded: the coverage factor");
        if (!(k > 0))
            return cell_fail(L, "expanded: a coverage factor is above 0");
    }
    double *u = push_combined(L, h);
    for (size_t i = 0; i < n; i++) {
        if (by_dof)
            k = wa_coverage_factor(p, u[n + i]);
        if (by_dof && isnan(k) && !isnan(u[i]))
            return cell_raise_undefined(L,
                                        "expanded: bin %zu has fewer than 1 effective degree "
                                        "of freedom",
                                        i + 1);
        u[i] *= k;
    }
    return push_numbers(L, h, u, "expanded");
}

/* ---- as one quantity --------------------------------------------------------------------------- */

static void describe(const cell_budget *h, cell_quantity *q)
{
    size_t n = wa_budget_count(h->b);
    *q = (cell_quantity){.k = 1, .has_unit = h->has_unit, .unit = h->unit};
    snprintf(q->source, sizeof q->source, "uncertainty budget, %zu component%s", n,
             n == 1 ? "" : "s");
}

static void bin_quantity(lua_State *L, const cell_budget *h, size_t i, cell_quantity *q)
{
    size_t n = wa_budget_bins(h->b);
    const double *u = push_combined(L, h);
    if (!isfinite(u[i]))
        cell_raise_undefined(L, "a component of the budget is missing");
    describe(h, q);
    q->u = u[i];
    q->dof = u[n + i];
    lua_pop(L, 1);
}

bool cell_test_budget(lua_State *L, int arg, cell_quantity *out)
{
    if (luaL_testudata(L, arg, "windassay.budget") == NULL)
        return false;
    const cell_budget *h = cell_check_budget(L, arg, "budget");
    if (wa_budget_bins(h->b) > 1)
        cell_fail_hint(L, "budget:overall{ ... } makes it one, budget:at(i) takes one bin",
                       "a budget of %zu bins, where one uncertainty is needed",
                       wa_budget_bins(h->b));
    bin_quantity(L, h, 0, out);
    return true;
}

/* b:at(i): the uncertainty of one bin. */
static int at(lua_State *L)
{
    const cell_budget *h = cell_check_budget(L, 1, "at");
    cell_quantity q;
    int64_t i = cell_check_whole(L, 2, "at: the bin", 1, (int64_t)wa_budget_bins(h->b));
    bin_quantity(L, h, (size_t)i - 1, &q);
    cell_push_quantity(L, &q);
    return 1;
}

/* The column at option `name`, a value a bin; NULL where it is absent. Leaves it on the stack. */
static const wa_column *column_option(lua_State *L, const cell_budget *h, const char *name)
{
    if (cell_option(L, 2, name) == LUA_TNIL)
        return NULL;
    char what[40];
    snprintf(what, sizeof what, "overall: %s", name);
    const wa_column *c = cell_check_column(L, -1, what);
    if (c->n != wa_budget_bins(h->b))
        cell_fail(L, "%s: %zu values for %zu bins", what, c->n, wa_budget_bins(h->b));
    return c;
}

/* b:overall{ weights =, relative_to = }: one number over bins. */
static int overall(lua_State *L)
{
    static const char *const options[] = {"weights", "relative_to", NULL};
    const cell_budget *h = cell_check_budget(L, 1, "overall");
    wa_error err;
    wa_overall o;
    cell_quantity q;
    lua_settop(L, 2);
    cell_options(L, 2, "overall", options);
    const wa_column *weights = column_option(L, h, "weights");
    const wa_column *over = column_option(L, h, "relative_to");
    size_t n = wa_budget_count(h->b);
    cell_charge(L, 60 * (n + 1) * wa_budget_bins(h->b));
    double *alone = lua_newuserdatauv(L, (n + 1) * sizeof *alone, 0);
    cell_need(L,
              wa_budget_overall(&o, alone, h->b, weights != NULL ? weights->at : NULL,
                                over != NULL ? over->at : NULL, &err),
              &err);
    describe(h, &q);
    if (over != NULL) {
        wa_unit bottom = wa_unit_difference(&over->unit);
        cell_need(L, wa_unit_divide(&q.unit, &q.unit, &bottom, &err), &err);
    }
    q.u = o.u;
    q.dof = o.dof;
    cell_push_quantity(L, &q);
    cell_result_whole(L, "bins", o.bins);
    cell_result_whole(L, "left_out", o.left_out);
    lua_createtable(L, (int)n, 0);
    for (size_t j = 0; j < n; j++) {
        lua_createtable(L, 0, 2);
        cell_set_text(L, "name", wa_budget_at(h->b, j)->name);
        cell_set_number(L, "contribution", alone[j]);
        lua_rawseti(L, -2, (lua_Integer)j + 1);
    }
    cell_result_value(L, "components");
    return 1;
}

/* ---- tables -------------------------------------------------------------------------------------- */

/* Ends a column of a table that lies below it: the values are on top. */
static void add_column(lua_State *L, const char *name, const char *unit)
{
    lua_createtable(L, 0, 3);
    lua_insert(L, -2);
    lua_setfield(L, -2, "values");
    cell_set_text(L, "name", name);
    if (unit != NULL)
        cell_set_text(L, "unit", unit);
    lua_rawseti(L, -2, (lua_Integer)lua_rawlen(L, -2) + 1);
}

static void push_text_or_missing(lua_State *L, const char *text)
{
    if (text != NULL)
        lua_pushstring(L, text);
    else
        cell_push_missing(L);
}

typedef const char *text_of_row(const wa_budget_row *r);

static const char *name_of(const wa_budget_row *r)
{
    return r->name;
}

static const char *type_of(const wa_budget_row *r)
{
    return r->kind == WA_TYPE_A ? "A" : "B";
}

static const char *shape_of(const wa_budget_row *r)
{
    return wa_shape_word(r->shape);
}

static const char *group_of(const wa_budget_row *r)
{
    return r->group;
}

static const char *source_of(const wa_budget_row *r)
{
    return r->source;
}

/* A column of texts, one a component, then `more` (NULL: one missing) for each further row. */
static void add_texts(lua_State *L, const cell_budget *h, const char *name, text_of_row *text,
                      const char *const *more, size_t n_more)
{
    size_t n = wa_budget_count(h->b);
    lua_createtable(L, (int)(n + n_more), 0);
    for (size_t j = 0; j < n + n_more; j++) {
        const char *further = j >= n && more != NULL ? more[j - n] : NULL;
        push_text_or_missing(L, j < n ? text(wa_budget_at(h->b, j)) : further);
        lua_rawseti(L, -2, (lua_Integer)j + 1);
    }
    add_column(L, name, NULL);
}

/* One bin: a row a component, then the combined and the expanded uncertainty. */
static void rows_of_one(lua_State *L, const cell_budget *h, double k)
{
    char expanded_name[80], digits[WA_NUMBER_SIZE];
    size_t n = wa_budget_count(h->b);
    wa_unit one = wa_unit_one();
    int table = lua_gettop(L);
    const double *u = push_combined(L, h);
    double *s = lua_newuserdatauv(L, 2 * (n + 2) * sizeof *s, 0), *nu = s + n + 2;
    for (size_t j = 0; j < n; j++) {
        s[j] = wa_budget_at(h->b, j)->contribution[0];
        nu[j] = wa_budget_at(h->b, j)->dof[0];
    }
    s[n] = u[0];
    s[n + 1] = k * u[0];
    nu[n] = u[1];
    nu[n + 1] = (double)NAN;
    for (size_t j = 0; j < n + 2; j++)
        nu[j] = isinf(nu[j]) ? (double)NAN : nu[j];
    wa_number_print(digits, k);
    snprintf(expanded_name, sizeof expanded_name, "expanded uncertainty (k = %s)", digits);
    const char *const more[] = {"combined standard uncertainty", expanded_name};
    lua_pushvalue(L, table);
    add_texts(L, h, "component", name_of, more, 2);
    add_texts(L, h, "type", type_of, NULL, 2);
    add_texts(L, h, "distribution", shape_of, NULL, 2);
    cell_push_values(L, s, n + 2, &h->unit, WA_SIDE_NONE);
    add_column(L, "uncertainty", h->unit.text);
    cell_push_values(L, nu, n + 2, &one, WA_SIDE_NONE);
    add_column(L, "degrees of freedom", "1");
    add_texts(L, h, "group", group_of, NULL, 2);
    add_texts(L, h, "source", source_of, NULL, 2);
    lua_settop(L, table);
}

/* Several bins: a row a bin, a column a component. */
static void rows_of_bins(lua_State *L, const cell_budget *h, double k)
{
    char heading[80], digits[WA_NUMBER_SIZE];
    size_t n = wa_budget_bins(h->b);
    wa_unit one = wa_unit_one();
    int table = lua_gettop(L);
    double *u = push_combined(L, h), *number = u + n;
    bool centred = lua_getiuservalue(L, 1, 1) != LUA_TNIL;
    lua_pushvalue(L, table);
    for (size_t i = 0; i < n; i++)
        number[i] = (double)i + 1;
    if (centred)
        lua_getiuservalue(L, 1, 1);
    else
        cell_push_values(L, number, n, &one, WA_SIDE_NONE);
    const wa_unit unit = cell_check_column(L, -1, "centre")->unit;
    add_column(L, centred ? "centre" : "bin", unit.text);
    for (size_t j = 0; j < wa_budget_count(h->b); j++) {
        cell_push_values(L, wa_budget_at(h->b, j)->contribution, n, &h->unit, WA_SIDE_NONE);
        add_column(L, wa_budget_at(h->b, j)->name, h->unit.text);
    }
    cell_push_values(L, u, n, &h->unit, WA_SIDE_NONE);
    add_column(L, "combined", h->unit.text);
    for (size_t i = 0; i < n; i++)
        u[i] *= k;
    cell_push_values(L, u, n, &h->unit, WA_SIDE_NONE);
    wa_number_print(digits, k);
    snprintf(heading, sizeof heading, "expanded (k = %s)", digits);
    add_column(L, heading, h->unit.text);
    lua_settop(L, table);
}

static int finish_table(lua_State *L)
{
    lua_createtable(L, 0, 1);
    lua_insert(L, -2);
    lua_setfield(L, -2, "columns");
    return 1;
}

/* b:table{ k = 2 }: what report:table takes. */
static int table(lua_State *L)
{
    static const char *const options[] = {"k", NULL};
    const cell_budget *h = cell_check_budget(L, 1, "table");
    double k = 2;
    lua_settop(L, 2);
    cell_options(L, 2, "table", options);
    if (cell_option_number(L, 2, "k", &k) && !(k > 0))
        return cell_fail(L, "table: a coverage factor is above 0");
    lua_newtable(L);
    if (wa_budget_bins(h->b) == 1)
        rows_of_one(L, h, k);
    else
        rows_of_bins(L, h, k);
    return finish_table(L);
}

/* b:components(): what each component is, a table as well. */
static int components(lua_State *L)
{
    const cell_budget *h = cell_check_budget(L, 1, "components");
    lua_settop(L, 1);
    lua_newtable(L);
    add_texts(L, h, "component", name_of, NULL, 0);
    add_texts(L, h, "type", type_of, NULL, 0);
    add_texts(L, h, "distribution", shape_of, NULL, 0);
    add_texts(L, h, "group", group_of, NULL, 0);
    add_texts(L, h, "source", source_of, NULL, 0);
    return finish_table(L);
}

const luaL_Reg cell_budget_results[] = {{"combined", combined},
                                        {"expanded", expanded},
                                        {"dof", dof},
                                        {"at", at},
                                        {"overall", overall},
                                        {"table", table},
                                        {"components", components},
                                        {NULL, NULL}};
