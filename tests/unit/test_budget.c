/* Budgets: worked numbers of the practice, and the rules by hand. */
#include "windassay/budget.h"
#include "windassay/exact.h"
#include "windassay/portable.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void close_to(double got, double want, double relative)
{
    if (!(fabs(got - want) <= relative * fabs(want)))
        fail_msg("%.17g instead of %.17g", got, want);
}

static wa_budget *make(size_t bins)
{
    wa_budget *b = NULL;
    assert_int_equal(wa_budget_new(&b, bins, NULL), WA_OK);
    return b;
}

static void add(wa_budget *b, const char *name, double u, double c, const char *group)
{
    wa_component k = {
        .name = name, .kind = WA_TYPE_B, .u = {&u, 1}, .sensitivity = {&c, 1}, .group = group};
    assert_int_equal(wa_budget_add(b, &k, NULL), WA_OK);
}

static double combined(const wa_budget *b)
{
    double u = -1;
    assert_int_equal(wa_budget_combined(&u, NULL, b, NULL), WA_OK);
    return u;
}

/* Source: practice.md 1.4 (IEC 61400-12-1 Annex L, recalled), numbers computed in R. */
static void worked_bin(void **state)
{
    (void)state;
    const double difference[] = {0.06, 0.04, 0.01, 0.09, 0.02, 0.03};
    double v = 10, class = (0.05 + 0.005 * v) * 1.2 / sqrt(3), mean, a, n = 5;
    assert_int_equal(wa_mean_sd(&mean, &a, difference, 6, WA_DIVISOR_N_MINUS_1, NULL), WA_OK);
    close_to(a, 0.02926887, 1e-7);
    wa_budget *b = make(1);
    add(b, "calibration", 0.05, 1, NULL);
    add(b, "operational", class, 1, NULL);
    add(b, "mounting", 0.005 * v, 1, NULL);
    add(b, "data acquisition", 0.01, 1, NULL);
    add(b, "mean deviation", mean, 1, NULL);
    add(b, "mounting of the unit", 0.01, 1, NULL);
    add(b, "flow", 0.005 * v, 1, NULL);
    a /= sqrt(6);
    wa_component type_a = {
        .name = "scatter", .kind = WA_TYPE_A, .u = {&a, 1}, .dof = {&n, 1}, .source = "records"};
    assert_int_equal(wa_budget_add(b, &type_a, NULL), WA_OK);
    close_to(class, 0.06928203, 1e-7);
    close_to(a, 0.01194897, 1e-6);
    close_to(combined(b), 0.11991200, 5e-9 / 0.12);
    close_to(2 * combined(b), 0.239824, 1e-6);
    wa_budget_free(b);
}

/* Source: practice.md 2.7 (IEC 61400-50-3 and the public DTU method, recalled), computed in R. */
static void line_of_sight(void **state)
{
    (void)state;
    double v = 10, phi = 1.5, dth = 20, radian = 3.14159265358979312 / 180;
    double cosines = wa_cos_deg(phi) * wa_cos_deg(dth), v_ref = v * cosines;
    wa_budget *cup = make(1), *b = make(1);
    add(cup, "calibration", 0.05, 1, NULL);
    add(cup, "operational", (0.05 + 0.005 * v) * 1.2 / sqrt(3), 1, NULL);
    add(cup, "mounting", 0.005 * v, 1, NULL);
    add(cup, "data acquisition", 0.01, 1, NULL);
    double u_v = combined(cup);
    close_to(u_v, 0.099498744, 1e-8);
    close_to(v_ref, 9.393706116, 1e-9);
    for (size_t i = 0; i < wa_budget_count(cup); i++)
        add(b, wa_budget_at(cup, i)->name, wa_budget_at(cup, i)->u[0], cosines, NULL);
    close_to(combined(b), 0.093466196, 1e-8);
    add(b, "tilt", 0.05, -v * wa_sin_deg(phi) * wa_cos_deg(dth) * radian, NULL);
    add(b, "vane", 0.4, -v * wa_cos_deg(phi) * wa_sin_deg(dth) * radian, NULL);
    add(b, "line of sight", 0.1, v * wa_cos_deg(phi) * wa_sin_deg(dth) * radian, NULL);
    add(b, "height", 0.1, 0.2 * v_ref / 8.9, NULL);
    close_to(combined(b), 0.098928958, 1e-8);
    add(b, "scatter", 0.12 / sqrt(60), 1, NULL);
    close_to(combined(b), 0.100134603, 1e-8);
    close_to(2 * combined(b), 0.200269206, 1e-8);
    close_to(200 * combined(b) / v_ref, 2.131950936, 1e-8);
    wa_budget_free(cup);
    wa_budget_free(b);
}

/* JCGM 100:2008, 5.2.2 note 1: with r = 1 contributions add linearly, with their signs. */
static void groups(void **state)
{
    (void)state;
    wa_budget *b = make(1);
    add(b, "a", 3, 1, "g");
    add(b, "b", 4, 1, "g");
    close_to(combined(b), 7, 1e-15);
    add(b, "c", 24, 1, "h");
    close_to(combined(b), 25, 1e-15);
    add(b, "d", 7, -1, "g"); /* takes the first two away */
    close_to(combined(b), 24, 1e-15);
    wa_budget_free(b);
}

/* JCGM 100:2008, 4.3.7, 4.3.9, 4.3.3: divisors; arcsine: half width / sqrt(2). */
static void divisors(void **state)
{
    (void)state;
    static const struct {
        wa_shape shape;
        double k, divisor;
    } cases[] = {{WA_SHAPE_NORMAL, 0, 1},
                 {WA_SHAPE_NORMAL, 2, 2},
                 {WA_SHAPE_RECTANGULAR, 0, 1.7320508075688772},
                 {WA_SHAPE_TRIANGULAR, 0, 2.4494897427831781},
                 {WA_SHAPE_U_SHAPED, 0, 1.4142135623730951}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double half = 0.1;
        wa_shape shape = WA_SHAPE_NORMAL;
        wa_component c = {.name = "x",
                          .kind = WA_TYPE_B,
                          .shape = cases[i].shape,
                          .k = cases[i].k,
                          .u = {&half, 1}};
        wa_budget *b = make(1);
        assert_int_equal(wa_budget_add(b, &c, NULL), WA_OK);
        close_to(combined(b), half / cases[i].divisor, 1e-15);
        close_to(wa_budget_at(b, 0)->divisor, cases[i].divisor, 1e-15);
        assert_true(wa_shape_of(&shape, wa_shape_word(c.shape)) && shape == c.shape);
        wa_budget_free(b);
    }
    wa_shape kept = WA_SHAPE_TRIANGULAR;
    assert_false(wa_shape_of(&kept, "round"));
    assert_int_equal(kept, WA_SHAPE_TRIANGULAR);
}

static wa_status add_raw(wa_budget *b, const wa_component *c, const char *fragment)
{
    wa_error err = {0};
    wa_status s = wa_budget_add(b, c, &err);
    if (s != WA_OK && strstr(err.text, fragment) == NULL)
        fail_msg("'%s' lacks '%s'", err.text, fragment);
    return s;
}

static void refused(void **state)
{
    (void)state;
    wa_budget *b = make(2);
    double one[3] = {1, 1, 1}, minus = -1, few = 0.5, infinite = HUGE_VAL;
    wa_component c = {.name = "cup calibration", .kind = WA_TYPE_B, .u = {one, 2}};
    assert_int_equal(add_raw(b, &c, ""), WA_OK);
    c.name = "Cup_Calibration";
    assert_int_equal(add_raw(b, &c, "in the budget already, as 'cup calibration'"), WA_ERR_ARG);
    c.name = "";
    assert_int_equal(add_raw(b, &c, "needs a name"), WA_ERR_ARG);
    c = (wa_component){.name = "x", .u = {one, 3}};
    assert_int_equal(add_raw(b, &c, "3 values of uncertainty for 2 bins"), WA_ERR_ARG);
    c.u = (wa_per_bin){&minus, 1};
    assert_int_equal(add_raw(b, &c, "uncertainty is -1"), WA_ERR_ARG);
    c.u = (wa_per_bin){&infinite, 1};
    assert_int_equal(add_raw(b, &c, "uncertainty is infinite"), WA_ERR_ARG);
    c.u = (wa_per_bin){one, 1};
    c.sensitivity = (wa_per_bin){&infinite, 1};
    assert_int_equal(add_raw(b, &c, "sensitivity is infinite"), WA_ERR_ARG);
    c.sensitivity = (wa_per_bin){NULL, 0};
    c.dof = (wa_per_bin){&few, 1};
    assert_int_equal(add_raw(b, &c, "degrees of freedom is 0.5"), WA_ERR_ARG);
    c.dof = (wa_per_bin){&infinite, 1};
    c.k = 2;
    c.shape = WA_SHAPE_RECTANGULAR;
    assert_int_equal(add_raw(b, &c, "goes with shape 'normal'"), WA_ERR_ARG);
    assert_int_equal(wa_budget_count(b), 1);
    wa_budget_free(b);
    assert_int_equal(wa_budget_new(&b, 0, NULL), WA_ERR_ARG);
    b = make(1);
    double u;
    assert_int_equal(wa_budget_combined(&u, NULL, b, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_budget_overall(&(wa_overall){0}, NULL, b, NULL, NULL, NULL),
                     WA_ERR_UNDEFINED);
    wa_budget_free(b);
}

/* GUM H.1, table H.1 (JCGM 100:2008, recalled): contributions in nm with their degrees of freedom;
 * nu_eff 16.656 from the rounded inputs (practice.md 5.2, computed). */
static void degrees_of_freedom(void **state)
{
    (void)state;
    static const struct {
        double u, dof;
    } rows[] = {{25, 18}, {9.7, 25.6}, {2.900, 50}, {16.675, 2}};
    wa_budget *b = make(1);
    char name[] = "a";
    for (size_t i = 0; i < 4; i++, name[0]++) {
        wa_component c = {.name = name, .u = {&rows[i].u, 1}, .dof = {&rows[i].dof, 1}};
        assert_int_equal(wa_budget_add(b, &c, NULL), WA_OK);
    }
    double u, dof;
    assert_int_equal(wa_budget_combined(&u, &dof, b, NULL), WA_OK);
    close_to(u, 31.71, 1e-4);
    close_to(dof, 16.656, 1e-4);
    /* cut to 16: t99 = 2.9208 (table G.2: 2.92), U99 = 92.6 */
    close_to(wa_coverage_factor(0.99, dof), 2.9207816224251, 1e-13);
    close_to(wa_coverage_factor(0.99, dof) * u, 92.6, 1e-3);
    /* table G.2: t95(16) = 2.12, t95.45(16) = 2.17, k95.45(infinite) = 2.00 */
    close_to(wa_coverage_factor(0.95, 16), 2.12, 0.005 / 2.12);
    close_to(wa_coverage_factor(0.9545, 16), 2.17, 0.005 / 2.17);
    close_to(wa_coverage_factor(0.9545, HUGE_VAL), 2.00, 0.005 / 2.00);
    close_to(wa_coverage_factor(0.99, 16 - 1e-13), 2.9207816224251, 1e-13);
    assert_true(isnan(wa_coverage_factor(0.95, 0.9)));
    assert_true(isnan(wa_coverage_factor(1, 5)));
    wa_budget_free(b);
}

/* Members of a group of one keep their degrees of freedom; the group counts as one effect. */
static void dof_of_groups(void **state)
{
    (void)state;
    double u = 2, nu = 8, dof;
    wa_budget *b = make(1);
    wa_component c = {.name = "a", .u = {&u, 1}, .dof = {&nu, 1}, .group = "g"};
    assert_int_equal(wa_budget_add(b, &c, NULL), WA_OK);
    assert_int_equal(wa_budget_combined(&u, &dof, b, NULL), WA_OK);
    close_to(dof, 8, 1e-15);
    c.name = "b"; /* twice the same size: g = 4, spread 4/8 + 4/8: 16 / 1 */
    assert_int_equal(wa_budget_add(b, &c, NULL), WA_OK);
    assert_int_equal(wa_budget_combined(&u, &dof, b, NULL), WA_OK);
    close_to(u, 4, 1e-15);
    close_to(dof, 16, 1e-15);
    wa_budget_free(b);
}

static void over_bins(void **state)
{
    (void)state;
    const double nan = (double)NAN;
    double cup[] = {0.06, 0.08, 0.10, 1}, scatter[] = {0.03, 0.04, 0.12, nan}, nu[] = {9, 9, 9, 9};
    double weights[] = {1, 1, 2, 1}, speed[] = {6, 8, 10, 12}, alone[2], u[4], dof[4];
    wa_budget *b = make(4);
    wa_component c = {.name = "cup", .kind = WA_TYPE_B, .u = {cup, 4}};
    wa_component a = {.name = "scatter", .kind = WA_TYPE_A, .u = {scatter, 4}, .dof = {nu, 4}};
    assert_int_equal(wa_budget_add(b, &c, NULL), WA_OK);
    assert_int_equal(wa_budget_add(b, &a, NULL), WA_OK);
    assert_int_equal(wa_budget_combined(u, dof, b, NULL), WA_OK);
    close_to(u[0], sqrt(0.0036 + 0.0009), 1e-15);
    assert_true(isnan(u[3]) && isnan(dof[3]));
    close_to(dof[0], 0.0045 * 0.0045 / (0.0009 * 0.0009 / 9), 1e-14);

    /* by hand: the cup is the same in each bin, the scatter is not */
    wa_overall o;
    assert_int_equal(wa_budget_overall(&o, alone, b, weights, NULL, NULL), WA_OK);
    double same = (0.06 + 0.08 + 2 * 0.10) / 4;
    double own = sqrt(0.03 * 0.03 + 0.04 * 0.04 + 4 * 0.12 * 0.12) / 4;
    close_to(o.u, sqrt(same * same + own * own), 1e-14);
    close_to(alone[0], same, 1e-15);
    close_to(alone[1], own, 1e-15);
    assert_int_equal(o.bins, 3);
    assert_int_equal(o.left_out, 1);
    assert_int_equal(wa_budget_overall(&o, NULL, b, NULL, speed, NULL), WA_OK);
    same = (0.06 / 6 + 0.08 / 8 + 0.10 / 10) / 3;
    own = sqrt(0.005 * 0.005 + 0.005 * 0.005 + 0.012 * 0.012) / 3;
    close_to(o.u, sqrt(same * same + own * own), 1e-14);

    weights[0] = -1;
    assert_int_equal(wa_budget_overall(&o, NULL, b, weights, NULL, NULL), WA_ERR_ARG);
    speed[1] = 0;
    assert_int_equal(wa_budget_overall(&o, NULL, b, NULL, speed, NULL), WA_ERR_ARG);
    double none[] = {0, nan, 0, 1};
    assert_int_equal(wa_budget_overall(&o, NULL, b, none, NULL, NULL), WA_ERR_UNDEFINED);
    wa_budget_free(b);
}

/* Pitfall: a common cup counted as independent in each of n bins is understated by sqrt(n). */
static void common_cup(void **state)
{
    (void)state;
    enum { N = 25 };
    double u[N], nu[N];
    for (size_t i = 0; i < N; i++) {
        u[i] = 0.05;
        nu[i] = 10;
    }
    wa_overall o;
    wa_component c = {.name = "cup", .kind = WA_TYPE_B, .u = {u, N}, .dof = {nu, N}};
    wa_budget *b = make(N);
    assert_int_equal(wa_budget_add(b, &c, NULL), WA_OK);
    assert_int_equal(wa_budget_overall(&o, NULL, b, NULL, NULL, NULL), WA_OK);
    close_to(o.u, 0.05, 1e-15);
    close_to(o.dof, 10, 1e-14);
    wa_budget_free(b);
    b = make(N);
    c.kind = WA_TYPE_A;
    assert_int_equal(wa_budget_add(b, &c, NULL), WA_OK);
    assert_int_equal(wa_budget_overall(&o, NULL, b, NULL, NULL, NULL), WA_OK);
    close_to(o.u, 0.05 / 5, 1e-15);
    close_to(o.dof, 250, 1e-14);
    wa_budget_free(b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(worked_bin),    cmocka_unit_test(line_of_sight),
        cmocka_unit_test(groups),        cmocka_unit_test(divisors),
        cmocka_unit_test(refused),       cmocka_unit_test(degrees_of_freedom),
        cmocka_unit_test(dof_of_groups), cmocka_unit_test(over_bins),
        cmocka_unit_test(common_cup),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
