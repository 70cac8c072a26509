/* Bins: edges as a person writes them, completeness, days, statistics. */
#include "windassay/bin.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const double MISSING = (double)NAN;

static wa_bins *make(const double *x, const double *time, size_t n, wa_bin_spec spec)
{
    wa_bins *b = NULL;
    wa_error err = {0};
    if (wa_bins_make(&b, x, time, n, &spec, &err) != WA_OK)
        fail_msg("%s", err.text);
    return b;
}

static void half_metre_bins(void **state)
{
    (void)state;
    /* the examples of practice: 4.25 -> 4.5; 4.2499 -> 4; 3.75 -> 4; 16.249 -> 16 */
    const double x[] = {4.25, 4.2499, 3.75, 16.249, 16.25, 3.7499, MISSING};
    wa_bins *b = make(x, NULL, 7, (wa_bin_spec){.width = 0.5, .lowest = 4, .highest = 16});
    assert_int_equal(b->n, 25);
    assert_true(b->centre[0] == 4 && b->centre[1] == 4.5 && b->centre[24] == 16);
    assert_true(b->edge[0] == 3.75 && b->edge[25] == 16.25);
    const int32_t right[] = {1, 0, 0, 24, WA_NO_BIN, WA_NO_BIN, WA_BIN_UNKNOWN};
    assert_memory_equal(b->of_record, right, sizeof right);
    assert_int_equal(b->count[0], 2);
    assert_null(b->days);
    wa_bins_free(b);
}

/* Every edge and centre of a decimal width is the double that its decimal text is read as, so a
 * logged value on an edge lies in the bin above. Second opinion: strtod. */
static void decimal_widths(void **state)
{
    (void)state;
    const struct {
        const char *width, *lowest, *highest;
        int digits; /* of an edge */
    } cases[] = {{"0.1", "0", "30", 2},   {"0.2", "0.4", "30", 1}, {"0.3", "-3", "30", 2},
                 {"0.7", "0.7", "70", 2}, {"0.05", "-1", "20", 3}, {"1e-6", "0", "0.001", 7},
                 {"0.5", "-4", "16", 2},  {"10", "0", "350", 0}};
    for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
        double width = strtod(cases[c].width, NULL), lowest = strtod(cases[c].lowest, NULL);
        wa_bins *b =
            make(NULL, NULL, 0,
                 (wa_bin_spec){
                     .width = width, .lowest = lowest, .highest = strtod(cases[c].highest, NULL)});
        for (size_t k = 0; k <= b->n; k++) {
            char text[64];
            double edge = lowest + ((double)k - 0.5) * width; /* nearly */
            snprintf(text, sizeof text, "%.*f", cases[c].digits, edge);
            assert_true(b->edge[k] == strtod(text, NULL));
            wa_bins *one =
                make(&b->edge[k], NULL, 1, (wa_bin_spec){.edges = b->edge, .edge_count = b->n + 1});
            assert_int_equal(one->of_record[0], k < b->n ? (int32_t)k : WA_NO_BIN);
            wa_bins_free(one);
        }
        wa_bins_free(b);
    }
}

static void shifted_centres(void **state)
{
    (void)state;
    const double x[] = {2, 3, 2.9999};
    wa_bins *b = make(x, NULL, 3,
                      (wa_bin_spec){.width = 1, .lowest = 2.5, .highest = 11.5, .centred_on = 0.5});
    assert_int_equal(b->n, 10);
    assert_true(b->edge[0] == 2 && b->edge[10] == 12);
    assert_int_equal(b->of_record[0], 0);
    assert_int_equal(b->of_record[1], 1);
    assert_int_equal(b->of_record[2], 0);
    wa_bins_free(b);
    b = make(x, NULL, 3, (wa_bin_spec){.edges = (const double[]){0.1, 0.2, 3}, .edge_count = 3});
    assert_true(b->centre[0] == 0.15 && b->centre[1] == 1.6);
    wa_bins_free(b);
}

static void refuses(wa_bin_spec spec, const char *text)
{
    wa_error err = {0};
    wa_bins *b = NULL;
    assert_int_equal(wa_bins_make(&b, NULL, NULL, 0, &spec, &err), WA_ERR_ARG);
    assert_null(b);
    if (strstr(err.text, text) == NULL)
        fail_msg("'%s' is not in '%s'", text, err.text);
}

static void misuse_is_refused(void **state)
{
    (void)state;
    refuses((wa_bin_spec){.width = 0, .lowest = 4, .highest = 16}, "width of a bin is 0");
    refuses((wa_bin_spec){.width = MISSING, .lowest = 4, .highest = 16}, "width");
    refuses((wa_bin_spec){.width = 0.5, .lowest = 4.25, .highest = 16}, "4.25 is no centre");
    refuses((wa_bin_spec){.width = 0.5, .lowest = 4, .highest = 16.1}, "16.1 is no centre");
    refuses((wa_bin_spec){.width = 0.5, .lowest = 16, .highest = 4}, "above the highest");
    refuses((wa_bin_spec){.width = 1e-9, .lowest = 4, .highest = 16}, "more than");
    refuses((wa_bin_spec){.width = 0.1234567890123456,
                          .lowest = 0,
                          .highest = 1000 * 0.1234567890123456},
            "too many digits");
    refuses((wa_bin_spec){.edges = (const double[]){1}, .edge_count = 1}, "edges");
    refuses((wa_bin_spec){.edges = (const double[]){1, 2, 2}, .edge_count = 3}, "not above");
    refuses((wa_bin_spec){.edges = (const double[]){1, MISSING}, .edge_count = 2}, "not finite");
}

static void statistics_and_days(void **state)
{
    (void)state;
    const double x[] = {4, 5, 4.1, MISSING, 3.9, 5, 4, 9};
    const double y[] = {1, 7, 2, 3, MISSING, 8, 6, 5};
    const double time[] = {86400, 0, 0, 0, -1, 0, 600, 0}; /* in no order */
    wa_bins *b =
        make(x, time, 8, (wa_bin_spec){.width = 1, .lowest = 4, .highest = 6, .at_least = 3});
    assert_int_equal(b->count[0], 4);
    assert_int_equal(b->days[0], 3);
    assert_int_equal(b->days[1], 1);
    assert_int_equal(b->days[2], 0);
    assert_true(b->complete[0] && !b->complete[1] && !b->complete[2]);
    void *piece = malloc(wa_bins_size(b));
    wa_bins *copy = wa_bins_copy(piece, b);
    wa_bins_free(b);
    b = copy; /* all that follows holds for a copy */
    double out[3];
    const struct {
        wa_bin_statistic which;
        double right;
    } cases[] = {{WA_BIN_MEAN, 3}, /* of 1 2 6 */
                 {WA_BIN_SD, sqrt(7)},
                 {WA_BIN_RMS, sqrt(41.0 / 3)},
                 {WA_BIN_STANDARD_ERROR, sqrt(7) / sqrt(3)},
                 {WA_BIN_MIN, 1},
                 {WA_BIN_MAX, 6}};
    for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
        assert_int_equal(wa_bins_statistic(out, b, cases[k].which, y, NULL), WA_OK);
        assert_true(fabs(out[0] - cases[k].right) < 1e-15);
        assert_true(isnan(out[1]) && isnan(out[2]));
    }
    const double too_few[] = {1, 7, MISSING, 3, MISSING, 8, 6, 5};
    assert_int_equal(wa_bins_statistic(out, b, WA_BIN_MEAN, too_few, NULL), WA_OK);
    assert_true(isnan(out[0]));
    const double infinite[] = {(double)INFINITY, 7, 2, 3, 0, 8, 6, 5};
    out[0] = 42;
    assert_int_equal(wa_bins_statistic(out, b, WA_BIN_MEAN, infinite, NULL), WA_ERR_UNDEFINED);
    assert_true(out[0] == 42);
    free(piece);
    b = make(x, NULL, 8, (wa_bin_spec){.width = 1, .lowest = 9, .highest = 9});
    assert_int_equal(wa_bins_statistic(out, b, WA_BIN_SD, y, NULL), WA_OK);
    assert_true(isnan(out[0])); /* one value has a mean, and no sd */
    assert_int_equal(wa_bins_statistic(out, b, WA_BIN_MEAN, y, NULL), WA_OK);
    assert_true(out[0] == 5);
    wa_bins_free(b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(half_metre_bins),     cmocka_unit_test(decimal_widths),
        cmocka_unit_test(shifted_centres),     cmocka_unit_test(misuse_is_refused),
        cmocka_unit_test(statistics_and_days),
    };
    return cmocka_run_group_tests_name("bin", tests, NULL, NULL);
}
