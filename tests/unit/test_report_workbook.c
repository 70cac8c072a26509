/* The spreadsheet: what is in it is read by tests/workbook.py; here, that any record gives one. */
#include "report_case.h"

static void render(wa_text *t, const char *name)
{
    wa_value *v = fixture(name);
    wa_error err = {0};
    if (wa_report_workbook(t, v, "0f1e", &err) != WA_OK)
        fail_msg("%s: %s", name, err.text);
    wa_value_free(v);
}

/* Names with every sign that a sheet may not bear, control characters, markup, long texts. */
static void every_record_gives_one_and_always_the_same(void **state)
{
    (void)state;
    static const char *const names[] = {"campaign.json", "hostile.json"};
    for (size_t i = 0; i < 2; i++) {
        wa_text once = WA_TEXT_INIT, again = WA_TEXT_INIT;
        render(&once, names[i]);
        render(&again, names[i]);
        assert_true(once.length > 1000);
        assert_memory_equal(once.at, "PK\3\4", 4); /* a zip file */
        assert_int_equal(once.length, again.length);
        assert_memory_equal(once.at, again.at, once.length);
        wa_text_release(&once);
        wa_text_release(&again);
    }
}

static void a_record_without_checks_gives_its_summary(void **state)
{
    (void)state;
    wa_value *v = json("{\"campaign\":{\"title\":\"t\"},\"outcome\":\"no decision asked\"}");
    wa_text t = WA_TEXT_INIT;
    assert_int_equal(wa_report_workbook(&t, v, NULL, NULL), WA_OK);
    assert_true(t.length > 1000);
    wa_text_release(&t);
    wa_value_free(v);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_record_gives_one_and_always_the_same),
        cmocka_unit_test(a_record_without_checks_gives_its_summary),
    };
    return cmocka_run_group_tests_name("report workbook", tests, NULL, NULL);
}
