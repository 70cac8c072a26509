/* The script of the appendix: what it says of a record, and that foreign names stay literals. The
 * numbers that it prints are held against the record in tests/again.py. */
#include "report/again.h"
#include "windassay/json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* A record with one check; `%s` stands for its measured column. */
static wa_value *record_of(const char *measured, const char *by)
{
    char json[2000];
    wa_value *v = NULL;
    wa_error err;
    snprintf(
        json, sizeof json,
        "{\"campaign\":{\"sources\":[{\"name\":\"mast\"},{\"name\":\"lidar\"}]},\"checks\":[{"
        "\"id\":\"speed\",\"parameters\":[{\"name\":\"width\",\"value\":0.5},"
        "{\"name\":\"at_least\",\"value\":3}],\"accounts\":[{\"name\":\"intervals\","
        "\"measured\":\"%s\",\"reference\":\"mast.v.mean\",\"binned_by\":\"%s\"}],"
        "\"tables\":[{\"name\":\"by bin\",\"columns\":[{\"name\":\"centre\",\"unit\":\"m s-1\"},"
        "{\"name\":\"count\"},{\"name\":\"days\"},{\"name\":\"reference mean\"},"
        "{\"name\":\"measured mean\"},{\"name\":\"deviation\"}],"
        "\"rows\":[[4,1,1,4,4,0],[4.5,1,1,4,4,0]]}]}]}",
        measured, by);
    if (wa_json_read(&v, json, strlen(json), NULL, &err) != WA_OK)
        fail_msg("%s", err.text);
    return v;
}

static void expect(const char *measured, const char *fragment)
{
    wa_text t = WA_TEXT_INIT;
    wa_value *v = record_of(measured, "mast.v.mean");
    assert_true(wa_again_script(&t, v));
    if (strstr(wa_text_string(&t), fragment) == NULL)
        fail_msg("no '%s' in:\n%s", fragment, wa_text_string(&t));
    wa_value_free(v);
    wa_text_release(&t);
}

static void test_names(void **state)
{
    (void)state;
    expect("lidar.v.mean", "\"speed\", \"mast.v.mean [m s-1]\"");
    expect("lidar.v.mean", "\"lidar.v.mean [m s-1]\", \"4\", \"0.5\", 2, 3)");
    /* computed: it stands in compared.csv */
    expect("(lidar.v.mean * 2)", "\"speed.measured [m s-1]\"");
    expect("lidarx.v.mean", "\"speed.measured [m s-1]\"");
    /* foreign text stays inside its literal */
    expect("lidar.\\\"+open(1)+\\\"", "\"lidar.\\\"+open(1)+\\\" [m s-1]\"");
    expect("lidar.a\\\\\\nb", "\"lidar.a\\\\\\x0ab [m s-1]\"");
}

static void test_nothing(void **state)
{
    (void)state;
    wa_text t = WA_TEXT_INIT;
    wa_value *v = record_of("lidar.v.mean", "mast.other.mean"); /* binned by something else */
    assert_false(wa_again_script(&t, v));
    assert_false(wa_again_script(&t, NULL));
    assert_int_equal(t.length, 0);
    wa_value_free(v);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_names),
                                       cmocka_unit_test(test_nothing)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
