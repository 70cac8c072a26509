/* Stamps of one minute: found by comparing pieces, and by looking at each character. */
#include "data/minute.h"
#include "windassay/time.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const struct {
    const char *text;
    size_t at, decimals;
} stamps[] = {
    {"2023-01-01T00:00:07Z", 17, 0},
    {"2023-01-01T00:00:07", 17, 0},
    {"2023-01-01T00:00:07+01:00", 17, 0},
    {"2023-01-01T00:00:07.000Z", 17, 3},
    {"2023-01-01T00:00:07,2+01:00", 17, 1},
    {"2023-01-01T00:00:07.000000+01:00", 17, 6},
    {"2023-01-01T00:00:07.123456789Z", 17, 9},
    {"01.02.23 10:11:07", 15, 0},
    {"1.02.23 10:11:07", 14, 0},
    {"Mon 01.02.2023  10:11:07", 22, 0},
    {"2023-01-01T00:00:07.0000000+01:00", 17, 7},
};
enum { STAMPS = sizeof stamps / sizeof *stamps };

static uint64_t state = 1;

static uint32_t draw(uint32_t below) /* a linear congruential generator: only variety counts */
{
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)((state >> 33) % below);
}

static bool is_digit(char c, char most)
{
    return c >= '0' && c <= most;
}

static uint64_t by_character(size_t which, const char *text, size_t n)
{
    const char *is = stamps[which].text;
    size_t at = stamps[which].at, decimals = stamps[which].decimals;
    if (n != strlen(is) || n < 16 || n > 32)
        return UINT64_MAX;
    uint64_t second = 0;
    for (size_t i = 0; i < n; i++) {
        bool digit = i == at || i == at + 1 || (i > at + 2 && i < at + 3 + decimals);
        if (digit ? !is_digit(text[i], i == at ? '5' : '9') : text[i] != is[i])
            return UINT64_MAX;
        second = digit ? second * 10 + (uint64_t)(text[i] - '0') : second;
    }
    return second;
}

static void a_second_is_found_or_not(void **ctx)
{
    (void)ctx;
    size_t found = 0;
    for (int round = 0; round < 30000; round++) {
        size_t which = draw(STAMPS), at = stamps[which].at, decimals = stamps[which].decimals;
        const char *is = stamps[which].text;
        size_t n = strlen(is);
        wa_minute m;
        wa_minute_make(&m, is, n, at, decimals);
        size_t length = draw(8) == 0 ? 1 + draw((uint32_t)n) : n;
        char *text = malloc(length); /* of its own size: the sanitizer sees a byte beyond it */
        memcpy(text, is, length);
        if (length > at + 1) {
            text[at] = (char)('0' + draw(7));
            text[at + 1] = (char)('/' + draw(12));
        }
        for (size_t i = 0; i < decimals && at + 3 + i < length; i++)
            text[at + 3 + i] = (char)('0' + draw(10));
        if (draw(2) == 0)
            text[draw((uint32_t)length)] = (char)draw(256);
        uint64_t expected = by_character(which, text, length);
        assert_true(wa_minute_second(&m, text, length) == expected);
        found += expected != UINT64_MAX;
        free(text);
    }
    assert_in_range(found, 6000, 24000);
}

/* Rows "SS" of a stamp and one more field: how far they are stepped over. */
static void step(const unsigned *seconds, size_t n, int64_t after, int64_t limit, bool apart,
                 size_t steps)
{
    char text[16 + 64 * 32], *to = text + 16;
    uint32_t ends[1 + 64 * 2] = {UINT32_MAX};
    size_t length = 0;
    for (size_t i = 0; i < n; i++) {
        memcpy(to + length, "2023-01-01T00:00:07Z;1\n", 23);
        to[length + 17] = (char)('0' + seconds[i] / 10);
        to[length + 18] = (char)('0' + seconds[i] % 10);
        ends[1 + 2 * i] = (uint32_t)length + 20;
        ends[2 + 2 * i] = (uint32_t)length + 22;
        length += 23;
    }
    wa_plain p = {.index = {.end = ends + 1, .per = 1}, .text = to, .ready = n, .columns = 2};
    wa_minute m;
    wa_minute_make(&m, "2023-01-01T00:00:33Z", 20, 17, 0);
    m.middle = 1000 * WA_SECOND_NS + WA_SECOND_NS / 2;
    int64_t last = 0;
    int64_t middles[64] = {0};
    bool any = wa_minute_step(&last, &m, &p, 0, after, limit, apart ? NULL : middles);
    assert_int_equal(any, steps > 0);
    assert_int_equal(p.next, steps);
    for (size_t i = 0; i < steps && !apart; i++)
        assert_int_equal(middles[i], m.middle + seconds[i] * WA_SECOND_NS);
    if (steps > 0)
        assert_int_equal(last, seconds[steps - 1] * WA_SECOND_NS);
}

static void rows_are_stepped_over_in_order_of_time(void **ctx)
{
    (void)ctx;
    const unsigned rising[] = {0, 1, 2, 10, 59, 3}, again[] = {4, 4}, beyond[] = {5, 60};
    const int64_t s = WA_SECOND_NS, half = s / 2, start = 1000 * s;
    step(rising, 6, INT64_MIN, INT64_MAX, true, 5);
    step(rising, 6, start + half - 1, start + 60 * s, true, 5);
    step(rising, 6, start + half, start + 60 * s, true, 0); /* the first is not behind */
    step(rising + 1, 5, start + half, start + 60 * s, true, 4);
    step(rising, 6, 0, start + 10 * s + half, true, 3); /* the fourth is at the limit */
    step(rising, 6, 0, start + 10 * s + half + 1, true, 4);
    step(rising, 6, 0, start, true, 0);
    step(rising, 6, start + 60 * s, INT64_MAX, true, 0);
    step(again, 2, 0, INT64_MAX, true, 1);
    step(again, 2, 0, INT64_MAX, false, 2);
    step(again, 2, start + 4 * s + half, INT64_MAX, false, 2); /* at the time of the one before */
    step(again, 2, start + 4 * s + half + 1, INT64_MAX, false, 0);
    step(rising, 6, 0, INT64_MAX, false, 5);
    step(beyond, 2, 0, INT64_MAX, true, 1);
}

/* The same with a quarter of a second. */
static void fractions_are_stepped_over(void **ctx)
{
    (void)ctx;
    char text[16 + 3 * 27] = {0}, *to = text + 16;
    uint32_t ends[] = {UINT32_MAX, 24, 26, 51, 53, 78, 80};
    memcpy(to,
           "2023-01-01T00:00:07.000Z;1\n2023-01-01T00:00:07.250Z;1\n2023-01-01T00:00:07.500Z;1\n",
           81);
    wa_minute m;
    wa_minute_make(&m, to, 24, 17, 3);
    m.middle = 1000 * WA_SECOND_NS;
    int64_t last = 0, start = m.middle + 7 * WA_SECOND_NS, quarter = WA_SECOND_NS / 4;
    const struct {
        int64_t after, limit;
        size_t steps;
    } cases[] = {{start - 1, start + WA_SECOND_NS, 3},
                 {start, start + WA_SECOND_NS, 0},
                 {start - 1, start + 2 * quarter, 2},
                 {start - 1, start + 2 * quarter + 1, 3}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wa_plain p = {.index = {.end = ends + 1, .per = 1}, .text = to, .ready = 3, .columns = 2};
        bool any = wa_minute_step(&last, &m, &p, 0, cases[i].after, cases[i].limit, NULL);
        assert_int_equal(any, cases[i].steps > 0);
        assert_int_equal(p.next, cases[i].steps);
        if (any)
            assert_int_equal(last, 7 * WA_SECOND_NS + ((int64_t)cases[i].steps - 1) * quarter);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_second_is_found_or_not),
        cmocka_unit_test(rows_are_stepped_over_in_order_of_time),
        cmocka_unit_test(fractions_are_stepped_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
