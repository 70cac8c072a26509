/* Summaries. NIST StRD univariate data (tests/reference/nist): the exact answers for the decimals
 * rounded to doubles (mpmath, 40 digits), to the last bit, and NIST's certified autocorrelation.
 * Quantiles: Python's statistics.quantiles(method="inclusive"), which is R's type 7. */
#include "windassay/summary.h"

#include "windassay/number.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

enum { ROOM = 1100 };
static const double nan_ = (double)NAN;

static size_t read_column(double *x, const char *name)
{
    char path[512], line[64];
    snprintf(path, sizeof path, "%s/reference/nist/%s.csv", WA_TESTS_DIR, name);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    size_t n = 0;
    assert_non_null(fgets(line, sizeof line, f));
    while (fgets(line, sizeof line, f) != NULL) {
        assert_true(n < ROOM);
        assert_int_equal(wa_number_parse(&x[n++], line, strcspn(line, "\r\n")), WA_PARSE_OK);
    }
    fclose(f);
    return n;
}

static void equal(double a, double b)
{
    if (memcmp(&a, &b, sizeof a) != 0)
        fail_msg("%.17g is not %.17g", a, b);
}

static void nist(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double mean, sd, min, max, r1, certified_r1;
    } sets[] = {
        {"Lew", -177.435, 277.3321680443161, -579, 300, -0.30730480060567944, -0.307304800605679},
        {"Michelso", 299.8524, 0.07901054781905066, 299.62, 300.07, 0.5351996686212636,
         0.535199668621283},
        {"NumAcc1", 10000002, 1, 10000001, 10000003, -0.5, -0.5},
        {"NumAcc2", 1.2, 0.09999999999999998, 1.1, 1.3, -0.999, -0.999},
    };
    for (size_t i = 0; i < sizeof sets / sizeof *sets; i++) {
        double x[ROOM], y[2 * ROOM], v = 0;
        size_t n = read_column(x, sets[i].name);
        assert_int_equal(wa_summary_mean(&v, x, n, NULL), WA_OK);
        equal(v, sets[i].mean);
        assert_int_equal(wa_summary_sd(&v, x, n, NULL), WA_OK);
        equal(v, sets[i].sd);
        assert_int_equal(wa_summary_min(&v, x, n, NULL), WA_OK);
        equal(v, sets[i].min);
        assert_int_equal(wa_summary_max(&v, x, n, NULL), WA_OK);
        equal(v, sets[i].max);
        assert_int_equal(wa_summary_autocorrelation(&v, x, NULL, n, 1, NULL), WA_OK);
        equal(v, sets[i].r1);
        assert_true(fabs(v - sets[i].certified_r1) <= 1e-12 * fabs(v));
        /* missing values change nothing but the pairs: put one behind every value */
        for (size_t k = 0; k < n; k++) {
            y[2 * k] = x[k];
            y[2 * k + 1] = nan_;
        }
        assert_int_equal(wa_summary_count(y, 2 * n), n);
        assert_int_equal(wa_summary_sd(&v, y, 2 * n, NULL), WA_OK);
        equal(v, sets[i].sd);
        assert_int_equal(wa_summary_autocorrelation(&v, y, NULL, 2 * n, 2, NULL), WA_OK);
        equal(v, sets[i].r1);
        assert_int_equal(wa_summary_autocorrelation(&v, y, NULL, 2 * n, 1, NULL), WA_ERR_UNDEFINED);
    }
}

static void quantiles(void **state)
{
    (void)state;
    double x[ROOM], scratch[ROOM], v;
    size_t n = read_column(x, "Lew");
    static const struct {
        double p, value;
    } lew[] = {{0.025, -577.0}, {0.125, -541.25}, {0.25, -451.0},  {0.5, -162.0},
               {0.575, -77.45}, {0.75, 93.0},     {0.975, 202.025}};
    for (size_t i = 0; i < sizeof lew / sizeof *lew; i++) {
        assert_int_equal(wa_summary_quantile(&v, x, n, lew[i].p, scratch, NULL), WA_OK);
        assert_true(fabs(v - lew[i].value) <= 1e-12 * fabs(v));
    }
    double one_to_ten[] = {10, nan_, 1, 9, 2, 8, 3, 7, 4, 6, 5, nan_};
    assert_int_equal(wa_summary_quantile(&v, one_to_ten, 12, 0.25, scratch, NULL), WA_OK);
    equal(v, 3.25);
    assert_int_equal(wa_summary_median(&v, one_to_ten, 12, scratch, NULL), WA_OK);
    equal(v, 5.5);
    assert_int_equal(wa_summary_quantile(&v, one_to_ten, 12, 0, scratch, NULL), WA_OK);
    equal(v, 1);
    assert_int_equal(wa_summary_quantile(&v, one_to_ten, 12, 1, scratch, NULL), WA_OK);
    equal(v, 10);
    wa_error err = {0};
    assert_int_equal(wa_summary_quantile(&v, one_to_ten, 12, 1.5, scratch, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "quantile: 1.5 does not lie in 0 to 1");
    assert_int_equal(wa_summary_quantile(&v, one_to_ten, 12, nan_, scratch, &err), WA_ERR_ARG);
}

/* n (1 - r)/(1 + r): 100 values of Michelson's with r 0.5352 are worth 30.276 (practice.md 6.7);
 * Lew's negative r is not believed. */
static void effective_counts(void **state)
{
    (void)state;
    double x[ROOM], v;
    size_t n = read_column(x, "Michelso");
    assert_int_equal(wa_summary_effective_count(&v, x, NULL, n, NULL), WA_OK);
    assert_true(fabs(v - 30.276) < 5e-4);
    n = read_column(x, "Lew");
    assert_int_equal(wa_summary_effective_count(&v, x, NULL, n, NULL), WA_OK);
    equal(v, 200);
}

/* Values 600 s apart with a hole: only the pairs that are really neighbours count. */
static void gaps(void **state)
{
    (void)state;
    const double x[] = {1, 2, 4, 3}, time[] = {0, 600, 6000, 6600};
    double v;
    /* mean 2.5, deviations -1.5 -0.5 1.5 0.5, sum of squares 5; pairs (1,2) and (4,3) */
    assert_int_equal(wa_summary_autocorrelation(&v, x, time, 4, 1, NULL), WA_OK);
    equal(v, (0.75 + 0.75) / 5);
    assert_int_equal(wa_summary_autocorrelation(&v, x, NULL, 4, 1, NULL), WA_OK);
    equal(v, (0.75 - 0.75 + 0.75) / 5);
    wa_error err = {0};
    assert_int_equal(wa_summary_autocorrelation(&v, x, time, 4, 2, &err), WA_ERR_UNDEFINED);
    assert_string_equal(err.text, "autocorrelation is not defined: no two values lie 2 apart");
}

static void undefined(void **state)
{
    (void)state;
    const double none[] = {nan_, nan_}, one[] = {nan_, 3}, same[] = {0.1, 0.1, 0.1};
    const double huge[] = {1.7e308, 1.7e308};
    double v = 42, scratch[3];
    wa_error err = {0};
    assert_int_equal(wa_summary_mean(&v, none, 2, &err), WA_ERR_UNDEFINED);
    assert_string_equal(err.text, "mean is not defined: 0 values, at least 1 needed");
    assert_int_equal(wa_summary_sd(&v, one, 2, &err), WA_ERR_UNDEFINED);
    assert_string_equal(err.text, "standard deviation is not defined: 1 value, at least 2 needed");
    assert_int_equal(wa_summary_min(&v, none, 2, &err), WA_ERR_UNDEFINED);
    assert_int_equal(wa_summary_max(&v, none, 0, &err), WA_ERR_UNDEFINED);
    assert_int_equal(wa_summary_median(&v, none, 2, scratch, &err), WA_ERR_UNDEFINED);
    assert_int_equal(wa_summary_autocorrelation(&v, same, NULL, 3, 1, &err), WA_ERR_UNDEFINED);
    assert_string_equal(err.text, "autocorrelation is not defined: all values are equal");
    assert_int_equal(wa_summary_autocorrelation(&v, same, NULL, 3, 0, &err), WA_ERR_ARG);
    assert_int_equal(wa_summary_sum(&v, huge, 2, &err), WA_ERR_UNDEFINED);
    assert_string_equal(err.text, "sum is not defined: out of the range of numbers");
    equal(v, 42);
    assert_int_equal(wa_summary_mean(&v, huge, 2, &err), WA_OK);
    equal(v, 1.7e308);
    assert_int_equal(wa_summary_sum(&v, none, 2, &err), WA_OK);
    equal(v, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nist), cmocka_unit_test(quantiles), cmocka_unit_test(effective_counts),
        cmocka_unit_test(gaps), cmocka_unit_test(undefined),
    };
    return cmocka_run_group_tests_name("summary", tests, NULL, NULL);
}
