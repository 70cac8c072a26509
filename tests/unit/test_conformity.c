/* Conformity: probabilities against 40-digit values, decisions against the rules of ILAC-G8:09. */
#include "windassay/conformity.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define NONE ((double)NAN)

static wa_tolerance limits(double lower, double upper)
{
    return (wa_tolerance){!isnan(lower), !isnan(upper), isnan(lower) ? 0 : lower,
                          isnan(upper) ? 0 : upper};
}

static double probability(double y, double u, double lower, double upper)
{
    wa_tolerance t = limits(lower, upper);
    double p = -1;
    assert_int_equal(wa_conformity_probability(&p, y, u, &t, NULL), WA_OK);
    return p;
}

static void close_to(double got, double want, double relative)
{
    if (!(fabs(got - want) <= relative * fabs(want)))
        fail_msg("%.17g instead of %.17g", got, want);
}

/* JCGM 106:2012, formulas of 7.4 and 7.5; values computed with 40 digits (mpmath) for this
 * project. The inputs of the two named examples are recalled, not seen. */
static void probabilities(void **state)
{
    (void)state;
    close_to(probability(-5.47, 0.05, NONE, -5.40), 0.91924334076622890, 1e-14); /* Zener voltage */
    close_to(probability(13.6, 1.8, 12.5, 16.3), 0.66262978649530783, 1e-14);    /* motor oil */
    close_to(probability(0, 0.1, -1, 1), 1, 0);
    close_to(probability(0, 0.25, -1, 1), 0.99993665751633376, 1e-15);
    close_to(probability(0, 0.5, -1, 1), 0.95449973610364159, 1e-15);
    close_to(probability(0.5, 0.1, -1, 1), 0.99999971334842812, 1e-15);
    close_to(probability(0.5, 0.25, -1, 1), 0.97724986706523315, 1e-15);
    /* outside the limits the small probability keeps its digits: mpmath, ncdf(-8) - ncdf(-12) */
    close_to(probability(3, 0.25, 0, 1), 6.2209605742717841e-16, 1e-13);
    close_to(probability(-2, 0.25, 0, 1), 6.2209605742717841e-16, 1e-13);
    /* gains of a lidar, limits 0.98 to 1.02 (computed for this project) */
    close_to(probability(1.004, 0.008, 0.98, 1.02), 0.97590, 1e-5);
    close_to(probability(0.985, 0.008, 0.98, 1.02), 0.73401, 1e-5);
}

static void without_uncertainty_it_is_one_or_nothing(void **state)
{
    (void)state;
    assert_true(probability(1.02, 0, 0.98, 1.02) == 1);
    assert_true(probability(1.0200001, 0, 0.98, 1.02) == 0);
}

/* The chance of a false acceptance at the acceptance limit, by w/u (ILAC-G8:09 4.2.2: below 2.5 %
 * for w = U; the row computed for this project). */
static void false_acceptance_at_the_limit(void **state)
{
    (void)state;
    static const double row[][2] = {{0, .5},        {.5, .30854}, {1, .15866}, {1.645, .04998},
                                    {1.96, .02500}, {2, .02275},  {3, .00135}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++)
        assert_true(fabs(1 - probability(-row[i][0], 1, NONE, 0) - row[i][1]) < 6e-6);
}

static wa_decision decide(double y, double u, wa_tolerance t, wa_rule rule)
{
    wa_measured m = {.value = y, .has_u = !isnan(u), .u = isnan(u) ? 0 : u};
    wa_decision d;
    assert_int_equal(wa_conformity_decide(&d, &m, &t, rule, 2, NULL), WA_OK);
    return d;
}

/* ILAC-G8:09/2019 4.2.1 to 4.2.3 (recalled), u and limits exact in binary: TL = 0, TU = 8,
 * w = U = 2 u = 1; the boundaries belong to the better outcome (our convention). */
static void rules(void **state)
{
    (void)state;
    static const struct {
        double y;
        wa_outcome simple, guarded, non_binary;
    } cases[] = {
        {4, WA_OUTCOME_PASS, WA_OUTCOME_PASS, WA_OUTCOME_PASS},
        {7, WA_OUTCOME_PASS, WA_OUTCOME_PASS, WA_OUTCOME_PASS},
        {7.25, WA_OUTCOME_PASS, WA_OUTCOME_FAIL, WA_OUTCOME_CONDITIONAL_PASS},
        {8, WA_OUTCOME_PASS, WA_OUTCOME_FAIL, WA_OUTCOME_CONDITIONAL_PASS},
        {8.25, WA_OUTCOME_FAIL, WA_OUTCOME_FAIL, WA_OUTCOME_CONDITIONAL_FAIL},
        {9, WA_OUTCOME_FAIL, WA_OUTCOME_FAIL, WA_OUTCOME_CONDITIONAL_FAIL},
        {9.25, WA_OUTCOME_FAIL, WA_OUTCOME_FAIL, WA_OUTCOME_FAIL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        for (int side = 0; side < 4; side++) { /* two-sided and one-sided, mirrored as well */
            double y = side % 2 == 0 ? cases[i].y : 8 - cases[i].y;
            wa_tolerance t = side == 2   ? limits(NONE, 8)
                             : side == 3 ? limits(0, NONE)
                                         : limits(0, 8);
            assert_int_equal(decide(y, NONE, t, WA_RULE_SIMPLE).outcome, cases[i].simple);
            assert_int_equal(decide(y, .5, t, WA_RULE_GUARDED).outcome, cases[i].guarded);
            wa_decision d = decide(y, .5, t, WA_RULE_NON_BINARY);
            assert_int_equal(d.outcome, cases[i].non_binary);
            assert_true(d.has_guard_band && d.guard_band == 1 && d.has_probability);
            assert_null(d.reason);
        }
}

static void an_absent_or_incomplete_uncertainty_decides_nothing(void **state)
{
    (void)state;
    wa_tolerance t = limits(0, 8);
    wa_decision d = decide(4, NONE, t, WA_RULE_GUARDED);
    assert_int_equal(d.outcome, WA_OUTCOME_INCONCLUSIVE);
    assert_non_null(d.reason);
    assert_false(d.has_probability || d.has_guard_band);

    wa_measured scatter = {.value = 4, .has_u = true, .scatter_only = true, .u = .5};
    assert_int_equal(wa_conformity_decide(&d, &scatter, &t, WA_RULE_NON_BINARY, 2, NULL), WA_OK);
    assert_int_equal(d.outcome, WA_OUTCOME_INCONCLUSIVE);
    assert_string_equal(d.reason, "uncertainty incomplete (scatter only)");
    assert_false(d.has_probability);
    assert_int_equal(wa_conformity_decide(&d, &scatter, &t, WA_RULE_SIMPLE, 2, NULL), WA_OK);
    assert_int_equal(d.outcome, WA_OUTCOME_PASS);
    assert_false(d.has_probability);
}

static void a_guard_band_wider_than_the_limits_is_said(void **state)
{
    (void)state;
    wa_decision d = decide(4, 5, limits(0, 8), WA_RULE_NON_BINARY);
    assert_int_equal(d.outcome, WA_OUTCOME_CONDITIONAL_PASS);
    assert_string_equal(d.reason, "the guard bands leave no room to pass");
}

static void refused(void **state)
{
    (void)state;
    double p;
    wa_tolerance none = {0}, swapped = limits(2, 1), good = limits(1, 2);
    wa_measured m = {.value = 1, .has_u = true, .u = 1};
    wa_decision d;
    assert_int_equal(wa_conformity_probability(&p, 1, 1, &none, NULL), WA_ERR_ARG);
    assert_int_equal(wa_conformity_probability(&p, 1, 1, &swapped, NULL), WA_ERR_ARG);
    assert_int_equal(wa_conformity_probability(&p, 1, -1, &good, NULL), WA_ERR_ARG);
    assert_int_equal(wa_conformity_probability(&p, (double)NAN, 1, &good, NULL), WA_ERR_ARG);
    assert_int_equal(wa_conformity_decide(&d, &m, &good, WA_RULE_GUARDED, 0, NULL), WA_ERR_ARG);
    assert_int_equal(wa_conformity_decide(&d, &m, &good, WA_RULE_GUARDED, (double)NAN, NULL),
                     WA_ERR_ARG);
}

static void words_and_order(void **state)
{
    (void)state;
    wa_outcome o;
    for (int i = 0; i < WA_OUTCOMES; i++) {
        assert_true(wa_outcome_of(&o, wa_outcome_word((wa_outcome)i)));
        assert_int_equal(o, i);
    }
    assert_false(wa_outcome_of(&o, "passed"));
    assert_false(wa_outcome_of(&o, NULL));
    wa_rule r;
    assert_true(wa_rule_of(&r, "non-binary") && r == WA_RULE_NON_BINARY);
    assert_false(wa_rule_of(&r, "strict"));
    assert_int_equal(wa_outcome_worst(WA_OUTCOME_FAIL, WA_OUTCOME_ERROR), WA_OUTCOME_ERROR);
    assert_int_equal(wa_outcome_worst(WA_OUTCOME_INCONCLUSIVE, WA_OUTCOME_CONDITIONAL_FAIL),
                     WA_OUTCOME_CONDITIONAL_FAIL);
    assert_int_equal(wa_outcome_worst(WA_OUTCOME_CONDITIONAL_PASS, WA_OUTCOME_INCONCLUSIVE),
                     WA_OUTCOME_INCONCLUSIVE);
    assert_int_equal(wa_outcome_worst(WA_OUTCOME_PASS, WA_OUTCOME_FOR_INFORMATION),
                     WA_OUTCOME_PASS);
}

static wa_risks risks(double half_tolerance, double half_acceptance)
{
    wa_process p = {.prior = 1500, .prior_u = 0.12, .u = 0.04};
    wa_risks r = {0};
    p.tolerance = limits(1500 - half_tolerance, 1500 + half_tolerance);
    p.acceptance = limits(1500 - half_acceptance, 1500 + half_acceptance);
    assert_int_equal(wa_conformity_global_risk(&r, &p, NULL), WA_OK);
    return r;
}

/* JCGM 106:2012, precision resistors (parameters recalled); 40-digit values by mpmath. */
static void global_risks(void **state)
{
    (void)state;
    static const struct {
        double acceptance, consumer, producer, accepted, relative;
    } cases[] = {
        {0.20, 0.018942206717029116, 0.03720780017805775, 0.886153701993342, 1e-12},
        {0.18, 0.009878291521772293, 0.06902651046152138, 0.8452710765146215, 1e-12},
        {0.16, 0.004334072221819245, 0.11465657840825814, 0.7940967892679317, 1e-12},
        /* practice.md 5.4, computed in R */
        {0.12, 0.00046863, 0.2476696, NONE, 1e-5},
        {0.24, 0.0448982, 0.0070970, NONE, 1e-5},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        /* 1500 - 0.2 is not exact: the widths differ by some 1e-13 of themselves */
        wa_risks r = risks(0.2, cases[i].acceptance);
        close_to(r.consumer, cases[i].consumer, fmax(cases[i].relative, 2e-11));
        close_to(r.producer, cases[i].producer, fmax(cases[i].relative, 2e-11));
        close_to(r.conforming, 0.9044192954543706, 1e-11);
        if (!isnan(cases[i].accepted))
            close_to(r.accepted, cases[i].accepted, 1e-11);
        /* what is accepted is what conforms, less what is wrongly rejected, and what does not */
        close_to(r.accepted, r.conforming - r.producer + r.consumer, 1e-13);
    }
}

/* About 0 the limits are exact: the quadrature alone. */
static void global_risks_exact(void **state)
{
    (void)state;
    wa_process p = {.prior_u = 0.12, .u = 0.04};
    wa_risks r = {0};
    p.tolerance = limits(-0.2, 0.2);
    p.acceptance = p.tolerance;
    assert_int_equal(wa_conformity_global_risk(&r, &p, NULL), WA_OK);
    close_to(r.consumer, 0.018942206717029115, 1e-13);
    close_to(r.producer, 0.037207800178057749, 1e-13);
    /* a measurement far sharper than the spread of the items: no risk but at the limits */
    p.u = 1e-9;
    assert_int_equal(wa_conformity_global_risk(&r, &p, NULL), WA_OK);
    /* density at the limits, times u E|Z| / 2 at each of two: 2 phi(T/u0)/u0 u / sqrt(2 pi) */
    double density = 0.39894228040143268 * exp(-0.5 / 0.36) / 0.12;
    close_to(r.consumer, 2 * density * 1e-9 * 0.39894228040143268, 1e-6);
    close_to(r.producer, r.consumer, 1e-6);
    /* one-sided: by symmetry half of the items conform and are accepted */
    p.u = 0.04;
    p.tolerance = limits(NONE, 0);
    p.acceptance = p.tolerance;
    assert_int_equal(wa_conformity_global_risk(&r, &p, NULL), WA_OK);
    close_to(r.conforming, 0.5, 1e-15);
    /* two correlated normals: P(T > 0, M < 0) = arctan(u / u0) / (2 pi) */
    close_to(r.consumer, atan(0.04 / 0.12) / (2 * 3.14159265358979312), 1e-12);
    close_to(r.producer, r.consumer, 1e-13);
}

static void global_risks_refused(void **state)
{
    (void)state;
    wa_process p = {.prior_u = 0.12, .u = 0.04, .tolerance = limits(-1, 1)};
    wa_risks r = {0};
    assert_int_equal(wa_conformity_global_risk(&r, &p, NULL), WA_ERR_ARG);
    p.acceptance = limits(1, -1);
    assert_int_equal(wa_conformity_global_risk(&r, &p, NULL), WA_ERR_ARG);
    p.acceptance = p.tolerance;
    p.u = 0;
    assert_int_equal(wa_conformity_global_risk(&r, &p, NULL), WA_ERR_ARG);
    p.u = 1;
    p.prior = NONE;
    assert_int_equal(wa_conformity_global_risk(&r, &p, NULL), WA_ERR_ARG);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(global_risks),
        cmocka_unit_test(global_risks_exact),
        cmocka_unit_test(global_risks_refused),
        cmocka_unit_test(probabilities),
        cmocka_unit_test(without_uncertainty_it_is_one_or_nothing),
        cmocka_unit_test(false_acceptance_at_the_limit),
        cmocka_unit_test(rules),
        cmocka_unit_test(an_absent_or_incomplete_uncertainty_decides_nothing),
        cmocka_unit_test(a_guard_band_wider_than_the_limits_is_said),
        cmocka_unit_test(refused),
        cmocka_unit_test(words_and_order),
    };
    return cmocka_run_group_tests_name("conformity", tests, NULL, NULL);
}
