/* Kernels in groups of rows, with AVX2 and without: against the plain rule for each row, for all
 * lengths around a group, with NaN, infinities, both zeros, subnormals and values that overflow. */
#include "stats/kernel.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

enum { MOST = 75 };

static uint64_t seed = 5151;

static uint64_t random_bits(void)
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return seed;
}

static double some_value(void)
{
    static const double special[] = {0,
                                     -0.0,
                                     1,
                                     -1,
                                     0x1p-1074,
                                     -0x1p-1074,
                                     0x1p-1022,
                                     0x1.fffffffffffffp1023,
                                     -0x1.fffffffffffffp1023,
                                     0x1p600,
                                     2,
                                     0.1};
    uint64_t which = random_bits() % 24;
    if (which < sizeof special / sizeof *special)
        return special[which];
    if (which == 12)
        return (double)NAN;
    if (which == 13) /* a NaN with its sign and other bits of its own */
        return -(double)NAN;
    if (which == 14)
        return random_bits() % 2 != 0 ? (double)INFINITY : -(double)INFINITY;
    return (double)(int64_t)(random_bits() % 41) / 4 - 5;
}

static void values(double *x, size_t n)
{
    for (size_t i = 0; i < n; i++)
        x[i] = some_value();
}

static void states(uint8_t *mask, size_t n)
{
    for (size_t i = 0; i < n; i++)
        mask[i] = (uint8_t)(random_bits() % 3);
}

/* To the bit: missing is one NaN. */
static void same(const double *a, const double *b, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (memcmp(&a[i], &b[i], sizeof *a) != 0)
            fail_msg("row %zu of %zu: %a is not %a", i, n, a[i], b[i]);
}

static double settled(double x)
{
    return isfinite(x) ? x + 0.0 : (double)NAN;
}

static double operated(wa_operator op, double x, double y)
{
    switch (op) {
    case WA_ADD:
        return settled(x + y);
    case WA_SUBTRACT:
        return settled(x - y);
    case WA_MULTIPLY:
        return settled(x * y);
    default:
        return settled(x / y);
    }
}

static void combines(void **state)
{
    (void)state;
    for (int round = 0; round < 12000; round++) {
        double a[MOST], b[MOST], out[MOST + 1], wanted[MOST + 1];
        size_t n = (size_t)round % MOST, a_step = round % 5 != 0, b_step = round % 3 != 0;
        wa_operator op = (wa_operator)(random_bits() % 4);
        bool wide = wa_kernel_wide() && round % 2 != 0;
        values(a, MOST);
        values(b, MOST);
        for (size_t i = 0; i < n; i++)
            wanted[i] = operated(op, a[i * a_step], b[i * b_step]);
        out[n] = wanted[n] = 7;
        wa_kernel_combine(out, op, a, a_step, b, b_step, n, wide);
        same(out, wanted, n + 1);
        if (a_step == 1) { /* the output may be the input */
            memcpy(out, a, n * sizeof *a);
            wa_kernel_combine(out, op, out, 1, b, b_step, n, wide);
            same(out, wanted, n + 1);
        }
        if (b_step == 1) {
            memcpy(out, b, n * sizeof *b);
            wa_kernel_combine(out, op, a, a_step, out, 1, n, wide);
            same(out, wanted, n + 1);
        }
    }
}

static void takes_roots(void **state)
{
    (void)state;
    for (int round = 0; round < 3000; round++) {
        double a[MOST], out[MOST + 1], wanted[MOST + 1];
        size_t n = (size_t)round % MOST;
        bool wide = wa_kernel_wide() && round % 2 != 0;
        values(a, MOST);
        for (size_t i = 0; i < n; i++)
            wanted[i] = settled(sqrt(a[i]));
        out[n] = wanted[n] = 7;
        wa_kernel_apply(out, WA_SQRT, a, n, wide);
        same(out, wanted, n + 1);
        wa_kernel_apply(a, WA_SQRT, a, n, wide);
        same(a, wanted, n);
    }
}

static void chooses(void **state)
{
    (void)state;
    for (int round = 0; round < 3000; round++) {
        double a[MOST], out[MOST + 1], wanted[MOST + 1];
        uint8_t mask[MOST];
        size_t n = (size_t)round % MOST;
        values(a, MOST);
        states(mask, MOST);
        for (size_t i = 0; i < n; i++)
            wanted[i] = mask[i] == WA_TRUE ? a[i] : (double)NAN;
        out[n] = wanted[n] = 7;
        wa_kernel_where(out, a, mask, n, wa_kernel_wide() && round % 2 != 0);
        same(out, wanted, n + 1);
    }
}

static uint8_t compared(wa_comparison c, double x, double bound)
{
    if (isnan(x) || isnan(bound))
        return WA_UNKNOWN;
    return c == WA_BELOW ? x < bound : c == WA_ABOVE ? x > bound : x == bound;
}

static void compares(void **state)
{
    (void)state;
    for (int round = 0; round < 9000; round++) {
        double a[MOST], bound[MOST];
        uint8_t out[MOST + 1];
        size_t n = (size_t)round % MOST, step = round % 3 != 0;
        wa_comparison c = (wa_comparison)(random_bits() % 3);
        values(a, MOST);
        values(bound, MOST);
        for (size_t i = 0; i < n; i += 3)
            bound[i * step] = a[i];
        out[n] = 7;
        wa_kernel_compare(out, c, a, bound, step, n, wa_kernel_wide() && round % 2 != 0);
        for (size_t i = 0; i < n; i++)
            assert_int_equal(out[i], compared(c, a[i], bound[i * step]));
        assert_int_equal(out[n], 7);
    }
}

/* Kleene's logic of three states (S. C. Kleene, "Introduction to Metamathematics", 1952, section
 * 64), as a table: rows false, true, unknown. */
static void joins_states(void **state)
{
    (void)state;
    static const uint8_t both[3][3] = {{0, 0, 0}, {0, 1, 2}, {0, 2, 2}};
    static const uint8_t either[3][3] = {{0, 1, 2}, {1, 1, 1}, {2, 1, 2}};
    static const uint8_t opposite[3] = {1, 0, 2};
    for (int round = 0; round < 3000; round++) {
        uint8_t a[MOST], b[MOST], out[MOST + 1];
        size_t n = (size_t)round % MOST;
        states(a, MOST);
        states(b, MOST);
        out[n] = 7;
        wa_kernel_and(out, a, b, n);
        for (size_t i = 0; i < n; i++)
            assert_int_equal(out[i], both[a[i]][b[i]]);
        wa_kernel_or(out, a, b, n);
        for (size_t i = 0; i < n; i++)
            assert_int_equal(out[i], either[a[i]][b[i]]);
        memcpy(out, a, n);
        wa_kernel_not(out, out, n);
        for (size_t i = 0; i < n; i++)
            assert_int_equal(out[i], opposite[a[i]]);
        assert_int_equal(out[n], 7);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(combines), cmocka_unit_test(takes_roots),  cmocka_unit_test(chooses),
        cmocka_unit_test(compares), cmocka_unit_test(joins_states),
    };
    return cmocka_run_group_tests_name("kernels", tests, NULL, NULL);
}
