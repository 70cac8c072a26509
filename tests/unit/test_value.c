/* Plain values: the wire form gives back what went in and refuses what nobody wrote. */
#include "windassay/value.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static wa_value *sample(void)
{
    wa_value *m = wa_map();
    assert_true(wa_map_set(m, "slope", wa_number(1.0017)));
    assert_true(wa_map_set(m, "none", wa_null()));
    wa_value *list = wa_list();
    assert_true(wa_list_add(list, wa_bool(true)));
    assert_true(wa_list_add(list, wa_bytes("a\0b", 3)));
    assert_true(wa_map_set(m, "list", list));
    return m;
}

static void comes_back_equal(void **state)
{
    (void)state;
    wa_value *m = sample(), *back = NULL;
    wa_text t = WA_TEXT_INIT;
    assert_true(wa_value_encode(m, &t));
    assert_int_equal(wa_value_decode(&back, t.at, t.length, NULL), WA_OK);
    assert_true(wa_value_equal(m, back));
    wa_value *taken = wa_map_take(m, "slope");
    double x = 0;
    assert_true(wa_number_of(taken, &x));
    assert_float_equal(x, 1.0017, 0);
    wa_value_free(taken);
    assert_null(wa_get(m, "slope"));
    assert_null(wa_map_take(m, "slope"));
    assert_null(wa_map_take(NULL, "slope"));
    assert_int_equal(wa_count(m), wa_count(back) - 1);
    assert_string_equal(wa_key(m, 0), "none");
    wa_value_free(m);
    wa_value_free(back);
    wa_text_release(&t);
}

/* Every shorter prefix, and a byte too many, is refused. */
static void torn_bytes_are_refused(void **state)
{
    (void)state;
    wa_value *m = sample(), *back = NULL;
    wa_text t = WA_TEXT_INIT;
    assert_true(wa_value_encode(m, &t));
    for (size_t n = 0; n < t.length; n++)
        assert_int_equal(wa_value_decode(&back, t.at, n, NULL), WA_ERR_DATA);
    wa_text_add_char(&t, '0');
    assert_int_equal(wa_value_decode(&back, t.at, t.length, NULL), WA_ERR_DATA);
    wa_value_free(m);
    wa_text_release(&t);
}

static void depth_is_bounded(void **state)
{
    (void)state;
    wa_text t = WA_TEXT_INIT;
    wa_value *back = NULL;
    for (int i = 0; i < 100; i++)
        wa_text_add_bytes(&t, "l\1\0\0\0", 5);
    wa_text_add_char(&t, '0');
    assert_int_equal(wa_value_decode(&back, t.at, t.length, NULL), WA_ERR_DATA);
    wa_text_release(&t);
}

static void numbers_are_finite(void **state)
{
    (void)state;
    assert_null(wa_number((double)INFINITY));
    const char nan[9] = {'n', 0, 0, 0, 0, 0, 0, (char)0xf8, 0x7f};
    wa_value *back = NULL;
    assert_int_equal(wa_value_decode(&back, nan, sizeof nan, NULL), WA_ERR_DATA);
}

static void nearest_names(void **state)
{
    (void)state;
    const char *const names[] = {"width", "lowest", "highest", "at_least"};
    assert_string_equal(wa_nearest("widht", names, 4), "width");
    assert_string_equal(wa_nearest("atleast", names, 4), "at_least");
    assert_null(wa_nearest("colour", names, 4));
    const char *const letters[] = {"m", "s", "K"};
    assert_null(wa_nearest("C", letters, 3));
}

static void foreign_text_is_escaped(void **state)
{
    (void)state;
    char out[64];
    assert_string_equal(wa_shown(out, sizeof out, "\033[31m\xff", 6), "\\x1b[31m\\xff");
    assert_string_equal(wa_shown(out, sizeof out,
                                 "a\xe2\x80\xae"
                                 "b",
                                 5),
                        "a\\xe2\\x80\\xaeb");
    assert_string_equal(wa_shown(out, sizeof out, "\xef\xbf\xbf", 3), "\\xef\\xbf\\xbf");
    assert_string_equal(wa_shown(out, sizeof out, "gr\xc3\xbc\xc3\x9f", 6), "gr\xc3\xbc\xc3\x9f");
    /* cut between characters, not inside of them */
    assert_string_equal(wa_shown(out, 4, "gr\xc3\xbc\xc3\x9f", 6), "gr");
    assert_string_equal(wa_shown(out, 5, "a\033b", 3), "a");
    assert_string_equal(wa_shown(out, 6, "a\033b", 3), "a\\x1b");
    assert_true(wa_is_clean("gr\xc3\xbc\xc3\x9f", 6) && wa_is_clean("", 0));
    assert_false(wa_is_clean("a\nb", 3) || wa_is_clean("gr\xc3", 3) ||
                 wa_is_clean("\xe2\x80\xae", 3));
}

static void cut_messages_end_with_a_whole_character(void **state)
{
    (void)state;
    char text[2 * WA_ERROR_HINT_SIZE + 1] = "";
    wa_error err;
    for (size_t i = 0; i < WA_ERROR_HINT_SIZE; i++)
        strcat(text, "\xc3\xbc");
    wa_fail_at(&err, WA_ERR_DATA, text, 1, 1, "%s", text);
    wa_hint(&err, WA_ERR_DATA, "x%s", text);
    assert_int_equal(strlen(err.text), WA_ERROR_TEXT_SIZE - 2); /* 511 is odd */
    assert_int_equal(strlen(err.hint), WA_ERROR_HINT_SIZE - 1);
    assert_int_equal(strlen(err.file), WA_ERROR_FILE_SIZE - 2);
    assert_true(wa_utf8_valid(err.text, strlen(err.text)));
    assert_true(wa_utf8_valid(err.hint, strlen(err.hint)));
    assert_true(wa_utf8_valid(err.file, strlen(err.file)));
}

/* A message may quote what a stranger wrote, or half of it. */
static void messages_are_clean(void **state)
{
    (void)state;
    wa_error err;
    wa_fail_at(&err, WA_ERR_DATA, "a\033.lua", 1, 1, "'%.4s' is no format", "iso\xc3\xbc");
    wa_hint(&err, WA_ERR_DATA, "one\ntwo\t%s", "\xff");
    assert_string_equal(err.file, "a\\x1b.lua");
    assert_string_equal(err.text, "'iso\\xc3' is no format");
    assert_string_equal(err.hint, "one\ntwo\\x09\\xff");
}

static void entries_are_replaced_in_place(void **state)
{
    (void)state;
    wa_value *list = wa_list(), *map = wa_map();
    assert_true(wa_list_add(list, wa_number(1)));
    assert_true(wa_list_add(list, wa_string("two")));
    assert_true(wa_list_set(list, 0, wa_string("one")));
    assert_string_equal(wa_string_of(wa_at(list, 0)), "one");
    assert_int_equal(wa_count(list), 2);
    assert_false(wa_list_set(list, 2, wa_null())); /* it is taken, also where it has no place */
    assert_false(wa_list_set(map, 0, wa_null()));
    assert_false(wa_list_set(list, 0, NULL));
    wa_value_free(list);
    wa_value_free(map);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(comes_back_equal),
        cmocka_unit_test(torn_bytes_are_refused),
        cmocka_unit_test(depth_is_bounded),
        cmocka_unit_test(numbers_are_finite),
        cmocka_unit_test(nearest_names),
        cmocka_unit_test(foreign_text_is_escaped),
        cmocka_unit_test(cut_messages_end_with_a_whole_character),
        cmocka_unit_test(messages_are_clean),
        cmocka_unit_test(entries_are_replaced_in_place),
    };
    return cmocka_run_group_tests_name("value", tests, NULL, NULL);
}
