/* Running medians and median absolute deviations against R 4.2.2 (rolling/rolling.R: runmed,
 * median, mad): to the last bit, for the series holds quarters of m/s, on which both sides compute
 * without rounding. */
#include "reference/reference.h"
#include "windassay/rolling.h"

enum { ROWS = 240 };

static double *column_of(const char *name)
{
    size_t n = 0;
    double *x = reference_column("rolling/expected.csv", name, &n);
    assert_int_equal(n, ROWS);
    return x;
}

/* Rows [from, to) of R's column are what was found; gives how many are there. */
static int same(const double *found, const char *name, size_t from, size_t to)
{
    double *right = column_of(name);
    int there = 0;
    for (size_t i = from; i < to; i++) {
        if (isnan(found[i]) != isnan(right[i]) || (!isnan(found[i]) && found[i] != right[i]))
            fail_msg("%s, row %zu: %g, R says %g", name, i + 1, found[i], right[i]);
        there += !isnan(found[i]);
    }
    free(right);
    return there;
}

static void whole_series(void **state)
{
    (void)state;
    double found[ROWS], *x = column_of("whole");
    wa_column a = {.at = x, .n = ROWS}, out = {.at = found};
    for (size_t n = 7; n <= 31; n += 24) {
        assert_int_equal(wa_rolling_median(&out, &a, (int64_t)n, NULL), WA_OK);
        same(found, n == 7 ? "runmed_7" : "runmed_31", n / 2, ROWS - n / 2);
        assert_int_equal(wa_rolling_mad(&out, &a, (int64_t)n, NULL), WA_OK);
        assert_int_equal(same(found, n == 7 ? "whole_mad_7" : "whole_mad_31", 0, ROWS), ROWS);
    }
    free(x);
}

static void missing_values_and_gaps(void **state)
{
    (void)state;
    static const int windows[] = {1, 3, 7, 31};
    double found[ROWS], *x = column_of("x"), *time = column_of("hour");
    wa_column a = {.at = x, .n = ROWS, .time = time}, out = {.at = found};
    for (size_t i = 0; i < sizeof windows / sizeof *windows; i++) {
        char name[16];
        snprintf(name, sizeof name, "median_%d", windows[i]);
        assert_int_equal(wa_rolling_median(&out, &a, windows[i], NULL), WA_OK);
        assert_true(same(found, name, 0, ROWS) > ROWS / 2);
        snprintf(name, sizeof name, "mad_%d", windows[i]);
        assert_int_equal(wa_rolling_mad(&out, &a, windows[i], NULL), WA_OK);
        assert_true(same(found, name, 0, ROWS) > ROWS / 2);
    }
    free(time);
    free(x);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whole_series),
        cmocka_unit_test(missing_values_and_gaps),
    };
    return cmocka_run_group_tests_name("reference rolling", tests, NULL, NULL);
}
