/* bind_uncertainty.c - uncertainty.propagate and monte_carlo.propagate: the model is a function of
 * the script, called in protected mode so that what it raises passes the core, and goes on then. */
#include "script/cell/inputs.h"
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/state.h"
#include "windassay/budget.h"
#include "windassay/random.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What a trial costs: for each input, and to sort it. */
enum { TRIALS_MOST = 5000000, DRAWING = 40, DRAWING_T = 2000, SORTING = 50 };

/* A model of the script. */
typedef struct model {
    lua_State *L;
    int function; /* where it lies on the stack                                     */
    const cell_inputs *in;
    bool raised; /* the error record lies on top of the stack                        */
} model;

static const char RAISED[] = "the model raised an error";

/* Calls the function with its arguments on top: one table by name, or the inputs in order. What
 * it returns lies above `base`; false when it raised. */
static bool call(model *m, int arguments, int base)
{
    lua_State *L = m->L;
    lua_pushcfunction(L, cell_handler);
    lua_insert(L, base + 1);
    m->raised = lua_pcall(L, arguments, LUA_MULTRET, base + 1) != LUA_OK;
    lua_remove(L, base + 1);
    return !m->raised;
}

/* Makes the arguments from pushed values: `named` moves the top into the table below it. */
static void give(model *m, size_t i)
{
    if (m->in->named)
        lua_setfield(m->L, -2, m->in->name[i]);
}

static void begin(model *m)
{
    luaL_checkstack(m->L, WA_INPUTS_MAX + WA_OUTPUTS_MAX + 10, "a model");
    lua_pushvalue(m->L, m->function);
    if (m->in->named)
        lua_newtable(m->L);
}

static int argument_count(const model *m)
{
    return m->in->named ? 1 : (int)m->in->n;
}

/* ---- uncertainty.propagate -------------------------------------------------------------------- */

/* How many numbers lie above `base`: several results, or one list, which is unpacked. */
static size_t results_above(lua_State *L, int base)
{
    if (lua_gettop(L) == base + 1 && lua_istable(L, -1)) {
        lua_Integer n = (lua_Integer)lua_rawlen(L, -1);
        for (lua_Integer i = 1; i <= n && i <= WA_OUTPUTS_MAX + 1; i++)
            lua_rawgeti(L, base + 1, i);
        lua_remove(L, base + 1);
    }
    return (size_t)(lua_gettop(L) - base);
}

static wa_status evaluate(double *y, size_t outputs, const double *x, size_t n, void *context,
                          wa_error *err)
{
    model *m = context;
    lua_State *L = m->L;
    int base = lua_gettop(L);
    begin(m);
    for (size_t i = 0; i < n; i++) {
        lua_pushnumber(L, x[i]);
        give(m, i);
    }
    if (!call(m, argument_count(m), base))
        return wa_fail(err, WA_ERR_SCRIPT, "%s", RAISED);
    size_t found = results_above(L, base);
    wa_status s = WA_OK;
    if (found != outputs)
        s = wa_fail(err, WA_ERR_SCRIPT, "the model gives %zu numbers, and %zu elsewhere", found,
                    outputs);
    for (size_t a = 0; s == WA_OK && a < outputs; a++) {
        if (lua_type(L, base + 1 + (int)a) != LUA_TNUMBER)
            s = wa_fail(err, WA_ERR_SCRIPT, "the model gives a %s, where a number is needed",
                        cell_type_name(L, base + 1 + (int)a));
        else
            y[a] = lua_tonumber(L, base + 1 + (int)a);
    }
    lua_settop(L, base);
    return s;
}

/* One call at the inputs' values tells how many outputs there are. */
static size_t count_outputs(model *m)
{
    lua_State *L = m->L;
    int base = lua_gettop(L);
    begin(m);
    for (size_t i = 0; i < m->in->n; i++) {
        lua_pushnumber(L, m->in->input[i].value);
        give(m, i);
    }
    if (!call(m, argument_count(m), base))
        lua_error(L);
    size_t n = results_above(L, base);
    lua_settop(L, base);
    if (n == 0 || n > WA_OUTPUTS_MAX)
        cell_fail(L, "uncertainty.propagate: the model gives %zu numbers, not 1 to %d", n,
                  WA_OUTPUTS_MAX);
    return n;
}

/* A list of rows of `columns` numbers each. */
static void push_matrix(lua_State *L, const double *at, size_t rows, size_t columns)
{
    lua_createtable(L, (int)rows, 0);
    for (size_t a = 0; a < rows; a++) {
        lua_createtable(L, (int)columns, 0);
        for (size_t b = 0; b < columns; b++) {
            lua_pushnumber(L, at[a * columns + b]);
            lua_rawseti(L, -2, (lua_Integer)b + 1);
        }
        lua_rawseti(L, -2, (lua_Integer)a + 1);
    }
}

static void push_list(lua_State *L, const double *at, size_t n)
{
    lua_createtable(L, (int)n, 0);
    for (size_t a = 0; a < n; a++) {
        lua_pushnumber(L, at[a]);
        lua_rawseti(L, -2, (lua_Integer)a + 1);
    }
}

/* dy_a / dx_i by input: a list, or by name. */
static void push_sensitivities(lua_State *L, const cell_inputs *in, const double *c)
{
    lua_newtable(L);
    for (size_t i = 0; i < in->n; i++) {
        lua_pushnumber(L, c[i]);
        if (in->named)
            lua_setfield(L, -2, in->name[i]);
        else
            lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
}

static void push_correlations(lua_State *L, const wa_propagated *p, size_t m, double *scratch)
{
    for (size_t a = 0; a < m; a++)
        for (size_t b = 0; b < m; b++)
            scratch[a * m + b] = a == b ? 1 : p->covariance[a * m + b] / (p->u[a] * p->u[b]);
    push_matrix(L, scratch, m, m);
}

/* Several outputs: lists, and matrices. */
static void push_several(lua_State *L, const wa_propagated *p, const cell_inputs *in, size_t m,
                         double *scratch)
{
    bool all_known = true, all_vary = true;
    for (size_t a = 0; a < m; a++) {
        all_known = all_known && !isnan(p->dof[a]);
        all_vary = all_vary && p->u[a] > 0;
    }
    cell_new_result(L, "propagation", 0);
    push_list(L, p->value, m);
    cell_result_value(L, "value");
    push_list(L, p->u, m);
    cell_result_value(L, "u");
    if (all_known) {
        push_list(L, p->dof, m);
        cell_result_value(L, "dof");
    } else {
        cell_result_undefined(L, "dof", "the inputs are correlated");
    }
    if (all_vary) {
        push_correlations(L, p, m, scratch);
        cell_result_value(L, "correlation");
    } else {
        cell_result_undefined(L, "correlation", "an output has no uncertainty");
    }
    lua_createtable(L, (int)m, 0);
    for (size_t a = 0; a < m; a++) {
        push_sensitivities(L, in, p->sensitivity + a * in->n);
        lua_rawseti(L, -2, (lua_Integer)a + 1);
    }
    cell_result_value(L, "sensitivity");
}

/* uncertainty.propagate(f, { inputs } [, { correlation =, unit = }]) */
static int propagate(lua_State *L)
{
    static const char *const options[] = {"correlation", "unit", NULL};
    static const char NAME[] = "uncertainty.propagate";
    wa_error err;
    cell_inputs in;
    if (lua_type(L, 1) != LUA_TFUNCTION)
        return cell_fail(L, "%s: the model: expected a function, got %s", NAME,
                         cell_type_name(L, 1));
    lua_settop(L, 3);
    cell_read_inputs(L, 2, NAME, &in);
    cell_options(L, 3, NAME, options);
    const double *correlation = cell_correlation(L, 3, NAME, &in);
    model m = {.L = L, .function = 1, .in = &in};
    size_t outputs = count_outputs(&m), n = in.n;
    cell_charge(L, outputs * outputs * n * n * 40);
    double *room = lua_newuserdatauv(L, outputs * (3 + 2 * outputs + n) * sizeof *room, 0);
    wa_propagated p = {.value = room, .u = room + outputs, .dof = room + 2 * outputs};
    p.covariance = room + 3 * outputs;
    p.sensitivity = p.covariance + outputs * outputs;
    double *scratch = p.sensitivity + outputs * n;
    wa_status s = wa_propagate(&p, evaluate, &m, outputs, in.input, n, correlation, &err);
    if (m.raised)
        return lua_error(L);
    cell_need(L, s, &err);
    if (outputs > 1) {
        push_several(L, &p, &in, outputs, scratch);
    } else {
        cell_quantity q = {
            .has_value = true, .value = p.value[0], .u = p.u[0], .k = 1, .dof = p.dof[0]};
        q.has_unit = cell_option(L, 3, "unit") != LUA_TNIL;
        q.unit = q.has_unit ? cell_unit(L, -1, NAME) : wa_unit_one();
        cell_push_quantity(L, &q);
        push_sensitivities(L, &in, p.sensitivity);
        cell_result_value(L, "sensitivity");
    }
    push_matrix(L, p.covariance, outputs, outputs);
    cell_result_value(L, "covariance");
    return 1;
}

/* ---- monte_carlo.propagate --------------------------------------------------------------------- */

static wa_status apply(double *y, const double *const *x, size_t n, size_t trials, void *context,
                       wa_error *err)
{
    model *m = context;
    lua_State *L = m->L;
    int base = lua_gettop(L);
    cell_charge(L, (uint64_t)SORTING * trials);
    begin(m);
    for (size_t i = 0; i < n; i++) {
        bool is_t = m->in->distribution[i].kind == WA_STUDENT_T;
        cell_charge(L, (uint64_t)(is_t ? DRAWING_T : DRAWING) * trials);
        wa_column *c = cell_new_column(L, trials, &m->in->unit[i]);
        memcpy(c->at, x[i], trials * sizeof *y);
        give(m, i);
    }
    if (!call(m, argument_count(m), base))
        return wa_fail(err, WA_ERR_SCRIPT, "%s", RAISED);
    const wa_column *c = lua_gettop(L) == base + 1 ? cell_test_column(L, base + 1) : NULL;
    wa_status s = WA_OK;
    if (c == NULL || c->n != trials) {
        s = wa_fail(err, WA_ERR_SCRIPT, "the model must give one column, a value for each trial");
        wa_hint(err, s, "it is applied to columns of trials: write it for columns, without loops");
    } else {
        memcpy(y, c->at, trials * sizeof *y);
    }
    lua_settop(L, base);
    return s;
}

static void push_interval(lua_State *L, double low, double high)
{
    const double ends[] = {low, high};
    push_list(L, ends, 2);
}

static void push_trials(lua_State *L, const wa_trials *t, const wa_monte_carlo *mc)
{
    cell_quantity q = {
        .has_value = true, .value = t->mean, .u = t->u, .k = 1, .dof = HUGE_VAL, .has_unit = false};
    snprintf(q.source, sizeof q.source, "%zu trials, %s, seed %lu", t->trials, WA_RANDOM_GENERATOR,
             (unsigned long)mc->seed);
    char recorded[sizeof q.source];
    memcpy(recorded, q.source, sizeof recorded);
    q.source[0] = '\0'; /* how it was computed, not where the inputs come from */
    cell_push_quantity(L, &q);
    cell_result_number(L, "mean", t->mean, "");
    push_interval(L, t->low, t->high);
    cell_result_value(L, "interval");
    push_interval(L, t->shortest_low, t->shortest_high);
    cell_result_value(L, "shortest");
    cell_result_whole(L, "trials", t->trials);
    cell_result_whole(L, "seed", mc->seed);
    cell_result_text(L, "generator", WA_RANDOM_GENERATOR);
    cell_result_text(L, "recorded", recorded);
    cell_result_number(L, "probability", mc->probability, "");
    cell_result_number(L, "tolerance", t->tolerance > 0 ? t->tolerance : (double)NAN,
                       "the number of trials was given");
}

/* monte_carlo.propagate(f, { inputs }, { trials =, seed =, probability =, digits =, most =,
 *                                        correlation = }) */
static int monte_carlo(lua_State *L)
{
    static const char *const options[] = {"trials", "seed",        "probability", "digits",
                                          "most",   "correlation", NULL};
    static const char NAME[] = "monte_carlo.propagate";
    wa_error err;
    wa_trials found;
    cell_inputs in;
    int64_t trials = 0, seed = 1, digits = 2, most = TRIALS_MOST;
    double probability = 0.95;
    if (lua_type(L, 1) != LUA_TFUNCTION)
        return cell_fail(L, "%s: the model: expected a function, got %s", NAME,
                         cell_type_name(L, 1));
    lua_settop(L, 3);
    cell_read_inputs(L, 2, NAME, &in);
    cell_options(L, 3, NAME, options);
    cell_option_whole(L, 3, "trials", 2, TRIALS_MOST, &trials);
    cell_option_whole(L, 3, "seed", 1, UINT32_MAX, &seed);
    cell_option_whole(L, 3, "digits", 1, 2, &digits);
    cell_option_whole(L, 3, "most", 2, TRIALS_MOST, &most);
    cell_option_number(L, 3, "probability", &probability);
    wa_monte_carlo mc = {.input = in.distribution,
                         .n = in.n,
                         .seed = (uint32_t)seed,
                         .probability = probability,
                         .trials = (size_t)trials,
                         .digits = (int)digits,
                         .most = (size_t)most};
    mc.correlation = cell_correlation(L, 3, NAME, &in);
    size_t room = trials > 0 ? (size_t)trials : (size_t)most;
    mc.values = lua_newuserdatauv(L, room * sizeof *mc.values, 0);
    mc.scratch = lua_newuserdatauv(L, in.n * WA_TRIALS_BLOCK * sizeof *mc.scratch, 0);
    model m = {.L = L, .function = 1, .in = &in};
    wa_status s = wa_monte_carlo_run(&found, &mc, apply, &m, &err);
    if (m.raised)
        return lua_error(L);
    cell_need(L, s, &err);
    push_trials(L, &found, &mc);
    return 1;
}

/* monte_carlo.validate(propagated, trials [, { digits = }]): do the ends of the interval that the
 * law of propagation gives agree with those of the trials? (JCGM 101, clause 8) */
static int validate(lua_State *L)
{
    static const char *const options[] = {"digits", NULL};
    static const char NAME[] = "monte_carlo.validate";
    cell_quantity q;
    int64_t digits = 2;
    double p, ends[2];
    lua_settop(L, 3);
    cell_options(L, 3, NAME, options);
    cell_option_whole(L, 3, "digits", 1, 2, &digits);
    if (!cell_test_quantity(L, 1, &q) || !q.has_value || isnan(q.dof))
        return cell_fail(
            L, "%s: first what uncertainty.propagate gave, with its degrees of freedom", NAME);
    cell_quantity trials;
    if (cell_result_data(L, 2, "quantity") == NULL || !cell_test_quantity(L, 2, &trials))
        return cell_fail(L, "%s: then what monte_carlo.propagate gave", NAME);
    lua_getfield(L, 2, "probability");
    p = cell_check_number(L, -1, NAME);
    lua_getfield(L, 2, "interval");
    for (int i = 0; i < 2; i++) {
        lua_geti(L, -1, i + 1);
        ends[i] = cell_check_number(L, -1, NAME);
        lua_pop(L, 1);
    }
    double U = wa_coverage_factor(p, q.dof) * q.u, low = fabs(q.value - U - ends[0]);
    double high = fabs(q.value + U - ends[1]);
    double tolerance = wa_numerical_tolerance(q.u, (int)digits);
    cell_new_result(L, "validation", 0);
    cell_result_number(L, "low", low, "the coverage factor is not defined");
    cell_result_number(L, "high", high, "the coverage factor is not defined");
    cell_result_number(L, "tolerance", tolerance, "");
    lua_pushboolean(L, low <= tolerance && high <= tolerance);
    cell_result_value(L, "valid");
    return 1;
}

void cell_open_uncertainty(lua_State *L)
{
    static const luaL_Reg functions[] = {{"propagate", propagate}, {NULL, NULL}};
    static const luaL_Reg trials[] = {
        {"propagate", monte_carlo}, {"validate", validate}, {NULL, NULL}};
    cell_library(L, "uncertainty", functions);
    cell_library(L, "monte_carlo", trials);
}
