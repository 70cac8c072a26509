/* Random numbers against the published generator and a plain implementation of it. */
#include "windassay/random.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

static wa_random *start(uint32_t seed)
{
    wa_random *r = NULL;
    assert_int_equal(wa_random_new(&r, seed, NULL), WA_OK);
    return r;
}

static void words_are_those_of_the_standard(void **state)
{
    (void)state;
    /* ISO C++ [rand.predef]: the 10000th word of mt19937 from its default seed 5489 (recalled);
       the others by a plain implementation in Python of the paper's recurrence (computed) */
    wa_random *r = start(5489);
    assert_int_equal(wa_random_bits(r), 3499211612u);
    for (int i = 0; i < 9998; i++)
        wa_random_bits(r);
    assert_int_equal(wa_random_bits(r), 4123659995u);
    wa_random_free(r);
    r = start(1);
    assert_int_equal(wa_random_bits(r), 1791095845u);
    assert_int_equal(wa_random_bits(r), 4282876139u);
    wa_random_free(r);
}

static void numbers_below_n(void **state)
{
    (void)state;
    /* by the same Python: rejection from 2^32 - 2^32 mod n on, then the remainder */
    const uint64_t small[] = {170, 992, 13, 209, 393};
    const uint64_t large[] = {286861170, 944908992, 2052739013, 1202654209, 2944802802};
    wa_random *r = start(20260301);
    for (int i = 0; i < 5; i++)
        assert_int_equal(wa_random_below(r, 1000), small[i]);
    wa_random_free(r);
    r = start(20260301);
    for (int i = 0; i < 5; i++)
        assert_int_equal(wa_random_below(r, 3000000000u), large[i]);
    wa_random_free(r);
    r = start(20260301);
    assert_int_equal(wa_random_below(r, ((uint64_t)1 << 40) + 1), 490570060185u);
    for (int i = 0; i < 100; i++)
        assert_int_equal(wa_random_below(r, 1), 0);
    wa_random_free(r);
}

static void each_number_is_as_likely(void **state)
{
    (void)state;
    /* chi squared of 3 * 2^30, cut into thirds: 2 degrees of freedom, the 0.999 quantile is 13.8
       (-2 ln 0.001). A plain remainder of 2^32 would give the first third half of all. */
    size_t third[3] = {0};
    wa_random *r = start(7);
    for (int i = 0; i < 30000; i++)
        third[wa_random_below(r, 3ull << 30) >> 30]++;
    wa_random_free(r);
    double chi2 = 0;
    for (int k = 0; k < 3; k++)
        chi2 += ((double)third[k] - 10000) * ((double)third[k] - 10000) / 10000;
    assert_true(chi2 < 13.8);
}

static void uniform_numbers(void **state)
{
    (void)state;
    wa_random *r = start(20260301);
    double sum = 0, least = 1, most = 0;
    assert_true(wa_random_uniform(r) == 0.06679006248718167); /* the same Python */
    for (int i = 0; i < 100000; i++) {
        double u = wa_random_uniform(r);
        sum += u;
        least = u < least ? u : least;
        most = u > most ? u : most;
    }
    wa_random_free(r);
    assert_true(least > 0 && most < 1 && least < 1e-4 && most > 1 - 1e-4);
    /* the mean of n has the sd 1/sqrt(12 n) = 0.0009: four of them */
    assert_true(sum / 100000 > 0.4963 && sum / 100000 < 0.5037);
}

static void seed_zero_is_refused(void **state)
{
    (void)state;
    wa_random *r = NULL;
    wa_error err;
    assert_int_equal(wa_random_new(&r, 0, &err), WA_ERR_ARG);
    assert_null(r);
    assert_non_null(strstr(err.text, "from 1 to 4294967295"));
    wa_random_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_are_those_of_the_standard),
        cmocka_unit_test(numbers_below_n),
        cmocka_unit_test(each_number_is_as_likely),
        cmocka_unit_test(uniform_numbers),
        cmocka_unit_test(seed_zero_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
