/* bind_fit.c - fit.*: straight lines, planes, cosines. */
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/results.h"
#include "script/cell/share.h"
#include "script/cell/state.h"
#include "windassay/fit.h"

#include <math.h>
#include <string.h>

static const char LINE[] = "fit of a line";
static const char Y_EQUAL[] = "all y are equal";

/* Elements that a fit touches: each pass over n records costs some ten additions. */
enum { PASS = 16 };

wa_unit cell_unit_of_slope(lua_State *L, const wa_unit *y, const wa_unit *x)
{
    wa_unit top = wa_unit_difference(y), bottom = wa_unit_difference(x), unit;
    wa_error err;
    cell_need(L, wa_unit_divide(&unit, &top, &bottom, &err), &err);
    return unit;
}

void cell_check_pair(lua_State *L, int a, int b, const char *what, wa_column **x, wa_column **y)
{
    wa_error err;
    *x = cell_check_column(L, a, what);
    *y = cell_check_column(L, b, what);
    cell_need(L, wa_column_aligned(*x, *y, what, &err), &err);
}

static void set_counts(lua_State *L, size_t n, size_t left_out, size_t dof)
{
    cell_result_whole(L, "n", n);
    cell_result_whole(L, "left_out", left_out);
    cell_result_whole(L, "dof", dof);
}

/* Units of slope, intercept and residuals as texts. */
static void set_units(lua_State *L, const wa_unit *x, const wa_unit *y, bool intercept)
{
    wa_unit slope = cell_unit_of_slope(L, y, x), rest = wa_unit_difference(y);
    cell_result_text(L, "slope_unit", slope.text);
    cell_result_text(L, "residual_unit", rest.text);
    if (intercept)
        cell_result_text(L, "intercept_unit", y->text);
}

void cell_push_origin_fit(lua_State *L, const wa_origin_fit *f, const wa_unit *x, const wa_unit *y)
{
    cell_new_result(L, "fit through the origin", 0);
    set_counts(L, f->n, f->left_out, f->dof);
    set_units(L, x, y, false);
    cell_result_number(L, "slope", f->slope, "");
    cell_result_number(L, "slope_u", f->slope_u, "");
    cell_result_number(L, "residual_sd", f->residual_sd, "");
    cell_result_number(L, "r2_uncentred", f->r2_uncentred, "all y are 0");
    cell_result_number(L, "r2_centred", f->r2_centred, Y_EQUAL);
    cell_result_number(L, "r2_pearson", f->r2_pearson, "all x or all y are equal");
}

/* fit.through_origin(x, y, { weights = }) */
static int through_origin(lua_State *L)
{
    static const char *const options[] = {"weights", NULL};
    wa_column *x, *y, *w = NULL;
    wa_error err;
    cell_check_pair(L, 1, 2, "fit.through_origin", &x, &y);
    cell_options(L, 3, "fit.through_origin", options);
    if (cell_option(L, 3, "weights") != LUA_TNIL) {
        w = cell_check_column(L, -1, "weights");
        cell_need(L, wa_column_aligned(x, w, "weights", &err), &err);
    }
    cell_charge(L, 3 * PASS * x->n);
    wa_origin_fit f;
    cell_need(L, wa_fit_through_origin(&f, x->at, y->at, w ? w->at : NULL, x->n, &err), &err);
    cell_push_origin_fit(L, &f, &x->unit, &y->unit);
    return 1;
}

/* predict(x) gives value, u; a column gives columns. Also as a method: fit:predict(x). */
typedef struct line_data {
    wa_line_fit fit;
    wa_unit x, y;
} line_data;

static int predict(lua_State *L)
{
    const line_data *d = cell_result_data(L, lua_upvalueindex(1), LINE);
    wa_error err;
    double value = 0, u = 0;
    if (cell_result_data(L, 1, LINE) != NULL)
        lua_remove(L, 1);
    const wa_column *c = cell_test_column(L, 1);
    if (c == NULL) {
        double x = cell_check_number(L, 1, "predict");
        cell_need(L, wa_line_predict(&value, &u, &d->fit, x, &err), &err);
        lua_pushnumber(L, value);
        lua_pushnumber(L, u);
        return 2;
    }
    if (!wa_unit_equal(&c->unit, &d->x))
        return cell_fail(L, "predict: the line was fitted over '%s', not '%s'", d->x.text,
                         c->unit.text);
    wa_unit rest = wa_unit_difference(&d->y);
    cell_charge(L, PASS * c->n);
    wa_column *values = cell_new_column(L, c->n, &d->y), *us = cell_new_column(L, c->n, &rest);
    values->side = us->side = c->side;
    for (size_t i = 0; i < c->n; i++)
        if (!isnan(c->at[i]))
            cell_need(L, wa_line_predict(&values->at[i], &us->at[i], &d->fit, c->at[i], &err),
                      &err);
    return 2;
}

void cell_push_line_fit(lua_State *L, const wa_line_fit *f, const wa_unit *x, const wa_unit *y)
{
    line_data *d = cell_new_result(L, LINE, sizeof *d);
    *d = (line_data){*f, *x, *y};
    set_counts(L, f->n, f->left_out, f->dof);
    set_units(L, x, y, true);
    cell_result_number(L, "slope", f->slope, "");
    cell_result_number(L, "slope_u", f->slope_u, "");
    cell_result_number(L, "intercept", f->intercept, "");
    cell_result_number(L, "intercept_u", f->intercept_u, "");
    cell_result_number(L, "covariance", f->covariance, "");
    cell_result_number(L, "residual_sd", f->residual_sd, "");
    cell_result_number(L, "r2_pearson", f->r2_pearson, Y_EQUAL);
    lua_pushvalue(L, -1);
    lua_pushcclosure(L, predict, 1);
    cell_result_value(L, "predict");
}

/* fit.line(x, y) */
static int line(lua_State *L)
{
    wa_column *x, *y;
    wa_error err;
    cell_check_pair(L, 1, 2, "fit.line", &x, &y);
    cell_charge(L, 3 * PASS * x->n);
    wa_line_fit f;
    cell_need(L, wa_fit_line(&f, x->at, y->at, x->n, &err), &err);
    cell_push_line_fit(L, &f, &x->unit, &y->unit);
    return 1;
}

/* ---- least squares over named columns ------------------------------------------------------ */

/* Stack: 1 y, 2 the named columns, 3 options, 4 the sorted names. */
typedef struct named_columns {
    const char *name[WA_FIT_TERMS_MAX];
    const double *x[WA_FIT_COLUMNS_MAX];
    wa_unit unit[WA_FIT_TERMS_MAX]; /* of the coefficients */
    size_t n;
} named_columns;

static void take_columns(lua_State *L, named_columns *c, const wa_column *y, bool intercept)
{
    wa_error err;
    c->n = (size_t)cell_push_sorted_keys(L, 2);
    if (c->n < 1 || c->n > WA_FIT_COLUMNS_MAX)
        cell_fail(L, "fit.least_squares: takes 1 to %d columns, got %d", WA_FIT_COLUMNS_MAX,
                  (int)c->n);
    for (size_t j = 0; j < c->n; j++) {
        if (lua_rawgeti(L, 4, (lua_Integer)j + 1) != LUA_TSTRING)
            cell_fail_hint(L, "{ shear = column, temperature = column }",
                           "fit.least_squares: the columns need names");
        c->name[j] = lua_tostring(L, -1); /* the table at 4 holds it */
        if (intercept && strcmp(c->name[j], "intercept") == 0)
            cell_fail(L, "fit.least_squares: 'intercept' is the name of the constant term");
        lua_getfield(L, 2, c->name[j]);
        const wa_column *x = cell_check_column(L, -1, c->name[j]);
        cell_need(L, wa_column_aligned(y, x, c->name[j], &err), &err);
        c->x[j] = x->at;
        c->unit[j] = cell_unit_of_slope(L, &y->unit, &x->unit);
        lua_pop(L, 2);
    }
    c->name[c->n] = "intercept";
    c->unit[c->n] = y->unit;
}

/* The table on top gets an entry for each term. */
static void push_terms(lua_State *L, const wa_least_squares_fit *f, const named_columns *c,
                       const double *value)
{
    lua_createtable(L, 0, (int)f->terms);
    for (size_t j = 0; j < f->terms; j++)
        cell_set_number(L, c->name[j], value[j]);
}

static void push_least_squares(lua_State *L, const wa_least_squares_fit *f, const named_columns *c,
                               const wa_unit *y)
{
    wa_unit rest = wa_unit_difference(y);
    cell_new_result(L, "least-squares fit", 0);
    set_counts(L, f->n, f->left_out, f->dof);
    cell_result_text(L, "residual_unit", rest.text);
    cell_result_number(L, "residual_sd", f->residual_sd, "");
    cell_result_number(L, "r2_uncentred", f->r2_uncentred, "all y are 0");
    cell_result_number(L, "r2_centred", f->r2_centred, Y_EQUAL);
    cell_result_number(L, "r2_pearson", f->r2_pearson, "all y or all fitted values are equal");
    push_terms(L, f, c, f->coefficient);
    cell_result_value(L, "coefficients");
    push_terms(L, f, c, f->coefficient_u);
    cell_result_value(L, "coefficients_u");
    lua_createtable(L, 0, (int)f->terms);
    for (size_t j = 0; j < f->terms; j++)
        cell_set_text(L, c->name[j], c->unit[j].text);
    cell_result_value(L, "coefficients_unit");
    lua_createtable(L, 0, (int)f->terms);
    for (size_t j = 0; j < f->terms; j++) {
        push_terms(L, f, c, f->covariance[j]);
        lua_setfield(L, -2, c->name[j]);
    }
    cell_result_value(L, "covariance");
}

/* fit.least_squares(y, { name = column, ... }, { intercept = true }) */
static int least_squares(lua_State *L)
{
    static const char *const options[] = {"intercept", NULL};
    const wa_column *y = cell_check_column(L, 1, "fit.least_squares");
    bool intercept = true;
    wa_error err;
    cell_check_table(L, 2, "fit.least_squares: the columns");
    cell_options(L, 3, "fit.least_squares", options);
    cell_option_flag(L, 3, "intercept", &intercept);
    lua_settop(L, 3);
    named_columns c;
    take_columns(L, &c, y, intercept);
    cell_charge(L, (5 + c.n * c.n) * PASS * y->n);
    wa_least_squares_fit f;
    cell_need(L, wa_fit_least_squares(&f, y->at, c.x, c.name, c.n, y->n, intercept, &err), &err);
    push_least_squares(L, &f, &c, &y->unit);
    return 1;
}

/* ---- cosine -------------------------------------------------------------------------------- */

/* fit.cosine(direction, y, { rectified =, offset =, near = }) */
static int cosine(lua_State *L)
{
    static const char *const options[] = {"rectified", "offset", "near", NULL};
    static const char NO_OFFSET[] = "no offset was fitted; ask for it: { offset = true }";
    wa_column *d, *y;
    wa_cosine_options o = {.near = (double)NAN};
    wa_unit degree = wa_unit_degree();
    wa_error err;
    cell_check_pair(L, 1, 2, "fit.cosine", &d, &y);
    if (!wa_unit_equal(&d->unit, &degree))
        return cell_fail_hint(L, "convert it with :to(\"degree\"); the direction comes first",
                              "fit.cosine: the direction is in '%s', not in degrees", d->unit.text);
    cell_options(L, 3, "fit.cosine", options);
    cell_option_flag(L, 3, "rectified", &o.rectified);
    cell_option_flag(L, 3, "offset", &o.offset);
    if (cell_option_number(L, 3, "near", &o.near) && !o.rectified)
        return cell_fail(L, "fit.cosine: 'near' chooses between the two directions of a "
                            "rectified fit; this one is not");
    cell_charge(L, (o.rectified ? 60u : 12u) * PASS * d->n);
    wa_cosine_fit f;
    cell_need(L, wa_fit_cosine(&f, d->at, y->at, d->n, &o, &err), &err);
    cell_new_result(L, "cosine fit", 0);
    set_counts(L, f.n, f.left_out, f.dof);
    cell_result_text(L, "amplitude_unit", y->unit.text);
    cell_result_number(L, "direction", f.direction, "");
    cell_result_number(L, "direction_u", f.direction_u, "");
    cell_result_number(L, "amplitude", f.amplitude, "");
    cell_result_number(L, "amplitude_u", f.amplitude_u, "");
    cell_result_number(L, "offset", f.offset, NO_OFFSET);
    cell_result_number(L, "offset_u", f.offset_u, NO_OFFSET);
    cell_result_number(L, "residual_sd", f.residual_sd, "");
    cell_result_number(L, "r2_pearson", f.r2_pearson, Y_EQUAL);
    return 1;
}

/* ---- errors in both variables, and the median slope ---------------------------------------- */

/* fit.deming(x, y, { ratio = 1 }) */
static int deming(lua_State *L)
{
    static const char *const options[] = {"ratio", NULL};
    wa_column *x, *y;
    double ratio = 0;
    wa_error err;
    cell_check_pair(L, 1, 2, "fit.deming", &x, &y);
    cell_options(L, 3, "fit.deming", options);
    if (!cell_option_number(L, 3, "ratio", &ratio))
        return cell_fail_hint(L, "{ ratio = 1 }: equal errors in x and y",
                              "fit.deming: needs the ratio of the error variances, y to x");
    cell_charge(L, 4 * PASS * x->n);
    wa_deming_fit f;
    cell_need(L, wa_fit_deming(&f, x->at, y->at, x->n, ratio, &err), &err);
    cell_new_result(L, "fit with errors in both", 0);
    set_counts(L, f.n, f.left_out, f.dof);
    set_units(L, &x->unit, &y->unit, true);
    cell_result_number(L, "slope", f.slope, "");
    cell_result_number(L, "slope_u", f.slope_u, "");
    cell_result_number(L, "intercept", f.intercept, "");
    cell_result_number(L, "intercept_u", f.intercept_u, "");
    return 1;
}

/* One value a record from an option that is a column or a number; pushes what holds it. */
static const double *per_record(lua_State *L, const char *name, const wa_column *like,
                                const wa_unit *unit)
{
    wa_error err;
    if (cell_option(L, 3, name) == LUA_TNIL)
        return NULL;
    wa_operand o = cell_operand(L, -1, name);
    if (o.column != NULL) {
        cell_need(L, wa_column_aligned(like, o.column, name, &err), &err);
        if (!wa_unit_equal(&o.column->unit, unit))
            cell_fail(L, "fit.york: %s is in '%s', not in '%s'", name, o.column->unit.text,
                      unit->text);
        return o.column->at;
    }
    double value = o.number;
    if (o.has_unit)
        cell_need(L, wa_unit_convert(&value, o.number, &o.unit, unit, &err), &err);
    double *at = lua_newuserdatauv(L, (like->n + 1) * sizeof *at, 0);
    for (size_t i = 0; i < like->n; i++)
        at[i] = value;
    return at;
}

/* fit.york(x, y, { u_x =, u_y =, correlation =, through_origin = }) */
static int york(lua_State *L)
{
    static const char *const options[] = {"u_x", "u_y", "correlation", "through_origin", NULL};
    wa_column *x, *y;
    wa_error err;
    cell_check_pair(L, 1, 2, "fit.york", &x, &y);
    cell_options(L, 3, "fit.york", options);
    wa_unit ux = wa_unit_difference(&x->unit), uy = wa_unit_difference(&y->unit);
    wa_unit one = wa_unit_one();
    const double *at_x = per_record(L, "u_x", x, &ux), *at_y = per_record(L, "u_y", x, &uy);
    const double *r = per_record(L, "correlation", x, &one);
    if (at_x == NULL || at_y == NULL)
        return cell_fail_hint(L, "{ u_x = 0.1, u_y = column }",
                              "fit.york: needs the standard uncertainties u_x and u_y");
    cell_charge(L, 100 * PASS * x->n);
    wa_york_fit f;
    bool origin = false;
    cell_option_flag(L, 3, "through_origin", &origin);
    cell_need(L,
              origin ? wa_fit_york_through_origin(&f, x->at, y->at, at_x, at_y, r, x->n, &err)
                     : wa_fit_york(&f, x->at, y->at, at_x, at_y, r, x->n, &err),
              &err);
    cell_new_result(L, "fit with errors in both", 0);
    set_counts(L, f.n, f.left_out, f.dof);
    set_units(L, &x->unit, &y->unit, !origin);
    cell_result_number(L, "slope", f.slope, "");
    cell_result_number(L, "slope_u", f.slope_u, "");
    cell_result_number(L, "chi2", f.chi2, "");
    if (origin)
        return 1;
    cell_result_number(L, "intercept", f.intercept, "");
    cell_result_number(L, "intercept_u", f.intercept_u, "");
    cell_result_number(L, "covariance", f.covariance, "");
    return 1;
}

/* fit.theil_sen(x, y) */
static int theil_sen(lua_State *L)
{
    wa_column *x, *y;
    wa_error err;
    cell_check_pair(L, 1, 2, "fit.theil_sen", &x, &y);
    uint64_t steps = 1;
    for (size_t n = x->n; n > 0; n /= 2)
        steps++;
    cell_charge(L, 130 * steps * x->n);
    wa_theil_sen_fit f;
    cell_need(L, wa_fit_theil_sen(&f, x->at, y->at, x->n, &err), &err);
    cell_new_result(L, "median-slope fit", 0);
    set_counts(L, f.n, f.left_out, f.dof);
    set_units(L, &x->unit, &y->unit, true);
    cell_result_number(L, "slope", f.slope, "");
    cell_result_number(L, "intercept", f.intercept, "");
    return 1;
}

void cell_open_fit(lua_State *L)
{
    static const luaL_Reg functions[] = {{"through_origin", through_origin},
                                         {"line", line},
                                         {"least_squares", least_squares},
                                         {"cosine", cosine},
                                         {"deming", deming},
                                         {"york", york},
                                         {"theil_sen", theil_sen},
                                         {NULL, NULL}};
    cell_open_results(L);
    cell_library(L, "fit", functions);
}
