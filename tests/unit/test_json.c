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

static void writes(const wa_value *v, wa_json_layout layout, const char *expected)
{
    wa_text t = WA_TEXT_INIT;
    wa_value *back = NULL;
    assert_int_equal(wa_json_write(&t, v, layout, NULL), WA_OK);
    if (expected != NULL)
        assert_string_equal(wa_text_string(&t), expected);
    assert_int_equal(wa_json_read(&back, t.at, t.length, NULL, NULL), WA_OK);
    assert_true(wa_value_equal(v, back));
    wa_value_free(back);
    wa_text_release(&t);
}

static void written_bytes_are_fixed(void **state)
{
    (void)state;
    wa_value *v =
        reads("{\"b\": [[1, null, \"x\"], [0.1, -2.5, \"y\"]], \"a\": {\"name\": \"V\", \"unit\": "
              "\"m s-1\"}, \"e\": [], \"m\": {}}");
    writes(v, WA_JSON_COMPACT,
           "{\"b\":[[1,null,\"x\"],[0.1,-2.5,\"y\"]],\"a\":{\"name\":\"V\",\"unit\":\"m "
           "s-1\"},\"e\":[],"
           "\"m\":{}}\n");
    writes(v, WA_JSON_READABLE,
           "{\n \"b\": [\n  [1, null, \"x\"],\n  [0.1, -2.5, \"y\"]\n ],\n"
           " \"a\": {\"name\": \"V\", \"unit\": \"m s-1\"},\n \"e\": [],\n \"m\": {}\n}\n");
    wa_value_free(v);
}

static void a_long_map_of_scalars_is_broken(void **state)
{
    (void)state;
    wa_value *v = reads("{\"note\": \"0123456789012345678901234567890123456789\", \"text\": "
                        "\"0123456789012345678901234567890123456789\", \"n\": 1}");
    writes(v, WA_JSON_READABLE,
           "{\n \"note\": \"0123456789012345678901234567890123456789\",\n \"text\": "
           "\"0123456789012345678901234567890123456789\",\n \"n\": 1\n}\n");
    wa_value_free(v);
}

static void strings_are_escaped(void **state)
{
    (void)state;
    wa_value *v = wa_string("a\"b\\c\n\t\x01\x7f/\xc3\xa9");
    writes(v, WA_JSON_COMPACT, "\"a\\\"b\\\\c\\n\\t\\u0001\\u007f/\xc3\xa9\"\n");
    wa_value_free(v);
}

/* The shortest text that reads back: the classic hard cases. */
static void numbers_come_back(void **state)
{
    (void)state;
    static const double xs[] = {0.1,
                                1.0 / 3,
                                5e-324,
                                1.7976931348623157e308,
                                123456789012345680.0,
                                2e22,
                                9.5367431640625e-07,
                                0.30000000000000004};
    wa_value *list = wa_list();
    for (size_t i = 0; i < sizeof xs / sizeof xs[0]; i++)
        assert_true(wa_list_add(list, wa_number(xs[i])));
    writes(list, WA_JSON_READABLE, NULL);
    wa_value_free(list);
}

/* What was there before stays, nothing is left of the attempt. */
static void not_written(void **state)
{
    (void)state;
    wa_text t = WA_TEXT_INIT;
    wa_text_add(&t, "kept");
    wa_value *bad[3] = {wa_list(), wa_map(), wa_number(1)};
    assert_true(wa_list_add(bad[0], wa_bytes("a\0b", 3)));
    assert_true(wa_map_set(bad[1], "\xff", wa_number(1)));
    for (int i = 0; i < 64; i++) {
        wa_value *outer = wa_list();
        assert_true(wa_list_add(outer, bad[2]));
        bad[2] = outer;
    }
    for (size_t i = 0; i < 3; i++) {
        assert_int_equal(wa_json_write(&t, bad[i], WA_JSON_READABLE, NULL), WA_ERR_ARG);
        assert_string_equal(wa_text_string(&t), "kept");
        wa_value_free(bad[i]);
    }
    wa_text_release(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(read_keeps_order_and_kinds),
        cmocka_unit_test(refused),
        cmocka_unit_test(depth_is_bounded),
        cmocka_unit_test(written_bytes_are_fixed),
        cmocka_unit_test(a_long_map_of_scalars_is_broken),
        cmocka_unit_test(strings_are_escaped),
        cmocka_unit_test(numbers_come_back),
        cmocka_unit_test(not_written),
    };
    return cmocka_run_group_tests_name("json", tests, NULL, NULL);
}
