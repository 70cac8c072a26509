/* What a record hands on of its calibrations: which of several, what was not calibrated, and that
 * what is written is read again. */
#include "windassay/calibration.h"
#include "windassay/json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <string.h>

static const char ONE[] =
    "{\"name\":\"%s\",\"quantity\":\"los_speed\",\"beam\":%d,\"range\":240,"
    "\"unit\":\"m s-1\",\"gain\":%s,\"gain_u\":0.01,"
    "\"from\":\"2026-03-02T00:00:00Z\",\"to\":\"2026-03-16T00:00:00Z\","
    "\"valid\":[],\"bins\":[{\"reference\":4,\"measured\":4,\"records\":3,"
    "\"u\":0.1}],\"components\":[{\"name\":\"a\",\"kind\":\"B\",\"u\":[0.1]}]}";

static const char RECORD[] =
    "{\"arithmetic\":1,\"outcome\":\"pass\",\"campaign\":{\"title\":\"t\",\"lidar\":{\"serial\":"
    "\"NL-0421\",\"beams\":[{},{},{}],\"ranges\":{\"at\":[140,240]}},\"period\":{},\"sources\":["
    "{\"name\":\"lidar\",\"role\":\"unit\",\"channels\":[{\"quantity\":\"los_speed\",\"unit\":\"m "
    "s-1\"},{\"quantity\":\"carrier_to_noise_ratio\",\"unit\":\"dB\"},{\"quantity\":\"status\","
    "\"unit\":\"1\"}]},{\"name\":\"mast\",\"role\":\"reference\",\"channels\":[{\"quantity\":"
    "\"wind_speed\",\"unit\":\"m s-1\"}]}]},\"samples\":[{\"source\":\"lidar\",\"beam\":1,"
    "\"range\":240},{\"source\":\"lidar\",\"beam\":2,\"range\":240}],\"checks\":[%s]}";

static wa_value *read(const char *json)
{
    wa_value *v = NULL;
    assert_int_equal(wa_json_read(&v, json, strlen(json), NULL, NULL), WA_OK);
    return v;
}

/* A record with these checks; its calibration, or NULL. */
static wa_value *made(const char *checks)
{
    static char json[8000];
    wa_value *file = NULL;
    snprintf(json, sizeof json, RECORD, checks);
    wa_value *record = read(json);
    assert_int_equal(wa_calibration_make(&file, record, "abc", NULL), WA_OK);
    wa_value_free(record);
    return file;
}

/* Check `id` with one calibration of a beam, for information or under a contract. */
static void add_check(char *to, size_t size, const char *id, int beam, const char *gain,
                      const char *use)
{
    char one[1500];
    size_t n = strlen(to);
    snprintf(one, sizeof one, ONE, id, beam, gain);
    snprintf(to + n, size - n,
             "%s{\"id\":\"%s\",\"outcome\":\"pass\",\"criteria\":[{\"use\":\"%s\"}],"
             "\"calibrations\":[%s]}",
             n > 0 ? "," : "", id, use, one);
}

static void nothing_gives_no_file(void **state)
{
    (void)state;
    assert_null(made("{\"id\":\"a\",\"outcome\":\"pass\",\"criteria\":[]}"));
}

static void of_two_the_one_that_a_contract_decides(void **state)
{
    (void)state;
    char checks[6000] = "";
    add_check(checks, sizeof checks, "first", 1, "1.25", "information");
    add_check(checks, sizeof checks, "second", 1, "1.5", "contract");
    wa_value *file = made(checks);
    const wa_value *list = wa_get(file, "calibrations");
    assert_int_equal(wa_count(list), 1);
    assert_string_equal(wa_get_string(wa_at(list, 0), "check"), "second");
    assert_string_equal(wa_get_string(wa_get(file, "record"), "sha256"), "abc");
    wa_value_free(file);
}

static void what_was_not_calibrated_is_said(void **state)
{
    (void)state;
    char checks[6000] = "";
    add_check(checks, sizeof checks, "a", 1, "1.01", "contract");
    wa_value *file = made(checks),
             *expected = read("[{\"quantity\":\"los_speed\",\"beam\":2,\"range\":240},"
                              "{\"quantity\":\"carrier_to_noise_ratio\"},"
                              "{\"quantity\":\"los_speed\",\"beam\":1,\"range\":140},"
                              "{\"quantity\":\"los_speed\",\"beam\":2,\"range\":140},"
                              "{\"quantity\":\"los_speed\",\"beam\":3,\"range\":140},"
                              "{\"quantity\":\"los_speed\",\"beam\":3,\"range\":240}]");
    assert_true(wa_value_equal(wa_get(file, "not_calibrated"), expected));
    wa_value_free(expected);
    wa_value_free(file);
}

static void what_is_written_is_read(void **state)
{
    (void)state;
    char checks[6000] = "";
    wa_text json = WA_TEXT_INIT;
    wa_error err;
    add_check(checks, sizeof checks, "a", 1, "1.01", "contract");
    add_check(checks, sizeof checks, "b", 2, "0.99", "contract");
    wa_value *file = made(checks), *again = NULL;
    assert_int_equal(wa_json_write(&json, file, WA_JSON_READABLE, &err), WA_OK);
    assert_int_equal(wa_json_read(&again, json.at, json.length, NULL, &err), WA_OK);
    assert_int_equal(wa_calibration_check(again, "x", &err), WA_OK);
    assert_true(wa_value_equal(again, file));
    const wa_value *list = wa_get(again, "calibrations");
    assert_false(wa_calibration_same(wa_at(list, 0), wa_at(list, 1)));
    assert_true(wa_calibration_same(wa_at(list, 0), wa_at(wa_get(file, "calibrations"), 0)));
    wa_map_set(again, "host", wa_string("x"));
    assert_int_equal(wa_calibration_check(again, "x", &err), WA_ERR_DATA);
    assert_string_equal(err.file, "x");
    wa_value_free(again);
    wa_value_free(file);
    wa_text_release(&json);
}

static void no_map_is_refused(void **state)
{
    (void)state;
    wa_value *list = wa_list();
    assert_int_equal(wa_calibration_check(list, "x", NULL), WA_ERR_DATA);
    assert_int_equal(wa_calibration_check(NULL, "x", NULL), WA_ERR_DATA);
    wa_value_free(list);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_gives_no_file),
        cmocka_unit_test(of_two_the_one_that_a_contract_decides),
        cmocka_unit_test(what_was_not_calibrated_is_said),
        cmocka_unit_test(what_is_written_is_read),
        cmocka_unit_test(no_map_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
