#include "windassay/summary.h"

#include "base/dd.h"
#include "stats/steps.h"
#include "windassay/exact.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

static wa_status too_few(const char *what, size_t needed, size_t count, wa_error *err)
{
    return wa_fail(err, WA_ERR_UNDEFINED, "%s is not defined: %zu value%s, at least %zu needed",
                   what, count, count == 1 ? "" : "s", needed);
}

static wa_status out_of_range(const char *what, wa_error *err)
{
    return wa_fail(err, WA_ERR_UNDEFINED, "%s is not defined: out of the range of numbers", what);
}

size_t wa_summary_count(const double *x, size_t n)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++)
        if (!isnan(x[i]))
            count++;
    return count;
}

/* The exact sum of what is there, and of its squares unless NULL; gives the count. */
static size_t add_up(wa_exact *sum, wa_exact *squares, const double *x, size_t n)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        if (isnan(x[i]))
            continue;
        wa_exact_add(sum, x[i]);
        if (squares != NULL)
            wa_exact_add_product(squares, x[i], x[i]);
        count++;
    }
    return count;
}

static wa_status give(double *out, double value, const char *what, wa_error *err)
{
    if (!isfinite(value))
        return out_of_range(what, err);
    *out = value + 0.0;
    return WA_OK;
}

wa_status wa_summary_mean(double *out, const double *x, size_t n, wa_error *err)
{
    wa_exact sum = {0};
    size_t count = add_up(&sum, NULL, x, n);
    if (count == 0)
        return too_few("mean", 1, count, err);
    return give(out, wa_exact_divide(&sum, count), "mean", err);
}

wa_status wa_summary_sum(double *out, const double *x, size_t n, wa_error *err)
{
    wa_exact sum = {0};
    add_up(&sum, NULL, x, n);
    return give(out, wa_exact_round(&sum), "sum", err);
}

wa_status wa_summary_sd(double *out, const double *x, size_t n, wa_error *err)
{
    wa_exact sum = {0}, squares = {0};
    size_t count = add_up(&sum, &squares, x, n);
    if (count < 2)
        return too_few("standard deviation", 2, count, err);
    return wa_exact_sd(out, &sum, &squares, count, WA_DIVISOR_N_MINUS_1, err);
}

wa_status wa_summary_min(double *out, const double *x, size_t n, wa_error *err)
{
    double least = (double)INFINITY;
    for (size_t i = 0; i < n; i++)
        if (x[i] < least)
            least = x[i];
    if (wa_summary_count(x, n) == 0)
        return too_few("minimum", 1, 0, err);
    return give(out, least, "minimum", err);
}

wa_status wa_summary_max(double *out, const double *x, size_t n, wa_error *err)
{
    double most = -(double)INFINITY;
    for (size_t i = 0; i < n; i++)
        if (x[i] > most)
            most = x[i];
    if (wa_summary_count(x, n) == 0)
        return too_few("maximum", 1, 0, err);
    return give(out, most, "maximum", err);
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

wa_status wa_summary_quantile(double *out, const double *x, size_t n, double p, double *scratch,
                              wa_error *err)
{
    if (!(p >= 0 && p <= 1))
        return wa_fail(err, WA_ERR_ARG, "quantile: %g does not lie in 0 to 1", p);
    size_t count = 0;
    for (size_t i = 0; i < n; i++)
        if (!isnan(x[i]))
            scratch[count++] = x[i];
    if (count == 0)
        return too_few("quantile", 1, 0, err);
    qsort(scratch, count, sizeof *scratch, by_value);
    double h = (double)(count - 1) * p, floor_h = floor(h);
    size_t k = (size_t)floor_h;
    double value = scratch[k];
    if (k + 1 < count)
        value += (h - floor_h) * (scratch[k + 1] - value);
    return give(out, value, "quantile", err);
}

wa_status wa_summary_median(double *out, const double *x, size_t n, double *scratch, wa_error *err)
{
    return wa_summary_quantile(out, x, n, 0.5, scratch, err);
}

/* ---- autocorrelation ---- */

double wa_smallest_step(const double *time, size_t n)
{
    double step = (double)INFINITY;
    for (size_t i = 1; i < n; i++)
        if (time[i] - time[i - 1] < step)
            step = time[i] - time[i - 1];
    return step;
}

/* What is added up over pairs a = x[i], b = x[i + lag], both minus `centre`. */
typedef struct pair_sums {
    wa_exact products, values; /* sum a b; sum (a + b) */
    uint64_t n;
} pair_sums;

static void add_shifted(wa_exact *sum, double x, double centre)
{
    wa_exact_add(sum, x);
    wa_exact_add(sum, -centre);
}

/* (x - m)(y - m) exactly, as x y - m x - m y + m m. */
static void add_shifted_product(wa_exact *sum, double x, double y, double centre)
{
    wa_exact_add_product(sum, x, y);
    wa_exact_add_product(sum, -centre, x);
    wa_exact_add_product(sum, -centre, y);
    wa_exact_add_product(sum, centre, centre);
}

static void add_pairs(pair_sums *p, const double *x, const double *time, size_t n, size_t lag,
                      double centre)
{
    double apart = time != NULL ? (double)lag * wa_smallest_step(time, n) : 0;
    for (size_t i = 0; i + lag < n; i++) {
        double a = x[i], b = x[i + lag];
        if (isnan(a) || isnan(b) || (time != NULL && time[i + lag] - time[i] != apart))
            continue;
        add_shifted_product(&p->products, a, b, centre);
        add_shifted(&p->values, a, centre);
        add_shifted(&p->values, b, centre);
        p->n++;
    }
}

/* sum (x - m)(y - m) from sums around `centre` = m - d: products - d values + n d^2. */
static wa_dd around_mean(const wa_exact *products, const wa_exact *values, uint64_t n, wa_dd d)
{
    wa_dd s = wa_dd_sub(wa_exact_round_dd(products), wa_dd_mul(d, wa_exact_round_dd(values)));
    return wa_dd_add(s, wa_dd_mul_d(wa_dd_mul(d, d), (double)n));
}

wa_status wa_summary_autocorrelation(double *out, const double *x, const double *time, size_t n,
                                     size_t lag, wa_error *err)
{
    if (lag == 0)
        return wa_fail(err, WA_ERR_ARG, "autocorrelation: the lag is at least 1");
    wa_exact sum = {0}, shifted = {0}, twice = {0}, squares = {0};
    pair_sums pairs = {.n = 0};
    size_t count = add_up(&sum, NULL, x, n);
    if (count < 2)
        return too_few("autocorrelation", 2, count, err);
    double centre = wa_exact_divide(&sum, count);
    for (size_t i = 0; i < n; i++) {
        if (isnan(x[i]))
            continue;
        add_shifted(&shifted, x[i], centre);
        add_shifted_product(&squares, x[i], x[i], centre);
    }
    add_pairs(&pairs, x, time, n, lag, centre);
    if (pairs.n == 0)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "autocorrelation is not defined: no two values lie %zu apart", lag);
    /* what the rounded mean misses of the mean itself */
    wa_dd d = wa_dd_div(wa_exact_round_dd(&shifted), wa_dd_of((double)count));
    wa_exact_merge(&twice, &shifted);
    wa_exact_merge(&twice, &shifted);
    wa_dd above = around_mean(&pairs.products, &pairs.values, pairs.n, d);
    wa_dd below = around_mean(&squares, &twice, count, d);
    if (!isfinite(above.hi) || !isfinite(below.hi))
        return out_of_range("autocorrelation", err);
    if (below.hi <= 0)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "autocorrelation is not defined: all values are equal");
    return give(out, wa_dd_div(above, below).hi, "autocorrelation", err);
}

wa_status wa_summary_effective_count(double *out, const double *x, const double *time, size_t n,
                                     wa_error *err)
{
    double r = 0;
    wa_status s = wa_summary_autocorrelation(&r, x, time, n, 1, err);
    if (s != WA_OK)
        return s;
    double count = (double)wa_summary_count(x, n);
    *out = r <= 0 ? count : count * (1 - r) / (1 + r);
    return WA_OK;
}
