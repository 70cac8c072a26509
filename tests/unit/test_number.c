/* Numbers as text and back. The reference is glibc's printf and strtod, which are correctly rounded
 * and share nothing with ours. */
#include "windassay/number.h"

#include <locale.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <mpfr.h>

static uint64_t seed = 777;

static uint64_t random_bits(void)
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return seed;
}

static double random_double(void)
{
    for (;;) {
        uint64_t bits = random_bits();
        double x;
        memcpy(&x, &bits, sizeof x);
        if (isfinite(x))
            return x;
    }
}

static wa_parse parse(double *out, const char *text)
{
    return wa_number_parse(out, text, strlen(text));
}

/* The significant digits of a printed number: no sign, point, exponent, zeros at either end. */
static int significant(char digits[40], const char *text)
{
    int n = 0;
    for (; *text != '\0' && *text != 'e'; text++)
        if (*text >= '0' && *text <= '9' && (n > 0 || *text != '0'))
            digits[n++] = *text;
    while (n > 0 && digits[n - 1] == '0')
        n--;
    digits[n] = '\0';
    return n;
}

/* Reads back, and no number of digits that printf could use is smaller or nearer. */
static void check_print(double x)
{
    char ours[WA_NUMBER_SIZE], theirs[40], our_digits[40], their_digits[40];
    size_t n = wa_number_print(ours, x);
    assert_int_equal(n, strlen(ours));
    double back = strtod(ours, NULL), again = -1;
    if (back != x || parse(&again, ours) != WA_PARSE_OK || again != x)
        fail_msg("%a is printed as %s, which reads as %a (strtod) and %a", x, ours, back, again);
    int length = significant(our_digits, ours);
    for (int digits = length > 15 ? 15 : 1; digits <= 17; digits++) {
        snprintf(theirs, sizeof theirs, "%.*e", digits - 1, x);
        if (strtod(theirs, NULL) != x)
            continue;
        int needed = significant(their_digits, theirs);
        if (needed < length || (needed == length && strcmp(our_digits, their_digits) != 0))
            fail_msg("%a is printed as %s, but %s is better", x, ours, theirs);
        break;
    }
}

static void prints_shortest(void **state)
{
    (void)state;
    for (int i = 0; i < 200000; i++) {
        check_print(random_double());
        check_print((double)(int64_t)(random_bits() >> 12) / 600);
        check_print(ldexp((double)(random_bits() >> 20), -1074)); /* subnormal */
        check_print((double)(int64_t)random_bits());
        check_print((double)((int64_t)random_bits() % 1000000) / 1000);
    }
    for (int e = -1074; e < 1024; e++) {
        double x = ldexp(1, e);
        check_print(x);
        check_print(nextafter(x, 0));
        check_print(nextafter(x, (double)INFINITY));
    }
    for (int e = -323; e <= 308; e++) {
        char text[16];
        snprintf(text, sizeof text, "1e%d", e);
        check_print(strtod(text, NULL));
    }
}

static void print_forms(void **state)
{
    (void)state;
    static const struct {
        double x;
        const char *text;
    } rows[] = {
        {0, "0"},
        {-0.0, "0"},
        {1, "1"},
        {-600, "-600"},
        {0.1, "0.1"},
        {-12.345, "-12.345"},
        {1e-5, "0.00001"},
        {9.9e-6, "9.9e-6"},
        {1e16, "10000000000000000"},
        {99999999999999984, "99999999999999980"},
        {1e17, "1e+17"},
        {1.5e300, "1.5e+300"},
        {5e-324, "5e-324"},
        {1.7976931348623157e308, "1.7976931348623157e+308"},
        {2.2250738585072014e-308, "2.2250738585072014e-308"},
        {9007199254740992, "9007199254740992"},
        {9007199254740994, "9007199254740994"},
        {1e23, "1e+23"},
        {2e-44, "2e-44"},
        {0.3, "0.3"},
        {0.1 + 0.2, "0.30000000000000004"},
        {123456789012345680, "1.2345678901234568e+17"},
        {-1e-7, "-1e-7"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char to[WA_NUMBER_SIZE];
        wa_number_print(to, rows[i].x);
        assert_string_equal(to, rows[i].text);
    }
}

/* printf rounds the exact binary value, halves to even. */
static void fixed_decimals(void **state)
{
    (void)state;
    char ours[WA_NUMBER_FIXED_SIZE], theirs[400];
    for (int i = 0; i < 300000; i++) {
        double x = i % 3 == 0   ? random_double()
                   : i % 3 == 1 ? (double)((int64_t)random_bits() % 100000) / 64
                                : (double)((int64_t)random_bits() >> 20) / 1000;
        int decimals = (int)(random_bits() % 23);
        if (i % 2 == 0)
            decimals %= 5;
        snprintf(theirs, sizeof theirs, "%.*f", decimals, x);
        if (theirs[0] == '-' && strspn(theirs, "-0.") == strlen(theirs))
            memmove(theirs, theirs + 1, strlen(theirs));
        size_t n = wa_number_fixed(ours, x, decimals);
        assert_string_equal(ours, theirs);
        assert_int_equal(n, strlen(ours));
    }
    wa_number_fixed(ours, -0.004, 2);
    assert_string_equal(ours, "0.00");
    wa_number_fixed(ours, 0.125, 2);
    assert_string_equal(ours, "0.12");
    wa_number_fixed(ours, 1.005, 2); /* just below 1.005 in binary */
    assert_string_equal(ours, "1.00");
    wa_number_fixed(ours, 2.5, 0);
    assert_string_equal(ours, "2");
    assert_int_equal(wa_number_fixed(ours, -1.7976931348623157e308, 22), 1 + 309 + 1 + 22);
    assert_true(1 + 309 + 1 + 22 < WA_NUMBER_FIXED_SIZE);
}

static void check_parse(const char *text)
{
    double theirs = strtod(text, NULL), ours = -7;
    wa_parse answer = parse(&ours, text);
    if (isinf(theirs))
        assert_int_equal(answer, WA_PARSE_OUT_OF_RANGE);
    else if (answer != WA_PARSE_OK || ours != theirs || (ours == 0 && signbit(ours)))
        fail_msg("'%s' reads as %a (answer %d), strtod has %a", text, ours, (int)answer, theirs);
}

static void parses_like_strtod(void **state)
{
    (void)state;
    char text[1200];
    for (int i = 0; i < 200000; i++) {
        int digits = 1 + (int)(random_bits() % 30), at = 0;
        if (i % 7 == 0)
            text[at++] = "+-"[random_bits() & 1];
        int point = (int)(random_bits() % (uint64_t)(digits + 1));
        for (int k = 0; k < digits; k++) {
            if (k == point)
                text[at++] = '.';
            text[at++] = (char)('0' + random_bits() % 10);
        }
        text[at] = '\0';
        if (i % 2 == 0)
            sprintf(text + at, "e%d", (int)(random_bits() % 700) - 350);
        check_parse(text);
        sprintf(text, "%.*e", (int)(random_bits() % 20), random_double());
        check_parse(text);
    }
}

/* The exact midpoint of two neighbours (54 bits, written out by MPFR), and a digit more or less far
 * behind. */
static void parses_halfway_cases(void **state)
{
    (void)state;
    char text[1500];
    mpfr_t middle;
    mpfr_init2(middle, 54);
    for (int i = 0; i < 4000; i++) {
        double x = fabs(random_double());
        if (i % 4 == 0)
            x = ldexp((double)(random_bits() >> 12), -1074);
        double y = nextafter(x, (double)INFINITY);
        if (isinf(y))
            continue;
        mpfr_set_d(middle, x, MPFR_RNDN);
        mpfr_add_d(middle, middle, y, MPFR_RNDN);
        mpfr_div_2ui(middle, middle, 1, MPFR_RNDN);
        mpfr_snprintf(text, sizeof text, "%.1100Rf", middle);
        check_parse(text);
        size_t n = strlen(text);
        strcpy(text + n, "0000000000001");
        check_parse(text);
        text[n] = '\0';
        while (n > 0 && (text[n - 1] == '0' || text[n - 1] == '.'))
            n--;
        if (text[n - 1] > '0' && text[n - 1] <= '9' && n > 400) { /* a bit below */
            text[n - 1]--;
            strcpy(text + n, "99999");
            check_parse(text);
        }
    }
    mpfr_clear(middle);
    mpfr_free_cache();
    static const char *const texts[] = {
        "9007199254740993",
        "9007199254740993.0000000000000000000000000001",
        "9007199254740992.9999999999999999999999",
        "1e23",
        "8.5e22",
        "2.2250738585072011e-308",
        "2.2250738585072014e-308",
        "4.9e-324",
        "2.4703282292062327e-324",
        "2.4703282292062328e-324",
        "2.47032822920623272088284396434110686e-324",
        "1.7976931348623157e308",
        "1.7976931348623158e308",
        "1.7976931348623159e308",
        "1.797693134862315807937289714053e308",
        "0e999999999999999999999",
        "1e-999999999999999999",
        "1e99999999999999999999999",
        "-1e400",
        "0.000000000000000000000000000000000000000001e42",
        "179769313486231580793728971405301e276",
        "18446744073709551616",
        "9999999999999999999",
        "10000000000000000000.5",
        "3.",
        ".5",
        "-.5e-3",
        "00012.500",
        "-0",
        "-0.0e5",
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        check_parse(texts[i]);
    text[0] = '1'; /* 800 digits before and behind the point, and far exponents that cancel */
    memset(text + 1, '3', 799);
    strcpy(text + 800, "e-700");
    check_parse(text);
    strcpy(text, "0.");
    memset(text + 2, '0', 700);
    strcpy(text + 702, "123456789123456789123456789e705");
    check_parse(text);
}

static void refuses_what_is_no_number(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "",     " ",    "1 ",   " 1",  "\v1",   "1\f",  "1\n",     "+",       "-",     ".",
        "-.",   "e5",   ".e5",  "1e",  "1e+",   "1e5.", "1e5e5",   "0x10",    "0x1p3", "nan",
        "NaN",  "inf",  "-INF", "1,5", "1_000", "--1",  "+-1",     "1.2.3",   "1d5",   "#N/A",
        "1e 5", "1 e5", "12a",  "٣",   "1.0f",  "1'0",  "nan(12)", "infinity"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        double x = 42;
        if (parse(&x, texts[i]) != WA_PARSE_NOT_A_NUMBER || x != 42)
            fail_msg("'%s' was read as %g", texts[i], x);
    }
    double x = 42;
    assert_int_equal(wa_number_parse(&x,
                                     "1\0"
                                     "2",
                                     3),
                     WA_PARSE_NOT_A_NUMBER);
    assert_int_equal(wa_number_parse(&x, NULL, 0), WA_PARSE_NOT_A_NUMBER);
    assert_int_equal(wa_number_parse(&x, "123", 2), WA_PARSE_OK); /* n bytes, no NUL needed */
    assert_true(x == 12);
    assert_int_equal(parse(&x, "1e309"), WA_PARSE_OUT_OF_RANGE);
    assert_int_equal(parse(&x, "-1e309"), WA_PARSE_OUT_OF_RANGE);
    assert_true(x == 12);
}

static void decimals_as_integers(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        char point;
        bool good;
        int64_t digits;
        int scale;
    } rows[] = {
        {"-12.345", '.', true, -12345, 3},
        {"7", '.', true, 7, 0},
        {"7.", '.', true, 7, 0},
        {".5", '.', true, 5, 1},
        {"+0.10", '.', true, 10, 2},
        {"-0", '.', true, 0, 0},
        {"8,25", ',', true, 825, 2},
        {"8.25", ',', false, 0, 0},
        {"999999999999999999", '.', true, 999999999999999999, 0},
        {"1000000000000000000", '.', false, 0, 0},
        {"000000000000000000000012", '.', true, 12, 0},
        {"0.000000000000000001", '.', true, 1, 18},
        {"0.0000000000000000001", '.', false, 0, 0},
        {"0.0000000000000000000", '.', false, 0, 0},
        {"1e3", '.', false, 0, 0},
        {"", '.', false, 0, 0},
        {"-", '.', false, 0, 0},
        {".", '.', false, 0, 0},
        {"1.2.3", '.', false, 0, 0},
        {" 1", '.', false, 0, 0},
        {"1\v", '.', false, 0, 0},
        {"nan", '.', false, 0, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int64_t digits = 4242;
        int scale = 42;
        bool good =
            wa_decimal_parse(&digits, &scale, rows[i].text, strlen(rows[i].text), rows[i].point);
        assert_int_equal(good, rows[i].good);
        assert_int_equal(digits, good ? rows[i].digits : 4242);
        assert_int_equal(scale, good ? rows[i].scale : 42);
    }
}

/* With a locale that writes decimal commas (where there is one) nothing changes. */
static void locale_does_not_matter(void **state)
{
    (void)state;
    setlocale(LC_ALL, "de_DE.UTF-8");
    char to[WA_NUMBER_FIXED_SIZE];
    double x = 0;
    wa_number_print(to, 1234.5);
    assert_string_equal(to, "1234.5");
    wa_number_fixed(to, 1e20, 2);
    assert_string_equal(to, "100000000000000000000.00");
    assert_int_equal(parse(&x, "1234.5"), WA_PARSE_OK);
    assert_true(x == 1234.5);
    assert_int_equal(parse(&x, "1234,5"), WA_PARSE_NOT_A_NUMBER);
    setlocale(LC_ALL, "C");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(prints_shortest),      cmocka_unit_test(print_forms),
        cmocka_unit_test(fixed_decimals),       cmocka_unit_test(parses_like_strtod),
        cmocka_unit_test(parses_halfway_cases), cmocka_unit_test(refuses_what_is_no_number),
        cmocka_unit_test(decimals_as_integers), cmocka_unit_test(locale_does_not_matter),
    };
    return cmocka_run_group_tests_name("number", tests, NULL, NULL);
}
