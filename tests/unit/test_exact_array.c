/* Sums of whole arrays: the same exact sums as one by one, at the edges of the window in which
 * values are integers at a common scale; and against MPFR. */
#include "windassay/exact.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <mpfr.h>

enum { MOST = 700 };

static uint64_t seed = 424243;

static uint64_t random_bits(void)
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return seed;
}

/* A double with an exponent as doubles hold it (0: subnormal) from low to high, either sign. */
static double any_with(int low, int high)
{
    uint64_t exponent = (uint64_t)low + random_bits() % (uint64_t)(high - low + 1);
    uint64_t bits = (random_bits() & 0x800fffffffffffffu) | exponent << 52;
    double x;
    memcpy(&x, &bits, sizeof x);
    return x;
}

static void equal(double a, double b)
{
    if (memcmp(&a, &b, sizeof a) != 0)
        fail_msg("%a is not %a", a, b);
}

/* Nothing is left when one is taken off the other: the same, to the last of their 4352 bits. */
static void cancels(const wa_exact *sum, const wa_exact *negative)
{
    wa_exact rest = *sum;
    wa_exact_merge(&rest, negative);
    assert_int_equal(wa_exact_sign(&rest), 0);
    equal(wa_exact_round(&rest), 0); /* and not because it is spoiled */
}

static void check(const double *x, size_t n)
{
    wa_exact all = {0}, squared = {0}, alone = {0}, each = {0}, squares = {0};
    wa_exact negative = {0}, negative_squares = {0};
    wa_exact_add_all(&all, &squared, x, n);
    wa_exact_add_all(&alone, NULL, x, n);
    for (size_t i = 0; i < n; i++) {
        wa_exact_add(&each, x[i]);
        wa_exact_add(&negative, -x[i]);
        wa_exact_add_product(&squares, x[i], x[i]);
        wa_exact_add_product(&negative_squares, -x[i], x[i]);
    }
    cancels(&all, &negative);
    cancels(&alone, &negative);
    cancels(&squared, &negative_squares);
    double mean = -1, sd = -1, wanted = -1;
    wa_status status = wa_mean_sd(&mean, &sd, x, n, WA_DIVISOR_N_MINUS_1, NULL);
    assert_int_equal(status, wa_exact_sd(&wanted, &each, &squares, n, WA_DIVISOR_N_MINUS_1, NULL));
    if (status != WA_OK)
        return;
    equal(sd, wanted);
    equal(mean, wa_exact_divide(&each, n));
}

/* Sets that span from one exponent to all of them, with zeros and values far off. */
static void the_same_as_one_by_one(void **state)
{
    (void)state;
    double x[MOST];
    for (int round = 0; round < 3000; round++) {
        int span = round % 40 < 30 ? round % 15 : (int)(random_bits() % 2047);
        int low = (int)(random_bits() % (uint64_t)(2047 - span));
        low = round % 7 == 0 ? 0 : round % 7 == 1 ? 2046 - span : low;
        size_t n = random_bits() % 50 + (round % 20 == 0 ? 600 : 0);
        for (size_t i = 0; i < n; i++) {
            x[i] = any_with(low, low + span);
            if (round % 3 == 0 && random_bits() % 16 == 0)
                x[i] = random_bits() % 2 != 0 ? any_with(0, 2046) : 0.0 * x[i];
            if (round % 5 == 0)
                x[i] = fabs(x[i]);
        }
        check(x, n);
    }
}

/* By name: what the window must not get wrong at its ends. */
static void at_the_edges(void **state)
{
    (void)state;
    const double smallest = 0x1p-1074, normal = 0x1p-1022, largest = 0x1.fffffffffffffp1023;
    const double sets[][6] = {
        {0, -0.0, 0, 0, -0.0, 0},
        {smallest, -smallest, normal, -normal, smallest, 0},
        {largest, -largest, largest / 2, -0x1p1023, 0x1p1013, 1},
        {1, 0x1p10, 0x1p11, 0x1p2, 0x1p3, 0x1.fffffffffffffp3}, /* the window moves up */
        {1, 0x1.fffffffffffffp2, 0x1p-8, 0x1.fffffffffffffp-9, 0x1p3, 0x1p-9},
        {-1, -0x1.fffffffffffffp2, -0x1p-8, -0x1.fffffffffffffp-9, -0x1p3, -0x1p-9},
        {smallest, 1, largest, -largest, -1, -smallest},
        {normal, normal * 1024, normal * 2048, smallest, -normal * 512, 3 * normal},
    };
    for (size_t i = 0; i < sizeof sets / sizeof *sets; i++)
        for (size_t n = 0; n <= 6; n++)
            check(sets[i], n);
    double same[MOST];
    for (size_t i = 0; i < MOST; i++)
        same[i] = -largest / 1024; /* the greatest integers that a window holds, all of one sign */
    check(same, MOST);
}

static void not_finite_is_seen(void **state)
{
    (void)state;
    const double bad[] = {(double)NAN, (double)INFINITY, -(double)INFINITY};
    for (size_t k = 0; k < 3; k++)
        for (size_t at = 0; at < 4; at++) {
            double x[4] = {1, 2, 0x1p-500, 4};
            x[at] = bad[k];
            wa_exact sum = {0}, squares = {0};
            wa_exact_add_all(&sum, &squares, x, 4);
            assert_true(isnan(wa_exact_round(&sum)));
            assert_true(isnan(wa_exact_round(&squares)));
        }
    wa_exact nothing = {0};
    wa_exact_add_all(&nothing, NULL, NULL, 0);
    assert_int_equal(wa_exact_sign(&nothing), 0);
}

/* Mean and deviation of speeds as prepare adds them, with 4000 bits and one rounding at the end. */
static void agrees_with_mpfr(void **state)
{
    (void)state;
    mpfr_t sum, squares, t, q;
    mpfr_inits2(4400, sum, squares, t, (mpfr_ptr)0);
    mpfr_init2(q, 53);
    for (int round = 0; round < 2000; round++) {
        double x[64], mean, sd;
        size_t n = 2 + random_bits() % 62;
        double scale = ldexp(1, (int)(random_bits() % 600) - 300);
        mpfr_set_zero(sum, 1);
        mpfr_set_zero(squares, 1);
        for (size_t i = 0; i < n; i++) {
            double u = (double)(random_bits() % 20000), v = (double)(random_bits() % 20000);
            x[i] = sqrt(u * u + v * v) / 1000 * scale;
            mpfr_add_d(sum, sum, x[i], MPFR_RNDN);
            mpfr_set_d(t, x[i], MPFR_RNDN);
            mpfr_fma(squares, t, t, squares, MPFR_RNDN);
        }
        assert_int_equal(wa_mean_sd(&mean, &sd, x, n, WA_DIVISOR_N_MINUS_1, NULL), WA_OK);
        mpfr_div_ui(q, sum, n, MPFR_RNDN);
        equal(mean, mpfr_get_d(q, MPFR_RNDN));
        mpfr_sqr(t, sum, MPFR_RNDN);
        mpfr_div_ui(t, t, n, MPFR_RNDN);
        mpfr_sub(t, squares, t, MPFR_RNDN);
        mpfr_div_ui(t, t, n - 1, MPFR_RNDN);
        mpfr_sqrt(q, t, MPFR_RNDN);
        equal(sd, mpfr_get_d(q, MPFR_RNDN));
    }
    mpfr_clears(sum, squares, t, q, (mpfr_ptr)0);
    mpfr_free_cache();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_as_one_by_one),
        cmocka_unit_test(at_the_edges),
        cmocka_unit_test(not_finite_is_seen),
        cmocka_unit_test(agrees_with_mpfr),
    };
    return cmocka_run_group_tests_name("exact arrays", tests, NULL, NULL);
}
