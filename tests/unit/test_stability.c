/* What variants of a check come to: rows, counts, spreads, the sentence. */
#include "windassay/conformity.h"
#include "windassay/stability.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* A decided entry with one requirement under two sets. */
static wa_value *entry_of(const char *outcome, double slope)
{
    wa_value *e = wa_map(), *rows = wa_list(), *sets = wa_list(), *parameters = wa_list();
    for (int i = 0; i < 2; i++) {
        wa_value *r = wa_map();
        wa_map_set(r, "name", wa_string("slope"));
        wa_map_set(r, "value", wa_number(slope));
        wa_map_set(r, "unit", wa_string("1"));
        wa_list_add(rows, r);
    }
    wa_value *set = wa_map(), *p = wa_map();
    wa_map_set(set, "outcome", wa_string("conditional pass"));
    wa_list_add(sets, set);
    wa_map_set(p, "name", wa_string("width"));
    wa_map_set(p, "unit", wa_string("m/s"));
    wa_list_add(parameters, p);
    wa_map_set(e, "outcome", wa_string(outcome));
    wa_map_set(e, "criteria", sets);
    wa_map_set(e, "parameters", parameters);
    wa_map_set(e, "requirements", rows);
    return e;
}

static wa_variant variant(wa_variant_kind kind, const char *name, const char *account,
                          const char *outcome, double slope)
{
    wa_variant v = {.kind = kind};
    v.name = name == NULL ? NULL : strdup(name);
    v.account = account == NULL ? NULL : strdup(account);
    v.unit = kind == WA_VARIANT_PARAMETER ? strdup("m/s") : NULL;
    v.same = outcome == NULL;
    v.entry = outcome == NULL ? NULL : entry_of(outcome, slope);
    return v;
}

static wa_value *stability_of(wa_variant *v, size_t n, const wa_stability *asked)
{
    wa_value *e = entry_of("pass", 1.01);
    wa_error err;
    assert_int_equal(wa_record_stability(e, v, n, asked, &err), WA_OK);
    for (size_t i = 0; i < n; i++) {
        free(v[i].name);
        free(v[i].account);
        free(v[i].of);
        free(v[i].unit);
        wa_value_free(v[i].entry);
    }
    return e;
}

static void rows_and_sentence(void **state)
{
    (void)state;
    wa_stability asked = {.seed = 1};
    wa_variant v[] = {
        variant(WA_VARIANT_EXCLUSION, "icing", "intervals", "fail", 1.2),
        variant(WA_VARIANT_EXCLUSION, "stuck", "40 m", "fail", 1.3),
        variant(WA_VARIANT_EXCLUSION, "missing", "intervals", NULL, 0),
        variant(WA_VARIANT_PARAMETER, "width", NULL, "inconclusive", 1),
        variant(WA_VARIANT_DAY, "2026-03-05", NULL, "pass", 1.02),
        variant(WA_VARIANT_DAY, "2026-03-06", NULL, "fail", 1.4),
        variant(WA_VARIANT_DAY, "2026-03-07", NULL, "fail", 1.5),
    };
    v[3].value = 0.6;
    wa_value *e = stability_of(v, 7, &asked);
    const wa_value *s = wa_get(e, "stability"), *rows = wa_get(s, "rows");
    assert_string_equal(wa_get_string(s, "sentence"),
                        "Pass; turns to inconclusive if 'width' is 0.6 m/s; turns to fail if "
                        "'icing' is not excluded, if 'stuck' is not excluded from 40 m, without "
                        "2026-03-06 and in 1 more; unchanged in 2 of 7 variants, 1 of "
                        "which moves no requirement.");
    assert_int_equal(wa_count(rows), 7);
    assert_null(wa_get(s, "resamples"));
    assert_string_equal(wa_get_string(wa_at(rows, 1), "account"), "40 m");
    assert_string_equal(wa_get_string(wa_at(rows, 2), "outcome"), "pass");
    assert_string_equal(wa_get_string(wa_at(rows, 2), "reason"),
                        "no interval is excluded by it alone");
    assert_string_equal(wa_get_string(wa_at(rows, 3), "unit"), "m/s");
    /* each requirement once, with the variant's own value */
    const wa_value *found = wa_get(wa_at(rows, 4), "requirements");
    double x = 0;
    assert_int_equal(wa_count(found), 1);
    assert_true(wa_number_of(wa_get(wa_at(found, 0), "value"), &x) && x == 1.02);
    wa_value_free(e);
}

static void resamples(void **state)
{
    (void)state;
    wa_stability asked = {.resamples = 5, .seed = 9, .length = 12};
    wa_variant v[5];
    for (int i = 0; i < 5; i++)
        v[i] = variant(WA_VARIANT_RESAMPLE, NULL, NULL, i < 4 ? "pass" : "fail", i);
    wa_value *e = stability_of(v, 5, &asked);
    const wa_value *s = wa_get(e, "stability"), *r = wa_get(s, "resamples");
    assert_string_equal(wa_get_string(s, "sentence"), "Pass in 4 of 5 resamples, fail in 1.");
    assert_int_equal(wa_count(wa_get(s, "rows")), 0);
    assert_int_equal(wa_count(wa_get(r, "outcomes")), 2);
    /* values 0 to 4: sd sqrt(10/4), quantiles (type 7) 0.025 and 0.975 of them 0.1 and 3.9 */
    const wa_value *spread = wa_at(wa_get(r, "requirements"), 0);
    double sd = 0, low = 0, high = 0, length = 0;
    wa_number_of(wa_get(spread, "standard_error"), &sd);
    wa_number_of(wa_get(spread, "low"), &low);
    wa_number_of(wa_get(spread, "high"), &high);
    wa_number_of(wa_get(r, "length"), &length);
    assert_true(sd == sqrt(2.5) && fabs(low - 0.1) < 1e-15 && fabs(high - 3.9) < 1e-15);
    assert_true(length == 12);
    wa_value_free(e);
}

static void what_cannot_move_is_said(void **state)
{
    (void)state;
    /* a requirement that does not come from the records that were drawn passes for nothing */
    wa_stability asked = {.resamples = 2, .seed = 1};
    wa_variant v[] = {
        variant(WA_VARIANT_RESAMPLE, NULL, NULL, "pass", 1.01),
        variant(WA_VARIANT_RESAMPLE, NULL, NULL, "pass", 1.01),
        variant(WA_VARIANT_DAY, "2026-03-05", NULL, "pass", 1.01),
        variant(WA_VARIANT_DAY, "2026-03-06", NULL, "pass", 1.01),
    };
    wa_value *e = stability_of(v, 4, &asked);
    assert_string_equal(wa_get_string(wa_get(e, "stability"), "sentence"),
                        "Pass; resampling moves no requirement; unchanged in 2 of 2 variants, 2 of "
                        "which move no requirement.");
    wa_value_free(e);
}

static void what_decides(void **state)
{
    (void)state;
    /* the contract, or the worst of the sets for information */
    wa_value *e = entry_of("fail", 1);
    assert_int_equal(wa_record_decided(e), WA_OUTCOME_FAIL);
    wa_map_set(e, "outcome", wa_string("for information"));
    assert_int_equal(wa_record_decided(e), WA_OUTCOME_CONDITIONAL_PASS);
    wa_map_set(e, "criteria", wa_list());
    assert_false(wa_outcome_decides(wa_record_decided(e)));
    wa_value_free(e);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_and_sentence),
        cmocka_unit_test(resamples),
        cmocka_unit_test(what_cannot_move_is_said),
        cmocka_unit_test(what_decides),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
