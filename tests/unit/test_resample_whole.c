/* Resampling in bins as whole numbers against the plain way: every drawn record added in
 * double-double, every record left out by summing the others. The same bits, whatever is drawn. */
#include "base/dd.h"
#include "stats/resample_whole.h"
#include "windassay/quantile.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

typedef struct series {
    double x[3000], y[3000], time[3000];
    wa_resample_data data;
    wa_bin_spec bins;
} series;

/* An invented wind speed and a reading of it, with a gap after every `run` records (0: none). */
static void make(series *s, size_t n, size_t run, uint32_t seed)
{
    wa_random *random = NULL;
    double level = 8;
    assert_int_equal(wa_random_new(&random, seed, NULL), WA_OK);
    for (size_t i = 0; i < n; i++) {
        level = fabs(8 + 0.95 * (level - 8) + 0.8 * wa_normal_quantile(wa_random_uniform(random)));
        s->x[i] = nearbyint(level * 1000) / 1000;
        s->y[i] = s->x[i] * 1.004 + 0.15 * wa_normal_quantile(wa_random_uniform(random));
        s->time[i] = 600.0 * (double)(i + (run > 0 ? i / run : 0));
    }
    wa_random_free(random);
    s->bins = (wa_bin_spec){.width = 0.5, .lowest = 4, .highest = 12, .at_least = 3};
    s->data = (wa_resample_data){.x = s->x,
                                 .y = s->y,
                                 .time = s->time,
                                 .interval_s = 600,
                                 .n = n,
                                 .of = WA_RESAMPLE_BINS_THROUGH_ORIGIN,
                                 .bins = &s->bins};
}

static void assert_same(double a, double b)
{
    if (isnan(a) && isnan(b))
        return;
    assert_memory_equal(&a, &b, sizeof a);
}

/* ---- the plain way ------------------------------------------------------------------------- */

static double plain_resample(const rs_sample *s, rs_blocks *blocks)
{
    wa_dd *sums = calloc(2 * s->groups, sizeof *sums);
    size_t *count = calloc(s->groups, sizeof *count);
    double value = (double)NAN;
    assert_true(sums != NULL && count != NULL);
    for (size_t have = 0; have < s->n;) {
        size_t start, n;
        rs_blocks_draw(blocks, &start, &n);
        for (size_t i = start; i < start + n && have < s->n; i++, have++) {
            int32_t g = rs_group(s, i);
            if (g < 0)
                continue;
            sums[2 * g] = wa_dd_add_d(sums[2 * g], s->x[i]);
            sums[2 * g + 1] = wa_dd_add_d(sums[2 * g + 1], s->y[i]);
            count[g]++;
        }
    }
    if (!rs_value(&value, s, sums, count))
        value = (double)NAN;
    free(sums);
    free(count);
    return value;
}

/* The value of all records but one, from sums of their own. */
static double without(const series *s, size_t out)
{
    static series less;
    rs_sample sample;
    rs_totals totals;
    double value = (double)NAN;
    size_t n = 0;
    for (size_t i = 0; i < s->data.n; i++)
        if (i != out) {
            less.x[n] = s->x[i];
            less.y[n++] = s->y[i];
        }
    wa_resample_data d = s->data;
    d.x = less.x;
    d.y = less.y;
    d.time = NULL;
    d.n = n;
    assert_int_equal(rs_sample_make(&sample, &d, NULL), WA_OK);
    assert_int_equal(rs_totals_make(&totals, &sample, NULL), WA_OK);
    if (rs_estimate(&value, &totals, NULL) != WA_OK)
        value = (double)NAN;
    rs_totals_release(&totals);
    rs_sample_release(&sample);
    return value;
}

static double plain_error(const series *s, const rs_sample *sample)
{
    double *value = malloc(s->data.n * sizeof *value), mean, sd;
    size_t n = 0;
    bool good = true;
    assert_non_null(value);
    for (size_t i = 0; i < s->data.n; i++)
        if (rs_group(sample, i) >= 0) {
            value[n++] = without(s, i);
            good = good && !isnan(value[n - 1]);
        }
    if (good)
        assert_int_equal(wa_mean_sd(&mean, &sd, value, n, WA_DIVISOR_N, NULL), WA_OK);
    free(value);
    return good ? sd * sqrt((double)(n - 1)) : (double)NAN;
}

/* All of it, both ways. */
static void check(const series *s, size_t length, size_t times, bool fits, bool error)
{
    wa_resample_options o = {.length = length, .times = times, .seed = 5, .coverage = 0.9};
    wa_resampled *r = NULL;
    rs_sample sample;
    rs_blocks blocks;
    int exponent;
    assert_int_equal(wa_resample_blocks(&r, &s->data, &o, NULL), WA_OK);
    assert_int_equal(rs_sample_make(&sample, &s->data, NULL), WA_OK);
    assert_true(rs_whole_fits(&exponent, &sample) == fits);
    assert_int_equal(
        rs_blocks_make(&blocks, sample.time, sample.interval, sample.n, length, o.seed, NULL),
        WA_OK);
    for (size_t i = 0; i < times; i++)
        assert_same(r->values[i], plain_resample(&sample, &blocks));
    if (error)
        assert_same(r->standard_error_iid, plain_error(s, &sample));
    rs_blocks_release(&blocks);
    rs_sample_release(&sample);
    wa_resampled_free(r);
}

/* ---- tests --------------------------------------------------------------------------------- */

static series the;

static void any_blocks(void **state)
{
    (void)state;
    static const size_t lengths[] = {1, 7, 16, 33, 144, 1000};
    for (size_t run = 0; run <= 90; run += 45)
        for (size_t k = 0; k < sizeof lengths / sizeof *lengths; k++) {
            make(&the, 2900 + k, run, 1 + (uint32_t)k);
            check(&the, lengths[k], 60, true, false);
            the.data.of = WA_RESAMPLE_BINS_LINE;
            check(&the, lengths[k], 20, true, false);
        }
}

static void each_record_left_out(void **state)
{
    (void)state;
    /* few records: bins that just are complete, are not, or no longer are */
    for (uint32_t seed = 1; seed <= 6; seed++)
        for (int line = 0; line < 2; line++) {
            make(&the, 60 + 40 * seed, 0, seed);
            the.bins.at_least = 1 + seed;
            the.data.of = line ? WA_RESAMPLE_BINS_LINE : WA_RESAMPLE_BINS_THROUGH_ORIGIN;
            check(&the, 10, 30, true, true);
        }
    /* all but one record in incomplete bins and two complete ones: without one of them, undefined */
    make(&the, 40, 0, 3);
    for (size_t i = 0; i < 40; i++)
        the.x[i] = i < 6 ? 5 + (double)(i / 3) : 7 + 0.5 * (double)(i % 10 / 2) - 0.1;
    the.bins.at_least = 3;
    the.bins.highest = 6;
    check(&the, 10, 30, true, true);
}

static void many_bins_and_resamples(void **state)
{
    (void)state;
    /* one resample a batch; and more batches than one */
    make(&the, 500, 0, 2);
    the.bins = (wa_bin_spec){.width = 0.001, .lowest = 4, .highest = 14, .at_least = 1};
    check(&the, 20, 5, true, false);
    the.bins.width = 0.5;
    check(&the, 1, 400, true, false);
}

/* Negative values, zeros, subnormal ones and a reading that is all zeros. */
static void odd_values(void **state)
{
    (void)state;
    make(&the, 600, 0, 9);
    for (size_t i = 0; i < 600; i += 3)
        the.y[i] = -the.y[i];
    for (size_t i = 0; i < 600; i += 7)
        the.y[i] = i % 2 == 0 ? 0.0 : -0.0;
    check(&the, 20, 30, true, true);
    for (size_t i = 0; i < 600; i++)
        the.y[i] = 0;
    check(&the, 20, 30, true, true);
    the.y[100] = 0x1p-1074; /* in no power of two that fits */
    the.x[100] = 8;
    check(&the, 20, 30, false, true);
    for (size_t i = 0; i < 600; i++)
        the.y[i] = 0x1p-1074 * (double)(i % 5);
    check(&the, 20, 30, false, true);
}

static void where_it_no_longer_fits(void **state)
{
    (void)state;
    /* 600 records are below 2^10, x below 2^4 and y a multiple of 2^-86 need 100 bits */
    make(&the, 600, 0, 9);
    for (size_t i = 0; i < 600; i++) {
        the.x[i] = 4 + (double)(i % 90) / 10;
        the.y[i] = 3;
    }
    the.y[33] = 0x1p-86;
    check(&the, 20, 30, true, true);
    the.y[33] = 0x1p-87;
    check(&the, 20, 30, false, true);
    the.y[33] = 0x1p60; /* with 2^-51 of x in tenths */
    check(&the, 20, 30, false, true);
    the.x[33] = 1; /* outside the bins it does not matter */
    check(&the, 20, 30, true, true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_blocks),
        cmocka_unit_test(each_record_left_out),
        cmocka_unit_test(many_bins_and_resamples),
        cmocka_unit_test(odd_values),
        cmocka_unit_test(where_it_no_longer_fits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
