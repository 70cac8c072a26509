#include "windassay/mask.h"

#include "stats/kernel.h"

#include <math.h>

wa_status wa_bound_fits(const wa_unit *a, const wa_operand *bound, wa_error *err)
{
    const wa_unit *unit = wa_operand_unit(bound);
    if (unit == NULL) {
        if (wa_unit_is_one(a))
            return WA_OK;
        wa_fail(err, WA_ERR_ARG, "a bare number cannot be compared with a column in '%s'", a->text);
        return wa_hint(err, WA_ERR_ARG, "say its unit: (2, \"%s\")", a->text);
    }
    if (!wa_unit_comparable(a, unit))
        return wa_fail(err, WA_ERR_ARG, "a column in '%s' cannot be compared with '%s'", a->text,
                       unit->text);
    return WA_OK;
}

enum { CHUNK = 256 };

/* Checks a bound once, before any row is compared. */
static wa_status check_bound(const wa_column *a, const wa_operand *bound, const char *what,
                             wa_error *err)
{
    wa_status s = wa_bound_fits(&a->unit, bound, err);
    if (s == WA_OK && bound->column == NULL && isnan(bound->number))
        s = wa_fail(err, WA_ERR_ARG, "%s: a bound is not a number", what);
    if (s == WA_OK && bound->column != NULL)
        s = wa_column_aligned(a, bound->column, what, err);
    return s;
}

static const double *time_of(const wa_column *a, const wa_operand *bound)
{
    return a->time == NULL && bound->column != NULL ? bound->column->time : a->time;
}

static uint8_t sides_of(const wa_column *a, const wa_operand *bound)
{
    return (uint8_t)(a->side | (bound->column != NULL ? bound->column->side : 0));
}

/* A number as a bound in the unit of `a`. */
static wa_status bound_number(double *out, const wa_column *a, const wa_operand *bound,
                              wa_error *err)
{
    const wa_unit *unit = wa_operand_unit(bound);
    *out = bound->number;
    if (unit == NULL || wa_unit_equal(unit, &a->unit) || isinf(bound->number))
        return WA_OK;
    return wa_unit_convert(out, bound->number, unit, &a->unit, err);
}

static wa_status compare_rows(uint8_t *out, wa_comparison c, const wa_column *a,
                              const wa_operand *bound, wa_error *err)
{
    if (bound->column == NULL) {
        double number = 0;
        wa_status s = bound_number(&number, a, bound, err);
        if (s == WA_OK)
            wa_kernel_compare(out, c, a->at, &number, 0, a->n, wa_kernel_wide());
        return s;
    }
    for (size_t i = 0; i < a->n; i += CHUNK) {
        double room[CHUNK];
        size_t n = a->n - i < CHUNK ? a->n - i : CHUNK;
        wa_status s = wa_unit_convert_all(room, bound->column->at + i, n, &bound->column->unit,
                                          &a->unit, err);
        if (s != WA_OK)
            return s;
        wa_kernel_compare(out + i, c, a->at + i, room, 1, n, wa_kernel_wide());
    }
    return WA_OK;
}

wa_status wa_mask_compare(wa_mask *out, wa_comparison c, const wa_column *a,
                          const wa_operand *bound, wa_error *err)
{
    static const char *const names[] = {"below", "above", "equals"};
    wa_status s = check_bound(a, bound, names[c], err);
    if (s == WA_OK)
        s = compare_rows(out->at, c, a, bound, err);
    if (s != WA_OK)
        return s;
    out->n = a->n;
    out->sides = sides_of(a, bound);
    out->time = time_of(a, bound);
    return WA_OK;
}

/* Not below the lower bound, and below the upper; in chunks of rows, whose room is on the stack. */
wa_status wa_mask_between(wa_mask *out, const wa_column *a, const wa_operand *lower,
                          const wa_operand *upper, wa_error *err)
{
    wa_status s = check_bound(a, lower, "between", err);
    if (s == WA_OK)
        s = check_bound(a, upper, "between", err);
    if (s != WA_OK)
        return s;
    if (lower->column == NULL && upper->column == NULL) {
        double low = 0, high = 0;
        s = bound_number(&low, a, lower, err);
        if (s == WA_OK)
            s = bound_number(&high, a, upper, err);
        if (s == WA_OK && !(low < high))
            s = wa_fail(err, WA_ERR_ARG, "between: the lower bound is not below the upper");
        if (s != WA_OK)
            return s;
    }
    for (size_t i = 0; i < a->n; i += CHUNK) {
        uint8_t under[CHUNK];
        wa_column part = *a, low_part, high_part;
        wa_operand low = *lower, high = *upper;
        part.at += i;
        part.n = a->n - i < CHUNK ? a->n - i : CHUNK;
        if (low.column != NULL) {
            low_part = *low.column;
            low_part.at += i;
            low.column = &low_part;
        }
        if (high.column != NULL) {
            high_part = *high.column;
            high_part.at += i;
            high.column = &high_part;
        }
        s = compare_rows(under, WA_BELOW, &part, &low, err);
        if (s == WA_OK)
            s = compare_rows(out->at + i, WA_BELOW, &part, &high, err);
        if (s != WA_OK)
            return s;
        wa_kernel_not(under, under, part.n);
        wa_kernel_and(out->at + i, out->at + i, under, part.n);
    }
    out->n = a->n;
    out->sides = (uint8_t)(sides_of(a, lower) | sides_of(a, upper));
    out->time = time_of(a, lower) != NULL ? time_of(a, lower) : time_of(a, upper);
    return WA_OK;
}

wa_status wa_sector_fits(const wa_unit *unit, double from, double to, wa_error *err)
{
    wa_unit degree = wa_unit_degree();
    if (!wa_unit_equal(unit, &degree)) {
        wa_fail(err, WA_ERR_ARG, "in_sector: the column is in '%s', not in 'degree'", unit->text);
        return wa_unit_comparable(unit, &degree)
                   ? wa_hint(err, WA_ERR_ARG, "convert with :to(\"degree\") first")
                   : WA_ERR_ARG;
    }
    if (!isfinite(from) || !isfinite(to) || fabs(to - from) > 360)
        return wa_fail(err, WA_ERR_ARG,
                       "in_sector: the bounds are directions in degrees, at most 360 apart");
    if (from == to) {
        wa_fail(err, WA_ERR_ARG, "in_sector: both bounds are %g", from);
        return wa_hint(err, WA_ERR_ARG, "the whole circle is in_sector(0, 360)");
    }
    return WA_OK;
}

wa_status wa_mask_in_sector(wa_mask *out, const wa_column *a, double from, double to, wa_error *err)
{
    wa_status s = wa_sector_fits(&a->unit, from, to, err);
    if (s != WA_OK)
        return s;
    wa_kernel_sector(out->at, a->at, from, to, a->n);
    out->n = a->n;
    out->sides = a->side;
    out->time = a->time;
    return WA_OK;
}

void wa_mask_missing(wa_mask *out, const wa_column *a)
{
    wa_kernel_missing(out->at, a->at, a->n);
    out->n = a->n;
    out->sides = a->side;
    out->time = a->time;
}

wa_status wa_mask_unchanged(wa_mask *out, const wa_column *a, int64_t n, wa_error *err)
{
    if (n < 2)
        return wa_fail(err, WA_ERR_ARG, "unchanged: a run has at least 2 values, not %lld",
                       (long long)n);
    wa_kernel_unchanged(out->at, a->at, a->n, (size_t)n);
    out->n = a->n;
    out->sides = a->side;
    out->time = a->time;
    return WA_OK;
}

wa_status wa_masks_aligned(const wa_mask *a, const wa_mask *b, const char *what, wa_error *err)
{
    if (a->n != b->n)
        return wa_fail(err, WA_ERR_ARG, "%s: the masks have %zu and %zu values", what, a->n, b->n);
    if (!wa_same_times(a->time, b->time, a->n))
        return wa_fail(err, WA_ERR_ARG, "%s: the masks belong to different intervals", what);
    return WA_OK;
}

wa_status wa_mask_and(wa_mask *out, const wa_mask *a, const wa_mask *b, wa_error *err)
{
    wa_status s = wa_masks_aligned(a, b, "&", err);
    if (s != WA_OK)
        return s;
    wa_kernel_and(out->at, a->at, b->at, a->n);
    out->n = a->n;
    out->sides = a->sides | b->sides;
    out->time = a->time != NULL ? a->time : b->time;
    return WA_OK;
}

wa_status wa_mask_or(wa_mask *out, const wa_mask *a, const wa_mask *b, wa_error *err)
{
    wa_status s = wa_masks_aligned(a, b, "|", err);
    if (s != WA_OK)
        return s;
    wa_kernel_or(out->at, a->at, b->at, a->n);
    out->n = a->n;
    out->sides = a->sides | b->sides;
    out->time = a->time != NULL ? a->time : b->time;
    return WA_OK;
}

void wa_mask_not(wa_mask *out, const wa_mask *a)
{
    wa_kernel_not(out->at, a->at, a->n);
    out->n = a->n;
    out->sides = a->sides;
    out->time = a->time;
}

wa_status wa_mask_grow(wa_mask *out, const wa_mask *a, int64_t n, wa_error *err)
{
    if (n < 0)
        return wa_fail(err, WA_ERR_ARG, "grow: the number of rows is negative (%lld)",
                       (long long)n);
    wa_kernel_grow(out->at, a->at, a->n, (size_t)n);
    out->n = a->n;
    out->sides = a->sides;
    out->time = a->time;
    return WA_OK;
}

size_t wa_mask_count(const wa_mask *a, uint8_t state)
{
    size_t count = 0;
    for (size_t i = 0; i < a->n; i++)
        count += a->at[i] == state;
    return count;
}
