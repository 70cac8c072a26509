/* Conformity and global risks against 40-digit values (risk/expected.json: own work with mpmath from
 * the formulas of JCGM 106:2012, 7.4, 7.5 and 9.5; inputs of the examples recalled; the global risks
 * confirmed by scipy). */
#include "reference/reference.h"
#include "windassay/conformity.h"

static bool limit_of(double *out, const wa_value *at, const char *key)
{
    if (wa_value_kind(reference_at(at, key)) == WA_NULL)
        return false;
    *out = reference_number(at, key);
    return true;
}

static wa_tolerance between(const wa_value *at, const char *lower, const char *upper)
{
    wa_tolerance t = {0};
    t.has_lower = limit_of(&t.lower, at, lower);
    t.has_upper = limit_of(&t.upper, at, upper);
    return t;
}

static void specific(void **state)
{
    (void)state;
    wa_value *e = reference_json("risk/expected.json");
    const wa_value *rows = reference_at(e, "specific");
    assert_int_equal(wa_count(rows), 8);
    for (size_t i = 0; i < wa_count(rows); i++) {
        const wa_value *row = wa_at(rows, i);
        wa_tolerance t = between(row, "TL", "TU");
        double p;
        assert_int_equal(wa_conformity_probability(&p, reference_number(row, "y"),
                                                   reference_number(row, "u"), &t, NULL),
                         WA_OK);
        assert_close(p, reference_number(row, "p_conform"), 2e-15);
        assert_true(fabs(1 - p - reference_number(row, "p_nonconform")) < 2e-15);
    }
    wa_value_free(e);
}

/* Limits such as 1499.8 are rounded: 2e-13 of the half width 0.2, which the risks multiply. */
static void global(void **state)
{
    (void)state;
    wa_value *e = reference_json("risk/expected.json");
    const wa_value *rows = reference_at(e, "global");
    assert_int_equal(wa_count(rows), 3);
    for (size_t i = 0; i < wa_count(rows); i++) {
        const wa_value *row = wa_at(rows, i);
        wa_process p = {.prior = reference_number(row, "y0"),
                        .prior_u = reference_number(row, "u0"),
                        .u = reference_number(row, "u_m"),
                        .tolerance = between(row, "TL", "TU"),
                        .acceptance = between(row, "AL", "AU")};
        wa_risks r;
        assert_int_equal(wa_conformity_global_risk(&r, &p, NULL), WA_OK);
        assert_close(r.consumer, reference_number(row, "global_consumer_risk"), 1e-11);
        assert_close(r.producer, reference_number(row, "global_producer_risk"), 1e-11);
        assert_close(r.conforming, reference_number(row, "p_conform_process"), 1e-11);
        assert_close(r.accepted, reference_number(row, "p_accept"), 1e-11);
        assert_close(r.consumer / r.accepted, reference_number(row, "p_nonconform_given_accept"),
                     1e-11);
    }
    wa_value_free(e);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(specific), cmocka_unit_test(global)};
    return cmocka_run_group_tests_name("reference risk", tests, NULL, NULL);
}
