#include "script/cell/inputs.h"

#include "script/cell/operands.h"
#include "script/cell/state.h"
#include "windassay/budget.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The distribution that a stated input has: what its `shape` says, else normal; a normal with few
 * degrees of freedom stays normal, unless shape = "t" asks for the scaled and shifted t. */
static wa_distribution distribution_of(lua_State *L, int arg, const char *what,
                                       const cell_quantity *q)
{
    const char *word = "normal";
    wa_distribution d = {.kind = WA_NORMAL, .centre = q->value, .scale = q->u, .dof = q->dof};
    wa_shape shape = WA_SHAPE_NORMAL;
    if (lua_istable(L, arg))
        cell_option_text(L, arg, "shape", &word);
    if (strcmp(word, "t") == 0) {
        if (isinf(q->dof))
            cell_fail(L, "%s: shape \"t\" needs its dof", what);
        d.kind = WA_STUDENT_T;
    } else if (wa_shape_of(&shape, word) && shape != WA_SHAPE_NORMAL) {
        d.kind = shape == WA_SHAPE_RECTANGULAR  ? WA_RECTANGULAR
                 : shape == WA_SHAPE_TRIANGULAR ? WA_TRIANGULAR
                                                : WA_U_SHAPED;
        d.scale = q->u * wa_shape_divisor(shape);
    }
    return d;
}

/* The input on top of the stack. */
static void read_one(lua_State *L, const char *what, cell_inputs *in, size_t i)
{
    static const char *const options[] = {"value", "u",   "U",    "k",      "half_width",
                                          "shape", "dof", "unit", "source", NULL};
    cell_quantity q = {.k = 1};
    int arg = lua_gettop(L);
    if (!cell_test_quantity(L, arg, &q)) {
        if (!cell_options(L, arg, what, options))
            cell_fail(L, "%s: expected { value =, u = }, got nothing", what);
        q.has_value = cell_option_number(L, arg, "value", &q.value);
        cell_stated_uncertainty(L, arg, what, &q);
        q.has_unit = cell_option(L, arg, "unit") != LUA_TNIL;
        if (q.has_unit)
            q.unit = cell_unit(L, -1, what);
        lua_pop(L, 1);
    }
    if (!q.has_value)
        cell_fail(L, "%s: needs its value", what);
    if (isnan(q.dof))
        cell_raise_undefined(L, "%s: its degrees of freedom are not defined", what);
    in->input[i] = (wa_input){q.value, q.u, q.dof};
    in->unit[i] = q.has_unit ? q.unit : wa_unit_one();
    in->distribution[i] = distribution_of(L, arg, what, &q);
}

void cell_read_inputs(lua_State *L, int arg, const char *what, cell_inputs *in)
{
    char place[160];
    cell_check_table(L, arg, what);
    *in = (cell_inputs){.named = lua_rawlen(L, arg) == 0};
    lua_Integer n = cell_push_sorted_keys(L, arg);
    int keys = lua_gettop(L);
    if (n < 1 || n > WA_INPUTS_MAX)
        cell_fail(L, "%s: a model has 1 to %d inputs", what, WA_INPUTS_MAX);
    for (lua_Integer i = 1; i <= n; i++) {
        bool is_text = lua_rawgeti(L, keys, i) == LUA_TSTRING;
        if (is_text != in->named)
            cell_fail(L, "%s: inputs are a list, or all have names", what);
        if (is_text)
            snprintf(place, sizeof place, "%s: input '%.80s'", what, lua_tostring(L, -1));
        else
            snprintf(place, sizeof place, "%s: input %d", what, (int)i);
        in->name[i - 1] = is_text ? lua_tostring(L, -1) : NULL;
        if (!is_text && lua_tointeger(L, -1) != i)
            cell_fail(L, "%s: the list of inputs has a hole", what);
        lua_gettable(L, arg);
        read_one(L, place, in, (size_t)i - 1);
        lua_pop(L, 1);
    }
    in->n = (size_t)n;
    lua_settop(L, keys - 1); /* the table itself keeps the names */
}

/* ---- correlations ------------------------------------------------------------------------------ */

/* Which input the value on top means; pops it. */
static size_t which(lua_State *L, const char *what, const cell_inputs *in)
{
    size_t i = in->n;
    if (lua_isinteger(L, -1) && lua_tointeger(L, -1) >= 1)
        i = (size_t)lua_tointeger(L, -1) - 1;
    else if (lua_type(L, -1) == LUA_TSTRING && in->named)
        for (i = 0; i < in->n && strcmp(in->name[i], lua_tostring(L, -1)) != 0;)
            i++;
    if (i >= in->n)
        cell_fail(L, "%s: correlation: there is no such input", what);
    lua_pop(L, 1);
    return i;
}

/* Entry { a, b, r } on top of the stack. */
static void read_entry(lua_State *L, const char *what, const cell_inputs *in, double *matrix)
{
    int entry = lua_gettop(L);
    cell_check_table(L, entry, what);
    lua_geti(L, entry, 1);
    size_t a = which(L, what, in);
    lua_geti(L, entry, 2);
    size_t b = which(L, what, in);
    lua_geti(L, entry, 3);
    double r = cell_check_number(L, -1, "correlation");
    if (a == b || matrix[a * in->n + b] < 0 || matrix[a * in->n + b] > 0)
        cell_fail(L, "%s: correlation: a pair of inputs stands once", what);
    matrix[a * in->n + b] = matrix[b * in->n + a] = r;
    lua_settop(L, entry);
}

/* Row i of a matrix on top of the stack. */
static void read_row(lua_State *L, const char *what, const cell_inputs *in, double *matrix,
                     size_t i)
{
    int row = lua_gettop(L);
    if (!lua_istable(L, row) || lua_rawlen(L, row) != in->n)
        cell_fail(L, "%s: correlation: %zu inputs need %zu rows of %zu numbers", what, in->n, in->n,
                  in->n);
    for (size_t k = 0; k < in->n; k++) {
        lua_geti(L, row, (lua_Integer)k + 1);
        matrix[i * in->n + k] = cell_check_number(L, -1, "correlation");
        lua_pop(L, 1);
    }
}

/* A matrix has n rows of n numbers. Three entries { a, b, r } look like three rows of three; but b
 * is 2 or more then, or a name, and a correlation at most 1. */
static bool is_matrix(lua_State *L, int list, size_t n)
{
    int top = lua_gettop(L);
    bool yes = lua_geti(L, list, 1) == LUA_TTABLE && lua_rawlen(L, list) == n &&
               lua_rawlen(L, top + 1) == n &&
               (n < 2 || (lua_geti(L, top + 1, 2) == LUA_TNUMBER && lua_tonumber(L, -1) <= 1));
    lua_settop(L, top);
    return yes;
}

const double *cell_correlation(lua_State *L, int arg, const char *what, const cell_inputs *in)
{
    if (cell_option(L, arg, "correlation") == LUA_TNIL) {
        lua_pop(L, 1);
        return NULL;
    }
    int list = lua_gettop(L);
    cell_check_table(L, list, "correlation");
    double *matrix = lua_newuserdatauv(L, in->n * in->n * sizeof *matrix, 0);
    for (size_t i = 0; i < in->n * in->n; i++)
        matrix[i] = i % (in->n + 1) == 0;
    bool by_rows = is_matrix(L, list, in->n);
    for (size_t i = 0; i < lua_rawlen(L, list); i++) {
        lua_geti(L, list, (lua_Integer)i + 1);
        if (by_rows)
            read_row(L, what, in, matrix, i);
        else
            read_entry(L, what, in, matrix);
        lua_settop(L, list + 1);
    }
    return matrix;
}
