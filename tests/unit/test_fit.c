/* Fits: GSL as second opinion, bits that do not hang on the order of records, what is undefined. */
#include "windassay/fit.h"

#include <gsl/gsl_fit.h>
#include <gsl/gsl_multifit.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { N = 300 };

static const double MISSING = (double)NAN;

/* Numbers that any machine makes alike, 0 to 1. */
static double uniform(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(*seed >> 11) * 0x1p-53;
}

typedef struct records {
    double x[N], y[N], w[N], z[N];
} records;

static void make(records *r, uint64_t seed, double offset)
{
    for (int i = 0; i < N; i++) {
        r->x[i] = offset + 12 * uniform(&seed);
        r->z[i] = 5 * uniform(&seed);
        r->w[i] = 0.1 + uniform(&seed);
        r->y[i] = 0.3 + 0.98 * r->x[i] - 0.2 * r->z[i] + uniform(&seed) + uniform(&seed) - 1;
    }
}

static void assert_near(double found, double right, double relative)
{
    if (!(fabs(found - right) <= relative * fabs(right)))
        fail_msg("found %.17g, right is %.17g", found, right);
}

static void gsl_agrees_on_lines(void **state)
{
    (void)state;
    records r;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        make(&r, seed, seed % 2 ? 4 : 1000);
        double a, b, caa, cab, cbb, rss;
        gsl_fit_linear(r.x, 1, r.y, 1, N, &a, &b, &caa, &cab, &cbb, &rss);
        wa_line_fit f;
        assert_int_equal(wa_fit_line(&f, r.x, r.y, N, NULL), WA_OK);
        assert_near(f.slope, b, 1e-10);
        assert_near(f.intercept, a, 1e-8);
        assert_near(f.slope_u, sqrt(cbb), 1e-10);
        assert_near(f.intercept_u, sqrt(caa), 1e-10);
        assert_near(f.covariance, cab, 1e-10);
        assert_near(f.residual_sd, sqrt(rss / (N - 2)), 1e-10);
        double value, u, gsl_value, gsl_u;
        assert_int_equal(wa_line_predict(&value, &u, &f, 17, NULL), WA_OK);
        gsl_fit_linear_est(17, a, b, caa, cab, cbb, &gsl_value, &gsl_u);
        assert_near(value, gsl_value, 1e-8);
        assert_near(u, gsl_u, 1e-6); /* theirs cancels */

        wa_origin_fit o;
        gsl_fit_mul(r.x, 1, r.y, 1, N, &b, &cbb, &rss);
        assert_int_equal(wa_fit_through_origin(&o, r.x, r.y, NULL, N, NULL), WA_OK);
        assert_near(o.slope, b, 1e-10);
        assert_near(o.slope_u, sqrt(cbb), 1e-10);
        assert_near(o.residual_sd, sqrt(rss / (N - 1)), 1e-10);
        gsl_fit_wmul(r.x, 1, r.w, 1, r.y, 1, N, &b, &cbb, &rss);
        assert_int_equal(wa_fit_through_origin(&o, r.x, r.y, r.w, N, NULL), WA_OK);
        assert_near(o.slope, b, 1e-10);
        assert_near(o.slope_u, sqrt(cbb * rss / (N - 1)), 1e-10);
    }
}

static void gsl_agrees_on_planes(void **state)
{
    (void)state;
    records r;
    make(&r, 5, 4);
    gsl_matrix *design = gsl_matrix_alloc(N, 3), *covariance = gsl_matrix_alloc(3, 3);
    gsl_vector *c = gsl_vector_alloc(3);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(N, 3);
    gsl_vector_view y = gsl_vector_view_array(r.y, N);
    for (size_t i = 0; i < N; i++) {
        gsl_matrix_set(design, i, 0, r.x[i]);
        gsl_matrix_set(design, i, 1, r.z[i]);
        gsl_matrix_set(design, i, 2, 1);
    }
    double rss;
    gsl_multifit_linear(design, &y.vector, c, covariance, &rss, work);
    const double *columns[] = {r.x, r.z};
    wa_least_squares_fit f;
    assert_int_equal(wa_fit_least_squares(&f, r.y, columns, NULL, 2, N, true, NULL), WA_OK);
    assert_int_equal(f.terms, 3);
    assert_near(f.residual_sd, sqrt(rss / (N - 3)), 1e-12);
    for (size_t j = 0; j < 3; j++) {
        assert_near(f.coefficient[j], gsl_vector_get(c, j), 1e-10);
        for (size_t k = 0; k < 3; k++)
            assert_near(f.covariance[j][k], gsl_matrix_get(covariance, j, k), 1e-10);
    }
    gsl_multifit_linear_free(work);
    gsl_vector_free(c);
    gsl_matrix_free(design);
    gsl_matrix_free(covariance);
}

/* One column with an intercept is a line, without one it goes through the origin: same bits. */
static void kinds_of_one_fit_agree(void **state)
{
    (void)state;
    records r;
    make(&r, 9, 4);
    const double *columns[] = {r.x};
    wa_least_squares_fit f;
    wa_line_fit line;
    wa_origin_fit origin;
    assert_int_equal(wa_fit_least_squares(&f, r.y, columns, NULL, 1, N, true, NULL), WA_OK);
    assert_int_equal(wa_fit_line(&line, r.x, r.y, N, NULL), WA_OK);
    assert_true(f.coefficient[0] == line.slope && f.coefficient[1] == line.intercept);
    assert_true(f.coefficient_u[1] == line.intercept_u && f.r2_pearson == line.r2_pearson);
    assert_true(f.covariance[0][1] == line.covariance);
    assert_near(f.r2_centred, f.r2_pearson, 1e-15);
    assert_int_equal(wa_fit_least_squares(&f, r.y, columns, NULL, 1, N, false, NULL), WA_OK);
    assert_int_equal(wa_fit_through_origin(&origin, r.x, r.y, NULL, N, NULL), WA_OK);
    assert_true(f.coefficient[0] == origin.slope && f.r2_centred == origin.r2_centred);
}

static void shuffle(records *r, uint64_t seed)
{
    for (size_t i = N - 1; i > 0; i--) {
        size_t k = (size_t)(uniform(&seed) * (double)(i + 1));
        double *const all[] = {r->x, r->y, r->w, r->z};
        for (int c = 0; c < 4; c++) {
            double keep = all[c][i];
            all[c][i] = all[c][k];
            all[c][k] = keep;
        }
    }
}

typedef struct every_fit {
    wa_origin_fit origin;
    wa_line_fit line;
    wa_least_squares_fit plane;
    wa_cosine_fit cosine;
    wa_deming_fit deming;
    wa_york_fit york;
    wa_theil_sen_fit sen;
} every_fit;

static void fit_all(every_fit *f, const records *r)
{
    const double *columns[] = {r->x, r->z};
    double direction[N];
    for (int i = 0; i < N; i++)
        direction[i] = r->x[i] * 20;
    wa_cosine_options o = {.rectified = true, .offset = true, .near = MISSING};
    memset(f, 0, sizeof *f);
    assert_int_equal(wa_fit_through_origin(&f->origin, r->x, r->y, r->w, N, NULL), WA_OK);
    assert_int_equal(wa_fit_line(&f->line, r->x, r->y, N, NULL), WA_OK);
    assert_int_equal(wa_fit_least_squares(&f->plane, r->y, columns, NULL, 2, N, true, NULL), WA_OK);
    assert_int_equal(wa_fit_cosine(&f->cosine, direction, r->y, N, &o, NULL), WA_OK);
    assert_int_equal(wa_fit_deming(&f->deming, r->x, r->y, N, 0.7, NULL), WA_OK);
    assert_int_equal(wa_fit_york(&f->york, r->x, r->y, r->w, r->z, NULL, N, NULL), WA_OK);
    assert_int_equal(wa_fit_theil_sen(&f->sen, r->x, r->y, N, NULL), WA_OK);
}

static void order_does_not_matter(void **state)
{
    (void)state;
    records r;
    every_fit first, again;
    make(&r, 3, 4);
    fit_all(&first, &r);
    for (uint64_t seed = 1; seed <= 5; seed++) {
        shuffle(&r, seed);
        fit_all(&again, &r);
        assert_memory_equal(&first, &again, sizeof first);
    }
}

static void missing_records_are_left_out(void **state)
{
    (void)state;
    records r, s;
    every_fit f;
    make(&r, 4, 4);
    s = r;
    s.x[7] = s.y[20] = s.z[33] = s.w[44] = MISSING;
    fit_all(&f, &s);
    assert_int_equal(f.origin.left_out, 3);
    assert_int_equal(f.line.left_out, 2);
    assert_int_equal(f.plane.left_out, 3);
    assert_int_equal(f.cosine.left_out, 2);
    assert_int_equal(f.deming.left_out, 2);
    assert_int_equal(f.york.left_out, 4);
    assert_int_equal(f.sen.left_out, 2);
    assert_int_equal(f.york.n, N - 4);
    assert_int_equal(f.york.dof, N - 6);
    /* as if they were not there */
    size_t n = 0;
    for (size_t i = 0; i < N; i++) {
        if (i == 7 || i == 20)
            continue;
        r.x[n] = r.x[i];
        r.y[n++] = r.y[i];
    }
    wa_line_fit line;
    assert_int_equal(wa_fit_line(&line, r.x, r.y, n, NULL), WA_OK);
    assert_true(line.slope == f.line.slope && line.intercept_u == f.line.intercept_u);
}

/* A line without scatter comes back exactly, with no uncertainty; powers of two scale exactly. */
static void exact_lines_and_scales(void **state)
{
    (void)state;
    records r;
    make(&r, 6, 4);
    for (int i = 0; i < N; i++) {
        r.x[i] = rint(r.x[i] * 100) / 128;
        r.y[i] = 2.5 * r.x[i] - 3;
    }
    wa_line_fit f;
    assert_int_equal(wa_fit_line(&f, r.x, r.y, N, NULL), WA_OK);
    assert_true(f.slope == 2.5 && f.intercept == -3 && f.residual_sd == 0 && f.slope_u == 0);
    assert_true(f.r2_pearson == 1);
    wa_theil_sen_fit sen;
    assert_int_equal(wa_fit_theil_sen(&sen, r.x, r.y, N, NULL), WA_OK);
    assert_true(sen.slope == 2.5 && sen.intercept == -3);
    wa_deming_fit deming;
    assert_int_equal(wa_fit_deming(&deming, r.x, r.y, N, 1, NULL), WA_OK);
    assert_true(deming.slope == 2.5 && deming.intercept == -3 && deming.slope_u < 1e-25);

    every_fit one, scaled;
    make(&r, 7, 4);
    fit_all(&one, &r);
    for (int i = 0; i < N; i++) {
        r.x[i] *= 4;
        r.y[i] *= 0x1p-20;
    }
    assert_int_equal(wa_fit_line(&scaled.line, r.x, r.y, N, NULL), WA_OK);
    assert_true(scaled.line.slope == one.line.slope * 0x1p-22);
    assert_true(scaled.line.intercept_u == one.line.intercept_u * 0x1p-20);
    assert_int_equal(wa_fit_theil_sen(&scaled.sen, r.x, r.y, N, NULL), WA_OK);
    assert_true(scaled.sen.slope == one.sen.slope * 0x1p-22);
}

/* Values near 1e8 that differ in the last digits: nothing is lost. */
static void large_offsets(void **state)
{
    (void)state;
    double x[] = {1e8 + 1, 1e8 + 2, 1e8 + 3, 1e8 + 4}, y[] = {1, 3, 2, 5};
    wa_line_fit far, near;
    assert_int_equal(wa_fit_line(&far, x, y, 4, NULL), WA_OK);
    for (int i = 0; i < 4; i++)
        x[i] -= 1e8;
    assert_int_equal(wa_fit_line(&near, x, y, 4, NULL), WA_OK);
    assert_true(far.slope == near.slope && far.slope_u == near.slope_u && near.slope == 1.1);
    assert_true(far.residual_sd == near.residual_sd);
}

static void undefined_and_misuse(void **state)
{
    (void)state;
    const double x[] = {1, 2, 3, 4}, y[] = {2, 4, 5, 8}, same[] = {3, 3, 3, 3}, zero[4] = {0};
    const double infinite[] = {1, 2, (double)INFINITY, 4}, huge[] = {1e300, -1e300, 1e300, 2e300};
    wa_error err = {0};
    wa_line_fit line = {.slope = 42};
    assert_int_equal(wa_fit_line(&line, x, y, 2, &err), WA_ERR_UNDEFINED);
    assert_non_null(strstr(err.text, "at least 3 records, but there are 2"));
    assert_int_equal(wa_fit_line(&line, x, y, 0, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_line(&line, same, y, 4, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_line(&line, infinite, y, 4, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_line(&line, x, infinite, 4, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_line(&line, huge, huge, 4, NULL), WA_ERR_UNDEFINED);
    assert_true(line.slope == 42);
    assert_int_equal(wa_fit_line(&line, x, same, 4, NULL), WA_OK);
    assert_true(line.slope == 0 && !signbit(line.slope) && line.intercept == 3);
    assert_true(isnan(line.r2_pearson) && line.residual_sd == 0);

    wa_origin_fit o;
    assert_int_equal(wa_fit_through_origin(&o, zero, y, NULL, 4, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_through_origin(&o, x, y, NULL, 1, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_through_origin(&o, x, y, infinite, 4, NULL), WA_ERR_ARG);
    assert_int_equal(wa_fit_through_origin(&o, x, y, zero, 4, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_through_origin(&o, x, same, NULL, 4, NULL), WA_OK);
    assert_true(isnan(o.r2_centred) && isnan(o.r2_pearson) && !isnan(o.r2_uncentred));
    assert_int_equal(wa_fit_through_origin(&o, x, zero, NULL, 4, NULL), WA_OK);
    assert_true(isnan(o.r2_uncentred) && o.slope == 0);

    const double sum[] = {3, 6, 8, 12}, *columns[] = {x, y, sum};
    const char *const names[] = {"a", "b", "c"};
    wa_least_squares_fit f;
    records r;
    make(&r, 8, 4);
    for (int i = 0; i < N; i++)
        r.w[i] = 0.1 * r.x[i] + 0.3 * r.z[i]; /* rounded: not exactly a combination */
    const double *three[] = {r.x, r.z, r.w};
    assert_int_equal(wa_fit_least_squares(&f, r.y, three, names, 3, N, true, &err),
                     WA_ERR_UNDEFINED);
    assert_non_null(strstr(err.text, "'c'"));
    assert_int_equal(wa_fit_least_squares(&f, y, columns, names, 3, 4, false, &err),
                     WA_ERR_UNDEFINED);
    assert_int_equal(wa_fit_least_squares(&f, y, columns, NULL, 0, 4, false, &err), WA_ERR_ARG);
    assert_int_equal(wa_fit_least_squares(&f, y, columns, NULL, 99, 4, false, &err), WA_ERR_ARG);

    double correlation;
    assert_int_equal(wa_correlation(&correlation, x, same, 4, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_correlation(&correlation, x, y, 1, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_correlation(&correlation, infinite, y, 4, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_correlation(&correlation, x, x, 4, NULL), WA_OK);
    assert_true(correlation == 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gsl_agrees_on_lines),
        cmocka_unit_test(gsl_agrees_on_planes),
        cmocka_unit_test(kinds_of_one_fit_agree),
        cmocka_unit_test(order_does_not_matter),
        cmocka_unit_test(missing_records_are_left_out),
        cmocka_unit_test(exact_lines_and_scales),
        cmocka_unit_test(large_offsets),
        cmocka_unit_test(undefined_and_misuse),
    };
    return cmocka_run_group_tests_name("fit", tests, NULL, NULL);
}
