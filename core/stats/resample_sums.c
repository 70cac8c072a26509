#include "stats/resample_sums.h"

#include "base/dd.h"

#include <stdlib.h>
#include <string.h>

void rs_sample_release(rs_sample *s)
{
    free(s->x); /* one piece with y and time */
    wa_bins_free(s->bins);
    *s = (rs_sample){0};
}

static bool in_bins(wa_resample_of of)
{
    return of == WA_RESAMPLE_BINS_THROUGH_ORIGIN || of == WA_RESAMPLE_BINS_LINE;
}

static size_t width_of(wa_resample_of of)
{
    switch (of) {
    case WA_RESAMPLE_MEAN:
    case WA_RESAMPLE_DEVIATION:
        return 1;
    case WA_RESAMPLE_LINE:
    case WA_RESAMPLE_INTERCEPT:
        return 4;
    default:
        return 2;
    }
}

/* Copies the pairs. Times are checked on all rows, so that the smallest step is the grid's. */
static wa_status take_pairs(rs_sample *s, const wa_resample_data *d, wa_error *err)
{
    double step = (double)INFINITY;
    for (size_t i = 1; d->time != NULL && i < d->n; i++) {
        double apart = d->time[i] - d->time[i - 1];
        if (!(apart > 0) || !isfinite(apart))
            return wa_fail(err, WA_ERR_ARG, "resampling: the times must rise; row %zu does not",
                           i + 1);
        step = apart < step ? apart : step;
    }
    s->interval = d->time == NULL ? 1 : d->interval_s > 0 ? d->interval_s : step;
    const double *y = d->of == WA_RESAMPLE_MEAN ? d->x : d->y;
    for (size_t i = 0; i < d->n; i++) {
        if (isnan(d->x[i]) || isnan(y[i])) {
            s->left_out++;
            continue;
        }
        s->x[s->n] = d->x[i];
        s->y[s->n] = y[i];
        s->time[s->n++] = d->time == NULL ? (double)i : d->time[i];
    }
    if (s->n == 0)
        return wa_fail(err, WA_ERR_UNDEFINED, "resampling: there is no record to draw from");
    return WA_OK;
}

wa_status rs_sample_make(rs_sample *out, const wa_resample_data *d, wa_error *err)
{
    rs_sample s = {.of = d->of, .groups = 1, .width = width_of(d->of)};
    wa_status status = WA_OK;
    if ((s.x = malloc((3 * d->n + 1) * sizeof *s.x)) == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory for resampling");
    s.y = s.x + d->n;
    s.time = s.y + d->n;
    status = take_pairs(&s, d, err);
    if (status == WA_OK && in_bins(d->of)) {
        status = wa_bins_make(&s.bins, s.x, NULL, s.n, d->bins, err);
        if (status == WA_OK)
            s.groups = s.bins->n;
    }
    if (status == WA_OK) {
        wa_exact x = {0}, y = {0};
        for (size_t i = 0; i < s.n; i++) {
            wa_exact_add(&x, s.x[i]);
            wa_exact_add(&y, s.y[i]);
        }
        s.centre_x = wa_exact_divide(&x, s.n);
        s.centre_y = wa_exact_divide(&y, s.n);
        if (!isfinite(s.centre_x) || !isfinite(s.centre_y))
            status = wa_fail(err, WA_ERR_UNDEFINED, "resampling: values that are not finite");
    }
    if (status == WA_OK)
        *out = s;
    else
        rs_sample_release(&s);
    return status;
}

int32_t rs_group(const rs_sample *s, size_t i)
{
    return s->bins == NULL ? 0 : s->bins->of_record[i];
}

void rs_add_central(wa_exact *e, double sign, double x, double cx, double y, double cy)
{
    x *= sign;
    wa_exact_add_product(e, x, y);
    wa_exact_add_product(e, -x, cy);
    cx *= sign;
    wa_exact_add_product(e, -cx, y);
    wa_exact_add_product(e, cx, cy);
}

static void change(const rs_sample *s, wa_exact *sums, size_t i, double sign)
{
    int32_t group = rs_group(s, i);
    if (group < 0)
        return;
    wa_exact *e = sums + (size_t)group * s->width;
    double x = s->x[i], y = s->y[i], cx = s->centre_x, cy = s->centre_y;
    switch (s->of) {
    case WA_RESAMPLE_MEAN:
        wa_exact_add(e, sign * x);
        break;
    case WA_RESAMPLE_DEVIATION:
        wa_exact_add(e, sign * y);
        wa_exact_add(e, -sign * x);
        break;
    case WA_RESAMPLE_THROUGH_ORIGIN:
        wa_exact_add_product(e, sign * x, x);
        wa_exact_add_product(e + 1, sign * x, y);
        break;
    case WA_RESAMPLE_LINE:
    case WA_RESAMPLE_INTERCEPT:
        wa_exact_add(e, sign * x);
        wa_exact_add(e, -sign * cx);
        wa_exact_add(e + 1, sign * y);
        wa_exact_add(e + 1, -sign * cy);
        rs_add_central(e + 2, sign, x, cx, x, cx);
        rs_add_central(e + 3, sign, x, cx, y, cy);
        break;
    default:
        wa_exact_add(e, sign * x);
        wa_exact_add(e + 1, sign * y);
        break;
    }
}

void rs_add(const rs_sample *s, wa_exact *sums, size_t i)
{
    change(s, sums, i, 1);
}

void rs_take_away(const rs_sample *s, wa_exact *sums, size_t i)
{
    change(s, sums, i, -1);
}

bool rs_line(wa_dd *slope, wa_dd *intercept, const wa_dd sum[4], size_t n)
{
    wa_dd count = wa_dd_of((double)n), mean_x = wa_dd_div(sum[0], count);
    wa_dd xx = wa_dd_sub(sum[2], wa_dd_mul(sum[0], mean_x));
    wa_dd xy = wa_dd_sub(sum[3], wa_dd_mul(sum[1], mean_x));
    if (!(xx.hi > 1e-24 * sum[2].hi))
        return false;
    *slope = wa_dd_div(xy, xx);
    *intercept = wa_dd_sub(wa_dd_div(sum[1], count), wa_dd_mul(*slope, mean_x));
    return true;
}

bool rs_value(double *out, const rs_sample *s, const wa_dd *sums, const size_t *count)
{
    wa_dd value = {0, 0}, other;
    size_t n = count[0];
    bool defined = true;
    switch (s->of) {
    case WA_RESAMPLE_MEAN:
    case WA_RESAMPLE_DEVIATION:
        defined = n > 0;
        if (defined)
            value = wa_dd_div(sums[0], wa_dd_of((double)n));
        break;
    case WA_RESAMPLE_RATIO:
    case WA_RESAMPLE_THROUGH_ORIGIN:
        defined = n > 1 && sums[0].hi != 0;
        if (defined)
            value = wa_dd_div(sums[1], sums[0]);
        break;
    case WA_RESAMPLE_LINE:
        defined = n > 2 && rs_line(&value, &other, sums, n);
        break;
    case WA_RESAMPLE_INTERCEPT:
        defined = n > 2 && rs_line(&other, &value, sums, n);
        if (defined) /* from the centres back to x = 0 */
            value = wa_dd_add_d(wa_dd_sub(value, wa_dd_mul_d(other, s->centre_x)), s->centre_y);
        break;
    default:
        return rs_value_of_bins(out, s, sums, count);
    }
    if (!defined || !isfinite(value.hi))
        return false;
    *out = value.hi + 0.0;
    return true;
}
