/* Propagation of distributions: exact results of sums, and the procedure itself. */
#include "windassay/monte_carlo.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { MOST = 400000 };

static double *values, *scratch;

static int make_room(void **state)
{
    (void)state;
    values = malloc(MOST * sizeof *values);
    scratch = malloc(4 * WA_TRIALS_BLOCK * sizeof *scratch);
    return values == NULL || scratch == NULL;
}

static int give_back(void **state)
{
    (void)state;
    free(values);
    free(scratch);
    return 0;
}

static void within(double got, double want, double by)
{
    if (!(fabs(got - want) <= by))
        fail_msg("%.17g instead of %.17g", got, want);
}

static wa_status sum(double *y, const double *const *x, size_t n, size_t trials, void *context,
                     wa_error *err)
{
    (void)context, (void)err;
    for (size_t t = 0; t < trials; t++) {
        y[t] = 0;
        for (size_t i = 0; i < n; i++)
            y[t] += x[i][t];
    }
    return WA_OK;
}

static wa_status root(double *y, const double *const *x, size_t n, size_t trials, void *context,
                      wa_error *err)
{
    (void)n, (void)context, (void)err;
    for (size_t t = 0; t < trials; t++)
        y[t] = sqrt(x[0][t]);
    return WA_OK;
}

static wa_monte_carlo spec(const wa_distribution *input, size_t n)
{
    return (wa_monte_carlo){.input = input,
                            .n = n,
                            .seed = 11,
                            .probability = 0.95,
                            .trials = 200000,
                            .digits = 2,
                            .most = MOST,
                            .values = values,
                            .scratch = scratch};
}

static wa_trials run(const wa_monte_carlo *mc)
{
    wa_trials t;
    assert_int_equal(wa_monte_carlo_run(&t, mc, sum, NULL, NULL), WA_OK);
    return t;
}

/* JCGM 101:2008, 9.2 (recalled): exact ends +-3.92; +-2 sqrt 3 (2 - (3/5)^(1/4)) = 3.8794067;
 * with one input of sd 10: u = sqrt 103, end 17.0158141 (practice.md 5.3, computed). */
static void four_inputs(void **state)
{
    (void)state;
    wa_distribution x[4];
    for (int i = 0; i < 4; i++)
        x[i] = (wa_distribution){WA_NORMAL, 0, 1, 0};
    wa_monte_carlo mc = spec(x, 4);
    wa_trials t = run(&mc);
    within(t.mean, 0, 0.02);
    within(t.u, 2, 0.015);
    within(t.low, -3.92, 0.04);
    within(t.high, 3.92, 0.04);
    for (int i = 0; i < 4; i++)
        x[i] = (wa_distribution){WA_RECTANGULAR, 0, sqrt(3), 0};
    t = run(&mc);
    within(t.u, 2, 0.015);
    within(t.high, 3.8794067, 0.04);
    x[3].scale = 10 * sqrt(3);
    t = run(&mc);
    within(t.u, sqrt(103), 0.06);
    within(t.high, 17.0158141, 0.06);
    within(t.low, -17.0158141, 0.06);
}

/* Standard deviations and quantiles that are known of each distribution. */
static void distributions(void **state)
{
    (void)state;
    static const struct {
        wa_distribution x;
        double u, high, by; /* 97.5 % */
    } cases[] = {
        {{WA_NORMAL, 5, 2, 0}, 2, 5 + 2 * 1.959963984540054, 0.03},
        {{WA_RECTANGULAR, 5, 2, 0}, 1.1547005383792515, 5 + 2 * 0.95, 0.01},
        {{WA_TRIANGULAR, 5, 2, 0}, 0.81649658092772603, 5 + 2 * 0.77639320225002106, 0.015},
        {{WA_U_SHAPED, 5, 2, 0}, 1.4142135623730951, 5 + 2 * 0.99691733373312796, 0.01},
        /* sd of t: sqrt(dof / (dof - 2)); t of 5 at 0.975: 2.571 (JCGM 100, table G.2) */
        {{WA_STUDENT_T, 5, 2, 5}, 2 * 1.2909944487358056, 5 + 2 * 2.5705818356363146, 0.06},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wa_monte_carlo mc = spec(&cases[i].x, 1);
        wa_trials t = run(&mc);
        within(t.mean, 5, 0.02);
        within(t.u, cases[i].u, 0.03);
        within(t.high, cases[i].high, cases[i].by);
        within(t.low, 10 - cases[i].high, cases[i].by);
        assert_true(t.shortest_high - t.shortest_low <= t.high - t.low);
    }
}

/* By hand: 20 values, p = 0.9: q = 18, r = 1 (7.7.2 with M - q even): y(1) to y(19); the shortest of
 * [1, 19] and [2, 20]. */
static wa_status squares(double *y, const double *const *x, size_t n, size_t trials, void *context,
                         wa_error *err)
{
    (void)x, (void)n, (void)context, (void)err;
    for (size_t t = 0; t < trials; t++) /* not in order */
        y[t] = (double)(((t * 7) % 20 + 1) * ((t * 7) % 20 + 1));
    return WA_OK;
}

static void intervals(void **state)
{
    (void)state;
    wa_distribution x = {WA_NORMAL, 0, 1, 0};
    wa_monte_carlo mc = spec(&x, 1);
    wa_trials t;
    mc.trials = 20;
    mc.probability = 0.9;
    assert_int_equal(wa_monte_carlo_run(&t, &mc, squares, NULL, NULL), WA_OK);
    within(t.mean, 143.5, 0);
    within(t.low, 1, 0);
    within(t.high, 361, 0);
    within(t.shortest_low, 1, 0);
    within(t.shortest_high, 361, 0);
    mc.probability = 0.5; /* q = 10, r = 5: 25 to 225; the shortest lies at the small end */
    assert_int_equal(wa_monte_carlo_run(&t, &mc, squares, NULL, NULL), WA_OK);
    within(t.low, 25, 0);
    within(t.high, 225, 0);
    within(t.shortest_low, 1, 0);
    within(t.shortest_high, 121, 0);
}

static void adaptive(void **state)
{
    (void)state;
    wa_distribution x[] = {{WA_NORMAL, 0, 3, 0}, {WA_NORMAL, 0, 4, 0}};
    wa_monte_carlo mc = spec(x, 2);
    mc.trials = 0;
    wa_trials t = run(&mc); /* u = 5.0: two digits, half a unit of the second is 0.05 */
    within(t.tolerance, 0.05, 0);
    within(t.u, 5, t.tolerance);
    within(t.high, 5 * 1.959963984540054, t.tolerance);
    assert_int_equal(t.trials % WA_TRIALS_BLOCK, 0);
    assert_true(t.trials >= 2 * WA_TRIALS_BLOCK && t.trials < MOST);
    mc.digits = 1;
    wa_trials coarse = run(&mc);
    within(coarse.tolerance, 0.5, 0);
    assert_true(coarse.trials < t.trials);
    mc.most = 15000; /* not even two blocks */
    assert_int_equal(wa_monte_carlo_run(&t, &mc, sum, NULL, NULL), WA_ERR_UNDEFINED);
    x[0].scale = x[1].scale = 0; /* nothing varies: one block says it */
    mc.most = MOST;
    within(run(&mc).u, 0, 0);
}

/* The same seed and number of trials: the same bits, whatever was asked before. */
static void same_bits(void **state)
{
    (void)state;
    wa_distribution x = {WA_NORMAL, 1, 0.1, 0};
    wa_monte_carlo mc = spec(&x, 1);
    mc.trials = 25000;
    wa_trials a = run(&mc), b = run(&mc);
    assert_memory_equal(&a, &b, sizeof a);
    mc.seed = 12;
    assert_true(run(&mc).mean != a.mean);
}

static void correlated(void **state)
{
    (void)state;
    const wa_distribution x[] = {{WA_NORMAL, 0, 3, 0}, {WA_NORMAL, 0, 4, 0}};
    const double half[] = {1, 0.5, 0.5, 1}, minus[] = {1, -1, -1, 1}, bad[] = {1, 2, 2, 1};
    wa_monte_carlo mc = spec(x, 2);
    mc.correlation = half;
    within(run(&mc).u, sqrt(9 + 16 + 12), 0.05);
    mc.correlation = minus;
    within(run(&mc).u, 1, 0.01);
    mc.correlation = bad;
    wa_trials t;
    assert_int_equal(wa_monte_carlo_run(&t, &mc, sum, NULL, NULL), WA_ERR_ARG);
    const wa_distribution y[] = {{WA_NORMAL, 0, 3, 0}, {WA_RECTANGULAR, 0, 4, 0}};
    mc.input = y;
    mc.correlation = half;
    assert_int_equal(wa_monte_carlo_run(&t, &mc, sum, NULL, NULL), WA_ERR_ARG);
}

static void refused(void **state)
{
    (void)state;
    wa_distribution x = {WA_NORMAL, 0, 1, 0};
    wa_trials t;
    wa_monte_carlo mc = spec(&x, 1), m = mc;
    m.trials = 100; /* a root of what is below 0 in half of them */
    assert_int_equal(wa_monte_carlo_run(&t, &m, root, NULL, NULL), WA_ERR_UNDEFINED);
    m = mc, m.seed = 0;
    assert_int_equal(wa_monte_carlo_run(&t, &m, sum, NULL, NULL), WA_ERR_ARG);
    m = mc, m.probability = 1;
    assert_int_equal(wa_monte_carlo_run(&t, &m, sum, NULL, NULL), WA_ERR_ARG);
    m = mc, m.trials = 10, m.probability = 0.99;
    assert_int_equal(wa_monte_carlo_run(&t, &m, sum, NULL, NULL), WA_ERR_ARG);
    m = mc, m.trials = 0, m.digits = 3;
    assert_int_equal(wa_monte_carlo_run(&t, &m, sum, NULL, NULL), WA_ERR_ARG);
    m = mc, m.n = 0;
    assert_int_equal(wa_monte_carlo_run(&t, &m, sum, NULL, NULL), WA_ERR_ARG);
    x.scale = -1;
    assert_int_equal(wa_monte_carlo_run(&t, &mc, sum, NULL, NULL), WA_ERR_ARG);
    x = (wa_distribution){WA_STUDENT_T, 0, 1, 0.5};
    assert_int_equal(wa_monte_carlo_run(&t, &mc, sum, NULL, NULL), WA_ERR_ARG);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(four_inputs), cmocka_unit_test(distributions),
        cmocka_unit_test(intervals),   cmocka_unit_test(adaptive),
        cmocka_unit_test(same_bits),   cmocka_unit_test(correlated),
        cmocka_unit_test(refused),
    };
    return cmocka_run_group_tests(tests, make_room, give_back);
}
