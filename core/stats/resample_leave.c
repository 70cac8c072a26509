/* Parts of a sample left out in turn: days, or single records. */
#include "base/dd.h"
#include "stats/resample_means.h"
#include "stats/resample_sums.h"
#include "stats/resample_whole.h"

#include <stdlib.h>
#include <string.h>

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory for resampling");
}

void rs_totals_release(rs_totals *t)
{
    free(t->sums);
    free(t->rounded);
    free(t->before);
    free(t->count);
    free(t->touched);
    free(t->is_touched);
}

static void round_group(rs_totals *t, size_t group)
{
    for (size_t k = group * t->s->width; k < (group + 1) * t->s->width; k++)
        t->rounded[k] = wa_exact_round_dd(&t->sums[k]);
}

wa_status rs_totals_make(rs_totals *t, const rs_sample *s, wa_error *err)
{
    size_t sums = s->groups * s->width;
    *t = (rs_totals){.s = s,
                     .sums = calloc(sums, sizeof *t->sums),
                     .rounded = calloc(sums, sizeof *t->rounded),
                     .before = calloc(sums, sizeof *t->before),
                     .count = calloc(s->groups, sizeof *t->count),
                     .touched = calloc(s->groups, sizeof *t->touched),
                     .is_touched = calloc(s->groups, sizeof *t->is_touched)};
    if (!t->sums || !t->rounded || !t->before || !t->count || !t->touched || !t->is_touched)
        return no_memory(err);
    for (size_t i = 0; i < s->n; i++) {
        rs_add(s, t->sums, i);
        if (rs_group(s, i) >= 0)
            t->count[rs_group(s, i)]++;
    }
    for (size_t g = 0; g < s->groups; g++)
        round_group(t, g);
    return WA_OK;
}

wa_status rs_estimate(double *out, const rs_totals *t, wa_error *err)
{
    if (rs_value(out, t->s, t->rounded, t->count))
        return WA_OK;
    return wa_fail(err, WA_ERR_UNDEFINED,
                   "resampling: the statistic of all records is not defined: too few of them, or "
                   "no spread");
}

/* The value without the records from..to; the totals are as before afterwards. */
static double value_without(rs_totals *t, size_t from, size_t to)
{
    const rs_sample *s = t->s;
    double value = (double)NAN;
    size_t n = 0;
    for (size_t i = from; i < to; i++) {
        int32_t g = rs_group(s, i);
        if (g < 0)
            continue;
        rs_take_away(s, t->sums, i);
        t->count[g]--;
        if (!t->is_touched[g])
            t->touched[n++] = (size_t)g;
        t->is_touched[g] = true;
    }
    for (size_t k = 0; k < n; k++) {
        memcpy(t->before + k * s->width, t->rounded + t->touched[k] * s->width,
               s->width * sizeof *t->rounded);
        round_group(t, t->touched[k]);
    }
    if (!rs_value(&value, s, t->rounded, t->count))
        value = (double)NAN;
    for (size_t i = from; i < to; i++)
        if (rs_group(s, i) >= 0) {
            rs_add(s, t->sums, i);
            t->count[rs_group(s, i)]++;
        }
    for (size_t k = 0; k < n; k++) {
        memcpy(t->rounded + t->touched[k] * s->width, t->before + k * s->width,
               s->width * sizeof *t->rounded);
        t->is_touched[t->touched[k]] = false;
    }
    return value;
}

/* Standard error from the values of n parts left out in turn: sqrt((n - 1)/n sum (v - mean v)^2). */
static double jackknife(const double *values, size_t n)
{
    wa_exact sum = {0}, squares = {0};
    double sd = 0;
    for (size_t i = 0; i < n; i++) {
        wa_exact_add(&sum, values[i]); /* a NaN spoils it */
        wa_exact_add_product(&squares, values[i], values[i]);
    }
    if (n < 2 || wa_exact_sd(&sd, &sum, &squares, n, WA_DIVISOR_N, NULL) != WA_OK)
        return (double)NAN;
    return sd * sqrt((double)(n - 1));
}

/* The values without each record of bin g in turn, whose sums lose it without any rounding; the
 * means of the other bins, `m`, stay. */
static void values_of_bin(double *values, const rs_totals *t, rs_means *m, size_t g)
{
    const rs_sample *s = t->s;
    const wa_dd *sums = t->rounded + 2 * g;
    const size_t *order = s->bins->order + s->bins->start[g], count = t->count[g];
    bool complete = count > s->bins->at_least; /* also without one */
    for (size_t k = 0; k < count; k++) {
        double x = s->x[order[k]], y = s->y[order[k]];
        const wa_dd without[2] = {wa_dd_add_d(sums[0], -x), wa_dd_add_d(sums[1], -y)};
        if (complete) {
            rs_mean(&x, &y, without, count - 1);
            rs_means_add(m, x, y);
        }
        if (!rs_means_value(&values[k], m))
            values[k] = (double)NAN;
        if (complete)
            rs_means_take_away(m, x, y);
    }
}

/* The value without each record of a sample in bins, bin after bin; how many there are. A record in
 * no bin is no part of the statistic, one in an incomplete bin does not change it. */
static size_t values_of_bins(double *values, rs_totals *t)
{
    const rs_sample *s = t->s;
    rs_means m;
    double all, x, y;
    int exponent;
    size_t n = 0;
    bool fits = rs_whole_fits(&exponent, s);
    if (!rs_value(&all, s, t->rounded, t->count))
        all = (double)NAN;
    rs_means_take(&m, s, t->rounded, t->count);
    for (size_t g = 0; g < s->groups; n += t->count[g++]) {
        const size_t *order = s->bins->order + s->bins->start[g], count = t->count[g];
        bool first = s->of == WA_RESAMPLE_BINS_LINE && g == m.first; /* its centre would not stay */
        if (count < s->bins->at_least) {
            for (size_t k = 0; k < count; k++)
                values[n + k] = all;
        } else if (fits && !first) {
            rs_mean(&x, &y, t->rounded + 2 * g, count);
            rs_means_take_away(&m, x, y);
            values_of_bin(values + n, t, &m, g);
            rs_means_add(&m, x, y);
        } else {
            for (size_t k = 0; k < count; k++)
                values[n + k] = value_without(t, order[k], order[k] + 1);
        }
    }
    return n;
}

wa_status rs_error_of_records(double *out, rs_totals *t, wa_error *err)
{
    size_t n = 0;
    double *values = malloc(t->s->n * sizeof *values);
    if (values == NULL)
        return no_memory(err);
    if (t->s->bins != NULL)
        n = values_of_bins(values, t);
    else
        while (n < t->s->n) {
            values[n] = value_without(t, n, n + 1);
            n++;
        }
    *out = jackknife(values, n);
    free(values);
    return WA_OK;
}

/* ---- days ---------------------------------------------------------------------------------- */

void wa_days_left_out_free(wa_days_left_out *d)
{
    if (d == NULL)
        return;
    free(d->day);
    free(d->records);
    free(d->value);
    free(d);
}

/* The records of a day follow one another: times rise. */
static void find_days(wa_days_left_out *d, const rs_sample *s)
{
    for (size_t i = 0; i < s->n; i++) {
        int64_t day = (int64_t)floor(s->time[i] / 86400);
        if (d->days == 0 || d->day[d->days - 1] != day)
            d->day[d->days++] = day;
        d->records[d->days - 1]++;
    }
}

static wa_status leave_out_days(wa_days_left_out *d, const rs_sample *s, wa_error *err)
{
    rs_totals t = {0};
    size_t defined = 0;
    d->n = s->n;
    d->left_out = s->left_out;
    d->least = (double)INFINITY;
    d->most = -(double)INFINITY;
    wa_status status = rs_totals_make(&t, s, err);
    if (status == WA_OK)
        status = rs_estimate(&d->estimate, &t, err);
    if (status == WA_OK) {
        find_days(d, s);
        for (size_t k = 0, from = 0; k < d->days; from += d->records[k++]) {
            double v = d->value[k] = value_without(&t, from, from + d->records[k]);
            defined += isnan(v) ? 0 : 1;
            d->least = v < d->least ? v : d->least;
            d->most = v > d->most ? v : d->most;
        }
        d->standard_error = jackknife(d->value, d->days);
        if (d->days < 2 || defined == 0)
            status = wa_fail(err, WA_ERR_UNDEFINED,
                             d->days < 2 ? "all records lie in one day: there is none to leave out"
                                         : "without any of the days the statistic is not defined");
    }
    rs_totals_release(&t);
    return status;
}

wa_status wa_resample_leave_out_days(wa_days_left_out **out, const wa_resample_data *data,
                                     wa_error *err)
{
    rs_sample s;
    if (data->time == NULL)
        return wa_fail(err, WA_ERR_ARG, "leaving days out: the records have no times");
    wa_status status = rs_sample_make(&s, data, err);
    if (status != WA_OK)
        return status;
    wa_days_left_out *d = calloc(1, sizeof *d);
    if (d != NULL) {
        d->day = calloc(s.n, sizeof *d->day);
        d->records = calloc(s.n, sizeof *d->records);
        d->value = calloc(s.n, sizeof *d->value);
    }
    if (d == NULL || d->day == NULL || d->records == NULL || d->value == NULL)
        status = no_memory(err);
    else
        status = leave_out_days(d, &s, err);
    rs_sample_release(&s);
    if (status == WA_OK)
        *out = d;
    else
        wa_days_left_out_free(d);
    return status;
}
