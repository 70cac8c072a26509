/* What is no more as it was agreed; and agreements of strangers, into which anything was put. */
#include "run/agreement.h"
#include "windassay/json.h"
#include "windassay/random.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* JSON with ' for ". */
static wa_value *json(const char *text)
{
    wa_text t = WA_TEXT_INIT;
    wa_value *v = NULL;
    wa_error err;
    for (const char *s = text; *s != '\0'; s++)
        wa_text_add_char(&t, *s == '\'' ? '"' : *s);
    if (wa_json_read(&v, wa_text_string(&t), t.length, "test", &err) != WA_OK)
        fail_msg("%s: %s", text, err.text);
    wa_text_release(&t);
    return v;
}

static const char NOW[] =
    "{'version': '" WA_VERSION "', 'interface': 1, 'arithmetic': 1,"
    " 'campaign': {'period': {'from': 'a', 'to': 'b'}, 'disturbed': [{'from': 52, 'to': 98}],"
    "  'roles': {'unit': ['lidar', 'beams']}, 'note': true},"
    " 'checks': [{'id': 'clock', 'check': 'clock', 'parameters': {'within': 144}},"
    "            {'id': 'speed', 'check': 'speed', 'parameters': {'edges': [1, 2], 'hours': 180}}],"
    " 'criteria': [{'name': 'los', 'set': {'limits': [{'upper': 1}, {'upper': 2}]}}],"
    " 'scripts': [{'path': 'campaign/c.lua', 'sha256': '0a'}, {'path': 'root/m.lua', 'sha256': "
    "'0b'}]}";

/* "WHAT|AGREED|NOW" of each departure; '-' for what is not said. */
static void departs(const char *agreed, const char *const *expected)
{
    wa_value *a = json(agreed), *now = json(NOW), *list = NULL;
    wa_error err;
    assert_int_equal(wa_agreement_departures(&list, a, now, &err), WA_OK);
    size_t n = 0;
    for (; expected[n] != NULL; n++) {
        const wa_value *d = wa_at(list, n);
        const char *was = wa_get_string(d, "agreed"), *is = wa_get_string(d, "now");
        wa_text t = WA_TEXT_INIT;
        const char *what = wa_get_string(d, "what");
        wa_text_printf(&t, "%s|%s|%s", what == NULL ? "none" : what, was == NULL ? "-" : was,
                       is == NULL ? "-" : is);
        assert_string_equal(wa_text_string(&t), expected[n]);
        wa_text_release(&t);
    }
    assert_int_equal(wa_count(list), n);
    wa_value_free(list);
    wa_value_free(now);
    wa_value_free(a);
}

static void names_what_changed(void **state)
{
    (void)state;
    departs(NOW, (const char *[]){NULL});
    departs("{'version': '0.0.9', 'interface': 1, 'arithmetic': 1,"
            " 'campaign': {'period': {'from': 'a', 'to': 'c'}, 'disturbed': [{'from': 52}, 7],"
            "  'roles': {'unit': ['lidar']}, 'uses': {}, 'note': 'true'},"
            " 'checks': [{'id': 'speed', 'parameters': {'edges': [1, 3], 'hours': 90}},"
            "            {'id': 'gone', 'parameters': {}}],"
            " 'criteria': [{'name': 'los', 'set': {'limits': [{'upper': 1}, {'upper': 3}]}}],"
            " 'scripts': [{'path': 'campaign/c.lua', 'sha256': '0f'}]}",
            (const char *[]){
                "campaign: period.to|c|b", "campaign: disturbed[1].to|-|98",
                "campaign: disturbed[2]|7|-",
                "campaign: roles.unit|[\"lidar\"]|[\"lidar\",\"beams\"]", "campaign: uses|{}|-",
                "campaign: note|true|true", /* a text, and a truth */
                "check speed: edges|[1,3]|[1,2]", "check speed: hours|90|180",
                "check gone|there|not there", "check clock|not there|there",
                "criteria los: limits[2].upper|3|2", "script campaign/c.lua|0f|0a",
                "script root/m.lua|not there|there", "program: version|0.0.9|" WA_VERSION, NULL});
}

/* A text that is long is cut between two characters. */
static void cuts_what_is_long(void **state)
{
    wa_text t = WA_TEXT_INIT;
    (void)state;
    wa_text_add(&t, "{'campaign': {'note': 'x");
    for (int i = 0; i < 300; i++)
        wa_text_add(&t, "\u00e4");
    wa_text_add(&t, "'}}");
    wa_value *a = json(wa_text_string(&t)), *now = json("{'campaign': {}}"), *list = NULL;
    wa_error err;
    assert_int_equal(wa_agreement_departures(&list, a, now, &err), WA_OK);
    const char *shown = wa_get_string(wa_at(list, 0), "agreed");
    assert_int_equal(strlen(shown), 399 + 4);
    assert_true(wa_utf8_valid(shown, strlen(shown)));
    assert_string_equal(shown + 399, " ...");
    wa_value_free(list);
    wa_value_free(now);
    wa_value_free(a);
    wa_text_release(&t);
}

/* One entry somewhere in the tree becomes another of the same tree, or something else. */
static wa_value *changed(const wa_value *v, const wa_value *whole, wa_random *r)
{
    if (wa_random_below(r, 12) == 0) {
        switch (wa_random_below(r, 5)) {
        case 0:
            return wa_null();
        case 1:
            return wa_number(-1.5);
        case 2:
            return wa_string("campaign/c.lua");
        case 3:
            return wa_list();
        default:
            return wa_value_copy(wa_at(whole, wa_random_below(r, wa_count(whole))));
        }
    }
    bool map = wa_value_kind(v) == WA_MAP;
    if (!map && wa_value_kind(v) != WA_LIST)
        return wa_value_copy(v);
    wa_value *out = map ? wa_map() : wa_list();
    for (size_t i = 0; i < wa_count(v); i++) {
        wa_value *item = changed(wa_at(v, i), whole, r);
        assert_true(map ? wa_map_set(out, wa_key(v, i), item) : wa_list_add(out, item));
    }
    return out;
}

/* Whatever an agreement holds: a list of departures comes out, each with what and a side. */
static void bears_anything(void **state)
{
    wa_random *r = NULL;
    wa_value *now = json(NOW);
    wa_error err;
    (void)state;
    assert_int_equal(wa_random_new(&r, 9, NULL), WA_OK);
    for (int trial = 0; trial < 3000; trial++) {
        wa_value *agreed = changed(now, now, r), *list = NULL;
        assert_int_equal(wa_agreement_departures(&list, agreed, now, &err), WA_OK);
        for (size_t i = 0; i < wa_count(list); i++) {
            const wa_value *d = wa_at(list, i);
            assert_non_null(wa_get_string(d, "what"));
            assert_true(wa_get_string(d, "agreed") != NULL || wa_get_string(d, "now") != NULL);
        }
        wa_value_free(list);
        wa_value_free(agreed);
    }
    wa_random_free(r);
    wa_value_free(now);
}

/* There is an end of what is listed. */
static void lists_no_more_than_can_be_read(void **state)
{
    wa_value *agreed = json("{'campaign': {}}"), *now = json("{'campaign': {}}"), *list = NULL;
    wa_error err;
    (void)state;
    for (int i = 0; i < 1000; i++) {
        char key[20];
        snprintf(key, sizeof key, "k%d", i);
        wa_map_set(wa_get_mutable(now, "campaign"), key, wa_number(i));
    }
    assert_int_equal(wa_agreement_departures(&list, agreed, now, &err), WA_OK);
    assert_int_equal(wa_count(list), 501);
    assert_string_equal(wa_get_string(wa_at(list, 500), "what"), "and more than can be listed");
    wa_value_free(list);
    wa_value_free(now);
    wa_value_free(agreed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_what_changed),
        cmocka_unit_test(cuts_what_is_long),
        cmocka_unit_test(bears_anything),
        cmocka_unit_test(lists_no_more_than_can_be_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
