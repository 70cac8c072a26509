/* Tables as CSV: RFC 4180, by eye and rule. */
#include "report_case.h"

static void check_csv(const char *table, const char *expected)
{
    wa_value *v = json(table);
    wa_text t = WA_TEXT_INIT;
    assert_int_equal(wa_report_table_csv(&t, v, NULL), WA_OK);
    assert_string_equal(wa_text_string(&t), expected);
    wa_text_release(&t);
    wa_value_free(v);
}

static void numbers_are_shortest_and_null_is_nothing(void **state)
{
    (void)state;
    check_csv("{\"columns\":[{\"name\":\"centre\",\"unit\":\"m s-1\"},{\"name\":\"n\",\"unit\":"
              "\"1\"},{\"name\":\"note\"}],\"rows\":[[4.5,30,null],[0.1,null,\"\"],[1e-6,-0.0,"
              "true]]}",
              "centre [m s-1],n [1],note\n4.5,30,\n0.1,,\"\"\n1e-6,0,true\n");
}

/* RFC 4180, 2, rules 6 and 7. */
static void fields_are_quoted(void **state)
{
    (void)state;
    check_csv("{\"columns\":[{\"name\":\"a,b\",\"unit\":\"1\"}],\"rows\":[[\"say \\\"x\\\"\"],"
              "[\"two\\r\\nlines\"],[\" blank\"],[\"plain\"]]}",
              "\"a,b [1]\"\n\"say \"\"x\"\"\"\n\"two\r\nlines\"\n\" blank\"\nplain\n");
}

static void ragged_tables_are_refused(void **state)
{
    (void)state;
    wa_value *v = json("{\"columns\":[{\"name\":\"a\"}],\"rows\":[[1],[1,2]]}");
    wa_text t = WA_TEXT_INIT;
    wa_error err = {0};
    assert_int_equal(wa_report_table_csv(&t, v, &err), WA_ERR_DATA);
    assert_string_equal(err.text, "row 2 of a table has 2 cells for 1 columns");
    assert_int_equal(wa_report_table_csv(&t, NULL, NULL), WA_ERR_DATA);
    wa_text_release(&t);
    wa_value_free(v);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_are_shortest_and_null_is_nothing),
        cmocka_unit_test(fields_are_quoted),
        cmocka_unit_test(ragged_tables_are_refused),
    };
    return cmocka_run_group_tests_name("report csv", tests, NULL, NULL);
}
