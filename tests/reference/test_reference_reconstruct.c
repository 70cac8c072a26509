/* wa_reconstruct_wind against 40-digit least squares (tests/reference/wind_field: own work,
 * checked by numpy) and the worked numbers of practice 2.9 (computed in R 4.2.2). */
#include "reference.h"
#include "windassay/reconstruct.h"

#include <math.h>

enum { MOST = 60 };

static void take_case(const wa_value *expected)
{
    char path[128];
    wa_beam beams[MOST];
    const double *speed[MOST];
    size_t n;
    snprintf(path, sizeof path, "wind_field/%s", wa_get_string(expected, "file"));
    double *azimuth = reference_column(path, "azimuth_deg", &n);
    double *zenith = reference_column(path, "zenith_deg", &n);
    double *radial = reference_column(path, "radial_speed", &n);
    for (size_t i = 0; i < n; i++) {
        beams[i] = (wa_beam){.azimuth = azimuth[i], .elevation = 90 - zenith[i], .weight = 1};
        speed[i] = &radial[i];
    }
    wa_wind_setup setup = {.frame = WA_WIND_EARTH, .model = WA_WIND_UVW, .beam = beams, .beams = n};
    wa_wind w;
    wa_error err = {0};
    wa_status s = wa_reconstruct_wind(&w, &setup, speed, NULL, NULL, 1, &err);
    if (strstr(path, "degenerate") != NULL) {
        assert_int_equal(s, WA_ERR_UNDEFINED);
        assert_non_null(strstr(err.text, "leave a component of the wind open"));
    } else {
        /* agreement to 1e-13; u, v, w relative to the speed, for they may be near 0 */
        static const char *const names[] = {"u", "v", "w"};
        assert_int_equal(s, WA_OK);
        assert_int_equal(w.beams, n);
        for (int i = 0; i < 3; i++) {
            double right = reference_number(expected, names[i]);
            assert_true(fabs(w.p[i] - right) <= 1e-13 * w.speed);
            for (int j = 0; j < 3; j++) {
                snprintf(path, sizeof path, "inv_normal_matrix.%d.%d", i, j);
                right = reference_number(expected, path);
                assert_true(fabs(w.covariance[i][j] - right) <= 1e-13);
            }
        }
        assert_close(w.speed, reference_number(expected, "horizontal_speed"), 1e-13);
        assert_close(w.direction, reference_number(expected, "direction_from_deg"), 1e-13);
        assert_close(w.condition, reference_number(expected, "condition_number_design"), 1e-13);
        assert_close(w.speed_u, reference_number(expected, "u_speed_for_unit_sigma"), 1e-13);
        assert_close(w.direction_u * 0.017453292519943295,
                     reference_number(expected, "u_dir_rad_for_unit_sigma"), 1e-13);
        if (wa_value_kind(wa_get(expected, "residual_sd")) == WA_NULL)
            assert_true(isnan(w.residual_sd));
        else if (reference_number(expected, "residual_sd") > 1e-9)
            assert_close(w.residual_sd, reference_number(expected, "residual_sd"), 1e-12);
        else
            assert_true(w.residual_sd < 1e-14);
    }
    free(azimuth);
    free(zenith);
    free(radial);
}

static void test_oracles(void **state)
{
    (void)state;
    wa_value *v = reference_json("wind_field/expected.json");
    assert_int_equal(wa_count(v), 5);
    for (size_t i = 0; i < wa_count(v); i++)
        take_case(wa_at(v, i));
    wa_value_free(v);
}

static wa_wind solve(const wa_wind_setup *setup, const double *speeds, const double *tilt,
                     const double *roll)
{
    const double *at[MOST];
    wa_wind w;
    wa_error err = {0};
    for (size_t i = 0; i < setup->beams; i++)
        at[i] = &speeds[i];
    if (wa_reconstruct_wind(&w, setup, at, tilt, roll, 1, &err) != WA_OK)
        fail_msg("%s", err.text);
    assert_int_equal(w.reason, WA_WIND_IS_THERE);
    return w;
}

/* Two beams, half opening 15 degrees; u of each speed 0.1 m/s, correlation 0, 0.9 and 1. */
static void test_two_beams(void **state)
{
    (void)state;
    static const double speeds[] = {9.8, 9.2};
    static const struct {
        double correlation, speed_u, direction_u;
    } right[] = {{0, 0.0794235615, 1.570570144},
                 {0.9, 0.1007215714, 0.501091200},
                 {1, 0.1028160425, 0.070105735}};
    for (int k = 0; k < 3; k++) {
        double r = right[k].correlation;
        double own = 0.1 * sqrt(1 - r), common = 0.1 * sqrt(r);
        wa_beam beams[] = {{15, 0, 0, 1, own, common}, {-15, 0, 0, 1, own, common}};
        wa_wind_setup setup = {WA_WIND_NACELLE, WA_WIND_UV, beams, 2, 0, true};
        wa_wind w = solve(&setup, speeds, NULL, NULL);
        assert_close(w.p[0], 9.835123714, 1e-10);
        assert_close(w.p[1], 1.159110992, 1e-9);
        assert_close(w.speed, 9.903191241, 1e-10);
        assert_close(w.direction, 6.721544853, 1e-10);
        assert_close(w.speed_u, right[k].speed_u, 1e-9);
        assert_close(w.direction_u, right[k].direction_u, 1e-8);
        assert_true(isnan(w.residual_sd) && isnan(w.p[2]));
    }
}

/* Four beams at two heights: each pair, all without shear, and with it. */
static void test_four_beams(void **state)
{
    (void)state;
    static const double speeds[] = {9.9, 9.3, 9.4, 8.9};
    wa_beam beams[] = {{15, 5, 107.4, 1, 0, 0},
                       {-15, 5, 107.4, 1, 0, 0},
                       {15, -5, 72.6, 1, 0, 0},
                       {-15, -5, 72.6, 1, 0, 0}};
    wa_wind_setup setup = {WA_WIND_NACELLE, WA_WIND_UV, beams, 2, 90, false};
    wa_wind w = solve(&setup, speeds, NULL, NULL);
    assert_close(w.p[0], 9.976615365, 1e-10);
    assert_close(w.p[1], 1.163538607, 1e-9);
    assert_close(w.speed, 10.04423597, 1e-9);
    assert_close(w.direction, 6.652159518, 1e-9);
    setup.beam = beams + 2;
    w = solve(&setup, speeds + 2, NULL, NULL);
    assert_close(w.p[0], 9.50896152, 1e-9);
    assert_close(w.p[1], 0.969615506, 1e-9);
    assert_close(w.speed, 9.558268851, 1e-10);
    assert_close(w.direction, 5.822247022, 1e-9);
    setup.beam = beams;
    setup.beams = 4;
    w = solve(&setup, speeds, NULL, NULL);
    assert_close(w.p[0], 9.742788443, 1e-10);
    assert_close(w.p[1], 1.066577057, 1e-9);
    assert_close(w.speed, 9.800995524, 1e-10);
    assert_close(w.direction, 6.24749066, 1e-9);
    /* residuals .25 .2 -.25 -.2: they sum to 0.205 over 2 degrees of freedom */
    assert_close(w.residual_sd, sqrt(0.205 / 2), 1e-4);
    setup.model = WA_WIND_SHEAR;
    w = solve(&setup, speeds, NULL, NULL);
    assert_close(w.p[0], 9.762780803, 1e-10);
    assert_close(w.p[1], 1.070485061, 1e-9);
    assert_close(w.p[2], 0.1228935068, 1e-9);
    assert_close(w.speed, 9.821294582, 1e-10);
    assert_close(w.direction, 6.257461609, 1e-9);
    assert_close(w.residual_sd * w.residual_sd, 0.001352293091, 1e-9);
}

/* A tilt of +1 degree raises a forward beam by sin 1 deg = 0.0174524; a positive roll lowers the
 * right. Seen through u, v, w of three beams that stand on the axes. */
static void test_attitude(void **state)
{
    (void)state;
    const double one = 1, sine = 0.01745240643728351, cosine = 0.9998476951563913;
    wa_beam beams[] = {{0, 0, 0, 1, 0, 0}, {90, 0, 0, 1, 0, 0}, {0, 90, 0, 1, 0, 0}};
    wa_wind_setup setup = {WA_WIND_NACELLE, WA_WIND_UVW, beams, 3, 0, false};
    static const double forward[] = {1, 0, 0}, left[] = {0, 1, 0};
    wa_wind w = solve(&setup, forward, &one, NULL);
    assert_close(w.p[0], cosine, 1e-15);
    assert_close(w.p[2], sine, 1e-15);
    w = solve(&setup, left, NULL, &one);
    assert_close(w.p[1], cosine, 1e-15);
    assert_close(w.p[2], sine, 1e-15); /* the left beam rises */
    /* Earth: forward is north, left is west. */
    setup.frame = WA_WIND_EARTH;
    w = solve(&setup, forward, &one, NULL);
    assert_close(w.p[1], cosine, 1e-15);
    assert_close(w.p[2], sine, 1e-15);
    w = solve(&setup, left, NULL, &one); /* azimuth 90 is east: the right side, lowered */
    assert_close(w.p[0], cosine, 1e-15);
    assert_close(w.p[2], -sine, 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_oracles), cmocka_unit_test(test_two_beams),
        cmocka_unit_test(test_four_beams), cmocka_unit_test(test_attitude)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
