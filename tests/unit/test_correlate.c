/* Lags: found where they were put, by a parabola between rows, through gaps. */
#include "windassay/correlate.h"

#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { N = 400, K = 12 };

/* Numbers that any machine makes alike. */
static double noise(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(*seed >> 33) / 2147483648.0 - 0.5;
}

/* A smooth series: a running mean of noise. */
static void series(double *x, size_t n)
{
    uint64_t seed = 7;
    double level = 0;
    for (size_t i = 0; i < n; i++)
        x[i] = 8 + 3 * (level = 0.9 * level + noise(&seed));
}

static void a_shift_is_found(void **state)
{
    (void)state;
    double x[N + 20], r[2 * K + 1];
    size_t pairs[2 * K + 1];
    series(x, N + 20);
    for (int lag = -5; lag <= 5; lag++) {
        wa_lag found;
        /* b(t) = a(t - lag): a shows at t what b shows at t + lag */
        assert_int_equal(
            wa_correlate_lag(&found, r, pairs, x + 10, x + 10 - lag, N, K, lag % 2 == 0, NULL),
            WA_OK);
        assert_int_equal(found.lag, lag);
        assert_true(fabs(found.greatest - 1) < 1e-12);
        assert_true(fabs(found.sub_lag - lag) < 0.5);
        assert_int_equal(pairs[K + 3], N - 3 - (lag % 2 == 0));
    }
}

/* The second opinion: GSL, on the rows that overlap. */
static void correlations_agree_with_gsl(void **state)
{
    (void)state;
    double a[N], b[N], r[2 * K + 1];
    uint64_t seed = 3;
    series(a, N);
    for (int i = 0; i < N; i++)
        b[i] = a[i] + noise(&seed);
    wa_lag found;
    assert_int_equal(wa_correlate_lag(&found, r, NULL, a, b, N, K, false, NULL), WA_OK);
    for (int k = -K; k <= K; k++) {
        size_t rows = (size_t)(N - abs(k));
        double right = gsl_stats_correlation(k < 0 ? a - k : a, 1, k < 0 ? b : b + k, 1, rows);
        assert_true(fabs(r[K + k] - right) < 1e-13);
    }
}

/* r = .80, .95, .85 at -1, 0, 1 gives +0.1 row, 60 s of 10 min: worked by hand. */
static void vertex_of_the_parabola(void **state)
{
    (void)state;
    assert_true(fabs(wa_parabola_vertex(0.80, 0.95, 0.85) - 0.1) < 1e-15);
    assert_true(isnan(wa_parabola_vertex(1, 1, 1)) && isnan(wa_parabola_vertex(1, 0, 1)));
    double a[N], b[N], r[2 * K + 1];
    series(a, N);
    for (int i = 0; i < N; i++)
        b[i] = i == 0 ? a[0] : 0.6 * a[i] + 0.4 * a[i - 1];
    wa_lag found;
    assert_int_equal(wa_correlate_lag(&found, r, NULL, a, b, N, K, false, NULL), WA_OK);
    assert_int_equal(found.lag, 0);
    double before = r[K - 1], at = r[K], after = r[K + 1];
    double right = (before - after) / (2 * (before - 2 * at + after));
    assert_true(found.sub_lag == right && right > 0.2 && right < 0.5);
}

static void gaps_are_left_out(void **state)
{
    (void)state;
    double x[N + 20], a[N], b[N], r[2 * K + 1];
    size_t pairs[2 * K + 1];
    series(x, N + 20);
    memcpy(a, x + 10, sizeof a);
    memcpy(b, x + 8, sizeof b);
    for (int i = 100; i < 150; i++)
        a[i] = (double)NAN;
    b[200] = (double)NAN;
    wa_lag found;
    assert_int_equal(wa_correlate_lag(&found, r, pairs, a, b, N, K, false, NULL), WA_OK);
    assert_int_equal(found.lag, 2);
    assert_true(fabs(found.greatest - 1) < 1e-12);
    assert_int_equal(pairs[K], N - 51);
    assert_int_equal(pairs[K + 2], N - 2 - 51);
}

static void what_is_not_defined(void **state)
{
    (void)state;
    double a[10], b[10], r[5];
    for (int i = 0; i < 10; i++) {
        a[i] = i;
        b[i] = 3;
    }
    wa_lag found = {.lag = 99};
    wa_error err = {0};
    assert_int_equal(wa_correlate_lag(&found, r, NULL, a, b, 10, 2, false, &err), WA_ERR_UNDEFINED);
    assert_int_equal(found.lag, 99);
    assert_non_null(strstr(err.text, "does not vary"));
    assert_int_equal(wa_correlate_lag(&found, r, NULL, a, b, 10, 10, false, NULL), WA_ERR_ARG);
    assert_int_equal(wa_correlate_lag(&found, r, NULL, a, b, 10, -1, false, NULL), WA_ERR_ARG);
    /* equal everywhere: the lag nearest to 0 wins; at the end of the range there is no vertex */
    assert_int_equal(wa_correlate_lag(&found, r, NULL, a, a, 10, 2, false, NULL), WA_OK);
    assert_int_equal(found.lag, 0);
    assert_true(isnan(found.sub_lag)); /* a straight line: all three are equal */
    assert_int_equal(wa_correlate_lag(&found, r, NULL, a, a, 10, 0, false, NULL), WA_OK);
    assert_true(isnan(found.sub_lag));
    /* with too few pairs at the far lags only those are not defined */
    double few[10] = {1,           5,           2,           7,           (double)NAN,
                      (double)NAN, (double)NAN, (double)NAN, (double)NAN, (double)NAN};
    assert_int_equal(wa_correlate_lag(&found, r, NULL, few, few, 10, 2, false, NULL), WA_OK);
    assert_true(isnan(r[0]) && !isnan(r[1]) && !isnan(r[2]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_shift_is_found),       cmocka_unit_test(correlations_agree_with_gsl),
        cmocka_unit_test(vertex_of_the_parabola), cmocka_unit_test(gaps_are_left_out),
        cmocka_unit_test(what_is_not_defined),
    };
    return cmocka_run_group_tests_name("correlate", tests, NULL, NULL);
}
