/* How long until enough has come: against mpmath, against Student's t, and against what then came. */
#include "windassay/forecast.h"
#include "windassay/quantile.h"
#include "windassay/random.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

static void assert_near(double found, double right, double tolerance)
{
    if (!(fabs(found - right) <= tolerance))
        fail_msg("%.17g is not %.17g", found, right);
}

static wa_forecast wait(const wa_arrivals *a, double probability)
{
    wa_forecast f = {0};
    wa_error err;
    if (wa_forecast_wait(&f, a, probability, &err) != WA_OK)
        fail_msg("%s", err.text);
    return f;
}

/* The formula of forecast.h worked out with mpmath 1.2 at 40 digits: the F quantile by solving the
 * regularised incomplete beta function. */
static void as_mpmath_has_it(void **state)
{
    static const double clumps[] = {0, 4, 0, 3, 0, 0, 6, 0, 0, 0, 5, 0, 0, 4};
    static const double singles[] = {1, 0, 1, 2, 1, 0, 1, 1};
    (void)state;
    wa_forecast f = wait(&(wa_arrivals){clumps, 14, 22, 14, 18, 144}, 0.8);
    assert_near(f.low, 4.8843946423965987, 1e-12);
    assert_near(f.middle, 10.495935387701904, 1e-12);
    assert_near(f.high, 21.973927007087881, 1e-12);
    f = wait(&(wa_arrivals){singles, 8, 9, 8.5, 3, 144}, 0.8);
    assert_near(f.low, 0.94449809993528799, 1e-13);
    assert_near(f.middle, 2.4795439661784151, 1e-13);
    assert_near(f.high, 5.6619776386605933, 1e-13);
}

/* One spell of nine, and less than half a spell more: F(1, 3) is the square of t(3), whose quantiles
 * 0.7649 (p = 0.75) and 2.3534 (p = 0.95) stand in every table of Student's distribution. */
static void one_spell_is_a_square_of_t(void **state)
{
    static const double once[] = {0, 0, 9, 0};
    (void)state;
    wa_forecast f = wait(&(wa_arrivals){once, 4, 9, 4, 2, 144}, 0.8);
    double scale = 4 * 0.5 / 1.5;
    assert_near(f.middle, scale * 0.7649 * 0.7649, 2e-4);
    assert_near(f.high, scale * 2.3534 * 2.3534, 1e-3);
}

static void no_day_brings_more_than_it_has(void **state)
{
    static const double even[] = {100, 101, 99, 100};
    (void)state;
    wa_forecast f = wait(&(wa_arrivals){even, 4, 400, 4, 1000, 100}, 0.8);
    assert_true(f.low == 10);
    f = wait(&(wa_arrivals){even, 4, 400, 4, 1000, 144}, 0.8);
    assert_true(f.low < f.middle && f.middle < f.high);
    assert_near(f.middle, 10, 0.1);
}

static void refuses_what_has_no_rate(void **state)
{
    static const double nothing[] = {0, 0, 0};
    wa_forecast f = {1, 2, 3};
    wa_error err;
    (void)state;
    wa_arrivals a = {nothing, 3, 0, 3, 3, 144};
    assert_int_equal(wa_forecast_wait(&f, &a, 0.8, &err), WA_ERR_UNDEFINED);
    assert_string_equal(err.text, "none so far");
    a = (wa_arrivals){nothing, 1, 2, 1.5, 3, 144};
    assert_int_equal(wa_forecast_wait(&f, &a, 0.8, &err), WA_ERR_UNDEFINED);
    assert_true(f.low == 1 && f.middle == 2 && f.high == 3);
}

/* Records that a day brings: on one day in three a spell of 1 to 9 records. */
static double a_day(wa_random *r)
{
    return wa_random_below(r, 3) == 0 ? 1 + (double)wa_random_below(r, 9) : 0;
}

/* Weather of independent days, watched for a fortnight: how often does the rest come within the
 * interval of 80 %? (With 800 trials the share has a standard error of 1.4 %. The size of spells
 * is itself a guess from 14 days, so that some per cent fewer than 80 are to be expected.) */
static void holds_what_it_says(void **state)
{
    enum { TRIALS = 800, DAYS = 14, MISSING = 12 };
    wa_random *r = NULL;
    int within = 0, earlier = 0, trials = 0;
    (void)state;
    assert_int_equal(wa_random_new(&r, 5, NULL), WA_OK);
    for (int t = 0; t < TRIALS; t++) {
        double count[DAYS], total = 0, came = 0, day = 0;
        for (int d = 0; d < DAYS; d++)
            total += count[d] = a_day(r);
        if (total == 0)
            continue;
        wa_forecast f = wait(&(wa_arrivals){count, DAYS, total, DAYS, MISSING, 144}, 0.8);
        for (; came < MISSING; day++)
            came += a_day(r);
        trials++;
        within += day >= f.low && day - 1 <= f.high; /* it came during that day */
        earlier += day - 0.5 < f.middle;
    }
    wa_random_free(r);
    print_message("within %.1f %%, before the middle %.1f %%\n", 100.0 * within / trials,
                  100.0 * earlier / trials);
    assert_in_range(within * 1000 / trials, 740, 880);
    assert_in_range(earlier * 1000 / trials, 420, 580);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(as_mpmath_has_it),
        cmocka_unit_test(one_spell_is_a_square_of_t),
        cmocka_unit_test(no_day_brings_more_than_it_has),
        cmocka_unit_test(refuses_what_has_no_rate),
        cmocka_unit_test(holds_what_it_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
