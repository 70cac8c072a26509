/* Windows about a row, by hand; long series stand in tests/reference/test_reference_rolling.c. */
#include "windassay/rolling.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const double none = (double)NAN;

static void expect(const wa_column *c, const double *want)
{
    for (size_t i = 0; i < c->n; i++)
        if (isnan(want[i]) ? !isnan(c->at[i]) : c->at[i] != want[i])
            fail_msg("row %zu: %g, not %g", i + 1, c->at[i], want[i]);
}

static void by_hand(void **state)
{
    (void)state;
    double x[7] = {1, 2, 30, 4, none, 5, none}, r[7];
    wa_column a = {.at = x, .n = 7, .side = WA_SIDE_UNIT}, out = {.at = r};
    assert_int_equal(wa_unit_parse(&a.unit, "m/s", NULL), WA_OK);
    assert_int_equal(wa_rolling_median(&out, &a, 3, NULL), WA_OK);
    /* two values at the ends and beside what is missing; the last row has one of three */
    expect(&out, (double[]){1.5, 2, 4, 17, 4.5, none, none});
    assert_true(wa_unit_equal(&out.unit, &a.unit) && out.side == WA_SIDE_UNIT);
    assert_int_equal(wa_rolling_mad(&out, &a, 3, NULL), WA_OK);
    expect(&out, (double[]){0.5, 1, 2, 13, 0.5, none, none});
    assert_int_equal(wa_rolling_median(&out, &a, 1, NULL), WA_OK);
    expect(&out, x);
}

static void gaps(void **state)
{
    (void)state;
    const double time[6] = {0, 600, 1200, 6000, 6600, 7200};
    double x[6] = {1, 2, 3, 10, 20, 60}, r[6];
    wa_column a = {.at = x, .n = 6, .time = time}, out = {.at = r};
    assert_int_equal(wa_unit_parse(&a.unit, "degC", NULL), WA_OK);
    assert_int_equal(wa_rolling_median(&out, &a, 5, NULL), WA_OK);
    expect(&out, (double[]){2, 2, 2, 20, 20, 20});
    assert_ptr_equal(out.time, time);
    assert_int_equal(wa_rolling_mad(&out, &a, 5, NULL), WA_OK);
    expect(&out, (double[]){1, 1, 1, 10, 10, 10});
    assert_string_equal(out.unit.text, "K");
    assert_int_equal(wa_rolling_median(&out, &a, 7, NULL), WA_OK);
    expect(&out, (double[]){none, none, none, none, none, none});
    a.n = 0;
    assert_int_equal(wa_rolling_median(&out, &a, 3, NULL), WA_OK);
    assert_int_equal(out.n, 0);
}

static void refused(void **state)
{
    (void)state;
    double x[2] = {1, 2}, r[2] = {7, 7};
    wa_column a = {.at = x, .n = 2}, out = {.at = r};
    static const int64_t wrong[] = {0, -1, 2, WA_ROLLING_MAX + 2};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        wa_error err = {0};
        assert_int_equal(wa_rolling_median(&out, &a, wrong[i], &err), WA_ERR_ARG);
        assert_int_equal(wa_rolling_mad(&out, &a, wrong[i], &err), WA_ERR_ARG);
        assert_non_null(strstr(err.text, "rolling_mad: a window of"));
        assert_true(out.n == 0 && r[0] == 7);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(by_hand),
        cmocka_unit_test(gaps),
        cmocka_unit_test(refused),
    };
    return cmocka_run_group_tests_name("rolling", tests, NULL, NULL);
}
