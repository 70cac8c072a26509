#include "windassay/correlate.h"

#include "windassay/fit.h"

#include <math.h>
#include <stdlib.h>

static void difference(double *out, const double *x, size_t n)
{
    for (size_t i = n; i-- > 1;)
        out[i] = x[i] - x[i - 1];
    if (n > 0)
        out[0] = (double)NAN;
}

/* r(k) and its pairs. */
static double at_lag(size_t *pairs, const double *a, const double *b, size_t n, int k)
{
    size_t shift = (size_t)abs(k), rows = n - shift, count = 0;
    const double *from_a = k < 0 ? a + shift : a, *from_b = k < 0 ? b : b + shift;
    double r;
    for (size_t i = 0; i < rows; i++)
        count += !isnan(from_a[i]) && !isnan(from_b[i]);
    *pairs = count;
    if (count < WA_LAG_PAIRS_LEAST || wa_correlation(&r, from_a, from_b, rows, NULL) != WA_OK)
        return (double)NAN;
    return r;
}

/* Is the lag i (from 0) better than j? Greater, or as great and nearer to no lag. */
static bool better(const double *r, size_t i, size_t j, size_t within)
{
    size_t from_i = i > within ? i - within : within - i;
    size_t from_j = j > within ? j - within : within - j;
    return r[i] > r[j] || (r[i] == r[j] && from_i < from_j);
}

double wa_parabola_vertex(double before, double at, double after)
{
    double bend = before - 2 * at + after;
    return bend < 0 ? (before - after) / (2 * bend) : (double)NAN; /* NaN neighbours: NaN bend */
}

static wa_status find_greatest(wa_lag *out, const double *r, size_t within, wa_error *err)
{
    size_t count = 2 * within + 1, best = count;
    for (size_t i = 0; i < count; i++)
        if (!isnan(r[i]) && (best == count || better(r, i, best, within)))
            best = i;
    if (best == count)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "no lag has a correlation: at each of them fewer than %d pairs are there "
                       "or one side does not vary",
                       WA_LAG_PAIRS_LEAST);
    int lag = (int)best - (int)within;
    bool inside = best > 0 && best + 1 < count;
    double beside = inside ? wa_parabola_vertex(r[best - 1], r[best], r[best + 1]) : (double)NAN;
    *out = (wa_lag){.lag = lag, .sub_lag = lag + beside, .greatest = r[best]};
    return WA_OK;
}

wa_status wa_correlate_lag(wa_lag *out, double *correlation, size_t *pairs, const double *a,
                           const double *b, size_t n, int within, bool differences, wa_error *err)
{
    if (within < 0 || (size_t)within >= n)
        return wa_fail(err, WA_ERR_ARG,
                       "lags within %d rows: it must be 0 or more, and less than the %zu rows that "
                       "are there",
                       within, n);
    size_t count = 2 * (size_t)within + 1;
    double *r = malloc(count * sizeof *r), *moved = NULL;
    size_t *there = malloc(count * sizeof *there);
    wa_status s = WA_OK;
    if (differences)
        moved = malloc(2 * n * sizeof *moved);
    if (r == NULL || there == NULL || (differences && moved == NULL)) {
        s = wa_fail(err, WA_ERR_NOMEM, "out of memory for a correlation");
        goto out;
    }
    if (differences) {
        difference(moved, a, n);
        difference(moved + n, b, n);
        a = moved;
        b = moved + n;
    }
    for (size_t i = 0; i < count; i++)
        r[i] = at_lag(&there[i], a, b, n, (int)i - within);
    s = find_greatest(out, r, (size_t)within, err);
    for (size_t i = 0; s == WA_OK && i < count; i++) {
        if (correlation != NULL)
            correlation[i] = r[i];
        if (pairs != NULL)
            pairs[i] = there[i];
    }
out:
    free(r);
    free(there);
    free(moved);
    return s;
}
