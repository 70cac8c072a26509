#include "windassay/column.h"

#include "stats/kernel.h"

#include <math.h>
#include <string.h>

const wa_unit *wa_operand_unit(const wa_operand *o)
{
    if (o->column != NULL)
        return &o->column->unit;
    return o->has_unit ? &o->unit : NULL;
}

bool wa_same_times(const double *a, const double *b, size_t n)
{
    return a == NULL || b == NULL || a == b || n == 0 || memcmp(a, b, n * sizeof *a) == 0;
}

wa_status wa_column_aligned(const wa_column *a, const wa_column *b, const char *what, wa_error *err)
{
    if (a->n != b->n) {
        wa_fail(err, WA_ERR_ARG, "%s: the columns have %zu and %zu values", what, a->n, b->n);
        return wa_hint(err, WA_ERR_ARG,
                       "cut both alike: local a, b = r:kept(a, b), or :where "
                       "with the same mask");
    }
    if (!wa_same_times(a->time, b->time, a->n)) {
        wa_fail(err, WA_ERR_ARG, "%s: the columns belong to different intervals", what);
        return wa_hint(err, WA_ERR_ARG, "cut both with the same mask");
    }
    return WA_OK;
}

/* ---- units of results ---- */

static const char *word_of(wa_operator op)
{
    static const char *const words[] = {"added", "subtracted", "multiplied", "divided",
                                        "raised to a power"};
    return words[op];
}

static wa_status own_zero(const wa_unit *u, const char *what, wa_error *err)
{
    wa_fail(err, WA_ERR_ARG, "'%s' has a zero of its own: it cannot be %s", u->text, what);
    return wa_hint(err, WA_ERR_ARG, "convert with :to(\"K\") first");
}

static wa_status bare_number(const wa_unit *u, const char *what, wa_error *err)
{
    wa_fail(err, WA_ERR_ARG, "a bare number cannot be %s a column in '%s'", what, u->text);
    return wa_hint(err, WA_ERR_ARG, "say its unit: { 0.5, \"%s\" }", u->text);
}

static wa_status sum_unit(wa_unit *out, wa_operator op, const wa_unit *a, const wa_unit *b,
                          wa_error *err)
{
    if (a == NULL || b == NULL) {
        const wa_unit *u = a != NULL ? a : b;
        if (!wa_unit_is_one(u))
            return bare_number(u, op == WA_ADD ? "added to" : "combined by '-' with", err);
        *out = *u;
        return WA_OK;
    }
    if (!wa_unit_comparable(a, b))
        return wa_fail(err, WA_ERR_ARG, "'%s' and '%s' cannot be %s", a->text, b->text,
                       word_of(op));
    if (!wa_unit_has_zero(a) && !wa_unit_has_zero(b)) {
        *out = *a;
        return WA_OK;
    }
    if (op == WA_ADD || !wa_unit_has_zero(a) || !wa_unit_has_zero(b)) {
        const wa_unit *other = wa_unit_has_zero(a) ? b : a;
        wa_fail(err, WA_ERR_ARG, "'%s' has a zero of its own: '%s' cannot be %s",
                wa_unit_has_zero(a) ? a->text : b->text, other->text,
                op == WA_ADD ? "added to it" : "combined with it");
        return wa_hint(err, WA_ERR_ARG, "convert with :to(\"K\") first");
    }
    *out = wa_unit_difference(a);
    return WA_OK;
}

static wa_status product_unit(wa_unit *out, wa_operator op, const wa_unit *a, const wa_unit *b,
                              wa_error *err)
{
    if ((a != NULL && wa_unit_has_zero(a)) || (b != NULL && wa_unit_has_zero(b)))
        return own_zero(a != NULL && wa_unit_has_zero(a) ? a : b, word_of(op), err);
    wa_unit one = wa_unit_one();
    a = a != NULL ? a : &one;
    b = b != NULL ? b : &one;
    return op == WA_MULTIPLY ? wa_unit_multiply(out, a, b, err) : wa_unit_divide(out, a, b, err);
}

static wa_status power_unit(wa_unit *out, const wa_operand *a, const wa_operand *b, wa_error *err)
{
    wa_unit one = wa_unit_one();
    const wa_unit *base = wa_operand_unit(a), *exponent = wa_operand_unit(b);
    if (exponent != NULL && !wa_unit_comparable(exponent, &one))
        return wa_fail(err, WA_ERR_ARG, "an exponent must be a pure number, it is in '%s'",
                       exponent->text);
    if (base == NULL || wa_unit_is_one(base)) {
        *out = one;
        return WA_OK;
    }
    if (wa_unit_has_zero(base))
        return own_zero(base, word_of(WA_POWER), err);
    if (exponent == NULL && b->number == 0.5)
        return wa_unit_root(out, base, err);
    if (exponent != NULL || b->number != floor(b->number) || fabs(b->number) > 9) {
        wa_fail(err, WA_ERR_ARG, "a column in '%s' cannot be raised to this power", base->text);
        return wa_hint(err, WA_ERR_ARG,
                       "units take whole powers up to 9, or 0.5; divide by a "
                       "reference value to make a pure number");
    }
    return wa_unit_power(out, base, (int)b->number, err);
}

wa_status wa_operator_unit(wa_unit *out, wa_operator op, const wa_operand *a, const wa_operand *b,
                           wa_error *err)
{
    switch (op) {
    case WA_ADD:
    case WA_SUBTRACT:
        return sum_unit(out, op, wa_operand_unit(a), wa_operand_unit(b), err);
    case WA_MULTIPLY:
    case WA_DIVIDE:
        return product_unit(out, op, wa_operand_unit(a), wa_operand_unit(b), err);
    case WA_POWER:
        return power_unit(out, a, b, err);
    }
    return wa_fail(err, WA_ERR_INTERNAL, "operator %d", (int)op);
}

wa_status wa_function_units(wa_unit *in, wa_unit *out, wa_function f, const wa_unit *a,
                            wa_error *err)
{
    wa_unit one = wa_unit_one();
    *in = *out = *a;
    switch (f) {
    case WA_NEGATE:
    case WA_ABS:
        return wa_unit_has_zero(a) ? own_zero(a, f == WA_ABS ? "made absolute" : "negated", err)
                                   : WA_OK;
    case WA_SQRT:
        return wa_unit_has_zero(a) ? own_zero(a, "put under a root", err)
                                   : wa_unit_root(out, a, err);
    case WA_SIN:
    case WA_COS:
    case WA_TAN:
        *out = one;
        if (wa_unit_is_one(a))
            return WA_OK; /* degrees, as angle.sin(30) is */
        *in = wa_unit_degree();
        if (!wa_unit_comparable(a, in))
            return wa_fail(err, WA_ERR_ARG, "an angle was expected, the column is in '%s'",
                           a->text);
        return WA_OK;
    case WA_ASIN:
    case WA_ACOS:
        *out = wa_unit_degree();
        break;
    case WA_EXP:
    case WA_LOG:
        *out = one;
        break;
    }
    *in = one;
    if (!wa_unit_comparable(a, &one)) {
        wa_fail(err, WA_ERR_ARG, "a pure number was expected, the column is in '%s'", a->text);
        return wa_hint(err, WA_ERR_ARG, "divide by a value in the same unit first");
    }
    return WA_OK;
}

/* ---- values ---- */

enum { CHUNK = 256 };

/* Rows [from, from + n) of an operand in unit `to` (NULL: as it is), in `room` where a conversion
 * is needed. */
static wa_status rows_of(const double **rows, size_t *step, double *room, const wa_operand *o,
                         const wa_unit *to, size_t from, size_t n, wa_error *err)
{
    const wa_unit *unit = wa_operand_unit(o);
    bool as_it_is = to == NULL || unit == NULL || wa_unit_equal(unit, to);
    const double *source = o->column != NULL ? o->column->at + from : &o->number;
    *step = o->column != NULL;
    *rows = source;
    if (as_it_is)
        return WA_OK;
    *rows = room;
    return wa_unit_convert_all(room, source, o->column != NULL ? n : 1, unit, to, err);
}

/* Sets what a result inherits from its inputs. */
static wa_status inherit(wa_column *out, const wa_operand *a, const wa_operand *b, const char *what,
                         wa_error *err)
{
    const wa_column *x = a->column, *y = b->column;
    if (x != NULL && y != NULL) {
        wa_status s = wa_column_aligned(x, y, what, err);
        if (s != WA_OK)
            return s;
    }
    out->n = x != NULL ? x->n : y->n;
    out->side = (uint8_t)((x != NULL ? x->side : 0) | (y != NULL ? y->side : 0));
    out->time = x != NULL && x->time != NULL ? x->time : (y != NULL ? y->time : NULL);
    return WA_OK;
}

/* The units into which both operands are brought before the operation; NULL: as they are. */
static void common_units(wa_operator op, const wa_operand *a, const wa_unit **a_to,
                         const wa_unit **b_to, const wa_unit *one)
{
    *a_to = *b_to = NULL;
    if (op == WA_ADD || op == WA_SUBTRACT)
        *b_to = wa_operand_unit(a);
    if (op == WA_POWER) {
        const wa_unit *base = wa_operand_unit(a);
        if (base == NULL || wa_unit_is_one(base))
            *a_to = one;
        *b_to = one;
    }
}

wa_status wa_column_combine(wa_column *out, wa_operator op, const wa_operand *a,
                            const wa_operand *b, wa_error *err)
{
    static const char *const names[] = {"+", "-", "*", "/", "^"};
    wa_column made = *out;
    wa_unit one = wa_unit_one();
    const wa_unit *a_to, *b_to;
    wa_status s = wa_operator_unit(&made.unit, op, a, b, err);
    if (s == WA_OK)
        s = inherit(&made, a, b, names[op], err);
    common_units(op, a, &a_to, &b_to, &one);
    for (size_t i = 0; s == WA_OK && i < made.n; i += CHUNK) {
        double a_room[CHUNK], b_room[CHUNK];
        const double *x = NULL, *y = NULL;
        size_t x_step = 0, y_step = 0, n = made.n - i < CHUNK ? made.n - i : CHUNK;
        s = rows_of(&x, &x_step, a_room, a, a_to, i, n, err);
        if (s == WA_OK)
            s = rows_of(&y, &y_step, b_room, b, b_to, i, n, err);
        if (s == WA_OK)
            wa_kernel_combine(made.at + i, op, x, x_step, y, y_step, n, wa_kernel_wide());
    }
    if (s == WA_OK)
        *out = made;
    return s;
}

wa_status wa_column_atan2(wa_column *out, const wa_operand *y, const wa_operand *x, wa_error *err)
{
    const wa_unit *y_unit = wa_operand_unit(y), *x_unit = wa_operand_unit(x);
    wa_column made = *out;
    wa_unit ignored;
    made.unit = wa_unit_degree();
    /* the same rule as for a sum: comparable, and no bare number beside a unit */
    wa_status s = sum_unit(&ignored, WA_SUBTRACT, y_unit, x_unit, err);
    if (s == WA_OK)
        s = inherit(&made, y, x, "atan2", err);
    for (size_t i = 0; s == WA_OK && i < made.n; i += CHUNK) {
        double room[CHUNK];
        const double *a = NULL, *b = NULL;
        size_t a_step = 0, b_step = 0, n = made.n - i < CHUNK ? made.n - i : CHUNK;
        s = rows_of(&a, &a_step, room, y, NULL, i, n, err);
        if (s == WA_OK)
            s = rows_of(&b, &b_step, room, x, y_unit, i, n, err);
        if (s == WA_OK)
            wa_kernel_atan2(made.at + i, a, a_step, b, b_step, n);
    }
    if (s == WA_OK)
        *out = made;
    return s;
}

wa_status wa_column_difference(wa_column *out, const wa_operand *a, const wa_operand *b,
                               wa_error *err)
{
    wa_column made = *out;
    made.unit = wa_unit_degree();
    wa_status s = inherit(&made, a, b, "difference", err);
    if (s != WA_OK)
        return s;
    const double *x = a->column != NULL ? a->column->at : &a->number;
    const double *y = b->column != NULL ? b->column->at : &b->number;
    wa_kernel_difference(made.at, x, a->column != NULL, y, b->column != NULL, made.n);
    *out = made;
    return WA_OK;
}

wa_status wa_column_apply(wa_column *out, wa_function f, const wa_column *a, wa_error *err)
{
    wa_unit in, result;
    wa_status s = wa_function_units(&in, &result, f, &a->unit, err);
    if (s != WA_OK)
        return s;
    double *at = out->at;
    s = wa_unit_convert_all(at, a->at, a->n, &a->unit, &in, err);
    if (s != WA_OK)
        return s;
    wa_kernel_apply(at, f, at, a->n, wa_kernel_wide());
    *out = *a;
    out->at = at;
    out->unit = result;
    return WA_OK;
}

wa_status wa_column_to(wa_column *out, const wa_column *a, const wa_unit *unit, wa_error *err)
{
    double *at = out->at;
    wa_unit to = *unit;
    wa_status s = wa_unit_convert_all(at, a->at, a->n, &a->unit, &to, err);
    if (s != WA_OK)
        return s;
    *out = *a;
    out->at = at;
    out->unit = to;
    return WA_OK;
}

void wa_column_lag(wa_column *out, const wa_column *a, int64_t n)
{
    double *at = out->at;
    wa_kernel_lag(at, a->at, a->n, n);
    *out = *a;
    out->at = at;
}

wa_status wa_column_where(wa_column *out, double *time, const wa_column *a, const wa_mask *mask,
                          wa_error *err)
{
    if (a->n != mask->n)
        return wa_fail(err, WA_ERR_ARG, "where: the mask has %zu values, the column has %zu",
                       mask->n, a->n);
    if (!wa_same_times(a->time, mask->time, a->n))
        return wa_fail(err, WA_ERR_ARG, "where: mask and column belong to different intervals");
    wa_column made = *a;
    made.at = out->at;
    made.time = a->time != NULL ? time : NULL;
    made.n = 0;
    for (size_t i = 0; i < a->n; i++) {
        if (mask->at[i] != WA_TRUE)
            continue;
        if (made.time != NULL)
            time[made.n] = a->time[i];
        made.at[made.n++] = a->at[i];
    }
    *out = made;
    return WA_OK;
}
