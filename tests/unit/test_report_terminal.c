/* The record on a terminal: kept output, widths, and text that would steer the terminal. */
#include "report_case.h"

static void render(wa_text *t, const wa_value *record, int width, bool colour, bool unicode)
{
    const wa_terminal how = {.width = width, .colour = colour, .unicode = unicode};
    assert_int_equal(wa_report_terminal(t, record, &how, NULL), WA_OK);
}

static void output_is_kept(void **state)
{
    (void)state;
    wa_value *v = fixture("campaign.json");
    wa_text t = WA_TEXT_INIT;
    render(&t, v, 120, false, true);
    assert_kept(&t, "campaign.txt");
    wa_text_release(&t);
    wa_value_free(v);
}

/* Colour adds sequences and takes no word away. */
static void colours_stand_beside_words(void **state)
{
    (void)state;
    wa_value *v = fixture("campaign.json");
    wa_text plain = WA_TEXT_INIT, coloured = WA_TEXT_INIT, stripped = WA_TEXT_INIT;
    render(&plain, v, 120, false, true);
    render(&coloured, v, 120, true, true);
    assert_null(strchr(wa_text_string(&plain), '\033'));
    for (const char *s = wa_text_string(&coloured); *s != '\0'; s++) {
        if (*s == '\033')
            s += strcspn(s, "m");
        else
            wa_text_add_char(&stripped, *s);
    }
    assert_true(coloured.length > plain.length);
    assert_non_null(strstr(wa_text_string(&stripped), "conditional pass: Unit NL-0417"));
    wa_text_release(&plain);
    wa_text_release(&coloured);
    wa_text_release(&stripped);
    wa_value_free(v);
}

static void nothing_steers_the_terminal(void **state)
{
    (void)state;
    wa_value *v = fixture("hostile.json");
    wa_text t = WA_TEXT_INIT;
    render(&t, v, 80, false, false);
    for (size_t i = 0; i < t.length; i++) {
        unsigned char c = (unsigned char)t.at[i];
        assert_true(c == '\n' || (c >= 0x20 && c < 0x7f));
    }
    wa_text_clear(&t);
    render(&t, v, 1, true, true);
    assert_true(wa_utf8_valid(t.at, t.length));
    assert_null(strstr(t.at, "\033[31mred"));  /* only our own sequences */
    assert_null(strstr(t.at, "\xe2\x80\xae")); /* right-to-left override */
    wa_text_release(&t);
    wa_value_free(v);
}

/* No row of a table is wider than the terminal; prose may be, terminals break it themselves. */
static void tables_fit_the_terminal(void **state)
{
    (void)state;
    static const int widths[] = {60, 80, 100, 120, 200};
    wa_value *v = fixture("campaign.json");
    for (size_t k = 0; k < sizeof widths / sizeof widths[0]; k++) {
        wa_text t = WA_TEXT_INIT;
        render(&t, v, widths[k], false, true);
        const char *s = strstr(wa_text_string(&t), "By bin of the reference speed");
        const char *end = strstr(s, "exclusions, in order");
        size_t rows = 0;
        for (; s < end; s += strcspn(s, "\n") + 1) {
            assert_true(strcspn(s, "\n") <= (size_t)widths[k]);
            rows += strncmp(s + strspn(s, " "), "16.0 ", 5) == 0;
        }
        assert_int_equal(rows, widths[k] < 100 ? 2 : 1); /* blocks of like width */
        wa_text_release(&t);
    }
    wa_value_free(v);
}

/* Too narrow for all columns: names broken, units behind them, rules below limits, sets numbered. */
static void requirements_fit_the_terminal(void **state)
{
    (void)state;
    wa_value *v = fixture("campaign.json");
    wa_text t = WA_TEXT_INIT;
    render(&t, v, 80, false, true);
    static const char *const must[] = {
        ("slope            1.0299996  0.0042 (k = 2)  0.97 to 1.03   conditional pass  1\n"
         "                                              non-binary\n"
         "                                              w 0.0042\n"),
        "  limits of 1: los_2026\n  limits of 2: house\n",
        ("  bin deviation,       0.087   0.062 (k = 2)  at most 0.15   pass              1\n"
         "  largest [m/s]                               non-binary\n"),
    };
    for (size_t i = 0; i < sizeof must / sizeof must[0]; i++)
        if (strstr(wa_text_string(&t), must[i]) == NULL)
            fail_msg("'%s' is not in\n%s", must[i], wa_text_string(&t));
    wa_text_release(&t);
    wa_value_free(v);
}

static void an_empty_record_is_no_fault(void **state)
{
    (void)state;
    wa_text t = WA_TEXT_INIT;
    render(&t, NULL, 80, false, true);
    assert_true(t.length > 0);
    wa_text_release(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(output_is_kept),
        cmocka_unit_test(colours_stand_beside_words),
        cmocka_unit_test(nothing_steers_the_terminal),
        cmocka_unit_test(tables_fit_the_terminal),
        cmocka_unit_test(requirements_fit_the_terminal),
        cmocka_unit_test(an_empty_record_is_no_fault),
    };
    return cmocka_run_group_tests_name("report terminal", tests, NULL, NULL);
}
