/* Units. Second opinion: UDUNITS-2 (libudunits2, Debian 2.2.28), which computes in doubles, so that
 * the two agree to some 1e-15 and not always in the last bit. Exact values: by definition of the
 * units (sources in unit.h). */
#include "windassay/unit.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <udunits2.h>

static wa_unit unit(const char *text)
{
    wa_unit u;
    wa_error err = {0};
    if (wa_unit_parse(&u, text, &err) != WA_OK)
        fail_msg("%s: %s", text, err.text);
    return u;
}

static double convert(double x, const char *from, const char *to)
{
    wa_unit a = unit(from), b = unit(to);
    double y = -1;
    wa_error err = {0};
    if (wa_unit_convert(&y, x, &a, &b, &err) != WA_OK)
        fail_msg("%s", err.text);
    return y;
}

/* Exact by definition: nothing may be lost in the last digit. */
static void exact_values(void **state)
{
    (void)state;
    assert_true(convert(50, "degF", "degC") == 10);
    assert_true(convert(10, "degC", "degF") == 50);
    assert_true(convert(0, "degC", "K") == 273.15);
    /* what the nearest double to 273.15 is above or below 273.15, exactly */
    assert_true(convert(273.15, "K", "degC") == -0x1.999999999999ap-46);
    assert_true(convert(-40, "degF", "degC") == -40);
    assert_true(convert(1, "knot", "m s-1") == 1852.0 / 3600.0);
    assert_true(convert(36, "km/h", "m/s") == 10);
    assert_true(convert(1, "mph", "m/s") == 0.44704);
    assert_true(convert(1013.25, "hPa", "Pa") == 101325);
    assert_true(convert(1013.25, "mbar", "hPa") == 1013.25);
    assert_true(convert(7, "%", "1") == 0.07);
    assert_true(convert(10, "min", "s") == 600);
    assert_true(convert(180, "degree", "rad") == 0x1.921fb54442d18p+1); /* pi, nearest double */
    assert_true(convert(0x1.921fb54442d18p+1, "rad", "degree") == 180);
    assert_true(convert(0.1, "m/s", "m/s") == 0.1);
}

static const char *const groups[][12] = {
    {"m/s", "m s-1", "m.s-1", "m.s^-1", "km/h", "knot", "knots", "kt", "mm/s", "mile/h", "ft/s"},
    {"degree", "degrees", "rad", "radian", "degree_true", "mrad"},
    {"degC", "celsius", "degF", "K", "degrees_C", "degR"},
    {"1", "%", "percent", "mm/m"},
    {"hPa", "Pa", "kPa", "mbar", "millibar", "bar", "N m-2", "kg m-1 s-2"},
    {"s", "min", "h", "day", "hours", "ms"},
    {"Hz", "s-1", "1/min", "kHz"},
    {"kg m-3", "g/m3", "g cm-3"},
    {"m", "km", "mm", "meter", "ft"},
    {"m^2", "m2", "km2", "cm^2"},
    {"V", "mV", "W/A"},
    {"W", "kW", "J/s", "W m-2 m2"},
    {"m2 s-2", "J/kg", "(m/s)(m/s)"},
    {"K/km", "K m-1"},
};
enum { GROUPS = sizeof groups / sizeof *groups };

static void as_udunits(void **state)
{
    (void)state;
    static const double values[] = {0, 1, -1, 12.5, 287.65, 1013.25, 1e-3, 123456.789};
    ut_set_error_message_handler(ut_ignore);
    ut_system *system = ut_read_xml(NULL);
    assert_non_null(system);
    size_t compared = 0;
    for (size_t g = 0; g < GROUPS; g++)
        for (size_t i = 0; i < 12 && groups[g][i] != NULL; i++)
            for (size_t j = 0; j < 12 && groups[g][j] != NULL; j++) {
                ut_unit *from = ut_parse(system, groups[g][i], UT_UTF8);
                ut_unit *to = ut_parse(system, groups[g][j], UT_UTF8);
                if (from == NULL || to == NULL)
                    fail_msg("udunits does not read %s or %s", groups[g][i], groups[g][j]);
                cv_converter *c = ut_get_converter(from, to);
                assert_non_null(c);
                for (size_t k = 0; k < sizeof values / sizeof *values; k++) {
                    double theirs = cv_convert_double(c, values[k]);
                    double ours = convert(values[k], groups[g][i], groups[g][j]);
                    /* degF and degC subtract nearby numbers in doubles: absolute 1e-12 */
                    if (!(fabs(ours - theirs) <= 4e-15 * fabs(theirs) + (g == 2 ? 1e-12 : 0)))
                        fail_msg("%g %s in %s: ours %.17g, udunits %.17g", values[k], groups[g][i],
                                 groups[g][j], ours, theirs);
                    compared++;
                }
                cv_free(c);
                ut_free(from);
                ut_free(to);
            }
    ut_free_system(system);
    assert_true(compared > 2000);
}

/* Every pair from different groups must be refused (UDUNITS holds the radian for a pure number
 * and knows no dB; we hold both apart on purpose). */
static void incompatible_pairs(void **state)
{
    (void)state;
    for (size_t g = 0; g < GROUPS; g++)
        for (size_t h = 0; h < GROUPS; h++) {
            if (g == h)
                continue;
            wa_unit a = unit(groups[g][0]), b = unit(groups[h][0]);
            double y = 7;
            wa_error err = {0};
            assert_false(wa_unit_comparable(&a, &b));
            assert_int_equal(wa_unit_convert(&y, 1, &a, &b, &err), WA_ERR_ARG);
            assert_true(y == 7);
        }
    wa_unit a = unit("dB"), b = unit("1");
    wa_error err = {0};
    double y;
    assert_int_equal(wa_unit_convert(&y, 1, &a, &b, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "'dB' cannot be converted to '1'");
}

static void printed_in_one_way(void **state)
{
    (void)state;
    static const char *const pairs[][2] = {
        {"m/s", "m s-1"},
        {"m.s-1", "m s-1"},
        {"m * s^-1", "m s-1"},
        {"m / s", "m s-1"},
        {"m/s/s", "m s-2"},
        {"m^2", "m2"},
        {"m**2", "m2"},
        {"m m", "m2"},
        {"degrees", "degree"},
        {"deg", "degree"},
        {"celsius", "degC"},
        {"percent", "%"},
        {"kt", "knot"},
        {"W/(m2 K)", "W m-2 K-1"},
        {"1/s", "s-1"},
        {"m/m", "1"},
        {"1", "1"},
        {"\xc2\xb0", "degree"},
        {"\xc2\xb0"
         "C",
         "degC"},
        {"m\xc2\xb2 s\xe2", NULL},
        {"W/m\xc2\xb2", "W m-2"},
        {"m\xc2\xb7s-1", "m s-1"},
        {"hectopascal", "hPa"},
        {"\xc2\xb5m", "um"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        wa_unit u;
        wa_status s = wa_unit_parse(&u, pairs[i][0], NULL);
        if (pairs[i][1] == NULL) {
            assert_int_equal(s, WA_ERR_ARG);
            continue;
        }
        assert_int_equal(s, WA_OK);
        assert_string_equal(u.text, pairs[i][1]);
        wa_unit again = unit(u.text); /* what is printed reads back as the same unit */
        assert_true(wa_unit_equal(&u, &again));
        assert_string_equal(u.text, again.text);
    }
}

static void refused(void **state)
{
    (void)state;
    static const struct {
        const char *text, *error, *hint;
    } cases[] = {
        {"", "a unit is empty", "the pure number is \"1\""},
        {"degres", "unit 'degres' is not known", "did you mean 'degree'?"},
        {"m/sx", "unit 'm/sx': 'sx' is not known", NULL},
        {"10 m", "unit '10 m': a unit holds no number other than 1", NULL},
        {"m^", "unit 'm^': a power must be a whole number", NULL},
        {"m12", "unit 'm12': the power is too high", NULL},
        {"m9 m9", "unit 'm9 m9': too many factors or too high a power", NULL},
        {"(m", "unit '(m': a parenthesis is not closed", NULL},
        {"m)", "unit 'm)': a parenthesis is not opened", NULL},
        {"m/", "unit 'm/': a factor is missing", NULL},
        {"degC/m", "unit 'degC/m': degC has a zero of its own and cannot be multiplied",
         "use K: convert with :to(\"K\")"},
        {"m\n", "unit 'm\\x0a': a factor does not begin so", NULL},
        {"(((((m)))))", "unit '(((((m)))))': too many parentheses", NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wa_unit u = wa_unit_one();
        wa_error err = {0};
        assert_int_equal(wa_unit_parse(&u, cases[i].text, &err), WA_ERR_ARG);
        assert_string_equal(err.text, cases[i].error);
        if (cases[i].hint != NULL)
            assert_string_equal(err.hint, cases[i].hint);
        assert_string_equal(u.text, "1"); /* untouched */
    }
}

static void products_and_roots(void **state)
{
    (void)state;
    wa_unit v = unit("m/s"), t = unit("s"), c = unit("degC"), k = unit("km/h"), one = unit("1");
    wa_unit r;
    wa_error err = {0};
    assert_int_equal(wa_unit_multiply(&r, &v, &t, NULL), WA_OK);
    assert_string_equal(r.text, "m");
    assert_int_equal(wa_unit_divide(&r, &v, &v, NULL), WA_OK);
    assert_true(wa_unit_is_one(&r));
    assert_int_equal(wa_unit_divide(&r, &k, &v, NULL), WA_OK);
    assert_string_equal(r.text, "km h-1 m-1 s");
    double y;
    assert_int_equal(wa_unit_convert(&y, 36, &r, &one, NULL), WA_OK);
    assert_true(y == 10);
    assert_int_equal(wa_unit_power(&r, &v, 2, NULL), WA_OK);
    assert_string_equal(r.text, "m2 s-2");
    assert_int_equal(wa_unit_root(&r, &r, NULL), WA_OK);
    assert_true(wa_unit_equal(&r, &v));
    assert_int_equal(wa_unit_root(&r, &v, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "the square root of 'm s-1' is no unit");
    assert_int_equal(wa_unit_multiply(&r, &c, &v, &err), WA_ERR_ARG);
    assert_int_equal(wa_unit_power(&r, &v, 10, &err), WA_ERR_ARG);
    r = wa_unit_difference(&c);
    assert_string_equal(r.text, "K");
    c = unit("degF");
    r = wa_unit_difference(&c);
    assert_true(convert(9, r.text, "K") == 5);
}

static void inside_units(void **state)
{
    (void)state;
    static const char *const pairs[][2] = {
        {"knot", "m s-1"}, {"rad", "degree"}, {"K", "degC"}, {"degF", "degC"}, {"1", "1"},
        {"%", "%"},        {"kPa", "hPa"},    {"dB", "dB"},  {"km", "km"},     {"kg m-3", "kg m-3"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        wa_unit u = unit(pairs[i][0]), in = wa_unit_inside(&u);
        assert_string_equal(in.text, pairs[i][1]);
    }
}

static void slope_and_zero(void **state)
{
    (void)state;
    wa_unit f = unit("degF"), c = unit("degC");
    double slope, offset;
    assert_int_equal(wa_unit_affine(&slope, &offset, &f, &c, NULL), WA_OK);
    assert_true(slope == 5.0 / 9.0);
    assert_true(offset == -160.0 / 9.0);
    wa_unit rad = unit("rad"), degree = unit("degree");
    assert_int_equal(wa_unit_affine(&slope, &offset, &rad, &degree, NULL), WA_OK);
    assert_true(slope == 0x1.ca5dc1a63c1f8p+5 && offset == 0); /* 180/pi, nearest double */
    wa_unit m = unit("m");
    assert_int_equal(wa_unit_affine(&slope, &offset, &m, &degree, NULL), WA_ERR_ARG);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_values),
        cmocka_unit_test(as_udunits),
        cmocka_unit_test(incompatible_pairs),
        cmocka_unit_test(printed_in_one_way),
        cmocka_unit_test(refused),
        cmocka_unit_test(products_and_roots),
        cmocka_unit_test(inside_units),
        cmocka_unit_test(slope_and_zero),
    };
    return cmocka_run_group_tests_name("unit", tests, NULL, NULL);
}
