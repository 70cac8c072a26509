/* Double-double arithmetic against MPFR at 400 bits: relative error below 2^-102. */
#include "base/dd.h"
#include "base/scaled.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>
#include <mpfr.h>

static uint64_t seed = 4711;

static uint64_t random_bits(void)
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return seed;
}

static wa_dd random_dd(void)
{
    double hi = ldexp((double)(int64_t)random_bits(), (int)(random_bits() % 100) - 113);
    double lo = ldexp((double)(int64_t)random_bits(), -63) * fabs(hi) * 0x1p-54;
    return wa_fast_two_sum(hi, lo);
}

static void set(mpfr_t m, wa_dd a)
{
    mpfr_set_d(m, a.hi, MPFR_RNDN);
    mpfr_add_d(m, m, a.lo, MPFR_RNDN);
}

/* |ours - exact| <= 2^-102 |exact|, and hi is the rounded sum of both. */
static void near(const char *what, wa_dd ours, mpfr_t exact)
{
    mpfr_t d;
    mpfr_init2(d, 400);
    set(d, ours);
    mpfr_sub(d, d, exact, MPFR_RNDN);
    mpfr_mul_2ui(d, d, 102, MPFR_RNDN);
    if (mpfr_cmpabs(d, exact) > 0)
        fail_msg("%s is wrong: %a + %a", what, ours.hi, ours.lo);
    assert_true(ours.hi + ours.lo == ours.hi);
    mpfr_clear(d);
}

static void four_operations_and_root(void **state)
{
    (void)state;
    mpfr_t a, b, r;
    mpfr_inits2(400, a, b, r, (mpfr_ptr)0);
    for (int i = 0; i < 100000; i++) {
        wa_dd x = random_dd(), y = random_dd();
        if (i % 4 == 0) /* cancels down to the low parts */
            y = (wa_dd){-x.hi, y.lo * (x.hi / y.hi)};
        set(a, x);
        set(b, y);
        mpfr_add(r, a, b, MPFR_RNDN);
        near("sum", wa_dd_add(x, y), r);
        mpfr_sub(r, a, b, MPFR_RNDN);
        near("difference", wa_dd_sub(x, y), r);
        mpfr_mul(r, a, b, MPFR_RNDN);
        near("product", wa_dd_mul(x, y), r);
        mpfr_div(r, a, b, MPFR_RNDN);
        near("quotient", wa_dd_div(x, y), r);
        mpfr_mul_d(r, a, y.hi, MPFR_RNDN);
        near("product by a double", wa_dd_mul_d(x, y.hi), r);
        mpfr_add_d(r, a, y.hi, MPFR_RNDN);
        near("sum with a double", wa_dd_add_d(x, y.hi), r);
        if (x.hi < 0)
            x = wa_dd_neg(x);
        set(a, x);
        mpfr_sqrt(r, a, MPFR_RNDN);
        near("root", wa_dd_sqrt(x), r);
    }
    mpfr_clears(a, b, r, (mpfr_ptr)0);
    mpfr_free_cache();
}

static void big_integers(void **state)
{
    (void)state;
    mpfr_t a, b;
    mpfr_inits2(400, a, b, (mpfr_ptr)0);
    for (int i = 0; i < 20000; i++) {
        uint64_t high = random_bits() >> (random_bits() % 64), low = random_bits();
        wa_uint128 v = (wa_uint128)high << 64 | low;
        mpfr_set_uj(a, high, MPFR_RNDN);
        mpfr_mul_2ui(a, a, 64, MPFR_RNDN);
        mpfr_set_uj(b, low, MPFR_RNDN);
        mpfr_add(a, a, b, MPFR_RNDN);
        near("uint128", wa_dd_of_uint128(v), a);
        if (high >> 63 == 0) {
            mpfr_neg(a, a, MPFR_RNDN);
            near("int128", wa_dd_of_int128(-(wa_int128)v), a);
        }
    }
    mpfr_clears(a, b, (mpfr_ptr)0);
    for (int i = 0; i < 20000; i++) { /* below 2^62, the bits that the sum of the pieces has */
        uint64_t v = random_bits() >> 2 >> (random_bits() % 62);
        wa_dd d = wa_dd_of_uint128(v);
        wa_dd sum = wa_dd_add(wa_two_sum(0, (double)(uint32_t)(v >> 32) * 0x1p32),
                              wa_dd_of((double)(uint32_t)v));
        assert_memory_equal(&d, &sum, sizeof d);
    }
    assert_true(wa_dd_of_int128(-7).hi == -7 && wa_dd_of_uint128(0).hi == 0);
}

/* Rounded once, down into the subnormal numbers. */
static void scaling_rounds_once(void **state)
{
    (void)state;
    assert_true(wa_dd_ldexp((wa_dd){1, 0x1p-60}, -1075) == 0x1p-1074); /* above half */
    assert_true(wa_dd_ldexp((wa_dd){1, 0}, -1075) == 0);
    assert_true(wa_dd_ldexp((wa_dd){1, -0x1p-60}, -1075) == 0);
    assert_true(wa_dd_ldexp((wa_dd){3, -0x1p-60}, -1075) == 0x1p-1074);
    assert_true(wa_dd_ldexp((wa_dd){-3, 0}, -1075) == -0x1p-1073);
    assert_true(wa_dd_ldexp((wa_dd){-3, 0x1p-60}, -1075) == -0x1p-1074);
    assert_true(wa_dd_ldexp((wa_dd){1.25, 0x1p-60}, 10) == 1280);
    assert_true(isinf(wa_dd_ldexp((wa_dd){1, 0}, 1024)));
    assert_true(wa_dd_sqrt((wa_dd){0, 0}).hi == 0);
}

/* The deviation of scaled integers is finished by a quicker way: the same bits as from these
 * functions. Two values, so that every size of numerator comes up, exact roots among them. */
static void deviations_are_the_same_by_both_ways(void **state)
{
    (void)state;
    for (int i = 0; i < 300000; i++) {
        uint64_t n = 2 + (random_bits() >> 36 >> random_bits() % 28); /* to 2^28: both ways */
        uint64_t most = ((uint64_t)1 << (1 + random_bits() % 31)) - 1;
        int64_t low = (int64_t)(random_bits() & most), high = (int64_t)(random_bits() & most);
        uint64_t lows = 1 + random_bits() % (n - 1); /* so many of one, the rest of the other */
        wa_int128 sum = (wa_int128)low * (wa_int128)lows + (wa_int128)high * (wa_int128)(n - lows);
        wa_uint128 squares =
            (wa_uint128)(low * low) * lows + (wa_uint128)(high * high) * (n - lows);
        int scale = (int)(random_bits() % (WA_SCALE_MAX + 1));
        double sd, ten = 1;
        for (int k = 0; k < scale; k++)
            ten *= 10;
        wa_dd variance = wa_dd_div(wa_dd_of_uint128(squares * n - (wa_uint128)(sum * sum)),
                                   wa_dd_of_uint128((wa_uint128)n * (n - 1)));
        assert_int_equal(wa_scaled_sd(&sd, n, sum, squares, scale, WA_DIVISOR_N_MINUS_1, NULL),
                         WA_OK);
        assert_true(sd == wa_dd_div(wa_dd_sqrt(variance), wa_dd_of(ten)).hi);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(four_operations_and_root),
        cmocka_unit_test(big_integers),
        cmocka_unit_test(scaling_rounds_once),
        cmocka_unit_test(deviations_are_the_same_by_both_ways),
    };
    return cmocka_run_group_tests_name("dd", tests, NULL, NULL);
}
