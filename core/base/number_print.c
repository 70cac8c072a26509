/* Printing numbers: shortest, and with fixed decimals. */
#include "windassay/number.h"

#include "base/bits.h"
#include "base/digits.h"
#include "base/powers_of_ten.h"
#include "windassay/int128.h"

#include <assert.h>
#include <stdio.h>

/* A decimal: digits * 10^exponent. */
typedef struct decimal {
    uint64_t digits;
    int exponent;
} decimal;

/* floor(log10(2^e)) and so on by integer arithmetic, right for every e that occurs. */
static int floor_log2_of_power(int ten_exponent)
{
    return (ten_exponent * 1741647) >> 19;
}

/* g * c / 2^128 rounded to odd: the last bit is set when anything was cut off. */
static uint64_t product_to_odd(const uint64_t g[2], uint64_t c)
{
    wa_uint128 low = (wa_uint128)g[1] * c;
    wa_uint128 high = (wa_uint128)g[0] * c + (uint64_t)(low >> 64);
    return (uint64_t)(high >> 64) | ((uint64_t)high > 1);
}

/* Schubfach: of the decimals with the fewest digits in the rounding interval of c * 2^q, the
 * nearest. `closer`: the neighbour below is nearer than the one above (c is a power of two). */
static decimal shortest(uint64_t c, int q, bool closer)
{
    uint64_t open = c & 1; /* odd mantissas do not win ties: their interval has no ends */
    int k = (q * 1262611 - (closer ? 524031 : 0)) >> 22;
    int h = q + floor_log2_of_power(-k) + 1;
    const uint64_t *g = POWER_OF_TEN[-k - POWER_MIN];
    uint64_t lower = product_to_odd(g, (4 * c - 2 + closer) << h) + open;
    uint64_t value = product_to_odd(g, (4 * c) << h);
    uint64_t upper = product_to_odd(g, (4 * c + 2) << h) - open;
    uint64_t s = value / 4;
    if (s >= 10) {
        uint64_t tens = s / 10;
        bool below_fits = lower <= 40 * tens, above_fits = 40 * tens + 40 <= upper;
        if (below_fits != above_fits)
            return (decimal){tens + above_fits, k + 1};
    }
    bool below_fits = lower <= 4 * s, above_fits = 4 * s + 4 <= upper;
    if (below_fits != above_fits)
        return (decimal){s + above_fits, k};
    uint64_t middle = 4 * s + 2;
    bool up = value > middle || (value == middle && (s & 1) != 0);
    return (decimal){s + up, k};
}

/* d.digits is not 0. */
static decimal without_zeros(decimal d)
{
    if (d.digits % 10 != 0) /* of a number with all its digits, as a rule */
        return d;
    while (d.digits % 100000000 == 0)
        d = (decimal){d.digits / 100000000, d.exponent + 8};
    if (d.digits % 10000 == 0)
        d = (decimal){d.digits / 10000, d.exponent + 4};
    if (d.digits % 100 == 0)
        d = (decimal){d.digits / 100, d.exponent + 2};
    if (d.digits % 10 == 0)
        d = (decimal){d.digits / 10, d.exponent + 1};
    return d;
}

/* x is not 0. */
static decimal shortest_of(double x, bool *negative)
{
    int q;
    uint64_t c = wa_mantissa(x, &q, negative);
    decimal d;
    if (q <= 0 && q > -53 && (c & (((uint64_t)1 << -q) - 1)) == 0)
        d = (decimal){c >> -q, 0}; /* an integer below 2^53: all its digits are needed */
    else
        d = shortest(c, q, c == (uint64_t)1 << 52 && q > -1074);
    return without_zeros(d);
}

/* ---- as text ------------------------------------------------------------------------------ */

static int count_digits(uint64_t v)
{
    static const uint64_t powers[20] = {1u,
                                        10u,
                                        100u,
                                        1000u,
                                        10000u,
                                        100000u,
                                        1000000u,
                                        10000000u,
                                        100000000u,
                                        1000000000u,
                                        10000000000u,
                                        100000000000u,
                                        1000000000000u,
                                        10000000000000u,
                                        100000000000000u,
                                        1000000000000000u,
                                        10000000000000000u,
                                        100000000000000000u,
                                        1000000000000000000u,
                                        10000000000000000000u};
    int n = (64 - __builtin_clzll(v | 1)) * 1233 >> 12; /* 1233 / 4096: a little above lg 2 */
    return n + (v >= powers[n] || v == 0);
}

/* The n digits of v; returns their end. */
static char *put_digits(char *to, uint64_t v, int n)
{
    char *at = to + n;
    for (; v >= 100000000; v /= 100000000) {
        uint32_t eight = (uint32_t)(v % 100000000), high = eight / 10000, low = eight % 10000;
        at -= 8;
        wa_put_pair(at, high / 100);
        wa_put_pair(at + 2, high % 100);
        wa_put_pair(at + 4, low / 100);
        wa_put_pair(at + 6, low % 100);
    }
    uint32_t rest = (uint32_t)v;
    for (; rest >= 100; rest /= 100)
        wa_put_pair(at -= 2, rest % 100);
    if (rest >= 10)
        wa_put_pair(at - 2, rest);
    else
        at[-1] = (char)('0' + rest);
    return to + n;
}

/* The same with a point behind the first `whole` of them. */
static char *put_with_point(char *to, uint64_t v, int n, int whole)
{
    put_digits(to + 1, v, n);
    for (int i = 0; i < whole; i++)
        to[i] = to[i + 1];
    to[whole] = '.';
    return to + n + 1;
}

static char *put_zeros(char *at, int n)
{
    for (int i = 0; i < n; i++)
        *at++ = '0';
    return at;
}

/* d.ddde-7 */
static char *put_with_exponent(char *at, decimal d, int n)
{
    int exponent = n + d.exponent - 1;
    at = n > 1 ? put_with_point(at, d.digits, n, 1) : put_digits(at, d.digits, n);
    *at++ = 'e';
    *at++ = exponent < 0 ? '-' : '+';
    uint64_t size = (uint64_t)(exponent < 0 ? -exponent : exponent);
    return put_digits(at, size, count_digits(size));
}

size_t wa_number_print(char to[WA_NUMBER_SIZE], double x)
{
    assert(isfinite(x));
    char *at = to;
    bool negative = false;
    if (x == 0) {
        memcpy(to, "0", 2);
        return 1;
    }
    decimal d = shortest_of(x, &negative);
    int n = count_digits(d.digits);
    int point = n + d.exponent; /* digits before the point; 0 and less: 0.00ddd */
    if (negative)
        *at++ = '-';
    if (point > 17 || point < -4) {
        at = put_with_exponent(at, d, n);
    } else if (point <= 0) {
        *at++ = '0';
        *at++ = '.';
        at = put_digits(put_zeros(at, -point), d.digits, n);
    } else if (point < n) {
        at = put_with_point(at, d.digits, n, point);
    } else {
        at = put_zeros(put_digits(at, d.digits, n), point - n);
    }
    *at = '\0';
    return (size_t)(at - to);
}

/* x * 10^decimals to the nearest integer, ties to even; |x| below 2^53. */
static wa_uint128 scaled_integer(double x, int decimals, bool *negative)
{
    int e;
    wa_uint128 v = wa_mantissa(x, &e, negative); /* below 2^53, times at most 10^22 < 2^74 */
    for (int i = 0; i < decimals; i++)
        v *= 10;
    if (e >= 0)
        return v << e; /* e is 0 for |x| < 2^53 */
    if (e <= -128)
        return 0; /* less than half of the last decimal */
    wa_uint128 kept = v >> -e, rest = v & (((wa_uint128)1 << -e) - 1);
    wa_uint128 half = (wa_uint128)1 << (-e - 1);
    return kept + (rest > half || (rest == half && (kept & 1) != 0));
}

size_t wa_number_fixed(char *to, double x, int decimals)
{
    assert(isfinite(x) && decimals >= 0 && decimals <= WA_DECIMALS_MAX);
    char digits[48], *at = to;
    if (fabs(x) >= 0x1p53) { /* an integer; printf's %.0f is exact and has no locale in it */
        at += sprintf(to, "%.0f", x);
        if (decimals > 0)
            *at++ = '.';
        at = put_zeros(at, decimals);
        *at = '\0';
        return (size_t)(at - to);
    }
    bool negative;
    wa_uint128 v = scaled_integer(x, decimals, &negative);
    if (negative && v != 0)
        *at++ = '-';
    int n = 0;
    for (; v != 0 || n <= decimals; v /= 10)
        digits[n++] = (char)('0' + (int)(v % 10));
    while (n > 0) {
        *at++ = digits[--n];
        if (n == decimals && n > 0)
            *at++ = '.';
    }
    *at = '\0';
    return (size_t)(at - to);
}
