/* compare.by_bin against R and 60-digit arithmetic on measured winds.
 *
 * realwind/irish_*  daily mean wind of two Irish stations 1961-78, m/s (Haslett and Raftery 1989,
 *                   from R package gstat); realwind/sao_* hourly observations of neighbouring US
 *                   stations (public domain). *_expected_mp.json: 60 digits, independent of this
 *                   project; *_expected_R.json: R 4.2.2, lm. Tolerances beside the checks.
 */
#include "reference/reference.h"
#include "windassay/compare.h"

/* R works in doubles (long double sums): its own error on 6574 rows is some 1e-13. */
static const double EXACT = 3e-16, R = 2e-12;

static void check_origin(const wa_origin_fit *f, const wa_value *right, double tight)
{
    assert_close(f->slope, reference_number(right, "slope"), tight);
    assert_close(f->slope_u, reference_number(right, "se"), tight);
    assert_close(f->residual_sd, reference_number(right, "residual_sd"), tight);
    assert_close(f->r2_uncentred, reference_number(right, "R2_uncentered"), tight);
    assert_close(f->r2_centred, reference_number(right, "R2_centered"), tight);
    assert_close(f->r2_pearson, reference_number(right, "R2_pearson"), tight);
    assert_int_equal(f->dof, reference_number(right, "df"));
}

static void check_line(const wa_line_fit *f, const wa_value *right, double tight)
{
    assert_close(f->slope, reference_number(right, "slope"), tight);
    assert_close(f->intercept, reference_number(right, "intercept"), tight);
    assert_close(f->slope_u, reference_number(right, "se_slope"), tight);
    assert_close(f->intercept_u, reference_number(right, "se_intercept"), tight);
    assert_close(f->covariance, reference_number(right, "cov_is"), tight);
    assert_close(f->residual_sd, reference_number(right, "residual_sd"), tight);
    assert_close(f->r2_pearson, reference_number(right, "R2"), tight);
    assert_int_equal(f->dof, reference_number(right, "df"));
}

/* Bins hold what rounds away in R, whose differences are rounded before they are averaged: a mean
 * deviation of 1e-3 from speeds of 10 has lost 1e-13 of itself. */
static void check_bins(const wa_by_bin *c, const wa_value *bins, double tight, double loose)
{
    size_t k = 0;
    for (size_t i = 0; i < wa_count(bins); i++) {
        const wa_value *b = wa_at(bins, i);
        double centre = reference_number(b, "centre");
        while (k < c->bins->n && c->bins->centre[k] < centre) {
            assert_int_equal(c->bins->count[k], 0);
            assert_true(isnan(c->measured_mean[k++]));
        }
        assert_true(k < c->bins->n);
        assert_close(c->bins->centre[k], centre, 0);
        assert_close(c->bins->edge[k], reference_number(b, "lo"), 0);
        assert_close(c->bins->edge[k + 1], reference_number(b, "hi"), 0);
        assert_int_equal(c->bins->count[k], reference_number(b, "count"));
        assert_int_equal(c->bins->complete[k], wa_true(wa_get(b, "valid")));
        if (!c->bins->complete[k]) {
            assert_true(isnan(c->measured_mean[k]) && isnan(c->deviation_sd[k++]));
            continue;
        }
        assert_close(c->reference_mean[k], reference_number(b, "mean_ref"), tight);
        assert_close(c->measured_mean[k], reference_number(b, "mean_meas"), tight);
        assert_close(c->deviation_mean[k], reference_number(b, "mean_dev"), loose);
        assert_close(c->deviation_sd[k], reference_number(b, "sd_dev"), tight);
        assert_close(c->standard_error[k], reference_number(b, "se_dev"), tight);
        assert_close(c->deviation_min[k], reference_number(b, "min_dev"), tight);
        assert_close(c->deviation_max[k], reference_number(b, "max_dev"), tight);
        if (c->reference_mean[k] == 0) /* a calm has no relative deviation */
            assert_true(isnan(c->relative_deviation[k]));
        else
            assert_close(c->relative_deviation[k] / 100, reference_number(b, "rel_mean_dev"),
                         loose);
        k++;
    }
    while (k < c->bins->n)
        assert_int_equal(c->bins->count[k++], 0);
}

static void check(const char *data, const char *stem, double least, double below)
{
    size_t n, m;
    char path[96];
    double *y = reference_column(data, "measured", &n),
           *x = reference_column(data, "reference", &m);
    assert_int_equal(n, m);
    for (size_t i = 0; i < n; i++) {
        if (y[i] == -9999) /* how the surface pairs say missing */
            y[i] = (double)NAN;
        if (x[i] < least || !(x[i] < below))
            x[i] = (double)NAN;
    }
    snprintf(path, sizeof path, "%s_expected_mp.json", stem);
    wa_value *mp = reference_json(path);
    snprintf(path, sizeof path, "%s_expected_R.json", stem);
    wa_value *r = reference_json(path);

    wa_bin_spec spec = {.width = 0.5, .lowest = 0, .highest = 60, .at_least = 3};
    wa_by_bin *c = NULL;
    assert_int_equal(wa_compare_by_bin(&c, y, x, NULL, NULL, n, &spec, NULL), WA_OK);
    check_bins(c, reference_at(mp, "bins"), EXACT, EXACT);
    check_bins(c, reference_at(r, "bins"), R, 1e-10);
    wa_origin_fit origin;
    wa_line_fit line;
    assert_int_equal(wa_compare_through_origin(&origin, c, WA_FIT_BIN_MEANS, NULL), WA_OK);
    check_origin(&origin, reference_at(mp, "bin_means.origin"), 2e-15);
    check_origin(&origin, reference_at(r, "bin_means.origin"), R);
    assert_int_equal(wa_compare_line(&line, c, WA_FIT_BIN_MEANS, NULL), WA_OK);
    check_line(&line, reference_at(mp, "bin_means.free"), 2e-15);
    check_line(&line, reference_at(r, "bin_means.free"), R);

    /* R fits all rows, also those in bins with fewer than 3 of them */
    assert_int_equal(c->pairs, reference_number(mp, "used"));
    assert_int_equal(c->left_out, n - c->pairs);
    assert_int_equal(wa_compare_through_origin(&origin, c, WA_FIT_RECORDS, NULL), WA_OK);
    check_origin(&origin, reference_at(mp, "all_rows.origin"), EXACT);
    check_origin(&origin, reference_at(r, "all_rows.origin"), R);
    assert_int_equal(wa_compare_line(&line, c, WA_FIT_RECORDS, NULL), WA_OK);
    check_line(&line, reference_at(mp, "all_rows.free"), EXACT);
    check_line(&line, reference_at(r, "all_rows.free"), R);
    wa_deming_fit deming;
    assert_int_equal(wa_fit_deming(&deming, x, y, n, 1, NULL), WA_OK);
    assert_close(deming.slope, reference_number(mp, "all_rows.deming.1.slope"), EXACT);
    assert_close(deming.intercept, reference_number(mp, "all_rows.deming.1.intercept"), EXACT);
    double pearson;
    assert_int_equal(wa_correlation(&pearson, x, y, n, NULL), WA_OK);
    assert_close(pearson, reference_number(r, "overall.pearson_r"), R);
    wa_by_bin_free(c);
    wa_value_free(mp);
    wa_value_free(r);
    free(x);
    free(y);
}

static void irish_stations(void **state)
{
    (void)state;
    check("realwind/irish_SHA_vs_BIR.csv", "realwind/irish_SHA_vs_BIR", 0, 1e9);
}

static void irish_stations_4_to_16(void **state)
{
    (void)state;
    check("realwind/irish_SHA_vs_BIR.csv", "realwind/irish_SHA_vs_BIR_4to16", 4, 16);
}

static void surface_pairs(void **state)
{
    (void)state;
    check("realwind/sao_neighbour_pairs.csv", "realwind/sao_neighbour_pairs", 0, 1e9);
}

/* A negative control: the daily winds of Seattle and New York (1461 days each, in the order of the
 * dates) have nothing to do with each other, which the uncentred coefficient does not see. By
 * 60-digit arithmetic (mpmath). */
static void unrelated_winds(void **state)
{
    (void)state;
    enum { DAYS = 1461 };
    size_t n;
    double *wind = reference_column("realwind/vega_weather_seattle_newyork.csv", "wind", &n);
    assert_int_equal(n, 2 * DAYS);
    wa_origin_fit f;
    assert_int_equal(wa_fit_through_origin(&f, wind, wind + DAYS, NULL, DAYS, NULL), WA_OK);
    assert_close(f.slope, 1.277932622493544, 0);
    assert_close(f.r2_uncentred, 0.7295557312401726, 0);
    assert_close(f.r2_centred, -1.157587472645041, 0);
    assert_close(f.r2_pearson, 3.056349191385671e-05, 0);
    free(wind);
}

/* Six records of one bin, computed in R 4.2 (mean, sd). */
static void worked_bin(void **state)
{
    (void)state;
    const double v[] = {9.80, 9.95, 10.05, 10.10, 10.20, 9.90};
    const double s[] = {9.86, 9.99, 10.06, 10.19, 10.22, 9.93};
    const double time[] = {0, 86399, 86400, 90000, 172799, -1};
    wa_bin_spec spec = {.width = 0.5, .lowest = 4, .highest = 16, .at_least = 3};
    wa_by_bin *c = NULL;
    assert_int_equal(wa_compare_by_bin(&c, s, v, NULL, time, 6, &spec, NULL), WA_OK);
    assert_int_equal(c->bins->n, 25);
    assert_close(c->bins->centre[12], 10, 0);
    assert_int_equal(c->bins->count[12], 6);
    assert_int_equal(c->bins->days[12], 3);
    assert_close(c->reference_mean[12], 10, 0);
    assert_close(c->measured_mean[12], 10.0416667, 1e-8);
    assert_close(c->deviation_mean[12], 0.0416667, 1e-6);
    assert_close(c->relative_deviation[12], 0.416667, 1e-6);
    assert_close(c->deviation_sd[12], 0.02926887, 3e-7);
    assert_close(c->standard_error[12], 0.01194897, 5e-7);
    wa_by_bin_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(irish_stations), cmocka_unit_test(irish_stations_4_to_16),
        cmocka_unit_test(surface_pairs),  cmocka_unit_test(unrelated_winds),
        cmocka_unit_test(worked_bin),
    };
    return cmocka_run_group_tests_name("reference comparisons", tests, NULL, NULL);
}
