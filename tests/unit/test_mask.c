/* Masks: truth tables of Kleene's strong logic (Introduction to Metamathematics, 1952, section
 * 64) in full; comparisons and runs by hand. */
#include "windassay/mask.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

enum { F = WA_FALSE, T = WA_TRUE, U = WA_UNKNOWN };
static const double nan_ = (double)NAN;

static wa_column column(double *at, size_t n, const char *unit)
{
    wa_column c = {.at = at, .n = n, .side = WA_SIDE_REFERENCE};
    assert_int_equal(wa_unit_parse(&c.unit, unit, NULL), WA_OK);
    return c;
}

static wa_operand number(double x, const char *unit)
{
    wa_operand o = {.number = x, .has_unit = unit != NULL};
    if (unit != NULL)
        assert_int_equal(wa_unit_parse(&o.unit, unit, NULL), WA_OK);
    return o;
}

static void expect(const wa_mask *m, const char *want)
{
    char got[32] = "";
    assert_int_equal(m->n, strlen(want));
    for (size_t i = 0; i < m->n; i++)
        got[i] = "FTU"[m->at[i]];
    assert_string_equal(got, want);
}

static void kleene(void **state)
{
    (void)state;
    uint8_t a[9] = {F, F, F, T, T, T, U, U, U}, b[9] = {F, T, U, F, T, U, F, T, U}, r[9];
    wa_mask x = {a, 9, 1, NULL}, y = {b, 9, 2, NULL}, out = {.at = r};
    assert_int_equal(wa_mask_and(&out, &x, &y, NULL), WA_OK);
    expect(&out, "FFFFTUFUU");
    assert_int_equal(out.sides, 3);
    assert_int_equal(wa_mask_or(&out, &x, &y, NULL), WA_OK);
    expect(&out, "FTUTTTUTU");
    wa_mask_not(&out, &y);
    expect(&out, "TFUTFUTFU");
    assert_int_equal(wa_mask_count(&x, WA_TRUE), 3);
    assert_int_equal(wa_mask_count(&x, WA_UNKNOWN), 3);
    y.n = 8;
    wa_error err = {0};
    assert_int_equal(wa_mask_and(&out, &x, &y, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "&: the masks have 9 and 8 values");
}

/* Masks of the same length over different intervals do not meet. */
static void other_intervals(void **state)
{
    (void)state;
    const double early[2] = {0, 600}, late[2] = {0, 1200}, same[2] = {0, 600};
    double t[2] = {1, 2}, room[2], when[2];
    uint8_t a[2], b[2], r[2];
    wa_column c = column(t, 2, "1"), d = column(t, 2, "1"), out_column = {.at = room};
    wa_operand two = number(2, NULL);
    wa_mask x = {.at = a}, y = {.at = b}, out = {.at = r};
    wa_error err = {0};
    c.time = early;
    d.time = late;
    assert_int_equal(wa_mask_compare(&x, WA_BELOW, &c, &two, NULL), WA_OK);
    wa_mask_missing(&y, &d);
    assert_ptr_equal(x.time, early);
    assert_int_equal(wa_mask_or(&out, &x, &y, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "|: the masks belong to different intervals");
    assert_int_equal(wa_column_where(&out_column, when, &d, &x, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "where: mask and column belong to different intervals");
    d.time = same;
    wa_mask_missing(&y, &d);
    assert_int_equal(wa_mask_or(&out, &x, &y, NULL), WA_OK);
    assert_int_equal(wa_column_where(&out_column, when, &d, &x, NULL), WA_OK);
}

static void comparisons(void **state)
{
    (void)state;
    double t[5] = {1.9, 2, 2.1, nan_, 10};
    uint8_t r[5];
    wa_column c = column(t, 5, "degC");
    wa_mask out = {.at = r};
    wa_operand two = number(2, "degC"), f = number(50, "degF");
    assert_int_equal(wa_mask_compare(&out, WA_BELOW, &c, &two, NULL), WA_OK);
    expect(&out, "TFFUF");
    assert_int_equal(out.sides, WA_SIDE_REFERENCE);
    assert_int_equal(wa_mask_compare(&out, WA_ABOVE, &c, &two, NULL), WA_OK);
    expect(&out, "FFTUT");
    assert_int_equal(wa_mask_compare(&out, WA_EQUALS, &c, &f, NULL), WA_OK);
    expect(&out, "FFFUT");
    assert_int_equal(wa_mask_between(&out, &c, &two, &f, NULL), WA_OK);
    expect(&out, "FTTUF");                     /* with the lower end, without the upper */
    double limit[5] = {35.6, 35, 40, 0, nan_}; /* degF; 35.6 degF = 2 degC */
    wa_column bound = column(limit, 5, "degF");
    wa_operand by_row = {.column = &bound};
    assert_int_equal(wa_mask_compare(&out, WA_BELOW, &c, &by_row, NULL), WA_OK);
    expect(&out, "TFTUU");
    assert_int_equal(wa_mask_between(&out, &c, &by_row, &f, NULL), WA_OK);
    expect(&out, "FTFUF"); /* 10 is not below 10: false whatever the lower bound is */
    wa_mask_missing(&out, &c);
    expect(&out, "FFFTF");
}

static void bounds_refused(void **state)
{
    (void)state;
    double t[2] = {1, 2};
    uint8_t r[2] = {7, 7};
    wa_column c = column(t, 2, "degC"), one = column(t, 2, "1");
    wa_mask out = {.at = r, .n = 99};
    wa_operand bare = number(2, NULL), speed = number(2, "m/s"), high = number(3, NULL);
    wa_error err = {0};
    assert_int_equal(wa_mask_compare(&out, WA_BELOW, &c, &bare, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "a bare number cannot be compared with a column in 'degC'");
    assert_string_equal(err.hint, "say its unit: (2, \"degC\")");
    assert_int_equal(wa_mask_compare(&out, WA_BELOW, &c, &speed, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "a column in 'degC' cannot be compared with 'm s-1'");
    assert_int_equal(wa_mask_between(&out, &one, &high, &bare, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "between: the lower bound is not below the upper");
    assert_int_equal(wa_mask_in_sector(&out, &c, 0, 90, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "in_sector: the column is in 'degC', not in 'degree'");
    assert_int_equal(wa_mask_unchanged(&out, &c, 1, &err), WA_ERR_ARG);
    assert_int_equal(out.n, 99);
    assert_int_equal(r[0], 7);
    assert_int_equal(wa_mask_compare(&out, WA_BELOW, &one, &bare, &err), WA_OK);
    expect(&out, "TF");
}

static void sectors(void **state)
{
    (void)state;
    double d[8] = {350, 0, 10, 9.999, 180, nan_, 360, -10};
    uint8_t r[8];
    wa_column c = column(d, 8, "degree");
    wa_mask out = {.at = r};
    assert_int_equal(wa_mask_in_sector(&out, &c, 350, 10, NULL), WA_OK);
    expect(&out, "TTFTFUTT");
    assert_int_equal(wa_mask_in_sector(&out, &c, -10, 10, NULL), WA_OK);
    expect(&out, "TTFTFUTT");
    assert_int_equal(wa_mask_in_sector(&out, &c, 10, 350, NULL), WA_OK);
    expect(&out, "FFTFTUFF");
    assert_int_equal(wa_mask_in_sector(&out, &c, 0, 360, NULL), WA_OK);
    expect(&out, "TTTTTUTT");
    wa_error err = {0};
    assert_int_equal(wa_mask_in_sector(&out, &c, 90, 90, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "in_sector: both bounds are 90");
    assert_int_equal(wa_mask_in_sector(&out, &c, 0, 361, &err), WA_ERR_ARG);
}

static void runs(void **state)
{
    (void)state;
    double x[9] = {5, 5, 5, nan_, 5, 5, 6, nan_, nan_};
    uint8_t r[9];
    wa_column c = column(x, 9, "m/s");
    wa_mask out = {.at = r};
    assert_int_equal(wa_mask_unchanged(&out, &c, 3, NULL), WA_OK);
    expect(&out, "TTTUFFFUU");
    assert_int_equal(wa_mask_unchanged(&out, &c, 2, NULL), WA_OK);
    expect(&out, "TTTUTTFUU");
}

/* The definition, row by row, against the single pass. */
static void growing(void **state)
{
    (void)state;
    uint32_t seed = 17;
    for (int round = 0; round < 300; round++) {
        uint8_t a[20], r[20];
        for (size_t i = 0; i < 20; i++) {
            seed = seed * 1664525u + 1013904223u;
            uint32_t x = seed >> 24;
            a[i] = x < 190 ? F : x < 225 ? T : U;
        }
        wa_mask m = {a, 20, 0, NULL}, out = {.at = r};
        int64_t by = round % 6;
        assert_int_equal(wa_mask_grow(&out, &m, by, NULL), WA_OK);
        for (int i = 0; i < 20; i++) {
            uint8_t want = F;
            for (int j = 0; j < 20; j++)
                if (j - i <= by && i - j <= by && (a[j] == T || (a[j] == U && want == F)))
                    want = a[j];
            assert_int_equal(r[i], want);
        }
    }
    uint8_t a[3] = {F, T, F}, r[3];
    wa_mask m = {a, 3, 0, NULL}, out = {.at = r};
    assert_int_equal(wa_mask_grow(&out, &m, INT64_MAX, NULL), WA_OK);
    expect(&out, "TTT");
    assert_int_equal(wa_mask_grow(&out, &m, -1, NULL), WA_ERR_ARG);
}

static void holding(void **state)
{
    (void)state;
    const double time[6] = {0, 600, 1200, 1800, 3000, 3600};
    uint8_t a[6] = {T, T, U, T, T, T}, r[6];
    wa_mask m = {a, 6, 1, NULL}, out = {.at = r};
    assert_int_equal(wa_mask_held(&out, &m, 3, NULL), WA_OK);
    expect(&out, "FFUUUT");
    assert_int_equal(wa_mask_held(&out, &m, 1, NULL), WA_OK);
    expect(&out, "TTUTTT");
    m.time = time;
    assert_int_equal(wa_mask_held(&out, &m, 2, NULL), WA_OK);
    expect(&out, "FTUUFT"); /* a gap before the fifth row */
    assert_ptr_equal(out.time, time);
    assert_int_equal(wa_mask_held(&out, &m, INT64_MAX, NULL), WA_OK);
    expect(&out, "FFFFFF");
    assert_int_equal(wa_mask_held(&out, &m, 0, NULL), WA_ERR_ARG);
}

/* One row of a latch on what is known. */
static uint8_t latched(uint8_t on, uint8_t off, uint8_t before)
{
    return on == T || (off == F && before == T) ? T : F;
}

/* Every case of three rows: the result is known just where all that an unknown may be agree. */
static void latches(void **state)
{
    (void)state;
    for (int code = 0; code < 729; code++) {
        uint8_t on[3], off[3], r[3], low = F, high = F;
        wa_mask a = {on, 3, 1, NULL}, b = {off, 3, 2, NULL}, out = {.at = r};
        for (int i = 0, c = code; i < 3; i++) {
            on[i] = (uint8_t)(c % 3);
            off[i] = (uint8_t)(c / 3 % 3);
            c /= 9;
        }
        assert_int_equal(wa_mask_latch(&out, &a, &b, NULL), WA_OK);
        assert_int_equal(out.sides, 3);
        for (int i = 0; i < 3; i++) {
            low = latched(on[i] == T, off[i] != F, low);
            high = latched(on[i] != F, off[i] == T, high);
            assert_int_equal(r[i], low == high ? low : U);
        }
    }
}

static void latches_across_gaps(void **state)
{
    (void)state;
    const double time[7] = {0, 600, 1800, 2400, 3000, 4200, 4800};
    uint8_t on[7] = {F, T, F, F, F, F, F}, off[7] = {F, F, F, F, T, F, F}, r[7];
    wa_mask a = {on, 7, 0, time}, b = {off, 7, 0, NULL}, out = {.at = r};
    assert_int_equal(wa_mask_latch(&out, &a, &b, NULL), WA_OK);
    expect(&out, "FTUUFFF");
    a.n = 6;
    wa_error err = {0};
    assert_int_equal(wa_mask_latch(&out, &a, &b, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "latch: the masks have 6 and 7 values");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kleene),      cmocka_unit_test(other_intervals),
        cmocka_unit_test(comparisons), cmocka_unit_test(bounds_refused),
        cmocka_unit_test(sectors),     cmocka_unit_test(runs),
        cmocka_unit_test(growing),     cmocka_unit_test(holding),
        cmocka_unit_test(latches),     cmocka_unit_test(latches_across_gaps),
    };
    return cmocka_run_group_tests_name("mask", tests, NULL, NULL);
}
