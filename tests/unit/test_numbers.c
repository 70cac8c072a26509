/* Samples as doubles: at every level the nearest double, as the parser of numbers gives it for the
 * decimal as text (which is tested against MPFR), and as wa_sample_number gives it. */
#include "data/numbers.h"

#include "base/scaled.h"
#include "data/index.h"
#include "windassay/number.h"

#include <inttypes.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { MOST = 60 };

static const wa_vector_level levels[] = {WA_VECTOR_NONE, WA_VECTOR_PORTABLE, WA_VECTOR_SSE2,
                                         WA_VECTOR_AVX2, WA_VECTOR_AVX512};

static uint64_t seed = 987;

static uint64_t random_bits(void)
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return seed;
}

static bool has(wa_vector_level level)
{
    return level == WA_VECTOR_NONE || wa_index_level(level) == level;
}

static void same(double a, double b)
{
    if (memcmp(&a, &b, sizeof a) != 0)
        fail_msg("%a is not %a", a, b);
}

/* Whole numbers of every size up to 2^53, which is the most that a sample holds; and around 2^51,
 * where the quick way ends. */
static int64_t some_digits(void)
{
    int64_t most = (int64_t)1 << 53, end = (int64_t)1 << 51,
            near = (int64_t)(random_bits() % 5) - 2;
    int64_t x = (int64_t)(random_bits() >> 11 >> random_bits() % 54);
    switch (random_bits() % 40) {
    case 0:
        x = most;
        break;
    case 1:
        x = end + near;
        break;
    case 2:
        x = -end + near;
        break;
    }
    return random_bits() % 2 != 0 ? -x : x;
}

static void give_the_nearest(void **state)
{
    (void)state;
    for (int round = 0; round < 8000; round++) {
        wa_datum is[MOST];
        uint8_t tag[MOST];
        size_t n = (size_t)round % MOST;
        uint8_t scale = (uint8_t)(random_bits() % (WA_SCALE_MAX + 1));
        for (size_t i = 0; i < n; i++) {
            is[i].digits = some_digits();
            if (round % 4 != 0) /* small, as nearly all are */
                is[i].digits %= 1000000;
            tag[i] = scale;
            if (round % 3 == 0 && random_bits() % 9 == 0)
                tag[i] = WA_TAG_MISSING;
            if (tag[i] == WA_TAG_MISSING) /* whatever was there */
                is[i].digits = (int64_t)(random_bits() | random_bits());
            if (round % 17 == 0 && random_bits() % 5 == 0)
                tag[i] = (uint8_t)(random_bits() % (WA_SCALE_MAX + 1));
            if (tag[i] <= WA_SCALE_MAX && llabs(is[i].digits) > (int64_t)1 << 53)
                is[i].digits = 12;
            if (round % 19 == 0 && i == n / 2) {
                is[i].number = 1e-300;
                tag[i] = WA_TAG_DOUBLE;
            }
        }
        for (size_t l = 0; l < sizeof levels / sizeof *levels; l++) {
            double to[MOST + 1];
            to[n] = 7;
            if (!has(levels[l]))
                continue;
            wa_numbers(to, is, tag, n, levels[l]);
            for (size_t i = 0; i < n; i++)
                same(to[i], wa_sample_number(is[i], tag[i]));
            same(to[n], 7);
        }
    }
}

static void agree_with_the_text(void **state)
{
    (void)state;
    for (int round = 0; round < 2000; round++) {
        wa_datum is[8];
        uint8_t tag[8];
        uint8_t scale = (uint8_t)(random_bits() % (WA_SCALE_MAX + 1));
        for (size_t i = 0; i < 8; i++) {
            is[i].digits = some_digits();
            tag[i] = scale;
        }
        for (size_t l = 0; l < sizeof levels / sizeof *levels; l++) {
            double to[8], wanted;
            if (!has(levels[l]))
                continue;
            wa_numbers(to, is, tag, 8, levels[l]);
            for (size_t i = 0; i < 8; i++) {
                char text[64];
                int length = snprintf(text, sizeof text, "%" PRId64 "e-%d", is[i].digits, scale);
                assert_int_equal(wa_number_parse(&wanted, text, (size_t)length), WA_PARSE_OK);
                same(to[i], wanted + 0.0);
            }
        }
    }
}

static void affine_is_one_rounding(void **state)
{
    (void)state;
    for (size_t n = 0; n < MOST; n++)
        for (size_t l = 0; l < sizeof levels / sizeof *levels; l++) {
            double y[MOST + 1], before[MOST + 1];
            if (!has(levels[l]))
                continue;
            for (size_t i = 0; i <= n; i++)
                y[i] = before[i] = i % 7 == 3 ? (double)NAN : (double)some_digits() / 1000;
            wa_numbers_affine(y, 1.0123456789, -0.1, n, levels[l]);
            for (size_t i = 0; i < n; i++)
                same(y[i], fma(before[i], 1.0123456789, -0.1));
            same(y[n], before[n]);
        }
}

static void missing_are_marked(void **state)
{
    (void)state;
    for (size_t n = 0; n < MOST; n++)
        for (size_t l = 0; l < sizeof levels / sizeof *levels; l++) {
            double x[MOST];
            uint8_t out[MOST], to[MOST + 1];
            size_t marked = 0;
            if (!has(levels[l]))
                continue;
            for (size_t i = 0; i < n; i++) {
                x[i] = random_bits() % 4 == 0 ? (double)NAN : (double)some_digits();
                x[i] = random_bits() % 16 == 0 ? (double)INFINITY : x[i];
                out[i] = random_bits() % 4 == 0;
                marked += isnan(x[i]) || out[i] != 0;
            }
            to[n] = 7;
            assert_int_equal(wa_numbers_missing(to, out, x, n, levels[l]), marked);
            for (size_t i = 0; i < n; i++)
                assert_int_equal(to[i], isnan(x[i]) || out[i] != 0);
            assert_int_equal(to[n], 7);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(give_the_nearest),
        cmocka_unit_test(agree_with_the_text),
        cmocka_unit_test(affine_is_one_rounding),
        cmocka_unit_test(missing_are_marked),
    };
    return cmocka_run_group_tests_name("numbers", tests, NULL, NULL);
}
