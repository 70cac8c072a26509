/* bind_quantity.c - quantity.new: a value that keeps its uncertainty, k, unit and degrees of freedom
 * together, so that U of a certificate (k = 2) cannot pass for a standard uncertainty. */
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/quantity.h"
#include "windassay/budget.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char QUANTITY[] = "quantity";

/* q:expanded(k), q:expanded{ probability = 0.95 } */
static int expanded(lua_State *L)
{
    static const char *const options[] = {"probability", NULL};
    cell_quantity q;
    double k = 0, p = 0;
    if (!cell_test_quantity(L, 1, &q))
        return cell_fail(L, "expanded: write q:expanded(2)");
    if (lua_istable(L, 2)) {
        cell_options(L, 2, "expanded", options);
        if (!cell_option_number(L, 2, "probability", &p) || !(p > 0 && p < 1))
            return cell_fail(L, "expanded: the probability lies between 0 and 1");
        k = wa_coverage_factor(p, q.dof);
        if (isnan(k))
            return cell_raise_undefined(L, "expanded: fewer than 1 effective degree of freedom");
    } else {
        k = cell_check_number(L, 2, "expanded: the coverage factor");
        if (!(k > 0))
            return cell_fail(L, "expanded: a coverage factor is above 0");
    }
    lua_pushnumber(L, k * q.u);
    return 1;
}

void cell_push_quantity(lua_State *L, const cell_quantity *q)
{
    cell_quantity *own = cell_new_result(L, QUANTITY, sizeof *own);
    *own = *q;
    cell_result_number(L, "value", q->has_value ? q->value : (double)NAN,
                       "it was made without one");
    cell_result_number(L, "u", q->u, "the uncertainty is out of range");
    cell_result_number(L, "k", q->k, "");
    cell_result_number(L, "U", q->k * q->u, "the uncertainty is out of range");
    if (isnan(q->dof)) {
        cell_result_undefined(L, "dof", "the inputs are correlated");
    } else {
        lua_pushnumber(L, q->dof); /* may be math.huge */
        cell_result_value(L, "dof");
    }
    cell_result_text(L, "unit", q->has_unit ? q->unit.text : "1");
    if (q->source[0] != '\0')
        cell_result_text(L, "source", q->source);
    else
        cell_result_undefined(L, "source", "it was not stated");
    lua_pushcfunction(L, expanded);
    cell_result_value(L, "expanded");
}

bool cell_test_quantity(lua_State *L, int arg, cell_quantity *out)
{
    const cell_quantity *q = cell_result_data(L, arg, QUANTITY);
    if (q == NULL)
        return cell_test_budget(L, arg, out);
    *out = *q;
    return true;
}

/* ---- stating an uncertainty ------------------------------------------------------------------- */

static double not_negative(lua_State *L, const char *what, const char *name, double x)
{
    if (x < 0)
        cell_fail(L, "%s: %s is below 0", what, name);
    return x;
}

void cell_stated_uncertainty(lua_State *L, int arg, const char *what, cell_quantity *out)
{
    double u, U, half, k = 0;
    const char *word = NULL;
    wa_shape shape = WA_SHAPE_NORMAL;
    bool has_u = cell_option_number(L, arg, "u", &u), has_U = cell_option_number(L, arg, "U", &U);
    bool has_half = cell_option_number(L, arg, "half_width", &half);
    bool has_k = cell_option_number(L, arg, "k", &k);
    bool has_shape = cell_option_text(L, arg, "shape", &word);
    if (has_u + has_U + has_half != 1)
        cell_fail_hint(L, "u (k = 1); U with its k; or half_width with its shape",
                       "%s: needs one statement of its uncertainty", what);
    if (has_U && !(has_k && k > 0))
        cell_fail_hint(L, "U = 0.10, k = 2", "%s: an expanded uncertainty U needs its k", what);
    if (has_k && !has_U)
        cell_fail_hint(L, "u is a standard uncertainty (k = 1); an expanded one is written U = ",
                       "%s: k goes with U", what);
    if (has_shape && !wa_shape_of(&shape, word) && !(has_u && strcmp(word, "t") == 0))
        cell_fail_hint(L, "normal, rectangular, triangular, u_shaped", "%s: no shape '%s'", what,
                       word);
    if (has_half && (!has_shape || shape == WA_SHAPE_NORMAL))
        cell_fail_hint(L, "shape = \"rectangular\", \"triangular\" or \"u_shaped\"",
                       "%s: a half width needs its shape", what);
    if (has_u)
        out->u = not_negative(L, what, "u", u);
    else if (has_U)
        out->u = not_negative(L, what, "U", U) / k;
    else
        out->u = not_negative(L, what, "half_width", half) / wa_shape_divisor(shape);
    out->k = has_U ? k : 1;
    out->dof = HUGE_VAL;
    if (cell_option(L, arg, "dof") != LUA_TNIL) {
        double dof = lua_type(L, -1) == LUA_TNUMBER ? lua_tonumber(L, -1) : 0;
        if (!(dof >= 1))
            cell_fail(L, "%s: dof is a number of 1 or more, or math.huge", what);
        out->dof = dof;
    }
    lua_pop(L, 1);
}

/* quantity.new{ value =, u = or U =, k = or half_width =, shape =, unit =, dof =, source = } */
static int new (lua_State *L)
{
    static const char *const options[] = {"value", "u",    "U",   "k",      "half_width",
                                          "shape", "unit", "dof", "source", NULL};
    cell_quantity q = {.k = 1};
    const char *source = NULL;
    if (!cell_options(L, 1, "quantity.new", options))
        return cell_fail_hint(L, "quantity.new{ value = 8.2, U = 0.1, k = 2, unit = \"m/s\" }",
                              "quantity.new: takes a table");
    q.has_value = cell_option_number(L, 1, "value", &q.value);
    cell_stated_uncertainty(L, 1, "quantity.new", &q);
    q.has_unit = cell_option(L, 1, "unit") != LUA_TNIL;
    q.unit = q.has_unit ? cell_unit(L, -1, "quantity.new: unit") : wa_unit_one();
    if (cell_option_text(L, 1, "source", &source)) {
        if (strlen(source) >= sizeof q.source || !wa_utf8_valid(source, strlen(source)))
            return cell_fail(L, "quantity.new: source: a text of at most %zu bytes",
                             sizeof q.source - 1);
        snprintf(q.source, sizeof q.source, "%s", source);
    }
    cell_push_quantity(L, &q);
    return 1;
}

void cell_open_quantity(lua_State *L)
{
    static const luaL_Reg functions[] = {{"new", new}, {NULL, NULL}};
    cell_library(L, "quantity", functions);
}
