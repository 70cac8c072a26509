/* Directions. Sources of the data: tests/reference/circular/README.md; expected values from
 * 40-digit arithmetic, agreeing with R `circular` 0.4-95 to 15 digits. */
#include "windassay/circular.h"

#include "windassay/number.h"
#include "windassay/unit.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

enum { ROOM = 400 };
static const double nan_ = (double)NAN;

static size_t read_directions(double *x, const char *name)
{
    char path[512], line[64];
    snprintf(path, sizeof path, "%s/reference/circular/%s.csv", WA_TESTS_DIR, name);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    size_t n = 0;
    assert_non_null(fgets(line, sizeof line, f));
    bool radians = strstr(line, "rad") != NULL;
    wa_unit rad, degree = wa_unit_degree();
    assert_int_equal(wa_unit_parse(&rad, "rad", NULL), WA_OK);
    while (fgets(line, sizeof line, f) != NULL) {
        assert_true(n < ROOM);
        assert_int_equal(wa_number_parse(&x[n], line, strcspn(line, "\r\n")), WA_PARSE_OK);
        if (radians)
            assert_int_equal(wa_unit_convert(&x[n], x[n], &rad, &degree, NULL), WA_OK);
        n++;
    }
    fclose(f);
    return n;
}

/* Within two units of the last place: the formulas round a few times. */
static void near(double a, double b)
{
    if (!(fabs(a - b) <= 4.5e-16 * fabs(b)))
        fail_msg("%.17g is not %.17g", a, b);
}

static void published_data(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t n;
        double mean, resultant, sd, yamartino, deviation;
    } sets[] = {
        {"mardia_roulette", 9, 51.05017710854996, 0.7109909988631772, 47.32336638886358,
         47.08813075990366, 43.56054600535933},
        {"wind_coldelaroa_rad", 310, 16.740040610925313, 0.6557247004256057, 52.63821869676419,
         52.28940362693077, 47.5434357108322},
        {"fisherB18_wind_dir", 19, 16.706620517176905, 0.5171416326692517, 65.7998307848058,
         64.56849283753077, 56.30507107587528},
        {"fisherB6_set1", 40, 228.0614320496891, 0.40488035259388006, 77.04796264856691,
         73.93564144675591, 62.50860032861975},
        {"fisherB6_set2", 30, 247.61656289135428, 0.7828331239025261, 40.0935976986318,
         39.913375796731195, 37.76021186023724},
        {"fisherB6_set3", 30, 235.50594371136177, 0.6087903532378479, 57.082317094482505,
         56.55297178652394, 50.68067703921573},
        {"turtles", 10, 317.23531950915554, 0.8186496296738786, 36.24600835540466,
         36.07718563774674, 34.50617762904413},
    };
    for (size_t i = 0; i < sizeof sets / sizeof *sets; i++) {
        double x[ROOM], v = 0;
        size_t n = read_directions(x, sets[i].name);
        assert_int_equal(n, sets[i].n);
        assert_int_equal(wa_circular_mean(&v, x, n, NULL), WA_OK);
        near(v, sets[i].mean);
        assert_int_equal(wa_circular_resultant(&v, x, n, NULL), WA_OK);
        near(v, sets[i].resultant);
        assert_int_equal(wa_circular_sd(&v, x, n, NULL), WA_OK);
        near(v, sets[i].sd);
        assert_int_equal(wa_circular_yamartino_sd(&v, x, n, NULL), WA_OK);
        near(v, sets[i].yamartino);
        assert_int_equal(wa_circular_angular_deviation(&v, x, n, NULL), WA_OK);
        near(v, sets[i].deviation);
    }
}

/* practice.md 4.3 (worked values to 9 or 10 digits). */
static void across_north(void **state)
{
    (void)state;
    const double x[] = {350, nan_, 10}, y[] = {355, 5, 2, 359, 10, 350};
    double v;
    assert_int_equal(wa_circular_mean(&v, x, 3, NULL), WA_OK);
    assert_true(v == 0 && !signbit(v));
    assert_int_equal(wa_circular_resultant(&v, x, 3, NULL), WA_OK);
    assert_true(fabs(v - 0.9848077530) < 5e-11);
    assert_int_equal(wa_circular_sd(&v, x, 3, NULL), WA_OK);
    assert_true(fabs(v - 10.02556025) < 5e-9);
    assert_int_equal(wa_circular_yamartino_sd(&v, x, 3, NULL), WA_OK);
    assert_true(fabs(v - 10.00810033) < 5e-9);
    assert_int_equal(wa_circular_mean(&v, y, 6, NULL), WA_OK);
    assert_true(fabs(v - 0.1676901464) < 5e-11);
    const double just_below[] = {-1e-20};
    assert_int_equal(wa_circular_mean(&v, just_below, 1, NULL), WA_OK);
    assert_true(v >= 0 && v < 360);
}

static void cancelling(void **state)
{
    (void)state;
    const double x[] = {0, 90, 180, 270}, none[] = {nan_};
    double v = 7;
    wa_error err = {0};
    assert_int_equal(wa_circular_mean(&v, x, 4, &err), WA_ERR_UNDEFINED);
    assert_string_equal(err.text,
                        "mean direction undefined: the directions cancel (mean resultant 0.0e+00)");
    assert_int_equal(wa_circular_sd(&v, x, 4, &err), WA_ERR_UNDEFINED);
    assert_int_equal(wa_circular_mean(&v, none, 1, &err), WA_ERR_UNDEFINED);
    assert_string_equal(err.text, "a mean direction needs at least 1 value");
    assert_true(v == 7);
    assert_int_equal(wa_circular_yamartino_sd(&v, x, 4, NULL), WA_OK);
    assert_true(fabs(v - 103.923048) < 5e-7);
    assert_int_equal(wa_circular_resultant(&v, x, 4, NULL), WA_OK);
    assert_true(v == 0);
}

/* No spread is 0, whatever the direction; a small one is not drowned: for +-d the resultant is
 * cos d, and the sd approaches d. */
static void small_spreads(void **state)
{
    (void)state;
    for (double deg = 0; deg < 360; deg += 7.3) {
        const double same[] = {deg, deg, deg};
        double v = 1;
        assert_int_equal(wa_circular_sd(&v, same, 3, NULL), WA_OK);
        assert_true(v == 0);
        assert_int_equal(wa_circular_mean(&v, same, 3, NULL), WA_OK);
        assert_true(fabs(v - deg) < 1e-13);
        const double pair[] = {deg - 0x1p-10, deg + 0x1p-10}; /* 0.001 degree */
        assert_int_equal(wa_circular_sd(&v, pair, 2, NULL), WA_OK);
        assert_true(fabs(v / 0x1p-10 - 1) < 1e-6);
    }
}

/* Any order of the rows, and whole turns added, give the same bits. */
static void order_is_nothing(void **state)
{
    (void)state;
    double x[ROOM], y[ROOM], a, b;
    size_t n = read_directions(x, "fisherB6_set1");
    for (size_t i = 0; i < n; i++)
        y[i] = x[n - 1 - i] + 360 * (double)(i % 3);
    assert_int_equal(wa_circular_sd(&a, x, n, NULL), WA_OK);
    assert_int_equal(wa_circular_sd(&b, y, n, NULL), WA_OK);
    assert_memory_equal(&a, &b, sizeof a);
}

static void differences(void **state)
{
    (void)state;
    static const double cases[][3] = {
        {10, 350, 20}, {350, 10, -20},  {180, 0, 180},   {0, 180, 180}, {190, 10, 180},
        {90, 90, 0},   {-170, 170, 20}, {720.5, 0, 0.5}, {0, 181, 179}, {181, 0, -179}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double d = wa_circular_difference(cases[i][0], cases[i][1]);
        if (d != cases[i][2])
            fail_msg("%g - %g gave %g", cases[i][0], cases[i][1], d);
    }
    assert_true(isnan(wa_circular_difference(nan_, 1)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_data),   cmocka_unit_test(across_north),
        cmocka_unit_test(cancelling),       cmocka_unit_test(small_spreads),
        cmocka_unit_test(order_is_nothing), cmocka_unit_test(differences),
    };
    return cmocka_run_group_tests_name("circular", tests, NULL, NULL);
}
