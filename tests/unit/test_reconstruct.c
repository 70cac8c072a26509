/* wa_reconstruct_wind: edges, refusals, reasons. Published and 40-digit numbers:
 * tests/reference/test_reference_reconstruct.c. */
#include "windassay/reconstruct.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define MISSING ((double)NAN)

enum { BEAMS = 5 };

static const wa_beam five[BEAMS] = {{0, 62, 0, 1, 0.1, 0.2},
                                    {90, 62, 0, 1, 0.1, 0.2},
                                    {180, 62, 0, 2, 0.1, 0.2},
                                    {270, 62, 0, 1, 0.3, 0.2},
                                    {0, 90, 0, 1, 0.1, 0.2}};

static wa_wind_setup earth(const wa_beam *beam, size_t n)
{
    wa_wind_setup s = {WA_WIND_EARTH, WA_WIND_UVW, beam, n, 0, true};
    return s;
}

/* The order of the beams changes nothing beyond the last bit or two. */
static void test_order(void **state)
{
    (void)state;
    static const double v[BEAMS] = {-3.1, 1.6, 3.4, -1.5, 0.2};
    static const int order[BEAMS] = {3, 0, 4, 2, 1};
    wa_beam mixed[BEAMS];
    const double *a[BEAMS], *b[BEAMS];
    wa_wind x, y;
    for (int i = 0; i < BEAMS; i++) {
        a[i] = &v[i];
        mixed[i] = five[order[i]];
        b[i] = &v[order[i]];
    }
    wa_wind_setup first = earth(five, BEAMS), second = earth(mixed, BEAMS);
    assert_int_equal(wa_reconstruct_wind(&x, &first, a, NULL, NULL, 1, NULL), WA_OK);
    assert_int_equal(wa_reconstruct_wind(&y, &second, b, NULL, NULL, 1, NULL), WA_OK);
    for (int i = 0; i < 3; i++) {
        assert_true(fabs(x.p[i] - y.p[i]) <= 1e-15);
        for (int j = 0; j < 3; j++) {
            assert_true(fabs(x.covariance[i][j] - y.covariance[i][j]) <= 1e-16);
            assert_true(x.covariance[i][j] == x.covariance[j][i]);
        }
    }
    assert_true(fabs(x.speed_u - y.speed_u) <= 1e-16 && x.condition > 1);
}

/* With W = 1 / u^2 and no common part, G U G' is (A' W A)^-1. */
static void test_weights(void **state)
{
    (void)state;
    static const double v[BEAMS] = {-3.1, 1.6, 3.4, -1.5, 0.2};
    wa_beam beam[BEAMS];
    const double *at[BEAMS];
    wa_wind x, y;
    for (int i = 0; i < BEAMS; i++) {
        at[i] = &v[i];
        beam[i] = five[i];
        beam[i].u_common = 0;
        beam[i].weight = 1 / (beam[i].u * beam[i].u);
    }
    wa_wind_setup s = earth(beam, BEAMS);
    assert_int_equal(wa_reconstruct_wind(&x, &s, at, NULL, NULL, 1, NULL), WA_OK);
    s.uncertainties = false;
    assert_int_equal(wa_reconstruct_wind(&y, &s, at, NULL, NULL, 1, NULL), WA_OK);
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            assert_true(fabs(x.covariance[i][j] - y.covariance[i][j]) <= 1e-15);
}

static void test_missing(void **state)
{
    (void)state;
    enum { N = 5 };
    static const double speeds[BEAMS][N] = {{-3, MISSING, MISSING, -3, 0},
                                            {1.6, 1.6, MISSING, 1.6, 0},
                                            {3.4, 3.4, 3.4, 3.4, 0},
                                            {-1.5, -1.5, MISSING, (double)INFINITY, 0},
                                            {0.2, 0.2, 0.2, 0.2, 0}};
    static const double tilt[N] = {0, 0, 0, MISSING, 0};
    const double *at[BEAMS];
    wa_wind w[N];
    for (int i = 0; i < BEAMS; i++)
        at[i] = speeds[i];
    wa_wind_setup s = earth(five, BEAMS);
    assert_int_equal(wa_reconstruct_wind(w, &s, at, tilt, NULL, N, NULL), WA_OK);
    assert_int_equal(w[0].reason, WA_WIND_IS_THERE);
    assert_int_equal(w[1].reason, WA_WIND_IS_THERE);
    assert_int_equal(w[1].beams, 4);
    assert_int_equal(w[2].reason, WA_WIND_TOO_FEW_BEAMS);
    assert_true(isnan(w[2].p[0]) && isnan(w[2].speed) && isnan(w[2].condition));
    assert_int_equal(w[3].reason, WA_WIND_NO_ATTITUDE);
    assert_true(w[4].speed == 0 && isnan(w[4].direction) && isnan(w[4].speed_u));
    for (int r = 1; r < WA_WIND_REASONS; r++)
        assert_true(strlen(wa_wind_reason_text((wa_wind_reason)r)) > 5);
    assert_int_equal(wa_reconstruct_wind(w, &s, at, NULL, NULL, 0, NULL), WA_OK); /* no records */
}

static void refused(wa_beam beam, wa_status code, const char *text)
{
    const double v = 1, *const at[] = {&v, &v, &v};
    wa_beam beams[] = {beam, five[1], five[2]};
    wa_wind_setup s = earth(beams, 3);
    wa_error err = {0};
    wa_wind w = {.speed = 42};
    assert_int_equal(wa_reconstruct_wind(&w, &s, at, NULL, NULL, 1, &err), code);
    if (strstr(err.text, text) == NULL)
        fail_msg("%s", err.text);
    assert_true(w.speed == 42); /* untouched */
}

static void test_refusals(void **state)
{
    (void)state;
    refused((wa_beam){MISSING, 1, 0, 1, 0, 0}, WA_ERR_ARG, "beam 1: azimuth");
    refused((wa_beam){0, 91, 0, 1, 0, 0}, WA_ERR_ARG, "elevation 91");
    refused((wa_beam){0, 62, 0, -1, 0, 0}, WA_ERR_ARG, "a weight of -1");
    refused((wa_beam){0, 62, 0, 1, -1, 0}, WA_ERR_ARG, "an uncertainty of -1");
    refused((wa_beam){0, 62, 0, 0, 0, 0}, WA_ERR_UNDEFINED, "2 beams for 3 unknowns");
    refused(five[1], WA_ERR_UNDEFINED, "leave a component of the wind open");
    /* nearly the same direction: the condition number says it */
    refused((wa_beam){90.0001, 62, 0, 1, 0, 0}, WA_ERR_UNDEFINED, "condition number");
    wa_wind_setup none = earth(five, 0);
    assert_int_equal(wa_reconstruct_wind(NULL, &none, NULL, NULL, NULL, 0, NULL), WA_ERR_ARG);
}

/* A shear so strong that no exponent below 100 fits, or none that the beams determine. */
static void test_shear(void **state)
{
    (void)state;
    static const wa_beam beams[] = {
        {15, 0, 100, 1, 0, 0}, {-15, 0, 100, 1, 0, 0}, {15, 0, 99, 1, 0, 0}, {-15, 0, 99, 1, 0, 0}};
    static const double high = 9, low = 1e-5, nothing = 0;
    const double *const steep[] = {&high, &high, &low, &low};
    const double *const calm[] = {&nothing, &nothing, &nothing, &nothing};
    wa_wind_setup s = {WA_WIND_NACELLE, WA_WIND_SHEAR, beams, 4, 100, false};
    wa_wind w;
    assert_int_equal(wa_reconstruct_wind(&w, &s, steep, NULL, NULL, 1, NULL), WA_OK);
    assert_true(w.reason == WA_WIND_NO_SOLUTION || w.reason == WA_WIND_NOT_DETERMINED);
    assert_true(isnan(w.p[2]));
    assert_int_equal(wa_reconstruct_wind(&w, &s, calm, NULL, NULL, 1, NULL), WA_OK);
    assert_int_equal(w.reason, WA_WIND_NOT_DETERMINED); /* no wind has no exponent */
    s.at = 0;
    assert_int_equal(wa_reconstruct_wind(&w, &s, calm, NULL, NULL, 1, NULL), WA_ERR_ARG);
}

/* Park and Miller's generator, Box and Muller's normals: the same in every run. */
static double normal(uint64_t *state)
{
    double u[2];
    for (int i = 0; i < 2; i++) {
        *state = *state * 48271 % 2147483647;
        u[i] = (double)*state / 2147483647;
    }
    return sqrt(-2 * log(u[0])) * cos(6.283185307179586 * u[1]);
}

/* A known wind, seen with fresh noise, of each beam's own and of all together: 95 % intervals of
 * speed and direction hold the truth in 95 % of 4000 records (3 sd of that count are 1 %). */
static void test_coverage(void **state)
{
    (void)state;
    enum { N = 4000, FOUR = 4 };
    static double speeds[FOUR][N];
    static wa_wind w[N];
    static const wa_beam beams[FOUR] = {{15, 5, 0, 1, 0.08, 0.10},
                                        {-15, 5, 0, 1, 0.05, 0.10},
                                        {15, -5, 0, 1, 0.08, 0.12},
                                        {-15, -5, 0, 1, 0.08, 0.10}};
    static const double u = 9, v = 1.5, degree = 57.29577951308232;
    const double *at[FOUR];
    uint64_t seed = 20260302;
    for (int i = 0; i < N; i++) {
        double shared = normal(&seed);
        for (int b = 0; b < FOUR; b++) {
            double azimuth = beams[b].azimuth / degree, up = beams[b].elevation / degree;
            speeds[b][i] = cos(up) * (u * cos(azimuth) + v * sin(azimuth)) +
                           shared * beams[b].u_common + normal(&seed) * beams[b].u;
        }
    }
    for (int b = 0; b < FOUR; b++)
        at[b] = speeds[b];
    wa_wind_setup s = {WA_WIND_NACELLE, WA_WIND_UV, beams, FOUR, 0, true};
    assert_int_equal(wa_reconstruct_wind(w, &s, at, NULL, NULL, N, NULL), WA_OK);
    int by_speed = 0, by_direction = 0;
    for (int i = 0; i < N; i++) {
        by_speed += fabs(w[i].speed - hypot(u, v)) <= 1.96 * w[i].speed_u;
        by_direction += fabs(w[i].direction - atan2(v, u) * degree) <= 1.96 * w[i].direction_u;
    }
    assert_in_range(by_speed, 0.94 * N, 0.96 * N);
    assert_in_range(by_direction, 0.94 * N, 0.96 * N);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_order),   cmocka_unit_test(test_weights),
        cmocka_unit_test(test_missing), cmocka_unit_test(test_refusals),
        cmocka_unit_test(test_shear),   cmocka_unit_test(test_coverage)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
