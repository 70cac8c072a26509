/* Criteria: what a file may say, and how its limits meet what a check measured. */
#include "windassay/criteria.h"
#include "windassay/json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static wa_value *json(const char *text)
{
    char copy[4096];
    wa_value *v = NULL;
    wa_error err = {0};
    snprintf(copy, sizeof copy, "%s", text);
    for (char *c = copy; *c != '\0'; c++) /* '...' reads better in C than \"...\" */
        if (*c == '\'')
            *c = '"';
    if (wa_json_read(&v, copy, strlen(copy), NULL, &err) != WA_OK)
        fail_msg("%s: %s", text, err.text);
    return v;
}

static wa_criteria *decoded(const char *text, const char *name)
{
    wa_value *v = json(text);
    wa_criteria *c = NULL;
    wa_error err = {0};
    if (wa_criteria_decode(&c, v, name, "criteria/house.lua", &err) != WA_OK)
        fail_msg("%s %s", err.text, err.hint);
    wa_value_free(v);
    return c;
}

/* Invented limits. */
static const char *const house =
    "{'title': 'House rules', 'source': 'house manual', 'evidence': 'invented', 'rule': "
    "'non-binary', 'k': 2, 'limits': ["
    "{'check': 'speed', 'require': 'slope', 'lower': 0.98, 'upper': 1.02, 'unit': '1'},"
    "{'check': 'speed', 'require': 'share', 'upper': 0.1, 'unit': '1', 'rule': 'simple', 'source': "
    "'a table', 'evidence': 'recalled'},"
    "{'check': 'speed', 'require': 'slope', 'lower': 0.97, 'unit': '1', 'run': 'low', "
    "'parameters': "
    "{'lowest': 2}},"
    "{'check': 'speed', 'require': 'share', 'upper': 0.2, 'unit': '1', 'run': 'low', 'rule': "
    "'simple'},"
    "{'check': 'clock', 'require': 'offset', 'upper': 5, 'unit': 's'}],"
    " 'confirmed': {'speed.share': {'clause': '4.2', 'edition': '2026', 'by': 'ab'}}}";

static void decodes(void **state)
{
    (void)state;
    wa_criteria *c = decoded(house, "house");
    assert_int_equal(c->n_limits, 5);
    assert_string_equal(c->limits[0].source, "house manual");
    assert_int_equal(c->limits[0].rule, WA_RULE_NON_BINARY);
    assert_int_equal(c->limits[1].rule, WA_RULE_SIMPLE);
    assert_string_equal(c->limits[1].evidence, "recalled");
    assert_string_equal(wa_get_string(c->limits[1].confirmed, "clause"), "4.2");
    assert_null(c->limits[0].confirmed);
    assert_true(wa_criteria_covers(c, "clock"));
    assert_false(wa_criteria_covers(c, "direction"));
    const wa_value *p = NULL;
    double lowest = 0;
    assert_int_equal(wa_criteria_runs(c, "speed"), 1);
    assert_int_equal(wa_criteria_runs(c, "clock"), 0);
    assert_string_equal(wa_criteria_run(c, "speed", 0, &p), "low");
    assert_true(wa_number_of(wa_get(p, "lowest"), &lowest) && lowest == 2);
    assert_true(wa_value_equal(c->limits[2].parameters, c->limits[3].parameters));
    wa_criteria_free(c);
}

#define HEAD "{'title': 'T', 'source': 's', 'evidence': 'seen', 'rule': 'simple', 'limits': ["

static void refused(void **state)
{
    (void)state;
    static const struct {
        const char *text, *says;
    } cases[] = {
        {"[1]", "list"},
        {"{'title': 'T', 'limits': []}", "at least one"},
        {"{'titel': 'T', 'limits': []}", "unknown key 'titel'"},
        {HEAD "{'check': 'a', 'require': 'b', 'lower': 1}]}", "'unit' is missing"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1'}]}", "neither 'lower' nor 'upper'"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2, 'upper': 1}]}", "above"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': 'm/x', 'lower': 2}]}", "limit 1"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': '2'}]}", "text has no place"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2, 'rule': 'strict'}]}",
         "non-binary"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2, 'rule': 'guarded'}]}",
         "coverage factor k"},
        {HEAD
         "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2, 'rule': 'guarded', 'k': 0}]}",
         "above zero"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2, 'evidence': 'recaled'}]}",
         "no word of evidence"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2, 'parameters': {'x': 1}}]}",
         "name it"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2, 'run': 'r'}]}",
         "says its parameters"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2},"
              "{'check': 'a', 'require': 'b', 'unit': '1', 'upper': 2}]}",
         "limits the same"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2, 'run': 'r', 'parameters': "
              "{'x': 1}},{'check': 'a', 'require': 'c', 'unit': '1', 'upper': 2, 'run': 'r', "
              "'parameters': {'x': 2}}]}",
         "other parameters"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2}], 'confirmed': {'a.c': {}}}",
         "no limit is called so"},
        {HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2}], 'confirmed': {'a.b': "
              "{'clause': '1'}}}",
         "'edition' is missing"},
        {"{'title': 'T', 'rule': 'simple', 'evidence': 'seen', 'limits': [{'check': 'a', "
         "'require': "
         "'b', 'unit': '1', 'lower': 2}]}",
         "'source' is missing"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wa_value *v = json(cases[i].text);
        wa_criteria *c = NULL;
        wa_error err = {0};
        assert_int_equal(wa_criteria_decode(&c, v, "x", "criteria/x.lua", &err), WA_ERR_DATA);
        assert_null(c);
        if (strstr(err.text, cases[i].says) == NULL)
            fail_msg("case %zu says '%s', not '%s'", i, err.text, cases[i].says);
        assert_string_equal(err.file, "criteria/x.lua");
        wa_value_free(v);
    }
}

/* Where no word is near, all of them are named. */
static void a_strange_word_of_evidence(void **state)
{
    (void)state;
    wa_value *v = json(HEAD "{'check': 'a', 'require': 'b', 'unit': '1', 'lower': 2, 'evidence': "
                            "'own'}]}");
    wa_criteria *c = NULL;
    wa_error err = {0};
    assert_int_equal(wa_criteria_decode(&c, v, "x", "criteria/x.lua", &err), WA_ERR_DATA);
    assert_string_equal(err.hint, "it is one of 'seen', 'computed', 'recalled', 'common practice', "
                                  "'agreed', 'invented'");
    wa_value_free(v);
}

static wa_value *entry(const char *status, const char *requirements)
{
    char text[2048];
    snprintf(text, sizeof text,
             "{'id': 'speed', 'name': 'speed', 'status': '%s', 'outcome': 'no decision asked', "
             "'criteria': [], 'requirements': %s}",
             status, requirements);
    return json(text);
}

static const wa_value *row(const wa_value *e, size_t i)
{
    const wa_value *r = wa_at(wa_get(e, "requirements"), i);
    assert_non_null(r);
    return r;
}

static const char *outcome(const wa_value *map)
{
    return wa_get_string(map, "outcome");
}

static void joins(void **state)
{
    (void)state;
    wa_criteria *c = decoded(house, "house");
    wa_deciding set = {c, true};
    wa_value *e = entry("ran", "[{'name': 'slope', 'value': 0.985, 'unit': '1', 'u': 0.008, "
                               "'source': 'budget', 'outcome': 'for information'},"
                               "{'name': 'share', 'value': 12, 'unit': '%', 'outcome': 'for "
                               "information'},"
                               "{'name': 'more', 'value': 3, 'unit': 'm s-1', 'outcome': 'for "
                               "information'}]");
    assert_int_equal(wa_record_decide(e, NULL, &set, 1, NULL), WA_OK);
    assert_int_equal(wa_count(wa_get(e, "requirements")), 3);
    assert_string_equal(outcome(row(e, 0)), "conditional pass"); /* 0.98 + 0.016 is more */
    double x = 0;
    assert_true(wa_number_of(wa_get(row(e, 0), "guard_band"), &x) && x == 0.016);
    assert_true(wa_number_of(wa_get(row(e, 0), "probability_of_conformity"), &x));
    assert_true(x > 0.73400 && x < 0.73402);         /* see test_conformity */
    assert_string_equal(outcome(row(e, 1)), "fail"); /* 0.1 is 10 %, and 12 % are more */
    assert_true(wa_number_of(wa_get(wa_get(row(e, 1), "limits"), "upper"), &x) && x == 10);
    assert_string_equal(wa_get_string(row(e, 1), "evidence"), "recalled");
    assert_string_equal(wa_get_string(wa_get(row(e, 1), "confirmed"), "by"), "ab");
    assert_string_equal(outcome(row(e, 2)), "for information");
    assert_null(wa_get(row(e, 2), "limits"));
    assert_string_equal(outcome(e), "fail");
    assert_string_equal(outcome(wa_at(wa_get(e, "criteria"), 0)), "fail");

    /* decided again, as a run and for information: nothing of the earlier decision is left */
    wa_deciding again = {c, false};
    assert_int_equal(wa_record_decide(e, "low", &again, 1, NULL), WA_OK);
    assert_int_equal(wa_count(wa_get(e, "requirements")), 3);
    assert_string_equal(outcome(row(e, 1)), "pass"); /* limit 20 % */
    assert_string_equal(outcome(e), "for information");
    assert_int_equal(wa_record_decide(e, NULL, NULL, 0, NULL), WA_OK);
    assert_string_equal(outcome(e), "no decision asked");
    assert_int_equal(wa_count(wa_get(e, "requirements")), 3);
    wa_value_free(e);
    wa_criteria_free(c);
}

static void what_was_not_measured_never_passes(void **state)
{
    (void)state;
    wa_criteria *c = decoded(house, "house");
    wa_deciding set = {c, true};
    static const struct {
        const char *status, *row, *check;
    } cases[] = {
        {"ran", "not tested", "inconclusive"},
        {"not applicable", "not tested", "not applicable"},
        {"inconclusive", "inconclusive", "inconclusive"},
        {"error", "error", "error"},
    };
    for (size_t i = 0; i < 4; i++) {
        wa_value *e = entry(cases[i].status, "[]");
        assert_true(wa_map_set(e, "reason", wa_string("why")));
        assert_int_equal(wa_record_decide(e, NULL, &set, 1, NULL), WA_OK);
        assert_int_equal(wa_count(wa_get(e, "requirements")), 2);
        assert_string_equal(outcome(row(e, 0)), cases[i].row);
        assert_int_equal(wa_value_kind(wa_get(row(e, 0), "value")), WA_NULL);
        assert_non_null(wa_get(row(e, 0), "reason"));
        assert_string_equal(outcome(e), cases[i].check);
        wa_value_free(e);
    }
    wa_criteria_free(c);
}

/* A check that says that its data do not suffice: what it measured decides nothing. */
static void an_inconclusive_check_decides_nothing(void **state)
{
    (void)state;
    wa_criteria *c = decoded(house, "house");
    wa_deciding set = {c, true};
    wa_value *e = entry("inconclusive", "[{'name': 'slope', 'value': 2, 'unit': '1'}, {'name': "
                                        "'share', 'value': 0, 'unit': '1'}]");
    assert_true(wa_map_set(e, "reason", wa_string("3 h of data, 180 h needed")));
    assert_int_equal(wa_record_decide(e, NULL, &set, 1, NULL), WA_OK);
    for (size_t i = 0; i < 2; i++) {
        assert_string_equal(outcome(row(e, i)), "inconclusive");
        assert_string_equal(wa_get_string(row(e, i), "reason"), "3 h of data, 180 h needed");
    }
    wa_value_free(e);
    wa_criteria_free(c);
}

static void information_changes_no_outcome(void **state)
{
    (void)state;
    wa_criteria *c = decoded(house, "house");
    wa_criteria *lax =
        decoded(HEAD "{'check': 'speed', 'require': 'slope', 'upper': 3, 'unit': '1'}]}", "lax");
    wa_deciding sets[2] = {{lax, true}, {c, false}};
    wa_value *e = entry("ran", "[{'name': 'slope', 'value': 2, 'unit': '1', 'u': 0.001}]");
    assert_int_equal(wa_record_decide(e, NULL, sets, 2, NULL), WA_OK);
    assert_string_equal(outcome(e), "pass");
    assert_string_equal(outcome(row(e, 0)), "pass");
    assert_string_equal(outcome(row(e, 1)), "fail");
    assert_string_equal(wa_get_string(row(e, 1), "use"), "information");
    assert_string_equal(outcome(wa_at(wa_get(e, "criteria"), 1)), "fail");
    wa_value_free(e);
    wa_criteria_free(lax);
    wa_criteria_free(c);
}

static void units_that_do_not_fit_are_an_error(void **state)
{
    (void)state;
    wa_criteria *c = decoded(house, "house");
    wa_deciding set = {c, true};
    wa_error err = {0};
    wa_value *e = entry("ran", "[{'name': 'slope', 'value': 1, 'unit': 'm s-1'}]");
    wa_value *before = wa_value_copy(e);
    assert_int_equal(wa_record_decide(e, NULL, &set, 1, &err), WA_ERR_DATA);
    assert_non_null(
        strstr(err.text, "the limit of 'slope' is in '1', the check 'speed' gives it in 'm s-1'"));
    assert_true(wa_value_equal(e, before));
    wa_value_free(before);
    wa_value_free(e);
    wa_criteria_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_strange_word_of_evidence),
        cmocka_unit_test(decodes),
        cmocka_unit_test(refused),
        cmocka_unit_test(joins),
        cmocka_unit_test(what_was_not_measured_never_passes),
        cmocka_unit_test(an_inconclusive_check_decides_nothing),
        cmocka_unit_test(information_changes_no_outcome),
        cmocka_unit_test(units_that_do_not_fit_are_an_error),
    };
    return cmocka_run_group_tests_name("criteria", tests, NULL, NULL);
}
