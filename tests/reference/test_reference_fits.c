/* The fits against published and 60-digit results. Each check: value, tolerance, source.
 *
 * certified.json     NIST Statistical Reference Datasets (itl.nist.gov/div898/strd), certified to
 *                    15 digits, as carried by GSL 2.7.1's tests; public domain. Seen.
 * expected_mp.json   the same data by 60-digit arithmetic (mpmath), inputs as the doubles that a
 *                    program reads ("binary"). Computed for this project, not with its code.
 * gum/expected.json  JCGM 100:2008 H.3, York et al. 2004, Pearson 1901, by 60-digit arithmetic.
 */
#include "reference/reference.h"
#include "windassay/fit.h"
#include "windassay/portable.h"

static void origin_nist_noint1(void **state)
{
    (void)state;
    size_t n;
    double *x = reference_column("nist/NoInt1.csv", "x", &n);
    double *y = reference_column("nist/NoInt1.csv", "y", &n);
    wa_origin_fit f;
    assert_int_equal(wa_fit_through_origin(&f, x, y, NULL, n, NULL), WA_OK);
    assert_int_equal(f.n, 11);
    assert_int_equal(f.dof, 10);
    assert_int_equal(f.left_out, 0);
    /* NIST certified */
    assert_close(f.slope, 2.07438016528926, 2e-15);
    assert_close(f.slope_u, 0.0165289256198347, 2e-15);
    assert_close(f.residual_sd, 3.56753034006338, 2e-15);
    assert_close(f.r2_uncentred, 0.999365492298663, 1e-15);
    /* 60 digits */
    wa_value *e = reference_json("nist/expected_mp.json");
    const wa_value *b = reference_at(e, "linear.NoInt1.binary");
    assert_close(f.slope, reference_number(b, "b.0"), 0);
    assert_close(f.slope_u, reference_number(b, "se_b.0"), 3e-16);
    assert_close(f.residual_sd, reference_number(b, "residual_sd"), 3e-16);
    assert_close(f.r2_uncentred, reference_number(b, "R2_uncentered"), 0);
    assert_close(f.r2_centred, reference_number(b, "R2_centered"), 0);
    assert_close(f.r2_pearson, 1, 0);
    wa_value_free(e);
    free(x);
    free(y);
}

/* NIST NoInt2, certified values recalled; they follow from 4 5 6 / 3 4 4 by hand: 56/77. */
static void origin_nist_noint2(void **state)
{
    (void)state;
    const double x[] = {4, 5, 6}, y[] = {3, 4, 4};
    wa_origin_fit f;
    assert_int_equal(wa_fit_through_origin(&f, x, y, NULL, 3, NULL), WA_OK);
    assert_close(f.slope, 0.727272727272727, 1e-15);
    assert_close(f.slope_u, 0.0420827318078432, 2e-15);
    assert_close(f.residual_sd, 0.369274472937998, 1e-15);
    assert_close(f.r2_uncentred, 0.993348115299335, 1e-15);
    assert_close(f.r2_centred, 0.590909090909091, 1e-14);
    assert_close(f.r2_pearson, 0.75, 0);
}

static void line_nist_norris(void **state)
{
    (void)state;
    size_t n;
    double *x = reference_column("nist/Norris.csv", "x", &n);
    double *y = reference_column("nist/Norris.csv", "y", &n);
    wa_value *c = reference_json("nist/certified.json"),
             *e = reference_json("nist/expected_mp.json");
    const wa_value *b = reference_at(e, "linear.Norris.binary");
    wa_line_fit f;
    assert_int_equal(wa_fit_line(&f, x, y, n, NULL), WA_OK);
    assert_int_equal(f.n, 36);
    assert_int_equal(f.dof, 34);
    /* certified to 15 digits from decimals; reading them as doubles moves the intercept by 1e-14 */
    assert_close(f.intercept, reference_number(c, "linear.Norris.b0"), 2e-14);
    assert_close(f.slope, reference_number(c, "linear.Norris.b1"), 5e-15);
    assert_close(f.intercept_u, reference_number(c, "linear.Norris.se_b0"), 1e-13);
    assert_close(f.slope_u, reference_number(c, "linear.Norris.se_b1"), 1e-13);
    assert_close(f.residual_sd, reference_number(c, "linear.Norris.residual_sd"), 1e-13);
    assert_close(f.intercept, reference_number(b, "b.0"), 0);
    assert_close(f.slope, reference_number(b, "b.1"), 0);
    assert_close(f.intercept_u, reference_number(b, "se_b.0"), 3e-16);
    assert_close(f.slope_u, reference_number(b, "se_b.1"), 3e-16);
    assert_close(f.residual_sd, reference_number(b, "residual_sd"), 3e-16);
    assert_close(f.covariance, reference_number(b, "cov01"), 0);
    assert_close(f.r2_pearson, reference_number(b, "R2_centered"), 0);

    wa_origin_fit o;
    assert_int_equal(wa_fit_through_origin(&o, x, y, NULL, n, NULL), WA_OK);
    b = reference_at(b, "through_origin");
    assert_close(o.slope, reference_number(b, "b"), 0);
    assert_close(o.slope_u, reference_number(b, "se"), 3e-16);
    assert_close(o.residual_sd, reference_number(b, "s"), 3e-16);
    assert_close(o.r2_uncentred, reference_number(b, "R2_uncentered"), 0);
    assert_close(o.r2_centred, reference_number(b, "R2_centered"), 0);
    wa_value_free(c);
    wa_value_free(e);
    free(x);
    free(y);
}

/* Longley 1967: the classic ill-conditioned regression (condition number 5e9). */
static void least_squares_nist_longley(void **state)
{
    (void)state;
    size_t n;
    double *x[6], *y = reference_column("nist/Longley.csv", "y", &n);
    for (int j = 0; j < 6; j++)
        x[j] = reference_column("nist/Longley.csv", (const char[]){'x', (char)('1' + j), 0}, &n);
    wa_value *c = reference_json("nist/certified.json"),
             *e = reference_json("nist/expected_mp.json");
    const wa_value *b = reference_at(e, "linear.Longley.binary");
    wa_least_squares_fit f;
    assert_int_equal(wa_fit_least_squares(&f, y, (const double *const *)x, NULL, 6, n, true, NULL),
                     WA_OK);
    assert_int_equal(f.n, 16);
    assert_int_equal(f.dof, 9);
    for (size_t j = 0; j < 7; j++) { /* there the intercept is the first, here the last */
        size_t at = j == 0 ? 6 : j - 1;
        char path[64];
        snprintf(path, sizeof path, "linear.Longley.b.%zu", j);
        assert_close(f.coefficient[at], reference_number(c, path), 5e-15);
        assert_close(f.coefficient[at], reference_number(b, path + 15), 0);
        snprintf(path, sizeof path, "linear.Longley.se_b.%zu", j);
        assert_close(f.coefficient_u[at], reference_number(c, path), 5e-15);
        assert_close(f.coefficient_u[at], reference_number(b, path + 15), 3e-16);
        assert_close(sqrt(f.covariance[at][at]), f.coefficient_u[at], 3e-16);
    }
    assert_close(f.residual_sd, reference_number(b, "residual_sd"), 3e-16);
    assert_close(f.r2_pearson, reference_number(b, "R2_centered"), 0);
    assert_close(f.r2_uncentred, reference_number(b, "R2_uncentered"), 0);
    /* the same as columns without an intercept, one column being a constant 1 */
    double one[16];
    for (int i = 0; i < 16; i++)
        one[i] = 1;
    const double *with_one[7] = {x[0], x[1], x[2], x[3], x[4], x[5], one};
    wa_least_squares_fit g;
    assert_int_equal(wa_fit_least_squares(&g, y, with_one, NULL, 7, n, false, NULL), WA_OK);
    for (size_t j = 0; j < 7; j++) {
        assert_close(g.coefficient[j], f.coefficient[j], 3e-16);
        assert_close(g.coefficient_u[j], f.coefficient_u[j], 1e-12);
    }
    wa_value_free(c);
    wa_value_free(e);
    for (int j = 0; j < 6; j++)
        free(x[j]);
    free(y);
}

/* JCGM 100:2008 H.3: calibration of a thermometer. Published values recalled, data seen. */
static void line_gum_h3(void **state)
{
    (void)state;
    size_t n;
    double *t = reference_column("gum/H3_thermometer.csv", "t_C", &n);
    double *b = reference_column("gum/H3_thermometer.csv", "b_C", &n);
    wa_value *e = reference_json("gum/expected.json");
    wa_line_fit f;
    double value, u, at_20, at_20_u;
    for (size_t i = 0; i < n; i++)
        t[i] -= 20; /* as the example does */
    assert_int_equal(wa_fit_line(&f, t, b, n, NULL), WA_OK);
    assert_close(f.intercept, -0.1712, 1e-3); /* printed in the GUM */
    assert_close(f.slope, 0.00218, 2e-3);
    /* 60 digits from decimals; here t - 20 and b were rounded, which the cancelling sums enlarge */
    assert_close(f.intercept, reference_number(e, "H3.y1"), 1e-14);
    assert_close(f.slope, reference_number(e, "H3.y2"), 2e-13);
    assert_close(f.intercept_u, reference_number(e, "H3.s_y1"), 1e-13);
    assert_close(f.slope_u, reference_number(e, "H3.s_y2"), 1e-13);
    assert_close(f.residual_sd, reference_number(e, "H3.s"), 1e-13);
    assert_close(f.covariance, reference_number(e, "H3.cov"), 1e-13);
    assert_close(f.covariance / f.slope_u / f.intercept_u, reference_number(e, "H3.r_y1_y2"),
                 1e-14);
    assert_int_equal(wa_line_predict(&value, &u, &f, 10, NULL), WA_OK);
    assert_close(value, reference_number(e, "H3.b_30"), 1e-13);
    assert_close(u, reference_number(e, "H3.u_b_30"), 1e-13);
    const wa_value *predicted = reference_at(e, "H3.predicted");
    assert_int_equal(wa_count(predicted), n);
    for (size_t i = 0; i < n; i++) {
        double here, here_u;
        assert_int_equal(wa_line_predict(&here, &here_u, &f, t[i], NULL), WA_OK);
        assert_close(here, reference_number(wa_at(predicted, i), "double"), 1e-14);
    }
    assert_int_equal(wa_line_predict(&at_20, &at_20_u, &f, 0, NULL), WA_OK);
    assert_close(at_20, f.intercept, 0);
    assert_close(at_20_u, f.intercept_u, 3e-16);
    wa_value_free(e);
    free(t);
    free(b);
}

static double *square_root_of_inverse(double *w, size_t n)
{
    for (size_t i = 0; i < n; i++)
        w[i] = sqrt(1 / w[i]);
    return w;
}

static void york_pearson(void **state)
{
    (void)state;
    size_t n;
    const char *file = "gum/pearson_york.csv";
    double *x = reference_column(file, "x", &n), *y = reference_column(file, "y", &n);
    double *ux = square_root_of_inverse(reference_column(file, "weight_x", &n), n);
    double *uy = square_root_of_inverse(reference_column(file, "weight_y", &n), n);
    wa_value *e = reference_json("gum/expected.json");
    const wa_value *r = reference_at(e, "pearson_york.york");
    wa_york_fit f;
    assert_int_equal(wa_fit_york(&f, x, y, ux, uy, NULL, n, NULL), WA_OK);
    assert_int_equal(f.dof, 8);
    /* York et al. 2004 Table II, seen quoted */
    assert_close(f.intercept, 5.47991022403, 1e-11);
    assert_close(f.slope, -0.48053340745, 1e-10);
    assert_close(f.intercept_u * sqrt(f.chi2 / 8), 0.359246522551112, 1e-14);
    assert_close(f.slope_u * sqrt(f.chi2 / 8), 0.070620269528771, 1e-13);
    /* 60 digits; the uncertainties were rounded to doubles */
    assert_close(f.intercept, reference_number(r, "a"), 1e-15);
    assert_close(f.slope, reference_number(r, "b"), 1e-15);
    assert_close(f.intercept_u, reference_number(r, "se_a"), 1e-15);
    assert_close(f.slope_u, reference_number(r, "se_b"), 1e-15);
    assert_close(f.chi2, reference_number(r, "S"), 1e-15);
    assert_close(f.covariance, reference_number(r, "cov_ab"), 1e-15);
    wa_value_free(e);
    free(x);
    free(y);
    free(ux);
    free(uy);
}

static void deming_pearson(void **state)
{
    (void)state;
    static const char *const ratios[] = {"0.25", "0.5", "1", "2", "4"};
    size_t n;
    double *x = reference_column("gum/pearson_york.csv", "x", &n);
    double *y = reference_column("gum/pearson_york.csv", "y", &n);
    wa_value *e = reference_json("gum/expected.json");
    const wa_value *all = reference_at(e, "pearson_york.deming_same_xy_lambda_is_var_y_over_var_x");
    for (int k = 0; k < 5; k++) {
        wa_deming_fit f;
        const wa_value *r = wa_get(all, ratios[k]); /* "0.25" is a key, not a path */
        assert_int_equal(wa_fit_deming(&f, x, y, n, strtod(ratios[k], NULL), NULL), WA_OK);
        assert_close(f.slope, reference_number(r, "slope"), 1e-15);
        assert_close(f.intercept, reference_number(r, "intercept"), 1e-15);
    }
    /* Pearson 1901, "On lines and planes of closest fit": -0.546 and 5.7857 (rounded working) */
    wa_deming_fit f;
    assert_int_equal(wa_fit_deming(&f, x, y, n, 1, NULL), WA_OK);
    assert_close(f.slope, -0.546, 1e-3);
    assert_close(f.intercept, 5.7857, 1e-3);
    wa_value_free(e);
    free(x);
    free(y);
}

/* Pearson's data: median of the 45 slopes, computed in R 4.2 (median of outer differences). */
static void theil_sen_pearson(void **state)
{
    (void)state;
    size_t n;
    double *x = reference_column("gum/pearson_york.csv", "x", &n);
    double *y = reference_column("gum/pearson_york.csv", "y", &n);
    wa_theil_sen_fit f;
    assert_int_equal(wa_fit_theil_sen(&f, x, y, n, NULL), WA_OK);
    assert_close(f.slope, -0.535714286, 1e-9);
    assert_close(f.intercept, 5.882142857, 1e-9);
    free(x);
    free(y);
}

/* Line-of-sight records of a known geometry: ordinary and with offset, 60 digits by mpmath and
 * scipy. Also across north (0.37 degrees). */
static void check_cosine(const char *name, double tilt, double tight)
{
    char path[64];
    size_t n;
    snprintf(path, sizeof path, "line_of_sight/%s.csv", name);
    double *v = reference_column(path, "ref_speed", &n), *d = reference_column(path, "ref_dir", &n);
    double *los = reference_column(path, "los_speed", &n);
    snprintf(path, sizeof path, "line_of_sight/%s_expected.json", name);
    wa_value *e = reference_json(path);
    for (size_t i = 0; i < n; i++)
        los[i] /= v[i] * wa_cos_deg(tilt);
    wa_cosine_fit f;
    wa_cosine_options o = {.near = (double)NAN};
    assert_int_equal(wa_fit_cosine(&f, d, los, n, &o, NULL), WA_OK);
    const wa_value *r = reference_at(e, "coarse_no_offset");
    assert_close(f.direction, reference_number(r, "theta0_deg"), tight);
    assert_close(f.amplitude, reference_number(r, "A"), 1e-15);
    assert_true(isnan(f.offset));
    o.offset = true;
    assert_int_equal(wa_fit_cosine(&f, d, los, n, &o, NULL), WA_OK);
    r = reference_at(e, "coarse_with_offset");
    assert_close(f.direction, reference_number(r, "theta0_deg"), tight);
    assert_close(f.amplitude, reference_number(r, "A"), 1e-15);
    assert_true(fabs(f.offset - reference_number(r, "B")) < 1e-16);
    wa_value_free(e);
    free(v);
    free(d);
    free(los);
}

static void cosine_line_of_sight(void **state)
{
    (void)state;
    check_cosine("noisy_286", 1.5, 3e-16);
    check_cosine("exact_286", 1.5, 3e-16);
    check_cosine("exact_wrap_0", 0, 1e-14);
}

/* A lidar that is blind to the sign: truth 201.5 degrees, gain 1.002, tilt 3 degrees, no noise,
 * speeds written with 12 digits. */
static void cosine_rectified(void **state)
{
    (void)state;
    size_t n;
    const char *path = "line_of_sight/rect_exact.csv";
    double *v = reference_column(path, "ref_speed", &n), *d = reference_column(path, "ref_dir", &n);
    double *los = reference_column(path, "los_speed", &n);
    for (size_t i = 0; i < n; i++)
        los[i] /= v[i] * wa_cos_deg(3);
    wa_cosine_fit f;
    wa_cosine_options o = {.rectified = true, .near = 180};
    assert_int_equal(wa_fit_cosine(&f, d, los, n, &o, NULL), WA_OK);
    assert_close(f.direction, 201.5, 1e-12);
    assert_close(f.amplitude, 1.002, 1e-12);
    o.near = 0;
    o.offset = true;
    assert_int_equal(wa_fit_cosine(&f, d, los, n, &o, NULL), WA_OK);
    assert_close(f.direction, 21.5, 1e-12);
    assert_true(fabs(f.offset) < 1e-12);
    free(v);
    free(d);
    free(los);
}

/* The worked fit of 16 records, computed in R 4.2: 1.006510356, 287.3350506. */
static void cosine_worked(void **state)
{
    (void)state;
    const double v[] = {4.74,  5.32,  6.22,  6.64,  7.70,  7.97,  9.15,  9.33,
                        10.59, 10.70, 12.00, 12.10, 13.39, 13.53, 14.76, 14.97};
    const double d[] = {322.7, 279.1, 255.6, 305.3, 315.9, 263.5, 266.4, 318.1,
                        301.9, 254.4, 282.8, 323.0, 284.2, 254.0, 300.6, 318.8};
    const double los[] = {3.921,  5.344, 5.361,  6.366, 6.781,  7.285,  8.546,  8.038,
                          10.317, 9.068, 12.080, 9.925, 13.451, 11.337, 14.400, 12.799};
    double y[16];
    for (int i = 0; i < 16; i++)
        y[i] = los[i] / v[i];
    wa_cosine_fit f;
    wa_cosine_options o = {.near = (double)NAN};
    assert_int_equal(wa_fit_cosine(&f, d, y, 16, &o, NULL), WA_OK);
    assert_close(f.amplitude, 1.006510356, 5e-10);
    assert_close(f.direction, 287.3350506, 2e-10);
    o.rectified = true; /* no record beyond the zero: the same fit */
    wa_cosine_fit g;
    assert_int_equal(wa_fit_cosine(&g, d, y, 16, &o, NULL), WA_OK);
    assert_close(g.direction, f.direction, 0);
    assert_close(g.amplitude_u, f.amplitude_u, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(origin_nist_noint1),   cmocka_unit_test(origin_nist_noint2),
        cmocka_unit_test(line_nist_norris),     cmocka_unit_test(least_squares_nist_longley),
        cmocka_unit_test(line_gum_h3),          cmocka_unit_test(york_pearson),
        cmocka_unit_test(deming_pearson),       cmocka_unit_test(theil_sen_pearson),
        cmocka_unit_test(cosine_line_of_sight), cmocka_unit_test(cosine_rectified),
        cmocka_unit_test(cosine_worked),
    };
    return cmocka_run_group_tests_name("reference fits", tests, NULL, NULL);
}
