/* Blocks and days: what follows from the method whatever is drawn, an autoregressive series whose
 * standard error is known, the fits' own results. (Every drawn block is recomputed apart from our
 * code by tests/reference/resample.lua.) */
#include "windassay/fit.h"
#include "windassay/quantile.h"
#include "windassay/resample.h"
#include "windassay/summary.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const wa_resample_options PLAIN = {.length = 0, .times = 200, .seed = 1, .coverage = 0.95};

static wa_resampled *draw(const wa_resample_data *d, wa_resample_options o)
{
    wa_resampled *r = NULL;
    wa_error err;
    if (wa_resample_blocks(&r, d, &o, &err) != WA_OK)
        fail_msg("%s", err.text);
    return r;
}

/* ---- an autoregressive series --------------------------------------------------------------- */

enum { N = 28800 }; /* 200 days */

static double *autoregressive(double r)
{
    double *x = malloc(N * sizeof *x), level = 0;
    wa_random *random = NULL;
    assert_non_null(x);
    assert_int_equal(wa_random_new(&random, 11, NULL), WA_OK);
    for (int i = 0; i < N; i++)
        x[i] = level = r * level + wa_normal_quantile(wa_random_uniform(random));
    wa_random_free(random);
    return x;
}

static void an_autoregressive_series(void **state)
{
    (void)state;
    /* x[i] = r x[i-1] + e, sd of e 1: the mean of many has the standard error 1/((1 - r) sqrt N)
       (textbook), sqrt((1 + r)/(1 - r)) times that of independent values. The bootstrap's scatter
       is some sqrt(4 length/(3 N))/2 = 4 % of it: three of them. */
    double *x = autoregressive(0.5);
    wa_resample_data d = {.x = x, .n = N, .of = WA_RESAMPLE_MEAN};
    wa_resample_options o = PLAIN;
    o.times = 2000;
    wa_resampled *r = draw(&d, o);
    double right = 2 / sqrt(N);
    assert_int_equal(r->length, 144);
    assert_int_equal(r->blocks, N - 143);
    assert_int_equal(r->runs, 1);
    assert_true(fabs(r->standard_error / right - 1) < 0.12);
    assert_true(fabs(r->standard_error_iid * sqrt(3) / right - 1) < 0.03);
    /* near a normal distribution: the interval is that of 1.96 standard errors */
    assert_true(fabs((r->high - r->low) / (2 * 1.96 * r->standard_error) - 1) < 0.1);
    wa_resampled_free(r);
    /* blocks of one record do not see it */
    o.length = 1;
    r = draw(&d, o);
    assert_true(fabs(r->standard_error / r->standard_error_iid - 1) < 0.06);
    wa_resampled_free(r);
    free(x);
}

static void independent_records_by_the_jackknife(void **state)
{
    (void)state;
    /* of a mean it is exactly sd / sqrt(n): an identity */
    double *x = autoregressive(0);
    wa_resample_data d = {.x = x, .n = 5000, .of = WA_RESAMPLE_MEAN};
    wa_resampled *r = draw(&d, PLAIN);
    double sd = 0, mean = 0;
    wa_summary_sd(&sd, x, 5000, NULL);
    wa_summary_mean(&mean, x, 5000, NULL);
    assert_true(fabs(r->standard_error_iid / (sd / sqrt(5000)) - 1) < 1e-9);
    assert_true(r->estimate == mean);
    wa_resampled_free(r);
    free(x);
}

/* ---- blocks and gaps ------------------------------------------------------------------------ */

static void blocks_never_cross_gaps(void **state)
{
    (void)state;
    /* each run of six sums to 0, no other six neighbours do: every resample of whole runs is
       exactly 0. Missing values and steps in time both end a run. */
    enum { RUNS = 40, ROWS = RUNS * 7 };
    static const double run[] = {1, 8, 64, -3, -50, -20};
    double x[ROWS], time[ROWS];
    for (int gaps = 0; gaps < 2; gaps++) {
        size_t n = 0;
        for (int k = 0; k < RUNS; k++) {
            for (int i = 0; i < 6; i++, n++) {
                x[n] = run[i];
                time[n] = 600.0 * (7 * k + i);
            }
            if (gaps == 0) {
                time[n] = 600.0 * (7 * k + 6);
                x[n++] = (double)NAN;
            }
        }
        wa_resample_data d = {.x = x, .time = time, .n = n, .of = WA_RESAMPLE_MEAN};
        wa_resample_options o = PLAIN;
        for (o.length = 6; o.length <= 60; o.length += 54) {
            wa_resampled *r = draw(&d, o);
            assert_int_equal(r->runs, RUNS);
            assert_int_equal(r->blocks, RUNS);
            assert_int_equal(r->left_out, gaps == 0 ? RUNS : 0);
            for (size_t i = 0; i < r->times; i++)
                assert_true(r->values[i] == 0);
            wa_resampled_free(r);
        }
        /* shorter blocks differ */
        o.length = 3;
        wa_resampled *r = draw(&d, o);
        assert_int_equal(r->blocks, 4 * RUNS);
        assert_true(r->standard_error > 0.1);
        wa_resampled_free(r);
    }
}

static void runs_are_drawn_as_they_weigh(void **state)
{
    (void)state;
    /* a run of 300 and thirty of 10, blocks of 100: half of the records of the resamples come from
       either, as in the sample. x marks the long run. */
    double x[600], time[600];
    for (int i = 0; i < 600; i++) {
        x[i] = i < 300;
        time[i] = 600.0 * (i < 300 ? i : i + i / 10);
    }
    wa_resample_data d = {.x = x, .time = time, .n = 600, .of = WA_RESAMPLE_MEAN};
    wa_resample_options o = {.length = 100, .times = 20000, .seed = 3, .coverage = 0.9};
    wa_resampled *r = draw(&d, o);
    double mean = 0;
    assert_int_equal(r->runs, 31);
    assert_int_equal(r->blocks, 201 + 30);
    wa_summary_mean(&mean, r->values, r->times, NULL);
    assert_true(fabs(mean - 0.5) < 0.06); /* blocks that are cut short pull it a little */
    wa_resampled_free(r);
}

static void the_grid_has_the_last_word(void **state)
{
    (void)state;
    /* records two intervals apart are no neighbours, although no two are nearer */
    double x[20], time[20];
    for (int i = 0; i < 20; i++) {
        x[i] = i;
        time[i] = 1200.0 * i;
    }
    wa_resample_data d = {.x = x, .time = time, .n = 20, .of = WA_RESAMPLE_MEAN};
    wa_resample_options o = PLAIN;
    o.length = 4;
    wa_resampled *r = draw(&d, o);
    assert_int_equal(r->runs, 1);
    wa_resampled_free(r);
    d.interval_s = 600;
    r = draw(&d, o);
    assert_int_equal(r->runs, 20);
    wa_resampled_free(r);
}

static void seeds(void **state)
{
    (void)state;
    double *x = autoregressive(0.5);
    wa_resample_data d = {.x = x, .n = 3000, .of = WA_RESAMPLE_MEAN};
    wa_resample_options o = PLAIN;
    wa_resampled *a = draw(&d, o), *b = draw(&d, o);
    assert_memory_equal(a->values, b->values, a->times * sizeof *a->values);
    o.seed = 2;
    wa_resampled *c = draw(&d, o);
    assert_true(memcmp(a->values, c->values, a->times * sizeof *a->values) != 0);
    wa_resampled_free(a);
    wa_resampled_free(b);
    wa_resampled_free(c);
    free(x);
}

static void lengths(void **state)
{
    (void)state;
    const size_t root[][2] = {{0, 0}, {1, 1}, {2, 2}, {8, 2}, {9, 3}, {1000, 10}, {1001, 11}};
    for (size_t i = 0; i < sizeof root / sizeof *root; i++)
        assert_int_equal(wa_resample_cube_root(root[i][0]), root[i][1]);
    double x[1440];
    for (int i = 0; i < 1440; i++)
        x[i] = i % 7;
    wa_resample_data d = {.x = x, .n = 1440, .of = WA_RESAMPLE_MEAN};
    wa_resampled *r = draw(&d, PLAIN);
    assert_int_equal(r->length, 144);
    wa_resampled_free(r);
    d.n = 1439;
    r = draw(&d, PLAIN);
    assert_int_equal(r->length, 12);
    wa_resampled_free(r);
}

/* ---- statistics ----------------------------------------------------------------------------- */

static void estimates_are_the_fits_own(void **state)
{
    (void)state;
    /* far from the origin of x, where sums of squares cancel */
    double *e = autoregressive(0.3), x[900], y[900];
    for (int i = 0; i < 900; i++) {
        x[i] = 1e8 + i % 37 + e[i];
        y[i] = 3 + 1.02 * x[i] + 0.1 * e[i + 900];
    }
    wa_line_fit line;
    wa_origin_fit origin;
    assert_int_equal(wa_fit_line(&line, x, y, 900, NULL), WA_OK);
    assert_int_equal(wa_fit_through_origin(&origin, x, y, NULL, 900, NULL), WA_OK);
    wa_resample_data d = {.x = x, .y = y, .n = 900, .of = WA_RESAMPLE_LINE};
    wa_resampled *r = draw(&d, PLAIN);
    assert_true(fabs(r->estimate / line.slope - 1) < 1e-15);
    assert_true(fabs(r->standard_error_iid / line.slope_u - 1) < 0.1);
    assert_true(fabs(r->standard_error / line.slope_u - 1) < 0.3);
    wa_resampled_free(r);
    d.of = WA_RESAMPLE_INTERCEPT;
    r = draw(&d, PLAIN);
    assert_true(fabs(r->estimate / line.intercept - 1) < 1e-15);
    wa_resampled_free(r);
    d.of = WA_RESAMPLE_THROUGH_ORIGIN;
    r = draw(&d, PLAIN);
    assert_true(fabs(r->estimate / origin.slope - 1) < 1e-15);
    wa_resampled_free(r);
    free(e);
}

static void days_left_out(void **state)
{
    (void)state;
    /* three days of means 1, 2, 6 (one record each weighs alike): without them 4, 3.5, 1.5; the
       jackknife of three means of two is sd(1, 2, 6)/sqrt 3 */
    double x[] = {0, 2, 2, 2, 5, 7}, time[] = {-86400, -600, 0, 600, 172800, 259199};
    wa_resample_data d = {.x = x, .time = time, .n = 6, .of = WA_RESAMPLE_MEAN};
    wa_days_left_out *r = NULL;
    assert_int_equal(wa_resample_leave_out_days(&r, &d, NULL), WA_OK);
    assert_int_equal(r->days, 3);
    assert_int_equal(r->day[0], -1);
    assert_int_equal(r->day[2], 2);
    assert_int_equal(r->records[1], 2);
    assert_true(r->value[0] == 4 && r->value[1] == 3.5 && r->value[2] == 1.5);
    assert_true(r->least == 1.5 && r->most == 4 && r->estimate == 3);
    assert_true(fabs(r->standard_error - sqrt(7.0 / 3)) < 1e-15);
    wa_days_left_out_free(r);
}

/* ---- what is refused ------------------------------------------------------------------------ */

static void refused(wa_resample_data d, wa_resample_options o, wa_status status, const char *text)
{
    wa_resampled *r = NULL;
    wa_error err;
    assert_int_equal(wa_resample_blocks(&r, &d, &o, &err), status);
    assert_null(r);
    if (strstr(err.text, text) == NULL)
        fail_msg("'%s' does not hold '%s'", err.text, text);
}

static void what_cannot_be_drawn(void **state)
{
    (void)state;
    double x[] = {1, 1, 1, 1, 1, 1}, falling[] = {0, 600, 1200, 1200, 1800, 2400};
    double none[] = {(double)NAN, (double)NAN};
    wa_resample_data d = {.x = x, .n = 6, .of = WA_RESAMPLE_MEAN};
    wa_resample_options o = PLAIN;
    o.length = 6;
    refused(d, o, WA_ERR_UNDEFINED, "6 records without a gap are one block of 6");
    o.length = 600;
    refused(d, o, WA_ERR_UNDEFINED, "one block of 6");
    o.length = 2;
    o.seed = 0;
    refused(d, o, WA_ERR_ARG, "a seed is");
    o.seed = 1;
    o.times = 1;
    refused(d, o, WA_ERR_ARG, "1 times: it must be from 2 to 100000");
    o.times = 10;
    o.coverage = 1;
    refused(d, o, WA_ERR_ARG, "a coverage of 1");
    o.coverage = 0.9;
    d.time = falling;
    refused(d, o, WA_ERR_ARG, "row 4 does not");
    d.time = NULL;
    d.y = x;
    d.of = WA_RESAMPLE_LINE;
    refused(d, o, WA_ERR_UNDEFINED, "no spread");
    d.x = none;
    d.n = 2;
    refused(d, o, WA_ERR_UNDEFINED, "no record");
    wa_days_left_out *days = NULL;
    wa_error err;
    d = (wa_resample_data){.x = x, .n = 6, .of = WA_RESAMPLE_MEAN};
    assert_int_equal(wa_resample_leave_out_days(&days, &d, &err), WA_ERR_ARG);
    d.time = (double[]){0, 1, 2, 3, 4, 5};
    assert_int_equal(wa_resample_leave_out_days(&days, &d, &err), WA_ERR_UNDEFINED);
    assert_non_null(strstr(err.text, "one day"));
    assert_null(days);
}

static void undefined_resamples_are_counted(void **state)
{
    (void)state;
    /* all x but one run are equal: a resample without that run has no slope */
    double x[40], y[40], time[40];
    for (int i = 0; i < 40; i++) {
        x[i] = i < 4 ? i : 7;
        y[i] = 2 * x[i];
        time[i] = 600.0 * (i + i / 4);
    }
    wa_resample_data d = {.x = x, .y = y, .time = time, .n = 40, .of = WA_RESAMPLE_LINE};
    wa_resample_options o = PLAIN;
    o.length = 4;
    wa_resampled *r = draw(&d, o);
    /* ten of ten draws miss it: (9/10)^10 = 35 % */
    assert_in_range(r->undefined, 45, 95);
    size_t missing = 0;
    for (size_t i = 0; i < r->times; i++) {
        missing += isnan(r->values[i]) ? 1 : 0;
        assert_true(isnan(r->values[i]) || fabs(r->values[i] - 2) < 1e-15);
    }
    assert_int_equal(missing, r->undefined);
    wa_resampled_free(r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_autoregressive_series),
        cmocka_unit_test(independent_records_by_the_jackknife),
        cmocka_unit_test(blocks_never_cross_gaps),
        cmocka_unit_test(runs_are_drawn_as_they_weigh),
        cmocka_unit_test(the_grid_has_the_last_word),
        cmocka_unit_test(seeds),
        cmocka_unit_test(lengths),
        cmocka_unit_test(estimates_are_the_fits_own),
        cmocka_unit_test(days_left_out),
        cmocka_unit_test(what_cannot_be_drawn),
        cmocka_unit_test(undefined_resamples_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
