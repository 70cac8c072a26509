/* Probabilities and quantiles against 60-digit arithmetic (quantiles/quantiles.py, mpmath), the t
 * table of the GUM (gum/t_table.json, 60 digits; JCGM 100:2008 table G.2 to its 2 decimals) and
 * GSL. Tolerances: nearest double, or 1 unit where a correctly rounded value lies near a tie. */
#include "reference/reference.h"
#include "windassay/quantile.h"

#include <float.h>
#include <gsl/gsl_cdf.h>

static void check(const char *what, double (*f)(double, double, double), double relative)
{
    wa_value *e = reference_json("quantiles/expected.json");
    const wa_value *rows = reference_at(e, what);
    assert_true(wa_count(rows) > 10);
    for (size_t i = 0; i < wa_count(rows); i++) {
        double at[3] = {0, 0, 0};
        const wa_value *row = wa_at(rows, i), *list = reference_at(row, "at");
        for (size_t k = 0; k < wa_count(list); k++)
            wa_number_of(wa_at(list, k), &at[k]);
        double found = f(at[0], at[1], at[2]), right = reference_number(row, "double");
        if (!close_to(found, right, relative))
            fail_msg("%s(%.17g, %.17g, %.17g)", what, at[0], at[1], at[2]);
    }
    wa_value_free(e);
}

static double normal_cdf(double z, double none, double nothing)
{
    (void)none;
    (void)nothing;
    return wa_normal_cdf(z);
}

static double normal_quantile(double p, double none, double nothing)
{
    (void)none;
    (void)nothing;
    return wa_normal_quantile(p);
}

static double t_cdf(double t, double dof, double none)
{
    (void)none;
    return wa_t_cdf(t, dof);
}

static double t_quantile(double p, double dof, double none)
{
    (void)none;
    return wa_t_quantile(p, dof);
}

static double chi2_cdf(double x, double dof, double none)
{
    (void)none;
    return wa_chi2_cdf(x, dof);
}

static double chi2_quantile(double p, double dof, double none)
{
    (void)none;
    return wa_chi2_quantile(p, dof);
}

static void sixty_digits(void **state)
{
    (void)state;
    check("normal_cdf", normal_cdf, 0);
    check("normal_quantile", normal_quantile, 4 * DBL_EPSILON);
    check("t_cdf", t_cdf, 0);
    check("t_quantile", t_quantile, 0);
    check("beta_cdf", wa_beta_cdf, 0);
    check("beta_quantile", wa_beta_quantile, 0);
    check("chi2_cdf", chi2_cdf, 0);
    check("chi2_quantile", chi2_quantile, 0);
}

/* The table by its percentages, 60 digits, and its rows as printed (recalled). Its columns of 68.27,
 * 95.45 and 99.73 % stand for one, two and three sigmas: 235.80, not 235.78. */
static void rows_of_the_gum(const wa_value *table)
{
    static const char *const percent[] = {"68.27", "90", "95", "95.45", "99", "99.73"};
    static const int sigmas[] = {1, 0, 0, 2, 0, 3};
    const wa_value *digits = reference_at(table, "t");
    const wa_value *printed = reference_at(table, "published_rows_GUM_TableG2_from_memory");
    assert_true(wa_count(digits) >= 4 && wa_count(printed) >= 6);
    for (size_t k = 0; k < sizeof percent / sizeof *percent; k++) {
        double p = (1 + strtod(percent[k], NULL) / 100) / 2;
        for (size_t i = 0; i < wa_count(digits); i++) {
            double right = reference_number(wa_get(wa_at(digits, i), percent[k]), "double");
            /* the rounding of p, some 1e-16, over the small upper tail */
            assert_close(wa_t_quantile(p, strtod(wa_key(digits, i), NULL)), right, 1e-13);
        }
        for (size_t i = 0; i < wa_count(printed); i++) {
            double meant = sigmas[k] > 0 ? wa_normal_cdf(sigmas[k]) : p;
            const char *row = wa_string_of(wa_at(wa_at(printed, i), k));
            double found = wa_t_quantile(meant, strtod(wa_key(printed, i), NULL));
            assert_true(fabs(found - strtod(row, NULL)) < 0.00501);
        }
    }
}

/* JCGM 100:2008 table G.2, by 60 digits and as printed (recalled). */
static void t_table_of_the_gum(void **state)
{
    (void)state;
    wa_value *table = reference_json("gum/t_table.json");
    const wa_value *sigmas = reference_at(table, "t_for_exact_1_2_3_sigma_probability");
    assert_true(wa_count(sigmas) > 10);
    for (size_t i = 0; i < wa_count(sigmas); i++) {
        const char *key = wa_key(sigmas, i);
        double dof = strcmp(key, "inf") == 0 ? (double)INFINITY : strtod(key, NULL);
        for (int k = 1; k <= 3; k++) {
            const wa_value *row = wa_at(sigmas, i);
            char at[2] = {(char)('0' + k - 1), 0};
            /* P(Z <= k) as a double: its rounding costs up to 2^-54 over the density */
            double t = wa_t_quantile(wa_normal_cdf(k), dof);
            assert_close(t, reference_number(row, at), 3e-14);
        }
    }
    rows_of_the_gum(table);
    wa_value_free(table);
}

/* GSL is the second opinion over the ranges between. */
static void gsl_agrees(void **state)
{
    (void)state;
    for (int i = 1; i < 400; i++) {
        double p = i / 400.0;
        assert_true(fabs(wa_normal_quantile(p) - gsl_cdf_ugaussian_Pinv(p)) < 1e-14);
        assert_close(wa_normal_cdf(wa_normal_quantile(p)), p, 1e-14);
        assert_close(wa_normal_cdf(6 * p - 3), gsl_cdf_ugaussian_P(6 * p - 3), 1e-14);
        double dof = 1 + 0.37 * i;
        assert_close(wa_t_cdf(8 * p - 4, dof), gsl_cdf_tdist_P(8 * p - 4, dof), 1e-11);
        assert_close(wa_beta_cdf(p, dof, 3), gsl_cdf_beta_P(p, dof, 3), 1e-11);
    }
    for (int i = 1; i < 20; i++) {
        double p = i / 20.0, dof = 1 + 2.9 * i;
        assert_true(fabs(wa_t_quantile(p, dof) - gsl_cdf_tdist_Pinv(p, dof)) < 1e-10);
        assert_close(wa_t_cdf(wa_t_quantile(p, dof), dof), p, 1e-14);
        assert_close(wa_beta_cdf(wa_beta_quantile(p, dof, 3), dof, 3), p, 1e-13);
        assert_close(wa_f_quantile(p, 5, dof), gsl_cdf_fdist_Pinv(p, 5, dof), 1e-10);
        assert_close(wa_chi2_quantile(p, dof), gsl_cdf_chisq_Pinv(p, dof), 1e-9);
        assert_close(wa_chi2_cdf(wa_chi2_quantile(p, dof), dof), p, 1e-14);
    }
}

static void closed_forms(void **state)
{
    (void)state;
    assert_true(wa_t_quantile(0.75, 1) == 1); /* tan 45 degrees */
    assert_true(wa_t_quantile(0.25, 1) == -1);
    assert_true(wa_t_quantile(0.5, 7) == 0 && wa_normal_quantile(0.5) == 0);
    assert_true(wa_normal_cdf(0) == 0.5 && wa_t_cdf(0, 3) == 0.5);
    assert_true(wa_normal_cdf((double)INFINITY) == 1 && wa_normal_cdf(-(double)INFINITY) == 0);
    assert_true(wa_beta_cdf(0, 2, 3) == 0 && wa_beta_cdf(1, 2, 3) == 1);
    assert_true(wa_beta_cdf(0.25, 1, 1) == 0.25 && wa_beta_quantile(0.25, 1, 1) == 0.25);
    /* two degrees of freedom: 1 - exp(-x / 2); one: the square of the normal quantile */
    assert_close(wa_chi2_quantile(0.5, 2), 2 * 0.69314718055994531, 2e-16);
    assert_close(sqrt(wa_chi2_quantile(0.95, 1)), wa_normal_quantile(0.975), 1e-15);
    assert_true(wa_chi2_cdf(0, 3) == 0 && wa_chi2_cdf((double)INFINITY, 3) == 1);
    /* many: nearly normal, by Wilson and Hilferty's cube (its error is some 1e-3 / dof) */
    double cube = 1 - 2 / 9e6 + 1.959963984540054 * sqrt(2 / 9e6);
    assert_close(wa_chi2_quantile(0.975, 1e6), 1e6 * cube * cube * cube, 1e-8);
    assert_true(wa_chi2_quantile(1e-200, 1) == 0);
    /* median 1 where both degrees of freedom are alike; f(p) of (a, b) is 1 / f(1 - p) of (b, a) */
    assert_close(wa_f_quantile(0.5, 7, 7), 1, 1e-15);
    assert_close(wa_f_quantile(0.75, 3, 8) * wa_f_quantile(0.25, 8, 3), 1, 1e-15);
}

static void outside_the_domain(void **state)
{
    (void)state;
    const double nan = (double)NAN;
    assert_true(isnan(wa_normal_cdf(nan)) && isnan(wa_normal_quantile(0)) &&
                isnan(wa_normal_quantile(1)) && isnan(wa_normal_quantile(nan)));
    assert_true(isnan(wa_t_cdf(1, 0.5)) && isnan(wa_t_cdf(nan, 3)) && isnan(wa_t_cdf(1, nan)));
    assert_true(isnan(wa_t_quantile(0, 3)) && isnan(wa_t_quantile(1, 3)) &&
                isnan(wa_t_quantile(0.9, nan)));
    assert_true(isnan(wa_beta_cdf(-0.1, 1, 1)) && isnan(wa_beta_cdf(0.5, 0, 1)) &&
                isnan(wa_beta_quantile(1, 1, 1)) && isnan(wa_beta_quantile(0.5, 1, nan)));
    assert_true(isnan(wa_chi2_cdf(-1, 3)) && isnan(wa_chi2_cdf(1, 0.5)) &&
                isnan(wa_chi2_quantile(0, 3)) && isnan(wa_chi2_quantile(1, 3)) &&
                isnan(wa_chi2_quantile(0.5, 1e7)) && isnan(wa_chi2_quantile(nan, 3)));
    assert_true(isnan(wa_f_quantile(0, 5, 9)) && isnan(wa_f_quantile(1, 5, 9)) &&
                isnan(wa_f_quantile(0.5, 0.5, 9)) && isnan(wa_f_quantile(0.5, 5, nan)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sixty_digits),       cmocka_unit_test(t_table_of_the_gum),
        cmocka_unit_test(gsl_agrees),         cmocka_unit_test(closed_forms),
        cmocka_unit_test(outside_the_domain),
    };
    return cmocka_run_group_tests_name("reference quantiles", tests, NULL, NULL);
}
