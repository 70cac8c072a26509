/* Exact sums: against 128-bit integers, MPFR's exact sum, and NIST's summary statistics. */
#include "windassay/exact.h"

#include "base/scaled.h"
#include "windassay/number.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <mpfr.h>

static uint64_t seed = 99991;

static uint64_t random_bits(void)
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return seed;
}

static double any_size(int low, int high)
{
    double m = ldexp((double)(random_bits() >> 11), -52);
    int e = low + (int)(random_bits() % (uint64_t)(high - low + 1));
    return ldexp(random_bits() & 1 ? m : -m, e);
}

static void equal(double a, double b)
{
    a += 0.0; /* MPFR has minus zero, we have not */
    b += 0.0;
    if (memcmp(&a, &b, sizeof a) != 0)
        fail_msg("%a is not %a", a, b);
}

static void nothing_is_zero(void **state)
{
    (void)state;
    wa_exact e = {0};
    equal(wa_exact_round(&e), 0);
    equal(wa_exact_sum(NULL, 0), 0);
    assert_int_equal(wa_exact_sign(&e), 0);
    wa_exact_add(&e, -0.0);
    assert_false(signbit(wa_exact_round(&e)));
}

/* What naive summation gets wrong. */
static void cancels_exactly(void **state)
{
    (void)state;
    equal(wa_exact_sum((double[]){1e308, 1, 1e308, -1e308, 5e-324, -1e308, -1}, 7), 5e-324);
    equal(wa_exact_sum((double[]){1, 0x1p-53}, 2), 1);
    equal(wa_exact_sum((double[]){1, 0x1p-53, 0x1p-1074}, 3), 1 + 0x1p-52);
    equal(wa_exact_sum((double[]){1, 0x1p-53, -0x1p-1074}, 3), 1);
    equal(wa_exact_dot((double[]){1e200, 1e-200, -1e200}, (double[]){1e200, 1e-200, 1e200}, 3),
          0); /* 1e-400 is nearer to 0 than to 5e-324 */
    wa_exact tiny = {0};
    wa_exact_add_product(&tiny, 5e-324, 5e-324);
    assert_int_equal(wa_exact_sign(&tiny), 1); /* kept all the same */
    equal(wa_exact_dot((double[]){0x1p-537, 0x1p-600}, (double[]){0x1p-538, 1.0}, 2), 0x1p-600);
    equal(wa_exact_dot((double[]){0x1p-537, 0x1p-600}, (double[]){0x1p-538, 0x1p-500}, 2),
          0x1p-1074); /* a bit more than half of the smallest */
    equal(wa_exact_dot((double[]){0x1p-537}, (double[]){0x1p-538}, 1), 0); /* exactly half */
}

/* mpfr_sum is correctly rounded. */
static void agrees_with_mpfr(void **state)
{
    (void)state;
    enum { N = 60 };
    mpfr_t terms[N], sum;
    mpfr_ptr pointers[N];
    mpfr_init2(sum, 53);
    for (int i = 0; i < N; i++) {
        mpfr_init2(terms[i], 106);
        pointers[i] = terms[i];
    }
    const int ranges[][2] = {{-1074, 1010}, {-3, 3}, {-1074, -1000}, {-40, 40}, {-500, 450}};
    for (int round = 0; round < 5000; round++) {
        const int *range = ranges[round % 5];
        bool products = round % 2 == 0 && range[1] < 500;
        wa_exact e = {0};
        double x[N], y[N];
        for (int i = 0; i < N; i++) {
            x[i] = i > 40 && i % 2 == 0 ? -x[i - 30] : any_size(range[0], range[1]);
            y[i] = i > 40 && i % 2 == 0 ? y[i - 30] : any_size(-2, 2);
            if (products)
                wa_exact_add_product(&e, x[i], y[i]);
            else
                wa_exact_add(&e, x[i]);
            mpfr_set_d(terms[i], x[i], MPFR_RNDN);
            if (products)
                mpfr_mul_d(terms[i], terms[i], y[i], MPFR_RNDN);
        }
        mpfr_set_emin(-1073);
        mpfr_set_emax(1024);
        int inexact = mpfr_sum(sum, pointers, N, MPFR_RNDN);
        mpfr_subnormalize(sum, inexact, MPFR_RNDN);
        double expected = mpfr_get_d(sum, MPFR_RNDN);
        mpfr_set_emin(mpfr_get_emin_min());
        mpfr_set_emax(mpfr_get_emax_max());
        equal(wa_exact_round(&e), expected);
        equal(products ? wa_exact_dot(x, y, N) : wa_exact_sum(x, N), expected);
        wa_dd both = wa_exact_round_dd(&e);
        equal(both.hi, expected);
        wa_exact_add(&e, -both.hi);
        equal(wa_exact_round(&e), both.lo);
    }
    for (int i = 0; i < N; i++)
        mpfr_clear(terms[i]);
    mpfr_clear(sum);
    mpfr_free_cache();
}

/* However the values are split and ordered, the same bits. */
static void order_does_not_matter(void **state)
{
    (void)state;
    double x[300];
    for (int i = 0; i < 300; i++)
        x[i] = any_size(-60, 60);
    wa_exact forward = {0}, backward = {0}, part[3];
    memset(part, 0, sizeof part);
    for (int i = 0; i < 300; i++) {
        wa_exact_add_product(&forward, x[i], x[i]);
        wa_exact_add_product(&backward, x[299 - i], x[299 - i]);
        wa_exact_add_product(&part[i % 3], x[i], x[i]);
    }
    wa_exact_merge(&part[2], &part[0]);
    wa_exact_merge(&part[2], &part[1]);
    equal(wa_exact_round(&forward), wa_exact_round(&backward));
    equal(wa_exact_round(&forward), wa_exact_round(&part[2]));
    wa_exact_merge(&forward, &forward); /* with itself: doubled */
    equal(wa_exact_round(&forward), 2 * wa_exact_round(&backward));
}

/* 2^31 additions without adding 2^31 times: merging with itself doubles. */
static void carries_in_time(void **state)
{
    (void)state;
    wa_exact e = {0};
    wa_exact_add(&e, 0x1.fffffffffffffp-1);
    wa_exact_add(&e, -0x1p-60);
    wa_exact_add(&e, 3);
    double one = wa_exact_round(&e);
    for (int i = 0; i < 60; i++)
        wa_exact_merge(&e, &e);
    equal(wa_exact_round(&e), ldexp(one, 60));
    wa_exact m = {0};
    wa_exact_add(&m, -5e-324);
    for (int i = 0; i < 60; i++)
        wa_exact_merge(&m, &m);
    equal(wa_exact_round(&m), ldexp(-1, 60 - 1074));
}

static void out_of_range_is_seen(void **state)
{
    (void)state;
    wa_exact e = {0};
    wa_exact_add(&e, 0x1.fffffffffffffp1023);
    wa_exact_add(&e, 0x1p969);
    equal(wa_exact_round(&e), 0x1.fffffffffffffp1023);
    wa_exact_add(&e, 0x1p969); /* now halfway to 2^1024 */
    assert_true(wa_exact_round(&e) == (double)INFINITY);
    equal(wa_exact_divide(&e, 2), 0x1p1023);
    wa_exact_add(&e, -0x1p1000);
    assert_true(isfinite(wa_exact_round(&e)));
    wa_exact_add(&e, (double)INFINITY);
    assert_true(isnan(wa_exact_round(&e)));
    wa_exact f = {0};
    wa_exact_merge(&f, &e);
    assert_true(isnan(wa_exact_divide(&f, 3)));
    assert_true(isnan(wa_exact_sum((double[]){1, (double)NAN}, 2)));
    assert_true(isnan(wa_exact_dot((double[]){0}, (double[]){(double)INFINITY}, 1)));
}

static void division_rounds_once(void **state)
{
    (void)state;
    mpfr_t wide, q;
    mpfr_init2(wide, 4400);
    mpfr_init2(q, 53);
    for (int i = 0; i < 20000; i++) {
        uint64_t n = random_bits() >> (random_bits() % 63);
        n += n == 0;
        double a = any_size(-300, 300), b = any_size(-300, 300);
        wa_exact e = {0};
        wa_exact_add(&e, a);
        wa_exact_add(&e, b);
        mpfr_set_d(wide, a, MPFR_RNDN);
        mpfr_add_d(wide, wide, b, MPFR_RNDN);
        mpfr_div_ui(q, wide, n, MPFR_RNDN);
        equal(wa_exact_divide(&e, n), mpfr_get_d(q, MPFR_RNDN));
    }
    mpfr_clears(wide, q, (mpfr_ptr)0);
}

static size_t read_column(double *x, size_t room, const char *name)
{
    char path[512], line[64];
    snprintf(path, sizeof path, "%s/reference/nist/%s.csv", WA_TESTS_DIR, name);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    size_t n = 0;
    assert_non_null(fgets(line, sizeof line, f)); /* header */
    while (fgets(line, sizeof line, f) != NULL) {
        size_t length = strcspn(line, "\r\n");
        assert_true(n < room);
        assert_int_equal(wa_number_parse(&x[n++], line, length), WA_PARSE_OK);
    }
    fclose(f);
    return n;
}

static bool digits_agree(double ours, double certified)
{
    return fabs(ours - certified) <= 1e-13 * fabs(certified);
}

/* tests/reference/nist/README.md says where these are from. */
static void nist_summary_statistics(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t n;
        double certified_mean, certified_sd;   /* NIST                         */
        double mean, sd_sample, sd_population; /* mpmath, inputs as doubles */
    } sets[] = {
        {"Lew", 200, -177.435, 277.332168044316, -177.435, 277.3321680443161, 276.637968787728},
        {"Michelso", 100, 299.8524, 0.0790105478190518, 299.8524, 0.07901054781905066,
         0.07861450247886727},
        {"NumAcc1", 3, 10000002, 1, 10000002, 1, 0.816496580927726},
        {"NumAcc2", 1001, 1.2, 0.1, 1.2, 0.09999999999999998, 0.0999500374687773},
    };
    for (size_t i = 0; i < sizeof sets / sizeof *sets; i++) {
        double x[1100], mean, sd;
        size_t n = read_column(x, 1100, sets[i].name);
        assert_int_equal(n, sets[i].n);
        assert_int_equal(wa_mean_sd(&mean, &sd, x, n, WA_DIVISOR_N_MINUS_1, NULL), WA_OK);
        equal(mean, sets[i].mean);
        equal(sd, sets[i].sd_sample);
        assert_true(digits_agree(mean, sets[i].certified_mean));
        assert_true(digits_agree(sd, sets[i].certified_sd));
        assert_int_equal(wa_mean_sd(&mean, &sd, x, n, WA_DIVISOR_N, NULL), WA_OK);
        equal(sd, sets[i].sd_population);
    }
}

/* NumAcc4's recipe (NIST StRD: 10000000.2, then .1 and .3 by turns, 1001 values) as decimals kept
 * in integers: the certified mean and sd 10000000.2 and 0.1 come out exactly. */
static void nist_as_scaled_integers(void **state)
{
    (void)state;
    wa_int128 sum = 100000002;
    wa_uint128 squares = (wa_uint128)100000002 * 100000002;
    for (int i = 0; i < 1000; i++) {
        int64_t x = i % 2 == 0 ? 100000001 : 100000003;
        sum += x;
        squares += (uint64_t)(x * x);
    }
    double sd = -1;
    equal(wa_scaled_mean(1001, sum, 1), 10000000.2);
    assert_int_equal(wa_scaled_sd(&sd, 1001, sum, squares, 1, WA_DIVISOR_N_MINUS_1, NULL), WA_OK);
    equal(sd, 0.1);
    assert_int_equal(wa_scaled_sd(&sd, 1, 5, 25, 1, WA_DIVISOR_N_MINUS_1, NULL), WA_ERR_UNDEFINED);
    assert_int_equal(wa_scaled_sd(&sd, 1, 5, 25, 1, WA_DIVISOR_N, NULL), WA_OK);
    equal(sd, 0);
    wa_uint128 huge = (wa_uint128)1 << 126;
    assert_int_equal(wa_scaled_sd(&sd, 4, 5, huge, 1, WA_DIVISOR_N, NULL), WA_ERR_ARG);
    assert_int_equal(wa_scaled_sd(&sd, 2, 5, 3, 1, WA_DIVISOR_N, NULL), WA_ERR_ARG);
}

/* Random sets: scaled integers against MPFR with 300 bits, mean and sd to the last bit. */
static void scaled_against_mpfr(void **state)
{
    (void)state;
    mpfr_t a, b, q;
    mpfr_inits2(300, a, b, (mpfr_ptr)0);
    mpfr_init2(q, 53);
    for (int round = 0; round < 20000; round++) {
        int scale = (int)(random_bits() % 19), shift = 33 + (int)(random_bits() % 28);
        uint64_t n = 2 + random_bits() % 600;
        int64_t offset = (int64_t)(random_bits() >> 34);
        wa_int128 sum = 0;
        wa_uint128 squares = 0;
        for (uint64_t i = 0; i < n; i++) {
            int64_t x = offset + ((int64_t)random_bits() >> shift);
            sum += x;
            squares += (uint64_t)(x * x);
        }
        mpfr_set_sj(a, (intmax_t)sum, MPFR_RNDN);
        mpfr_ui_pow_ui(b, 10, (unsigned long)scale, MPFR_RNDN);
        mpfr_mul_ui(b, b, n, MPFR_RNDN);
        mpfr_div(q, a, b, MPFR_RNDN);
        equal(wa_scaled_mean(n, sum, scale), mpfr_get_d(q, MPFR_RNDN));

        mpfr_sqr(a, a, MPFR_RNDN);
        mpfr_set_uj(b, (uintmax_t)(squares >> 64), MPFR_RNDN);
        mpfr_mul_2ui(b, b, 64, MPFR_RNDN);
        mpfr_set_uj(q, 0, MPFR_RNDN);
        mpfr_t low;
        mpfr_init2(low, 64);
        mpfr_set_uj(low, (uintmax_t)squares, MPFR_RNDN);
        mpfr_add(b, b, low, MPFR_RNDN);
        mpfr_clear(low);
        mpfr_mul_ui(b, b, n, MPFR_RNDN);
        mpfr_sub(a, b, a, MPFR_RNDN);
        mpfr_div_ui(a, a, n, MPFR_RNDN);
        mpfr_div_ui(a, a, n - 1, MPFR_RNDN);
        mpfr_sqrt(a, a, MPFR_RNDN);
        mpfr_ui_pow_ui(b, 10, (unsigned long)scale, MPFR_RNDN);
        mpfr_div(q, a, b, MPFR_RNDN);
        double sd;
        assert_int_equal(wa_scaled_sd(&sd, n, sum, squares, scale, WA_DIVISOR_N_MINUS_1, NULL),
                         WA_OK);
        equal(sd, mpfr_get_d(q, MPFR_RNDN));
    }
    mpfr_clears(a, b, q, (mpfr_ptr)0);
}

/* Ratios that need more than one division: sizes of every kind. */
static void ratios(void **state)
{
    (void)state;
    mpfr_t a, b, q;
    mpfr_inits2(128, a, b, (mpfr_ptr)0);
    mpfr_init2(q, 53);
    for (int i = 0; i < 50000; i++) {
        wa_uint128 top = ((wa_uint128)random_bits() << 64 | random_bits()) >> (random_bits() % 127);
        wa_uint128 under =
            ((wa_uint128)random_bits() << 64 | random_bits()) >> (1 + random_bits() % 126);
        top >>= 1;
        under += under == 0;
        if (i % 4 == 0) { /* halfway cases */
            under = (wa_uint128)1 << random_bits() % 60;
            top = (wa_uint128)(random_bits() >> 10 | 1);
        }
        mpfr_set_uj(a, (uintmax_t)(top >> 64), MPFR_RNDN);
        mpfr_mul_2ui(a, a, 64, MPFR_RNDN);
        mpfr_set_uj(b, (uintmax_t)top, MPFR_RNDN);
        mpfr_add(a, a, b, MPFR_RNDN);
        mpfr_t high;
        mpfr_init2(high, 128);
        mpfr_set_uj(high, (uintmax_t)(under >> 64), MPFR_RNDN);
        mpfr_mul_2ui(high, high, 64, MPFR_RNDN);
        mpfr_set_uj(b, (uintmax_t)under, MPFR_RNDN);
        mpfr_add(b, b, high, MPFR_RNDN);
        mpfr_clear(high);
        mpfr_div(q, a, b, MPFR_RNDN);
        equal(wa_ratio((wa_int128)top, under), mpfr_get_d(q, MPFR_RNDN));
        equal(wa_ratio(-(wa_int128)top, under), -mpfr_get_d(q, MPFR_RNDN));
    }
    mpfr_clears(a, b, q, (mpfr_ptr)0);
}

static void spread_near_nothing(void **state)
{
    (void)state;
    double mean, sd;
    const double same[] = {0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1};
    assert_int_equal(wa_mean_sd(&mean, &sd, same, 7, WA_DIVISOR_N_MINUS_1, NULL), WA_OK);
    equal(mean, 0.1);
    equal(sd, 0);
    const double near[] = {1, 1 + 0x1p-52}; /* sd = 2^-52 / sqrt 2 */
    assert_int_equal(wa_mean_sd(&mean, &sd, near, 2, WA_DIVISOR_N_MINUS_1, NULL), WA_OK);
    equal(sd, 0x1p-52 * sqrt(0.5));
    const double small[] = {1e-300, 3e-300}, large[] = {1.5e308, 1.7e308};
    assert_int_equal(wa_mean_sd(&mean, &sd, small, 2, WA_DIVISOR_N, NULL), WA_OK);
    assert_true(fabs(sd - 1e-300) < 1e-315);
    assert_int_equal(wa_mean_sd(&mean, NULL, large, 2, WA_DIVISOR_N, NULL), WA_OK);
    equal(mean, 1.6e308);
}

static void undefined_is_said(void **state)
{
    (void)state;
    double mean = 7, sd = 7;
    const double x[] = {1, (double)NAN};
    wa_error err;
    assert_int_equal(wa_mean_sd(&mean, &sd, x, 0, WA_DIVISOR_N, &err), WA_ERR_UNDEFINED);
    assert_int_equal(wa_mean_sd(&mean, &sd, x, 1, WA_DIVISOR_N_MINUS_1, &err), WA_ERR_UNDEFINED);
    assert_string_equal(err.text, "a standard deviation needs at least 2 values, but there are 1");
    assert_int_equal(wa_mean_sd(&mean, &sd, x, 2, WA_DIVISOR_N, &err), WA_ERR_UNDEFINED);
    equal(mean, 7);
    equal(sd, 7);
    assert_int_equal(wa_mean_sd(&mean, NULL, x, 1, WA_DIVISOR_N_MINUS_1, &err), WA_OK);
}

/* The exact co-moment around any centre: integers, so that the answer is known. */
static void central_moments(void **state)
{
    (void)state;
    for (int round = 0; round < 200; round++) {
        wa_exact x = {0}, y = {0}, xy = {0};
        int64_t cx = (int64_t)(random_bits() % 1000), cy = (int64_t)(random_bits() % 1000), sum = 0;
        for (int i = 0; i < 50; i++) {
            int64_t a = (int64_t)(random_bits() % 100000), b = (int64_t)(random_bits() % 100000);
            wa_exact_add(&x, (double)a);
            wa_exact_add(&y, (double)b);
            wa_exact_add_product(&xy, (double)a, (double)b);
            sum += (a - cx) * (b - cy);
        }
        wa_exact_central(&xy, &xy, &x, &y, 50, (double)cx, (double)cy);
        equal(wa_exact_round(&xy), (double)sum);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_is_zero),
        cmocka_unit_test(cancels_exactly),
        cmocka_unit_test(agrees_with_mpfr),
        cmocka_unit_test(order_does_not_matter),
        cmocka_unit_test(carries_in_time),
        cmocka_unit_test(out_of_range_is_seen),
        cmocka_unit_test(division_rounds_once),
        cmocka_unit_test(nist_summary_statistics),
        cmocka_unit_test(nist_as_scaled_integers),
        cmocka_unit_test(scaled_against_mpfr),
        cmocka_unit_test(ratios),
        cmocka_unit_test(spread_near_nothing),
        cmocka_unit_test(undefined_is_said),
        cmocka_unit_test(central_moments),
    };
    return cmocka_run_group_tests_name("exact", tests, NULL, NULL);
}
