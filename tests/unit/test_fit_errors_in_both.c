/* Cosine, Deming, York, Theil-Sen: against brute force and each other. */
#include "windassay/fit.h"
#include "windassay/portable.h"

#include <gsl/gsl_fit.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { N = 60 };

static const double MISSING = (double)NAN;

static double uniform(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(*seed >> 11) * 0x1p-53;
}

static void assert_near(double found, double right, double relative)
{
    if (!(fabs(found - right) <= relative * fabs(right)))
        fail_msg("found %.17g, right is %.17g", found, right);
}

static void make(double *x, double *y, uint64_t seed)
{
    for (int i = 0; i < N; i++) {
        double at = 4 + 12 * uniform(&seed);
        x[i] = at + 0.3 * uniform(&seed);
        y[i] = 1.01 * at - 0.1 + 0.4 * uniform(&seed);
    }
}

/* The jackknife against fits that really leave a record out. */
static void deming_uncertainty(void **state)
{
    (void)state;
    double x[N], y[N], slope[N], intercept[N], mean_b = 0, mean_a = 0, bb = 0, aa = 0;
    make(x, y, 1);
    for (int i = 0; i < N; i++) {
        wa_deming_fit f;
        double keep = x[i];
        x[i] = MISSING;
        assert_int_equal(wa_fit_deming(&f, x, y, N, 2, NULL), WA_OK);
        x[i] = keep;
        mean_b += (slope[i] = f.slope) / N;
        mean_a += (intercept[i] = f.intercept) / N;
    }
    for (int i = 0; i < N; i++) {
        bb += (slope[i] - mean_b) * (slope[i] - mean_b);
        aa += (intercept[i] - mean_a) * (intercept[i] - mean_a);
    }
    wa_deming_fit f;
    assert_int_equal(wa_fit_deming(&f, x, y, N, 2, NULL), WA_OK);
    assert_near(f.slope_u, sqrt(bb * (N - 1) / N), 1e-10);
    assert_near(f.intercept_u, sqrt(aa * (N - 1) / N), 1e-10);
}

static void deming_limits(void **state)
{
    (void)state;
    const double x[] = {1, 2, 3, 4, 5}, falling[] = {9, 7, 6, 3, 1}, hill[] = {1, 2, 3, 2, 1};
    const double steep[] = {0, 50, -3, 50, 0};
    double y[5];
    wa_deming_fit f, g;
    /* x and y exchanged with the ratio inverted is the same line */
    assert_int_equal(wa_fit_deming(&f, x, falling, 5, 0.25, NULL), WA_OK);
    assert_int_equal(wa_fit_deming(&g, falling, x, 5, 4, NULL), WA_OK);
    assert_near(f.slope * g.slope, 1, 1e-15);
    assert_true(f.slope < 0);
    /* uncorrelated: flat where x spreads more, undefined where y does */
    assert_int_equal(wa_fit_deming(&f, x, hill, 5, 1, NULL), WA_OK);
    assert_true(f.slope == 0 && f.intercept == 1.8);
    assert_int_equal(wa_fit_deming(&f, x, steep, 5, 1e-3, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_deming(&f, x, falling, 2, 1, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_deming(&f, x, falling, 5, 0, NULL), WA_ERR_ARG);
    assert_int_equal(wa_fit_deming(&f, x, falling, 5, MISSING, NULL), WA_ERR_ARG);
    /* one record makes up all the spread of x: no line without it */
    const double lone[] = {1, 1, 1, 1, 5};
    for (int i = 0; i < 5; i++)
        y[i] = i;
    assert_int_equal(wa_fit_deming(&f, lone, y, 5, 1, NULL), WA_ERR_UNDEFINED);
}

/* chi2 of any line, with York's weights. */
static double chi2_of(double a, double b, const double *x, const double *y, const double *ux,
                      const double *uy, const double *r)
{
    double sum = 0;
    for (int i = 0; i < N; i++) {
        double rest = y[i] - a - b * x[i];
        sum += rest * rest / (uy[i] * uy[i] + b * b * ux[i] * ux[i] - 2 * b * r[i] * ux[i] * uy[i]);
    }
    return sum;
}

/* York's line is the least of chi2, also with correlated errors. */
static void york_is_the_least(void **state)
{
    (void)state;
    double x[N], y[N], ux[N], uy[N], r[N];
    uint64_t seed = 11;
    make(x, y, 2);
    for (int i = 0; i < N; i++) {
        ux[i] = 0.1 + 0.2 * uniform(&seed);
        uy[i] = 0.1 + 0.2 * uniform(&seed);
        r[i] = 1.6 * uniform(&seed) - 0.8;
    }
    wa_york_fit f;
    assert_int_equal(wa_fit_york(&f, x, y, ux, uy, r, N, NULL), WA_OK);
    double least = chi2_of(f.intercept, f.slope, x, y, ux, uy, r);
    assert_near(f.chi2, least, 1e-12);
    for (int k = 0; k < 8; k++) { /* on a circle around it chi2 is greater */
        double a = f.intercept + 1e-3 * wa_sin_deg(45 * k), b = f.slope + 1e-4 * wa_cos_deg(45 * k);
        assert_true(chi2_of(a, b, x, y, ux, uy, r) > least);
    }
    /* and flat in both directions: central differences are zero beside the curvature */
    double step = 1e-5;
    double up = chi2_of(f.intercept, f.slope + step, x, y, ux, uy, r);
    double down = chi2_of(f.intercept, f.slope - step, x, y, ux, uy, r);
    assert_true(fabs(up - down) < 1e-3 * (up + down - 2 * least));
    /* the curvature along the valley gives the uncertainty: chi2 rises by 1 at slope +- u */
    double a_of_b = f.intercept + f.covariance / (f.slope_u * f.slope_u) * f.slope_u;
    double rise = chi2_of(a_of_b, f.slope + f.slope_u, x, y, ux, uy, r) - least;
    assert_true(fabs(rise - 1) < 0.02);
}

/* Through the origin: the line of the records and their mirror images, each record counted twice;
 * and the least of chi2. */
static void york_through_origin(void **state)
{
    (void)state;
    double x[2 * N], y[2 * N], ux[2 * N], uy[2 * N], r[2 * N];
    uint64_t seed = 12;
    make(x, y, 4);
    for (int i = 0; i < N; i++) {
        ux[i] = ux[i + N] = 0.1 + 0.2 * uniform(&seed);
        uy[i] = uy[i + N] = 0.1 + 0.2 * uniform(&seed);
        r[i] = r[i + N] = 1.6 * uniform(&seed) - 0.8;
        x[i + N] = -x[i];
        y[i + N] = -y[i];
    }
    wa_york_fit f, twice;
    assert_int_equal(wa_fit_york_through_origin(&f, x, y, ux, uy, r, N, NULL), WA_OK);
    assert_int_equal(wa_fit_york(&twice, x, y, ux, uy, r, 2 * N, NULL), WA_OK);
    assert_true(f.n == N && f.dof == N - 1 && f.intercept_u <= 0 && f.covariance <= 0);
    assert_near(f.slope, twice.slope, 1e-15);
    assert_near(f.slope_u, sqrt(2) * twice.slope_u, 1e-15);
    assert_near(f.chi2, twice.chi2 / 2, 1e-14);
    double step = 1e-5, least = chi2_of(0, f.slope, x, y, ux, uy, r);
    double up = chi2_of(0, f.slope + step, x, y, ux, uy, r);
    double down = chi2_of(0, f.slope - step, x, y, ux, uy, r);
    assert_near(f.chi2, least, 1e-12);
    assert_true(up > least && down > least);
    assert_true(fabs(up - down) < 1e-3 * (up + down - 2 * least));
    /* no errors in x: the weighted forced fit, whose u is from the given errors here */
    double zero[N] = {0}, weight[N];
    for (int i = 0; i < N; i++)
        weight[i] = 1 / (uy[i] * uy[i]);
    wa_origin_fit forced;
    assert_int_equal(wa_fit_through_origin(&forced, x, y, weight, N, NULL), WA_OK);
    assert_int_equal(wa_fit_york_through_origin(&f, x, y, zero, uy, NULL, N, NULL), WA_OK);
    assert_near(f.slope, forced.slope, 1e-15);
    assert_near(f.slope_u * sqrt(f.chi2 / (double)f.dof), forced.slope_u, 1e-13);
    /* x that is 0 throughout, too few records */
    assert_int_equal(wa_fit_york_through_origin(&f, zero, y, ux, uy, NULL, N, NULL),
                     WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_york_through_origin(&f, x, y, ux, uy, NULL, 1, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_york_through_origin(&f, x, y, ux, uy, NULL, 2, NULL), WA_OK);
}

/* Equal errors: Deming's line. No errors in x: weighted least squares (GSL). */
static void york_special_cases(void **state)
{
    (void)state;
    double x[N], y[N], ux[N], uy[N], zero[N] = {0}, weight[N];
    uint64_t seed = 5;
    make(x, y, 3);
    for (int i = 0; i < N; i++) {
        ux[i] = 0.2;
        uy[i] = 0.3;
    }
    wa_york_fit f;
    wa_deming_fit d;
    assert_int_equal(wa_fit_york(&f, x, y, ux, uy, NULL, N, NULL), WA_OK);
    assert_int_equal(wa_fit_deming(&d, x, y, N, 0.3 * 0.3 / (0.2 * 0.2), NULL), WA_OK);
    assert_near(f.slope, d.slope, 1e-15);
    assert_near(f.intercept, d.intercept, 1e-13);
    for (int i = 0; i < N; i++) {
        uy[i] = 0.1 + uniform(&seed);
        weight[i] = 1 / (uy[i] * uy[i]);
    }
    double a, b, caa, cab, cbb, chi2;
    gsl_fit_wlinear(x, 1, weight, 1, y, 1, N, &a, &b, &caa, &cab, &cbb, &chi2);
    assert_int_equal(wa_fit_york(&f, x, y, zero, uy, NULL, N, NULL), WA_OK);
    assert_near(f.slope, b, 1e-12);
    assert_near(f.intercept, a, 1e-11);
    assert_near(f.slope_u, sqrt(cbb), 1e-12);
    assert_near(f.intercept_u, sqrt(caa), 1e-12);
    assert_near(f.covariance, cab, 1e-12);
    assert_near(f.chi2, chi2, 1e-12);
    /* a slope of zero settles too */
    const double flat_x[] = {-2, -1, 0, 1, 2}, flat_y[] = {1, 0, 0, 0, 1}, u[] = {1, 1, 1, 1, 1};
    assert_int_equal(wa_fit_york(&f, flat_x, flat_y, u, u, NULL, 5, NULL), WA_OK);
    assert_true(fabs(f.slope) < 1e-25);
    /* misuse */
    assert_int_equal(wa_fit_york(&f, x, y, zero, zero, NULL, N, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_york(&f, x, y, ux, uy, NULL, 2, NULL), WA_ERR_UNDEFINED);
    ux[3] = -1;
    wa_error err = {0};
    assert_int_equal(wa_fit_york(&f, x, y, ux, uy, NULL, N, &err), WA_ERR_ARG);
    assert_non_null(strstr(err.text, "record 4"));
    weight[0] = 2;
    ux[3] = 1;
    assert_int_equal(wa_fit_york(&f, x, y, ux, uy, weight, N, NULL), WA_ERR_ARG);
}

static int by_value(const void *a, const void *b)
{
    const double *p = a, *q = b;
    return (*p > *q) - (*p < *q);
}

/* All slopes, sorted. Few distinct values: many ties and equal x. */
static void theil_sen_brute_force(void **state)
{
    (void)state;
    static double slope[N * N];
    for (uint64_t trial = 1; trial <= 200; trial++) {
        double x[N], y[N];
        uint64_t seed = trial;
        size_t n = 2 + trial % (N - 2), count = 0;
        double steps = trial % 3 == 0 ? 5 : trial % 3 == 1 ? 40 : 1e9;
        for (size_t i = 0; i < n; i++) {
            x[i] = floor(uniform(&seed) * steps) / 10;
            y[i] = floor(uniform(&seed) * steps) / 10 - 2;
        }
        for (size_t i = 0; i < n; i++)
            for (size_t k = i + 1; k < n; k++)
                if (x[i] != x[k])
                    slope[count++] = (y[k] - y[i]) / (x[k] - x[i]);
        wa_theil_sen_fit f;
        wa_status s = wa_fit_theil_sen(&f, x, y, n, NULL);
        if (count == 0) {
            assert_int_equal(s, WA_ERR_UNDEFINED);
            continue;
        }
        assert_int_equal(s, WA_OK);
        qsort(slope, count, sizeof *slope, by_value);
        double right = (slope[(count - 1) / 2] + slope[count / 2]) / 2;
        if (!(fabs(f.slope - right) <= 1e-14 * fabs(right) + 1e-14))
            fail_msg("trial %d: found %.17g, right is %.17g", (int)trial, f.slope, right);
    }
    wa_theil_sen_fit f;
    const double x[] = {1, 2, 3}, infinite[] = {1, (double)INFINITY, 3};
    assert_int_equal(wa_fit_theil_sen(&f, x, infinite, 3, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_theil_sen(&f, x, x, 1, NULL), WA_ERR_UNDEFINED);
    /* a slope of exactly 0.1 as decimals say it is the double 0.1 or its neighbour's rounding */
    const double tenth[] = {0.1, 0.2, 0.3};
    assert_int_equal(wa_fit_theil_sen(&f, x, tenth, 3, NULL), WA_OK);
    assert_near(f.slope, 0.1, 2e-16);
}

/* The rectified fit is the least over all directions, found by a scan. */
static void rectified_is_the_least(void **state)
{
    (void)state;
    for (uint64_t trial = 1; trial <= 30; trial++) {
        double d[N], y[N], truth = 12.0 * (double)trial;
        uint64_t seed = trial;
        for (int i = 0; i < N; i++) {
            d[i] = 360 * uniform(&seed);
            y[i] = 1.02 * fabs(wa_cos_deg(d[i] - truth)) + 0.02 * (uniform(&seed) - 0.5);
        }
        wa_cosine_fit f;
        wa_cosine_options o = {.rectified = true, .near = truth};
        assert_int_equal(wa_fit_cosine(&f, d, y, N, &o, NULL), WA_OK);
        double off = fmod(f.direction - truth + 540, 360) - 180;
        assert_true(fabs(off) < 1 && fabs(f.amplitude - 1.02) < 0.02);
        assert_true(f.direction_u > 0.02 && f.direction_u < 1 && fabs(off) < 5 * f.direction_u);
        double least = f.residual_sd * f.residual_sd * (double)f.dof;
        for (int step = 0; step < 1800; step++) {
            double top = 0, bottom = 0, rss = 0;
            for (int i = 0; i < N; i++) {
                double c = fabs(wa_cos_deg(d[i] - 0.1 * step));
                top += c * y[i];
                bottom += c * c;
            }
            for (int i = 0; i < N; i++) {
                double rest = y[i] - top / bottom * fabs(wa_cos_deg(d[i] - 0.1 * step));
                rss += rest * rest;
            }
            assert_true(rss >= least * (1 - 1e-9));
        }
    }
}

static void cosine_limits(void **state)
{
    (void)state;
    const double d[] = {0, 90, 180, 270, 45}, zero[5] = {0}, y[] = {1, 0, -1, 0, 0.7};
    const double one_way[] = {30, 30, 30, 30, 30};
    wa_cosine_fit f;
    wa_cosine_options o = {.near = MISSING};
    wa_error err = {0};
    assert_int_equal(wa_fit_cosine(&f, d, zero, 5, &o, &err), WA_ERR_UNDEFINED);
    assert_non_null(strstr(err.text, "amplitude is 0"));
    assert_int_equal(wa_fit_cosine(&f, one_way, y, 5, &o, &err), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_cosine(&f, d, y, 2, &o, &err), WA_ERR_UNDEFINED);
    o.rectified = true;
    assert_int_equal(wa_fit_cosine(&f, d, zero, 5, &o, &err), WA_ERR_UNDEFINED);
    o.rectified = false;
    const double cosine[] = {1, 0, -1, 0}; /* without scatter */
    assert_int_equal(wa_fit_cosine(&f, d, cosine, 4, &o, &err), WA_OK);
    assert_true(f.direction == 0 && f.amplitude == 1 && f.direction_u == 0 && f.r2_pearson == 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(deming_uncertainty),     cmocka_unit_test(deming_limits),
        cmocka_unit_test(york_is_the_least),      cmocka_unit_test(york_special_cases),
        cmocka_unit_test(york_through_origin),    cmocka_unit_test(theil_sen_brute_force),
        cmocka_unit_test(rectified_is_the_least), cmocka_unit_test(cosine_limits),
    };
    return cmocka_run_group_tests_name("fit, errors in both", tests, NULL, NULL);
}
