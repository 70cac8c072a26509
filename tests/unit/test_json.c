/* JSON: what is read is what stands there, what is written reads back, and the bytes are fixed. */
#include "windassay/json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static wa_value *reads(const char *text)
{
    wa_value *v = NULL;
    wa_error err = {0};
    if (wa_json_read(&v, text, strlen(text), "x.json", &err) != WA_OK)
        fail_msg("%s: %s", text, err.text);
    return v;
}

static void read_keeps_order_and_kinds(void **state)
{
    (void)state;
    wa_value *v = reads("{\"z\": 1, \"a\": [null, true, \"\\u00e9\", -0.0, 12345678901234567890]}");
    assert_string_equal(wa_key(v, 0), "z");
    assert_string_equal(wa_key(v, 1), "a");
    const wa_value *list = wa_get(v, "a");
    double x = 1;
    assert_int_equal(wa_value_kind(wa_at(list, 0)), WA_NULL);
    assert_true(wa_true(wa_at(list, 1)));
    assert_string_equal(wa_string_of(wa_at(list, 2)), "\xc3\xa9");
    assert_true(wa_number_of(wa_at(list, 3), &x) && x == 0);
    assert_true(wa_number_of(wa_at(list, 4), &x) && x == 12345678901234567890.0);
    wa_value_free(v);
}

/* RFC 8259 leaves duplicate keys open; NaN and leading zeros it does not know. */
static void refused(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "",     "{\"a\":1,\"a\":2}", "NaN",         "[1e999]",  "[Infinity]", "[01]",
        "[1,]", "{\"a\":1}x",        "\"\\u0000\"", "\"\xff\"", "[1",         "{a:1}",
        "'a'",  "\"\\ud800\"",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        wa_value *v = NULL;
        wa_error err = {0};
        assert_int_equal(wa_json_read(&v, texts[i], strlen(texts[i]), "x.json", &err), WA_ERR_DATA);
        assert_null(v);
        assert_string_equal(err.file, "x.json");
    }
}

static void depth_is_bounded(void **state)
{
    (void)state;
    char text[200];
    wa_value *v = NULL;
    for (size_t depth = 63; depth < 66; depth++) { /* lists around a number: depth + 1 levels */
        memset(text, '[', depth);
        text[depth] = '1';
        memset(text + depth + 1, ']', depth);
        wa_status s = wa_json_read(&v, text, 2 * depth + 1, NULL, NULL);
        assert_int_equal(s, depth < 64 ? WA_OK : WA_ERR_DATA);
        if (s == WA_OK)
            wa_value_free(v);
    }
    memset(text, '[', sizeof text);
    assert_int_equal(wa_json_read(&v, text, sizeof text, NULL, NULL), WA_ERR_DATA);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(read_keeps_order_and_kinds),
        cmocka_unit_test(refused),
        cmocka_unit_test(depth_is_bounded),
    };
    return cmocka_run_group_tests_name("json", tests, NULL, NULL);
}
