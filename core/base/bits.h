/* bits.h - doubles taken apart into integers and put together again, rounding once. */
#ifndef BASE_BITS_H
#define BASE_BITS_H

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

/* Splits finite |x| into mantissa * 2^exponent (mantissa below 2^53). */
static inline uint64_t wa_mantissa(double x, int *exponent, bool *negative)
{
    uint64_t bits;
    memcpy(&bits, &x, sizeof bits);
    int biased = (int)(bits >> 52 & 0x7ff);
    uint64_t mantissa = bits & 0xfffffffffffffu;
    *negative = bits >> 63 != 0;
    *exponent = biased == 0 ? -1074 : biased - 1075;
    return biased == 0 ? mantissa : mantissa | (uint64_t)1 << 52;
}

/* The double nearest to +-(mantissa + s) * 2^exponent, ties to even, where 0 < s < 1 when
 * `sticky` and s = 0 otherwise. Right for subnormal results too; infinity when out of range. */
static inline double wa_compose(bool negative, uint64_t mantissa, int exponent, bool sticky)
{
    if (mantissa == 0)
        return 0;
    int zeros = __builtin_clzll(mantissa);
    mantissa <<= zeros;
    exponent -= zeros;
    int drop = exponent + 11 < -1074 ? -1074 - exponent : 11;
    if (drop > 64)
        return 0;
    uint64_t kept = drop == 64 ? 0 : mantissa >> drop;
    uint64_t rest = drop == 64 ? mantissa : mantissa & (((uint64_t)1 << drop) - 1);
    uint64_t half = (uint64_t)1 << (drop - 1);
    if (rest > half || (rest == half && (sticky || (kept & 1) != 0)))
        kept++;
    double x = ldexp((double)kept, exponent + drop);
    return negative && kept != 0 ? -x : x;
}

#endif
