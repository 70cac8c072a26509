/* Columns: units, sides, missing values. Numbers by hand. */
#include "windassay/column.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

enum { N = 4 };
static const double nan_ = (double)NAN;

static wa_column column(double *at, const char *unit, uint8_t side)
{
    wa_column c = {.at = at, .n = N, .side = side};
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

static wa_operand of(const wa_column *c)
{
    return (wa_operand){.column = c};
}

static void expect(const wa_column *c, const char *unit, double a, double b, double d, double e)
{
    const double want[N] = {a, b, d, e};
    assert_string_equal(c->unit.text, unit);
    assert_int_equal(c->n, N);
    for (size_t i = 0; i < N; i++) {
        if (isnan(want[i]) ? !isnan(c->at[i]) : c->at[i] != want[i])
            fail_msg("row %zu: %.17g instead of %.17g", i, c->at[i], want[i]);
        assert_false(c->at[i] == 0 && signbit(c->at[i]) != 0);
    }
}

static void sums(void **state)
{
    (void)state;
    double a[N] = {1, 2, nan_, 4}, b[N] = {36, 0, 3.6, nan_}, r[N];
    wa_column v = column(a, "m/s", WA_SIDE_UNIT), w = column(b, "km/h", WA_SIDE_REFERENCE);
    wa_column out = {.at = r};
    wa_operand x = of(&v), y = of(&w), half = number(0.5, "m/s");
    assert_int_equal(wa_column_combine(&out, WA_ADD, &x, &y, NULL), WA_OK);
    expect(&out, "m s-1", 11, 2, nan_, nan_);
    assert_int_equal(out.side, WA_SIDE_BOTH);
    assert_int_equal(wa_column_combine(&out, WA_SUBTRACT, &y, &x, NULL), WA_OK);
    expect(&out, "km h-1", 36 - 3.6, -7.2, nan_, nan_);
    assert_int_equal(wa_column_combine(&out, WA_SUBTRACT, &half, &x, NULL), WA_OK);
    expect(&out, "m s-1", -0.5, -1.5, nan_, -3.5);
    assert_int_equal(out.side, WA_SIDE_UNIT);
    /* in place */
    out.at = a;
    assert_int_equal(wa_column_combine(&out, WA_SUBTRACT, &x, &x, NULL), WA_OK);
    expect(&out, "m s-1", 0, 0, nan_, 0);
}

static void temperatures(void **state)
{
    (void)state;
    double a[N] = {10, -5, nan_, 0}, b[N] = {50, 50, 50, 32}, r[N];
    wa_column t = column(a, "degC", 0), f = column(b, "degF", 0), out = {.at = r};
    wa_operand x = of(&t), y = of(&f), two = number(2, NULL);
    assert_int_equal(wa_column_combine(&out, WA_SUBTRACT, &x, &y, NULL), WA_OK);
    expect(&out, "K", 0, -15, nan_, 0);
    wa_error err = {0};
    assert_int_equal(wa_column_combine(&out, WA_ADD, &x, &x, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "'degC' has a zero of its own: 'degC' cannot be added to it");
    assert_string_equal(err.hint, "convert with :to(\"K\") first");
    assert_int_equal(wa_column_combine(&out, WA_MULTIPLY, &x, &two, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "'degC' has a zero of its own: it cannot be multiplied");
    assert_int_equal(wa_column_apply(&out, WA_NEGATE, &t, &err), WA_ERR_ARG);
    assert_string_equal(out.unit.text, "K"); /* untouched by the failures */
    wa_unit kelvin;
    assert_int_equal(wa_unit_parse(&kelvin, "K", NULL), WA_OK);
    assert_int_equal(wa_column_to(&out, &t, &kelvin, NULL), WA_OK);
    expect(&out, "K", 283.15, 268.15, nan_, 273.15);
}

static void products_and_powers(void **state)
{
    (void)state;
    double a[N] = {1, 4, nan_, -9}, b[N] = {2, 0, 1, 3}, p[N] = {50, 100, 0, 25}, r[N];
    wa_column v = column(a, "m/s", 0), s = column(b, "s", 0), q = column(p, "%", 0);
    wa_column one = column(b, "1", 0), out = {.at = r};
    wa_operand x = of(&v), y = of(&s), o = of(&one), two = number(2, NULL),
               half = number(0.5, NULL);
    assert_int_equal(wa_column_combine(&out, WA_MULTIPLY, &x, &y, NULL), WA_OK);
    expect(&out, "m", 2, 0, nan_, -27);
    assert_int_equal(wa_column_combine(&out, WA_DIVIDE, &x, &y, NULL), WA_OK);
    expect(&out, "m s-2", 0.5, nan_, nan_, -3); /* 4/0 is missing */
    assert_int_equal(wa_column_combine(&out, WA_DIVIDE, &two, &y, NULL), WA_OK);
    expect(&out, "s-1", 1, nan_, 2, 2.0 / 3);
    assert_int_equal(wa_column_combine(&out, WA_POWER, &x, &two, NULL), WA_OK);
    expect(&out, "m2 s-2", 1, 16, nan_, 81);
    wa_column squares = out;
    wa_operand sq = of(&squares);
    assert_int_equal(wa_column_combine(&out, WA_POWER, &sq, &half, NULL), WA_OK);
    expect(&out, "m s-1", 1, 4, nan_, 9);
    assert_int_equal(wa_column_combine(&out, WA_POWER, &two, &o, NULL), WA_OK);
    expect(&out, "1", 4, 1, 2, 8);
    assert_int_equal(wa_column_apply(&out, WA_SQRT, &q, NULL), WA_ERR_ARG); /* root of % */
    assert_int_equal(wa_column_apply(&out, WA_EXP, &one, NULL), WA_OK);
    assert_true(out.at[1] == 1);
    double half_percent[N] = {100, 100, nan_, 0};
    wa_column percent = column(half_percent, "%", 0);
    assert_int_equal(wa_column_apply(&out, WA_LOG, &percent, NULL), WA_OK);
    expect(&out, "1", 0, 0, nan_, nan_); /* log 0 is missing */
    wa_error err = {0};
    wa_operand third = number(1.0 / 3, NULL);
    assert_int_equal(wa_column_combine(&out, WA_POWER, &x, &third, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "a column in 'm s-1' cannot be raised to this power");
    assert_int_equal(wa_column_combine(&out, WA_POWER, &x, &y, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "an exponent must be a pure number, it is in 's'");
}

static void refused(void **state)
{
    (void)state;
    double a[N] = {1, 2, 3, 4}, r[N];
    wa_column v = column(a, "m/s", 0), t = column(a, "degree", 0), few = v, out = {.at = r};
    few.n = 3;
    wa_operand x = of(&v), y = of(&t), bare = number(1, NULL), z = of(&few);
    wa_error err = {0};
    assert_int_equal(wa_column_combine(&out, WA_ADD, &x, &y, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "'m s-1' and 'degree' cannot be added");
    assert_int_equal(wa_column_combine(&out, WA_ADD, &x, &bare, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "a bare number cannot be added to a column in 'm s-1'");
    assert_string_equal(err.hint, "say its unit: { 0.5, \"m s-1\" }");
    assert_int_equal(wa_column_combine(&out, WA_MULTIPLY, &x, &z, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "*: the columns have 4 and 3 values");
    const double early[N] = {0, 600, 1200, 1800}, late[N] = {0, 600, 1200, 2400};
    wa_column w = v;
    v.time = early;
    w.time = late;
    wa_operand other = of(&w);
    assert_int_equal(wa_column_combine(&out, WA_MULTIPLY, &x, &other, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "*: the columns belong to different intervals");
    const double same[N] = {0, 600, 1200, 1800};
    w.time = same;
    assert_int_equal(wa_column_combine(&out, WA_MULTIPLY, &x, &other, &err), WA_OK);
    assert_ptr_equal(out.time, early);
    assert_int_equal(wa_column_apply(&out, WA_EXP, &v, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "a pure number was expected, the column is in 'm s-1'");
    assert_int_equal(wa_column_apply(&out, WA_SIN, &v, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "an angle was expected, the column is in 'm s-1'");
}

static void angles(void **state)
{
    (void)state;
    double a[N] = {30, 90, nan_, 180}, u[N] = {0, 1, nan_, -1}, r[N];
    wa_column d = column(a, "degree", 0), one = column(u, "1", 0), out = {.at = r};
    assert_int_equal(wa_column_apply(&out, WA_SIN, &d, NULL), WA_OK);
    expect(&out, "1", 0.5, 1, nan_, 0);
    assert_int_equal(wa_column_apply(&out, WA_TAN, &d, NULL), WA_OK);
    assert_true(isnan(out.at[1]));
    assert_int_equal(wa_column_apply(&out, WA_ACOS, &one, NULL), WA_OK);
    expect(&out, "degree", 90, 0, nan_, 180);
    wa_operand y = of(&one), x = number(0, NULL);
    assert_int_equal(wa_column_atan2(&out, &y, &x, NULL), WA_OK);
    expect(&out, "degree", nan_, 90, nan_, -90); /* (0, 0) has no direction */
    wa_unit rad;
    assert_int_equal(wa_unit_parse(&rad, "rad", NULL), WA_OK);
    assert_int_equal(wa_column_to(&out, &d, &rad, NULL), WA_OK);
    wa_column in_rad = out;
    assert_int_equal(wa_column_apply(&out, WA_COS, &in_rad, NULL), WA_OK);
    assert_true(fabs(out.at[1]) < 1e-15 && out.at[3] == -1);
}

static void lags_and_cuts(void **state)
{
    (void)state;
    double a[N] = {1, 2, 3, 4}, r[N], when[N];
    const double time[N] = {0, 600, 1200, 1800};
    wa_column v = column(a, "m", WA_SIDE_UNIT), out = {.at = r};
    v.time = time;
    wa_column_lag(&out, &v, 1);
    expect(&out, "m", nan_, 1, 2, 3);
    wa_column_lag(&out, &v, -3);
    expect(&out, "m", 4, nan_, nan_, nan_);
    wa_column_lag(&out, &v, INT64_MIN);
    expect(&out, "m", nan_, nan_, nan_, nan_);
    uint8_t bits[N] = {WA_TRUE, WA_UNKNOWN, WA_FALSE, WA_TRUE};
    wa_mask m = {.at = bits, .n = N};
    assert_int_equal(wa_column_where(&out, when, &v, &m, NULL), WA_OK);
    assert_int_equal(out.n, 2);
    assert_true(r[0] == 1 && r[1] == 4 && when[1] == 1800);
    assert_int_equal(out.side, WA_SIDE_UNIT);
    m.n = 3;
    wa_error err = {0};
    assert_int_equal(wa_column_where(&out, when, &v, &m, &err), WA_ERR_ARG);
    assert_string_equal(err.text, "where: the mask has 3 values, the column has 4");
}

/* More rows than one chunk: every row is computed and converted. */
static void long_columns(void **state)
{
    (void)state;
    enum { MANY = 1000 };
    static double a[MANY], b[MANY], r[MANY];
    for (int i = 0; i < MANY; i++) {
        a[i] = i;
        b[i] = 1000.0 * i;
    }
    wa_column x = column(a, "m", 0), y = column(b, "mm", 0), out = {.at = r};
    x.n = y.n = MANY;
    wa_operand p = of(&x), q = of(&y);
    assert_int_equal(wa_column_combine(&out, WA_ADD, &p, &q, NULL), WA_OK);
    for (int i = 0; i < MANY; i++)
        assert_true(r[i] == 2 * i);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sums),         cmocka_unit_test(temperatures),
        cmocka_unit_test(refused),      cmocka_unit_test(products_and_powers),
        cmocka_unit_test(angles),       cmocka_unit_test(lags_and_cuts),
        cmocka_unit_test(long_columns),
    };
    return cmocka_run_group_tests_name("column", tests, NULL, NULL);
}
