#include "windassay/rolling.h"

#include "stats/steps.h"

#include <math.h>
#include <string.h>

/* The values of the window in order; rows come in on its right and go out on its left. */
typedef struct window {
    double at[WA_ROLLING_MAX];
    size_t n;
    size_t from, to; /* rows [from, to) were taken in */
} window;

/* The place of the first value that is not below x. */
static size_t place_of(const window *w, double x)
{
    size_t low = 0, high = w->n;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (w->at[middle] < x)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static void take_in(window *w, double x)
{
    if (isnan(x))
        return;
    size_t k = place_of(w, x);
    memmove(w->at + k + 1, w->at + k, (w->n - k) * sizeof *w->at);
    w->at[k] = x;
    w->n++;
}

static void let_go(window *w, double x)
{
    if (isnan(x))
        return;
    size_t k = place_of(w, x);
    w->n--;
    memmove(w->at + k, w->at + k + 1, (w->n - k) * sizeof *w->at);
}

/* Makes the window that of the rows [from, to); both only grow, and it never moves further than its
 * own length. */
static void move(window *w, const double *x, size_t from, size_t to)
{
    for (; w->from < from; w->from++)
        let_go(w, x[w->from]);
    for (; w->to < to; w->to++)
        take_in(w, x[w->to]);
}

static double middle_of(double low, double high)
{
    return low + 0.5 * (high - low);
}

static double median_of(const window *w)
{
    return middle_of(w->at[(w->n - 1) / 2], w->at[w->n / 2]);
}

/* Distances from m grow from the middle outwards on both sides: they are met in order by taking
 * the nearer of the two next ones. */
static double mad_of(const window *w)
{
    double m = median_of(w), last = 0, before = 0;
    size_t right = place_of(w, m), left = right; /* next: at[right], at[left - 1] */
    for (size_t k = 0; k <= w->n / 2; k++) {
        double up = right < w->n ? w->at[right] - m : (double)INFINITY;
        double down = left > 0 ? m - w->at[left - 1] : (double)INFINITY;
        before = last;
        if (up <= down) {
            last = up;
            right++;
        } else {
            last = down;
            left--;
        }
    }
    return w->n % 2 == 1 ? last : middle_of(before, last);
}

static wa_status roll(wa_column *out, const wa_column *a, int64_t n, const char *what,
                      double (*f)(const window *w), wa_error *err)
{
    if (n < 1 || n > WA_ROLLING_MAX || n % 2 == 0) {
        wa_fail(err, WA_ERR_ARG, "%s: a window of %lld rows", what, (long long)n);
        return wa_hint(err, WA_ERR_ARG, "an odd number from 1 to %d, so that it has a middle",
                       WA_ROLLING_MAX);
    }
    size_t h = (size_t)(n - 1) / 2;
    double step = a->time != NULL ? wa_smallest_step(a->time, a->n) : 0;
    window w = {.n = 0};
    size_t start = 0, end = 0; /* the rows without a gap among which row i is */
    for (size_t i = 0; i < a->n; i++) {
        if (i == end) {
            start = end++;
            while (end < a->n && (a->time == NULL || a->time[end] - a->time[end - 1] == step))
                end++;
        }
        move(&w, a->at, i - start > h ? i - h : start, end - i > h ? i + h + 1 : end);
        double value = w.n > h ? f(&w) : (double)NAN;
        out->at[i] = isfinite(value) ? value + 0.0 : (double)NAN;
    }
    double *at = out->at;
    *out = *a;
    out->at = at;
    return WA_OK;
}

wa_status wa_rolling_median(wa_column *out, const wa_column *a, int64_t n, wa_error *err)
{
    return roll(out, a, n, "rolling_median", median_of, err);
}

wa_status wa_rolling_mad(wa_column *out, const wa_column *a, int64_t n, wa_error *err)
{
    wa_status s = roll(out, a, n, "rolling_mad", mad_of, err);
    if (s == WA_OK && wa_unit_has_zero(&out->unit))
        out->unit = wa_unit_difference(&out->unit);
    return s;
}
