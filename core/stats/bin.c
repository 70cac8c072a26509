#include "windassay/bin.h"

#include "stats/decimal.h"
#include "windassay/exact.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* All of it lies in one piece: header, then the arrays, widest entries first. */
static wa_bins *lay_out(void *piece, size_t n, size_t records, bool timed)
{
    wa_bins *b = piece;
    *b = (wa_bins){.n = n, .records = records};
    b->edge = (double *)(void *)(b + 1);
    b->centre = b->edge + n + 1;
    b->count = (size_t *)(void *)(b->centre + n);
    b->start = b->count + n;
    b->order = b->start + n + 1;
    size_t *end = b->order + records;
    if (timed)
        b->days = end;
    b->of_record = (int32_t *)(void *)(end + (timed ? n : 0));
    b->complete = (bool *)(void *)(b->of_record + records);
    return b;
}

static size_t size_of(size_t n, size_t records, bool timed)
{
    return sizeof(wa_bins) + (2 * n + 1) * sizeof(double) +
           (2 * n + 1 + records + (timed ? n : 0)) * sizeof(size_t) + records * sizeof(int32_t) +
           n * sizeof(bool);
}

size_t wa_bins_size(const wa_bins *b)
{
    return size_of(b->n, b->records, b->days != NULL);
}

wa_bins *wa_bins_copy(void *to, const wa_bins *b)
{
    size_t size = wa_bins_size(b);
    wa_bins *c = lay_out(to, b->n, b->records, b->days != NULL);
    c->at_least = b->at_least;
    memcpy(c + 1, b + 1, size - sizeof *b);
    return c;
}

void wa_bins_free(wa_bins *b)
{
    free(b);
}

static wa_bins *allocate(size_t n, size_t records, bool timed)
{
    void *piece = calloc(1, size_of(n, records, timed));
    return piece == NULL ? NULL : lay_out(piece, n, records, timed);
}

static void *room(size_t n, size_t size)
{
    return calloc(n + 1, size); /* never nothing, so that NULL means: no memory */
}

/* The grid in units of 10^-digits: centre k is (first + k width) 10^-digits. */
typedef struct grid {
    int digits;
    int64_t width, first;
    size_t n;
} grid;

static wa_status off_grid(double centre, const wa_bin_spec *s, wa_error *err)
{
    double below = s->centred_on + floor((centre - s->centred_on) / s->width) * s->width;
    wa_status code =
        wa_fail(err, WA_ERR_ARG, "%.15g is no centre of a bin of width %.15g centred on %.15g",
                centre, s->width, s->centred_on);
    return wa_hint(err, code,
                   "the nearest centres are %.15g and %.15g; or shift the bins by "
                   "centred_on",
                   below, below + s->width);
}

static wa_status make_grid(grid *g, const wa_bin_spec *s, wa_error *err)
{
    if (!(s->width > 0) || !isfinite(s->width))
        return wa_fail(err, WA_ERR_ARG, "the width of a bin is %g: it must be above 0", s->width);
    if (!isfinite(s->lowest) || !isfinite(s->highest) || !isfinite(s->centred_on))
        return wa_fail(err, WA_ERR_ARG, "the centre of a bin is not finite");
    if (s->lowest > s->highest)
        return wa_fail(err, WA_ERR_ARG, "the lowest bin, %g, lies above the highest, %g", s->lowest,
                       s->highest);
    if ((s->highest - s->lowest) / s->width >= WA_BINS_MAX)
        return wa_fail(err, WA_ERR_ARG, "more than %d bins from %g to %g by %g", WA_BINS_MAX,
                       s->lowest, s->highest, s->width);
    const double numbers[] = {s->width, s->lowest, s->highest, s->centred_on};
    int64_t scaled[4];
    if (!decimals_of(scaled, &g->digits, numbers, 4)) {
        wa_status code = wa_fail(err, WA_ERR_ARG, "the numbers of the bins have too many digits");
        return wa_hint(err, code,
                       "width, lowest, highest and centred_on together must fit 15 "
                       "digits, or give edges");
    }
    g->width = scaled[0];
    g->first = scaled[1];
    if ((scaled[1] - scaled[3]) % g->width != 0)
        return off_grid(s->lowest, s, err);
    if ((scaled[2] - scaled[3]) % g->width != 0)
        return off_grid(s->highest, s, err);
    g->n = (size_t)((scaled[2] - scaled[1]) / g->width) + 1;
    return WA_OK;
}

static void lay_grid(wa_bins *b, const grid *g)
{
    for (size_t k = 0; k < b->n; k++)
        b->centre[k] = decimal_value(g->first + (int64_t)k * g->width, 1, g->digits);
    for (size_t k = 0; k <= b->n; k++)
        b->edge[k] = decimal_value(2 * (g->first + (int64_t)k * g->width) - g->width, 2, g->digits);
}

static wa_status check_edges(const wa_bin_spec *s, wa_error *err)
{
    if (s->edge_count < 2 || s->edge_count - 1 > WA_BINS_MAX)
        return wa_fail(err, WA_ERR_ARG, "bins need 2 to %d edges, not %zu", WA_BINS_MAX + 1,
                       s->edge_count);
    for (size_t k = 0; k < s->edge_count; k++) {
        if (!isfinite(s->edges[k]))
            return wa_fail(err, WA_ERR_ARG, "edge %zu of the bins is not finite", k + 1);
        if (k > 0 && !(s->edges[k] > s->edges[k - 1]))
            return wa_fail(err, WA_ERR_ARG,
                           "edge %zu of the bins, %g, is not above the one "
                           "before it, %g",
                           k + 1, s->edges[k], s->edges[k - 1]);
    }
    return WA_OK;
}

static void lay_edges(wa_bins *b, const double *edges)
{
    for (size_t k = 0; k <= b->n; k++)
        b->edge[k] = edges[k];
    for (size_t k = 0; k < b->n; k++) {
        int64_t scaled[2];
        int digits;
        if (decimals_of(scaled, &digits, &edges[k], 2)) /* the middle of 0.1 and 0.2 is 0.15 */
            b->centre[k] = decimal_value(scaled[0] + scaled[1], 2, digits);
        else
            b->centre[k] = edges[k] + (edges[k + 1] - edges[k]) / 2;
    }
}

/* The bin with edge[k] <= x < edge[k + 1]. */
static int32_t find(const wa_bins *b, double x)
{
    if (isnan(x))
        return WA_BIN_UNKNOWN;
    if (x < b->edge[0] || !(x < b->edge[b->n]))
        return WA_NO_BIN;
    size_t low = 0, high = b->n;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (x < b->edge[middle])
            high = middle;
        else
            low = middle;
    }
    return (int32_t)low;
}

/* Sorts the records by bin, in their own order within one. */
static void sort_records(wa_bins *b, const double *reference)
{
    for (size_t i = 0; i < b->records; i++) {
        b->of_record[i] = find(b, reference[i]);
        if (b->of_record[i] >= 0)
            b->count[b->of_record[i]]++;
    }
    for (size_t k = 0; k < b->n; k++) {
        b->start[k + 1] = b->start[k] + b->count[k];
        b->complete[k] = b->count[k] >= b->at_least;
        b->count[k] = 0; /* counted up again as the records find their places */
    }
    for (size_t i = 0; i < b->records; i++) {
        int32_t k = b->of_record[i];
        if (k >= 0)
            b->order[b->start[k] + b->count[k]++] = i;
    }
}

static int by_number(const void *left, const void *right)
{
    const double *a = left, *b = right;
    return (*a > *b) - (*a < *b);
}

static wa_status count_days(wa_bins *b, const double *time, wa_error *err)
{
    double *day = room(b->records, sizeof *day);
    if (day == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory for bins");
    for (size_t k = 0; k < b->n; k++) {
        size_t n = b->count[k];
        for (size_t i = 0; i < n; i++)
            day[i] = floor(time[b->order[b->start[k] + i]] / 86400);
        qsort(day, n, sizeof *day, by_number);
        for (size_t i = 0; i < n; i++)
            b->days[k] += i == 0 || day[i] != day[i - 1];
    }
    free(day);
    return WA_OK;
}

wa_status wa_bins_make(wa_bins **out, const double *reference, const double *time, size_t n,
                       const wa_bin_spec *spec, wa_error *err)
{
    grid g = {0};
    wa_status s = spec->edges != NULL ? check_edges(spec, err) : make_grid(&g, spec, err);
    if (s != WA_OK)
        return s;
    wa_bins *b = allocate(spec->edges != NULL ? spec->edge_count - 1 : g.n, n, time != NULL);
    if (b == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory for bins");
    b->at_least = spec->at_least > 0 ? spec->at_least : 1;
    if (spec->edges != NULL)
        lay_edges(b, spec->edges);
    else
        lay_grid(b, &g);
    sort_records(b, reference);
    if (time != NULL && (s = count_days(b, time, err)) != WA_OK) {
        wa_bins_free(b);
        return s;
    }
    *out = b;
    return WA_OK;
}

static double root_mean_square(const double *x, size_t n)
{
    wa_exact squares = {0};
    for (size_t i = 0; i < n; i++)
        wa_exact_add_product(&squares, x[i], x[i]);
    return sqrt(wa_exact_divide(&squares, n));
}

static double extreme(const double *x, size_t n, double sign)
{
    double best = x[0];
    for (size_t i = 1; i < n; i++)
        best = sign * x[i] > sign * best ? x[i] : best;
    return best;
}

/* One statistic of n values, n large enough. */
static wa_status take(double *out, wa_bin_statistic which, const double *x, size_t n, wa_error *err)
{
    double mean, sd;
    wa_status s;
    switch (which) {
    case WA_BIN_MEAN:
        return wa_mean_sd(out, NULL, x, n, WA_DIVISOR_N_MINUS_1, err);
    case WA_BIN_SD:
    case WA_BIN_STANDARD_ERROR:
        s = wa_mean_sd(&mean, &sd, x, n, WA_DIVISOR_N_MINUS_1, err);
        if (s == WA_OK)
            *out = which == WA_BIN_SD ? sd : sd / sqrt((double)n);
        return s;
    case WA_BIN_RMS:
        *out = root_mean_square(x, n);
        if (!isfinite(*out))
            return wa_fail(err, WA_ERR_UNDEFINED, "a root mean square is too large");
        return WA_OK;
    case WA_BIN_MIN:
        *out = extreme(x, n, -1);
        return WA_OK;
    case WA_BIN_MAX:
        *out = extreme(x, n, 1);
        return WA_OK;
    }
    assert(0 && "a statistic of bins");
    return WA_ERR_INTERNAL;
}

wa_status wa_bins_statistic(double *out, const wa_bins *b, wa_bin_statistic which, const double *x,
                            wa_error *err)
{
    bool spread = which == WA_BIN_SD || which == WA_BIN_STANDARD_ERROR;
    size_t least = spread && b->at_least < 2 ? 2 : b->at_least;
    double *values = room(b->records, sizeof *values), *result = room(b->n, sizeof *result);
    wa_status s = WA_OK;
    if (values == NULL || result == NULL)
        s = wa_fail(err, WA_ERR_NOMEM, "out of memory for bins");
    for (size_t k = 0; s == WA_OK && k < b->n; k++) {
        size_t n = 0;
        for (size_t i = b->start[k]; i < b->start[k + 1]; i++)
            if (!isnan(x[b->order[i]]))
                values[n++] = x[b->order[i]];
        result[k] = (double)NAN;
        if (b->complete[k] && n >= least)
            s = take(&result[k], which, values, n, err);
    }
    for (size_t k = 0; s == WA_OK && k < b->n; k++)
        out[k] = result[k];
    free(values);
    free(result);
    return s;
}
