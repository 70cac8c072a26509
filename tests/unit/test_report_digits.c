/* Digits show why: nothing is rounded onto its limit, nothing small reads as zero. */
#include "report_case.h"

#include "report/digits.h"
#include "report/facts.h"
#include "report/markup.h"

static void check_value(const char *requirement, const char *value, const char *expanded)
{
    wa_value *r = json(requirement);
    wa_text t = WA_TEXT_INIT;
    wa_facts_value(&t, r);
    assert_string_equal(wa_text_string(&t), value);
    wa_text_clear(&t);
    wa_facts_expanded(&t, r);
    assert_string_equal(wa_text_string(&t), expanded);
    wa_text_release(&t);
    wa_value_free(r);
}

static void a_value_is_not_rounded_onto_its_limit(void **state)
{
    (void)state;
    check_value("{\"value\":1.0021345,\"unit\":\"1\",\"limits\":{\"upper\":1.03}}", "1.00213", "");
    check_value("{\"value\":1.0299996,\"unit\":\"1\",\"limits\":{\"upper\":1.03}}", "1.0299996",
                "");
    check_value("{\"value\":1.03,\"unit\":\"1\",\"limits\":{\"upper\":1.03}}", "1.03000", "");
    check_value("{\"value\":-0.15000000000001,\"unit\":\"m s-1\",\"limits\":{\"lower\":-0.15}}",
                "-0.15000000000001", "");
    /* nor onto the limit moved by the guard band */
    check_value("{\"value\":0.140001,\"unit\":\"m s-1\",\"guard_band\":0.01,\"limits\":{\"upper\":"
                "0.15}}",
                "0.140001", "");
}

/* Two significant digits of an uncertainty: GUM (JCGM 100:2008), 7.2.6. */
static void uncertainties_keep_two_digits(void **state)
{
    (void)state;
    check_value("{\"value\":12.5,\"unit\":\"m s-1\",\"u\":0.00042,\"k\":2}", "12.50000", "0.00084");
    check_value("{\"value\":2.4,\"unit\":\"s\",\"u\":3.1,\"k\":2}", "2.4", "6.2");
    check_value("{\"value\":null,\"unit\":\"1\"}", "undefined", "");
    check_value("{\"value\":1e300,\"unit\":\"1\",\"u\":1e-300,\"k\":2}", "1e+300", "2e-300");
}

static void columns_take_what_they_need(void **state)
{
    (void)state;
    wa_value *rows =
        json("[[4,0.0557,12,null,1],[4.5,0.00952,7,null,0.1],[5,-0.0346,0,null,\"x\"]]");
    assert_int_equal(wa_digits_column(rows, 0, "m s-1"), 1); /* bin centres            */
    assert_int_equal(wa_digits_column(rows, 1, "m s-1"), 4); /* three digits of 0.0557 */
    assert_int_equal(wa_digits_column(rows, 2, "1"), 0);     /* counts                 */
    assert_int_equal(wa_digits_column(rows, 3, "1"), 0);     /* nothing there          */
    assert_int_equal(wa_digits_column(rows, 4, "1"), 1);
    wa_value *noise = json("[[1.1e-16],[0],[-3e-17]]"); /* of a sum that should be 0 */
    assert_int_equal(wa_digits_column(noise, 0, "m s-1"), 3);
    wa_value_free(noise);
    wa_value_free(rows);
}

static void units_are_spelled_as_people_do(void **state)
{
    (void)state;
    static const struct {
        const char *unit, *plain, *page;
    } cases[] = {{"m s-1", "m/s", "m/s"},
                 {"m/s", "m/s", "m/s"},
                 {"kg m-3", "kg/m3", "kg/m\u00b3"},
                 {"degree m-1", "degree/m", "degree/m"},
                 {"s-1", "s-1", "s\u207b\u00b9"},
                 {"m s-1 K-1", "m s-1 K-1", "m s\u207b\u00b9 K\u207b\u00b9"},
                 {"kg-1 m", "kg-1 m", "kg\u207b\u00b9 m"},
                 {"degree", "degree", "\u00b0"},
                 {"m s-", "m s-", "m s-"},
                 {"1", "1", ""},
                 {"", "", ""}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wa_text plain = WA_TEXT_INIT, page = WA_TEXT_INIT;
        wa_plain_unit(&plain, cases[i].unit);
        wa_shown_unit(&page, cases[i].unit);
        assert_string_equal(wa_text_string(&plain), cases[i].plain);
        assert_string_equal(wa_text_string(&page), cases[i].page);
        wa_text_release(&plain);
        wa_text_release(&page);
    }
}

static void check_at_most(double x, int decimals, const char *expected)
{
    wa_text t = WA_TEXT_INIT;
    wa_digits_at_most(&t, x, decimals);
    assert_string_equal(wa_text_string(&t), expected);
    wa_text_release(&t);
}

static void rules_are_named_briefly(void **state)
{
    (void)state;
    check_at_most(0.15, 5, "0.15");
    check_at_most(1.2345678901234, 3, "1.235");
    check_at_most(30, 0, "30");
    check_at_most(0.25, -1, "0.25");
    check_at_most(0.0081239, 1, "0.00812");
}

static void accounts_that_do_not_close_say_so(void **state)
{
    (void)state;
    wa_value *a = json("{\"grid\":10,\"used\":4,\"records_only\":1,\"outside\":2,\"excluded\":3}");
    wa_text t = WA_TEXT_INIT;
    wa_facts_account(&t, a);
    assert_string_equal(wa_text_string(&t),
                        "used 4 + used in records, not in bin means 1 + outside "
                        "the bins 2 + excluded 3 = grid 10");
    assert_true(wa_map_set(a, "used", wa_number(5)));
    wa_text_clear(&t);
    wa_facts_account(&t, a);
    assert_non_null(strstr(wa_text_string(&t), "which is not the grid 10"));
    wa_text_release(&t);
    wa_value_free(a);
}

static void certainty_is_not_rounded_to(void **state)
{
    (void)state;
    static const struct {
        double p;
        const char *text;
    } cases[] = {{1, ">\u00a099.99\u00a0%"},   {0.999999, ">\u00a099.99\u00a0%"},
                 {0.9999, "99.99\u00a0%"},     {0.5, "50.00\u00a0%"},
                 {1e-9, "<\u00a00.01\u00a0%"}, {0, "<\u00a00.01\u00a0%"}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wa_text t = WA_TEXT_INIT;
        wa_facts_probability(&t, cases[i].p);
        assert_string_equal(wa_text_string(&t), cases[i].text);
        wa_text_release(&t);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_value_is_not_rounded_onto_its_limit),
        cmocka_unit_test(uncertainties_keep_two_digits),
        cmocka_unit_test(columns_take_what_they_need),
        cmocka_unit_test(units_are_spelled_as_people_do),
        cmocka_unit_test(rules_are_named_briefly),
        cmocka_unit_test(certainty_is_not_rounded_to),
        cmocka_unit_test(accounts_that_do_not_close_say_so),
    };
    return cmocka_run_group_tests_name("report digits", tests, NULL, NULL);
}
