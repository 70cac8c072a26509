/* Figures: ticks, layout, kept drawings, and figures that a stranger wrote. */
#include "report_case.h"

#include "report/lettering.h"
#include "report/scale.h"

#include "windassay/number.h"

#include <math.h>

static void check_ticks(double low, double high, int about, const char *expected)
{
    wa_scale s;
    wa_text t = WA_TEXT_INIT;
    assert_true(wa_scale_is_time("s", low, high) ? wa_scale_choose_dates(&s, low, high, about)
                                                 : wa_scale_choose(&s, low, high, about, false));
    for (int i = 0; i < s.ticks; i++) {
        wa_text_add(&t, i > 0 ? " " : "");
        wa_scale_label(&t, &s, i);
    }
    assert_string_equal(wa_text_string(&t), expected);
    wa_text_release(&t);
}

static void ticks_are_round(void **state)
{
    (void)state;
    check_ticks(0, 10, 6, "0 2 4 6 8 10");
    check_ticks(0.97, 1.03, 7, "0.97 0.98 0.99 1.00 1.01 1.02 1.03");
    check_ticks(-0.3, 0.3, 6, "-0.3 -0.2 -0.1 0.0 0.1 0.2 0.3");
    check_ticks(3.7, 16.2, 5, "5 10 15");
    check_ticks(0, 2e9, 4, "0 500000000 1000000000 1500000000 2000000000");
    check_ticks(1e-9, 3e-9, 3, "1e-9 2e-9 3e-9");
}

/* The first and the leap day of 2028; 1835395200 s is 2028-02-29T00:00:00Z (GNU date). */
static void times_are_dates(void **state)
{
    (void)state;
    check_ticks(1835395200.0 - 3600, 1835395200.0 + 2 * 86400 + 3600, 4,
                "2028-02-29 2028-03-01 2028-03-02");
    check_ticks(1835395200.0, 1835395200.0 + 43200, 4,
                "2028-02-29 00h 2028-02-29 03h 2028-02-29 06h 2028-02-29 09h 2028-02-29 12h");
}

static void directions_go_round_the_circle(void **state)
{
    (void)state;
    wa_scale s;
    wa_text t = WA_TEXT_INIT;
    assert_true(wa_scale_choose_directions(&s, "degree", -7, 367, 9));
    for (int i = 0; i < s.ticks; i++) {
        wa_scale_label(&t, &s, i);
        wa_text_add(&t, " ");
    }
    assert_string_equal(wa_text_string(&t), "0 45 90 135 180 225 270 315 360 ");
    wa_text_release(&t);
    assert_false(wa_scale_choose_directions(&s, "degree", -3, 3, 9)); /* a deviation */
    assert_false(wa_scale_choose_directions(&s, "m s-1", 0, 360, 9));
}

/* Each label reads back as exactly the value at which its tick stands. */
static void labels_are_exact(void **state)
{
    (void)state;
    uint64_t x = 417;
    for (int i = 0; i < 2000; i++) {
        x = x * 6364136223846793005u + 1442695040888963407u;
        double low = ldexp((double)(x >> 40) - 8e6, (int)(x & 31) - 40);
        x = x * 6364136223846793005u + 1442695040888963407u;
        double high = low + ldexp((double)(x >> 40), (int)(x & 31) - 40) + 1e-12;
        wa_scale s;
        if (!wa_scale_choose(&s, low, high, 8, (i & 1) != 0))
            continue;
        assert_in_range(s.ticks, 1, 12);
        for (int k = 0; k < s.ticks; k++) {
            wa_text t = WA_TEXT_INIT;
            double back;
            wa_scale_label(&t, &s, k);
            assert_int_equal(wa_number_parse(&back, t.at, t.length), WA_PARSE_OK);
            assert_true(back == wa_scale_tick(&s, k));
            assert_true(s.low <= low && s.high >= high);
            wa_text_release(&t);
        }
    }
}

static void ranges_that_cannot_be_drawn(void **state)
{
    (void)state;
    wa_scale s;
    assert_false(wa_scale_choose(&s, 0, 1e300, 5, true));
    assert_false(wa_scale_choose(&s, -1e15, 0, 5, true));
    assert_false(wa_scale_choose(&s, 1, 0, 5, true));
    assert_true(wa_scale_choose(&s, 7, 7, 5, true)); /* one value: room around it */
    assert_true(s.low < 7 && s.high > 7);
    assert_true(wa_scale_choose(&s, 0, 0, 5, true));
}

/* DejaVu Sans 2.37: "H" 752, "i" 278 of 1000 em (read from its hmtx table). */
static void letters_have_widths(void **state)
{
    (void)state;
    assert_int_equal(wa_lettering_width("Hi", 1000, false), 1030);
    assert_int_equal(wa_lettering_width("", 1000, false), 0);
    assert_int_equal(wa_lettering_paragraph(NULL, 0, 0, 1000, false, 0, "ab cd ef", 3000), 2);
    assert_int_equal(wa_lettering_paragraph(NULL, 0, 0, 1000, false, 0, "WWWWWWWW", 10), 8);
}

/* Every kind of series, drawn and kept. */
static void drawings_are_kept(void **state)
{
    (void)state;
    wa_value *figures = fixture("figures.json");
    for (size_t i = 0; i < wa_count(figures); i++) {
        const wa_value *f = wa_at(figures, i);
        char name[128];
        wa_text t = WA_TEXT_INIT, again = WA_TEXT_INIT;
        assert_int_equal(wa_report_svg(&t, f, NULL), WA_OK);
        assert_int_equal(wa_report_svg(&again, f, NULL), WA_OK);
        assert_string_equal(wa_text_string(&t), wa_text_string(&again));
        assert_null(strstr(wa_text_string(&t), "<script"));
        snprintf(name, sizeof name, "%s.svg", wa_get_string(f, "name"));
        assert_kept(&t, name);
        wa_text_release(&t);
        wa_text_release(&again);
    }
    wa_value_free(figures);
}

/* 3000 records are a few paths, not 3000 elements, and every one of them is drawn. */
static void a_crowd_is_small(void **state)
{
    (void)state;
    wa_text spec = WA_TEXT_INIT, t = WA_TEXT_INIT;
    wa_text_add(&spec, "{\"series\":[{\"kind\":\"points\",\"x\":[0");
    for (int i = 1; i < 3000; i++)
        wa_text_printf(&spec, ",%d", i);
    wa_text_add(&spec, "],\"y\":[-1");
    for (int i = 1; i < 3000; i++)
        wa_text_printf(&spec, ",%d", i % 17);
    wa_text_add(&spec, "]}]}");
    wa_value *v = json(wa_text_string(&spec));
    assert_int_equal(wa_report_svg(&t, v, NULL), WA_OK);
    size_t points = 0;
    for (const char *s = wa_text_string(&t); (s = strstr(s, "h0")) != NULL; s++)
        points++;
    assert_int_equal(points, 3000);
    assert_true(t.length < 60000);
    assert_null(strstr(wa_text_string(&t), "<circle"));
    assert_non_null(strstr(wa_text_string(&t), ">\u22125</text>")); /* a true minus */
    wa_value_free(v);
    wa_text_release(&t);
    wa_text_release(&spec);
}

static void check_refused(const char *series, const char *why)
{
    wa_text spec = WA_TEXT_INIT, t = WA_TEXT_INIT;
    wa_error err = {0};
    wa_text_printf(&spec, "{\"title\":\"t\",\"series\":[%s]}", series);
    wa_value *v = json(wa_text_string(&spec));
    assert_int_equal(wa_report_svg(&t, v, &err), WA_ERR_DATA);
    assert_string_equal(err.text, why);
    wa_value_free(v);
    wa_text_release(&t);
    wa_text_release(&spec);
}

static void figures_of_a_stranger(void **state)
{
    (void)state;
    check_refused("{\"kind\":\"pie\"}", "a series has no known kind");
    check_refused("{\"kind\":\"points\",\"x\":[1,2],\"y\":[1]}",
                  "a series has 1 values of 'y' for 2 places");
    check_refused("{\"kind\":\"line\",\"x\":[1],\"y\":[\"a\"]}", "value 1 of 'y' is not a number");
    check_refused("{\"kind\":\"level\"}", "a series has no number 'y'");
    check_refused("{\"kind\":\"counts\",\"x0\":0,\"dx\":-1,\"nx\":1,\"y0\":0,\"dy\":1,\"ny\":1,"
                  "\"count\":[1]}",
                  "the grid of counts is not a grid");
    wa_text t = WA_TEXT_INIT;
    wa_value *far = json("{\"series\":[{\"kind\":\"points\",\"x\":[0,1e300],\"y\":[0,1]}]}");
    assert_int_equal(wa_report_svg(&t, far, NULL), WA_OK);
    assert_non_null(strstr(wa_text_string(&t), "The range of the values cannot be drawn."));
    wa_value_free(far);
    wa_text_clear(&t);
    assert_int_equal(wa_report_svg(&t, NULL, NULL), WA_OK); /* nothing to draw, and says so */
    assert_non_null(strstr(wa_text_string(&t), "There are no values to draw."));
    wa_text_release(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ticks_are_round),
        cmocka_unit_test(times_are_dates),
        cmocka_unit_test(labels_are_exact),
        cmocka_unit_test(ranges_that_cannot_be_drawn),
        cmocka_unit_test(directions_go_round_the_circle),
        cmocka_unit_test(letters_have_widths),
        cmocka_unit_test(drawings_are_kept),
        cmocka_unit_test(a_crowd_is_small),
        cmocka_unit_test(figures_of_a_stranger),
    };
    return cmocka_run_group_tests_name("report svg", tests, NULL, NULL);
}
