/* Portable functions against MPFR 4.2 (correctly rounded, GNU MPFR project): 10^5 arguments a
 * function, every bit must agree. The second opinion is libm, within 2 units in the last place
 * (glibc's errors are below 1; the conversion of degrees adds the rest). */
#include "windassay/portable.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <mpfr.h>

enum { ARGUMENTS = 100000 };

static uint64_t seed = 20240417;

static uint64_t random_bits(void)
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return seed;
}

static double uniform(double low, double high)
{
    return low + (high - low) * ((double)(random_bits() >> 11) * 0x1p-53);
}

/* Any exponent between the two, any mantissa, any sign. */
static double any_size(int low, int high)
{
    double m = ldexp((double)(random_bits() >> 11 | (uint64_t)1 << 52), -52);
    int e = low + (int)(random_bits() % (uint64_t)(high - low + 1));
    return ldexp(random_bits() & 1 ? m : -m, e);
}

/* A double as MPFR rounds it, subnormal results included. */
static double rounded(mpfr_t x, int inexact)
{
    mpfr_subnormalize(x, inexact, MPFR_RNDN);
    return mpfr_get_d(x, MPFR_RNDN) + 0.0;
}

typedef int (*one_mpfr)(mpfr_ptr, mpfr_srcptr, mpfr_rnd_t);
typedef int (*turn_mpfr)(mpfr_ptr, mpfr_srcptr, unsigned long, mpfr_rnd_t);
typedef int (*two_mpfr)(mpfr_ptr, mpfr_srcptr, mpfr_srcptr, mpfr_rnd_t);

static mpfr_t mx, my, mz;

static double in_turns(turn_mpfr f, double x)
{
    mpfr_set_d(mx, x, MPFR_RNDN);
    return rounded(mz, f(mz, mx, 360, MPFR_RNDN));
}

static double of_one(one_mpfr f, double x)
{
    mpfr_set_d(mx, x, MPFR_RNDN);
    return rounded(mz, f(mz, mx, MPFR_RNDN));
}

static double of_two(two_mpfr f, double x, double y)
{
    mpfr_set_d(mx, x, MPFR_RNDN);
    mpfr_set_d(my, y, MPFR_RNDN);
    return rounded(mz, f(mz, mx, my, MPFR_RNDN));
}

static double atan2_in_turns(double y, double x)
{
    mpfr_set_d(mx, x, MPFR_RNDN);
    mpfr_set_d(my, y, MPFR_RNDN);
    return rounded(mz, mpfr_atan2u(mz, my, mx, 360, MPFR_RNDN));
}

static void same(const char *what, double x, double y, double ours, double theirs)
{
    if (memcmp(&ours, &theirs, sizeof ours) != 0)
        fail_msg("%s(%a, %a) = %a, MPFR has %a", what, x, y, ours, theirs);
}

static double angle(int i)
{
    switch (i % 4) {
    case 0:
        return uniform(-360, 720);
    case 1:
        return rint(uniform(0, 3600)) / 10; /* as a vane logs */
    case 2:
        return any_size(-1074, 1023);
    default:
        return any_size(-20, 12);
    }
}

static void sines(void **state)
{
    (void)state;
    for (int i = 0; i < ARGUMENTS; i++) {
        double x = angle(i), s, c;
        wa_sincos_deg(x, &s, &c);
        same("sin", x, 0, s, in_turns(mpfr_sinu, x));
        same("cos", x, 0, c, in_turns(mpfr_cosu, x));
        if (c != 0)
            same("tan", x, 0, wa_tan_deg(x), in_turns(mpfr_tanu, x));
        if (i < 1000) {
            same("sin", x, 0, wa_sin_deg(x), s);
            same("cos", x, 0, wa_cos_deg(x), c);
        }
    }
}

static void inverse_sines(void **state)
{
    (void)state;
    for (int i = 0; i < ARGUMENTS; i++) {
        double x = i % 3 == 0   ? uniform(-1, 1)
                   : i % 3 == 1 ? any_size(-1074, -1)
                                : copysign(1 - fabs(any_size(-53, -2)), uniform(-1, 1));
        same("asin", x, 0, wa_asin_deg(x), in_turns(mpfr_asinu, x));
        same("acos", x, 0, wa_acos_deg(x), in_turns(mpfr_acosu, x));
    }
}

static void directions(void **state)
{
    (void)state;
    for (int i = 0; i < ARGUMENTS; i++) {
        double y = i % 3 == 0 ? any_size(-1074, 1023) : uniform(-20, 20);
        double x = i % 3 == 0   ? any_size(-1074, 1023)
                   : i % 3 == 1 ? uniform(-20, 20)
                                : y * any_size(-60, 60);
        same("atan2", y, x, wa_atan2_deg(y, x), atan2_in_turns(y, x));
    }
}

static void exponentials(void **state)
{
    (void)state;
    for (int i = 0; i < ARGUMENTS; i++) {
        double x = i % 2 == 0 ? uniform(-746, 710) : any_size(-60, 9);
        same("exp", x, 0, wa_exp(x), of_one(mpfr_exp, x));
        x = i % 3 == 0   ? fabs(any_size(-1074, 1023))
            : i % 3 == 1 ? uniform(0, 40)
                         : 1 + any_size(-53, -4);
        same("log", x, 0, wa_log(x), of_one(mpfr_log, x));
    }
}

static void powers(void **state)
{
    (void)state;
    for (int i = 0; i < ARGUMENTS; i++) {
        double x, y;
        switch (i % 4) {
        case 0: /* shear profiles */
            x = uniform(0.01, 30);
            y = uniform(-4, 4);
            break;
        case 1:
            x = fabs(any_size(-1074, 1023));
            y = any_size(-8, 3);
            break;
        case 2:
            x = 1 + any_size(-52, -3);
            y = any_size(-10, 30);
            break;
        default: /* exact results and ties */
            x = ldexp(rint(uniform(1, 1 << (i / 4 % 28))), (int)uniform(-4, 4) * 2);
            y = rint(uniform(0, 12)) / (1 << (i / 4 % 3));
            if (i % 8 > 3)
                x = x * x;
        }
        same("pow", x, y, wa_pow(x, y), of_two(mpfr_pow, x, y));
    }
}

/* Halfway cases: odd numbers of 27 bits and more squared need 54. */
static void powers_at_ties(void **state)
{
    (void)state;
    for (int i = 0; i < 20000; i++) {
        double m = 0x1p26 + rint(uniform(0, 0x1p26)); /* squares of 53 and 54 bits */
        same("pow", m, 2, wa_pow(m, 2), of_two(mpfr_pow, m, 2));
        double k = rint(uniform(3, 0x1p18)) * rint(uniform(0.6, 1.4));
        same("pow", k * k, 1.5, wa_pow(k * k, 1.5), of_two(mpfr_pow, k * k, 1.5));
        double e = -rint(uniform(1060, 1080));
        same("pow", 2, e, wa_pow(2, e), of_two(mpfr_pow, 2, e));
        double n = -rint(uniform(1, 40)), p = rint(uniform(1, 9));
        same("pow", n, p, wa_pow(n, p), of_two(mpfr_pow, n, p));
    }
    for (int x = 2; x < 40; x++)
        for (int y = -20; y <= 60; y++)
            same("pow", x, y, wa_pow(x, y), of_two(mpfr_pow, x, y));
}

/* Values that everyone knows. */
static void exact_where_it_can_be(void **state)
{
    (void)state;
    assert_true(wa_sin_deg(30) == 0.5 && wa_sin_deg(150) == 0.5 && wa_sin_deg(-30) == -0.5);
    assert_true(wa_cos_deg(60) == 0.5 && wa_cos_deg(90) == 0 && wa_cos_deg(-270) == 0);
    assert_true(wa_sin_deg(180) == 0 && wa_sin_deg(360e9) == 0 && wa_cos_deg(180) == -1);
    assert_true(wa_sin_deg(720000000000090.0) == 1);
    assert_true(wa_tan_deg(45) == 1 && wa_tan_deg(135) == -1 && wa_tan_deg(-45) == -1);
    assert_true(wa_asin_deg(0.5) == 30 && wa_asin_deg(1) == 90 && wa_asin_deg(-1) == -90);
    assert_true(wa_acos_deg(0.5) == 60 && wa_acos_deg(1) == 0 && wa_acos_deg(-1) == 180);
    assert_true(wa_atan2_deg(1, 1) == 45 && wa_atan2_deg(-1, -1) == -135);
    assert_true(wa_atan2_deg(0, -1) == 180 && wa_atan2_deg(-0.0, -1) == 180);
    assert_true(wa_atan2_deg(-3, 0) == -90);
    assert_true(wa_exp(0) == 1 && wa_log(1) == 0 && wa_pow(0, 0) == 1 && wa_pow(-2, 3) == -8);
    const double zeros[] = {wa_sin_deg(-0.0),  wa_sin_deg(-180),     wa_cos_deg(-90),
                            wa_tan_deg(-180),  wa_asin_deg(-0.0),    wa_acos_deg(1),
                            wa_exp(-1e4),      wa_atan2_deg(-0., 1), wa_log(1),
                            wa_pow(-2, -2001), wa_sin_deg(-4e-324)};
    for (size_t i = 0; i < sizeof zeros / sizeof *zeros; i++)
        assert_true(zeros[i] == 0 && !signbit(zeros[i]));
}

static void outside_the_domain(void **state)
{
    (void)state;
    const double inf = (double)INFINITY;
    assert_true(isnan(wa_tan_deg(90)) && isnan(wa_tan_deg(-270)) && isnan(wa_sin_deg(inf)));
    assert_true(isnan(wa_asin_deg(1.0000000000000002)) && isnan(wa_acos_deg(-2)));
    assert_true(isnan(wa_asin_deg((double)NAN)) && isnan(wa_acos_deg((double)NAN)));
    assert_true(isnan(wa_atan2_deg(0, 0)) && isnan(wa_atan2_deg(inf, 1)));
    assert_true(isnan(wa_log(0)) && isnan(wa_log(-1)) && isnan(wa_log(inf)));
    assert_true(isnan(wa_pow(-1, 0.5)) && isnan(wa_pow(0, -1)) && isnan(wa_exp((double)NAN)));
    assert_true(isinf(wa_exp(709.79)) && wa_exp(-745.2) == 0 && isinf(wa_pow(10, 309)));
}

/* No step backwards between neighbours at the seams of the tables. */
static void monotonic_at_the_seams(void **state)
{
    (void)state;
    for (int j = 1; j < 64; j++) {
        double x = (j - 0.5) * 1.40625;
        for (int side = 0; side < 20 && j <= 32; side++, x = nextafter(x, 90))
            assert_true(wa_sin_deg(nextafter(x, 90)) >= wa_sin_deg(x) &&
                        wa_cos_deg(nextafter(x, 90)) <= wa_cos_deg(x));
        x = (j - 0.5) / 64;
        for (int side = 0; side < 20; side++, x = nextafter(x, 1))
            assert_true(wa_atan2_deg(nextafter(x, 1), 1) >= wa_atan2_deg(x, 1));
        x = (j - 0.5) * 0x1.62e42fefa39efp-7;
        for (int side = 0; side < 20; side++, x = nextafter(x, 1))
            assert_true(wa_exp(nextafter(x, 1)) >= wa_exp(x));
        x = (j + 96.5) / 128;
        for (int side = 0; side < 20; side++, x = nextafter(x, 2))
            assert_true(wa_log(nextafter(x, 2)) >= wa_log(x));
    }
}

/* libm within 2 ulp. */
static void libm_agrees(void **state)
{
    (void)state;
    for (int i = 0; i < 10000; i++) {
        double x = uniform(0.01, 40), y = uniform(-3, 3);
        const double pairs[][2] = {{wa_exp(x), exp(x)},
                                   {wa_pow(x, y), pow(x, y)},
                                   {wa_log(x), log(x)},
                                   {wa_atan2_deg(y, x), atan2(y, x) * 57.295779513082323}};
        for (size_t k = 0; k < 4; k++)
            assert_true(fabs(pairs[k][0] - pairs[k][1]) <= 2 * 0x1p-52 * fabs(pairs[k][0]));
    }
}

static void fixed_sines(void **state)
{
    (void)state;
    for (int i = 0; i < 20000; i++) {
        double x = angle(i);
        int64_t s, c;
        wa_sincos_fixed(x, &s, &c);
        mpfr_t wide;
        mpfr_init2(wide, 200);
        mpfr_set_d(mx, x, MPFR_RNDN);
        mpfr_sinu(wide, mx, 360, MPFR_RNDN);
        mpfr_mul_2si(wide, wide, 62, MPFR_RNDN);
        assert_int_equal(mpfr_get_si(wide, MPFR_RNDN), s);
        mpfr_cosu(wide, mx, 360, MPFR_RNDN);
        mpfr_mul_2si(wide, wide, 62, MPFR_RNDN);
        assert_int_equal(mpfr_get_si(wide, MPFR_RNDN), c);
        mpfr_clear(wide);
    }
}

static wa_status mean_of(const double *deg, int n, double *d, double *r)
{
    wa_int128 sine = 0, cosine = 0;
    for (int i = 0; i < n; i++) {
        int64_t s, c;
        wa_sincos_fixed(deg[i], &s, &c);
        sine += s;
        cosine += c;
    }
    return wa_direction_from_fixed(sine, cosine, (uint64_t)n, d, r, NULL);
}

static void mean_directions(void **state)
{
    (void)state;
    double d = -1, r = -1;
    assert_int_equal(mean_of((double[]){350, 10}, 2, &d, &r), WA_OK);
    assert_true((d < 1e-15 || d > 360 - 1e-12) && d < 360);
    assert_true(fabs(r - wa_cos_deg(10)) < 1e-16);
    assert_int_equal(mean_of((double[]){10, 30, 50}, 3, &d, &r), WA_OK);
    assert_true(fabs(d - 30) < 1e-13);
    assert_int_equal(mean_of((double[]){286.3}, 1, &d, &r), WA_OK);
    assert_true(d == 286.3 && r == 1);
    assert_int_equal(mean_of((double[]){359.99999999999994}, 1, &d, &r), WA_OK);
    assert_true(d == 359.99999999999994);
    d = r = -1;
    assert_int_equal(mean_of((double[]){0, 90, 180, 270}, 4, &d, &r), WA_ERR_UNDEFINED);
    assert_int_equal(mean_of((double[]){0, 120, 240}, 3, &d, &r), WA_ERR_UNDEFINED);
    assert_int_equal(mean_of(&d, 0, &d, &r), WA_ERR_UNDEFINED);
    assert_true(d == -1 && r == -1); /* untouched */
    /* Roulette spins, Mardia and Jupp (2000), "Directional Statistics"; the answers by mpmath
     * with 40 digits: 51.0501771085499577..., 0.710990998863177176... */
    assert_int_equal(mean_of((double[]){43, 45, 52, 61, 75, 88, 88, 279, 357}, 9, &d, &r), WA_OK);
    assert_true(d == 51.05017710854996 && r == 0.7109909988631772);
    assert_int_equal(mean_of((double[]){357, 88, 45, 75, 43, 279, 52, 88, 61}, 9, &d, NULL), WA_OK);
    assert_true(d == 51.05017710854996);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sines),
        cmocka_unit_test(inverse_sines),
        cmocka_unit_test(directions),
        cmocka_unit_test(exponentials),
        cmocka_unit_test(powers),
        cmocka_unit_test(powers_at_ties),
        cmocka_unit_test(exact_where_it_can_be),
        cmocka_unit_test(outside_the_domain),
        cmocka_unit_test(monotonic_at_the_seams),
        cmocka_unit_test(libm_agrees),
        cmocka_unit_test(fixed_sines),
        cmocka_unit_test(mean_directions),
    };
    mpfr_set_emin(-1073);
    mpfr_set_emax(1024);
    mpfr_inits2(53, mx, my, mz, (mpfr_ptr)0);
    int failed = cmocka_run_group_tests_name("portable", tests, NULL, NULL);
    mpfr_clears(mx, my, mz, (mpfr_ptr)0);
    mpfr_free_cache();
    return failed;
}
