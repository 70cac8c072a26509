#include "base/scaled.h"

#include "base/bits.h"
#include "base/dd.h"

#include <assert.h>
#include <inttypes.h>

static const int64_t TEN_TO[WA_SCALE_MAX + 1] = {
    1,
    10,
    100,
    1000,
    10000,
    100000,
    1000000,
    10000000,
    100000000,
    1000000000,
    10000000000,
    100000000000,
    1000000000000,
    10000000000000,
    100000000000000,
    1000000000000000,
    10000000000000000,
    100000000000000000,
    1000000000000000000,
};

double wa_ratio(wa_int128 numerator, wa_uint128 denominator)
{
    assert(denominator != 0 && denominator >> 127 == 0);
    bool negative = numerator < 0;
    wa_uint128 top = negative ? -(wa_uint128)numerator : (wa_uint128)numerator;
    if (top == 0)
        return 0;
    if (top >> 53 == 0 && denominator >> 53 == 0) { /* both exact: one rounding */
        double q = (double)(uint64_t)top / (double)(uint64_t)denominator;
        return negative ? -q : q;
    }
    wa_uint128 quotient = top / denominator, rest = top % denominator;
    int exponent = 0;
    while (quotient >> 62 == 0) { /* bit by bit until there are 63 */
        rest <<= 1;
        quotient <<= 1;
        exponent--;
        if (rest >= denominator) {
            rest -= denominator;
            quotient |= 1;
        }
    }
    bool sticky = rest != 0;
    while (quotient >> 64 != 0) {
        sticky = sticky || (quotient & 1) != 0;
        quotient >>= 1;
        exponent++;
    }
    return wa_compose(negative, (uint64_t)quotient, exponent, sticky);
}

double wa_scaled_mean(uint64_t n, wa_int128 sum, int scale)
{
    assert(n >= 1 && n >> 63 == 0 && scale >= 0 && scale <= WA_SCALE_MAX);
    return wa_ratio(sum, (wa_uint128)n * (wa_uint128)TEN_TO[scale]);
}

/* The root of numerator / denominator, times 10^-scale. */
static double root(wa_uint128 numerator, wa_uint128 denominator, int scale)
{
    wa_dd variance = wa_dd_div(wa_dd_of_uint128(numerator), wa_dd_of_uint128(denominator));
    return wa_dd_div(wa_dd_sqrt(variance), wa_dd_of((double)TEN_TO[scale])).hi;
}

#if defined(__x86_64__)
/* The same, for processors that have fma as an instruction: elsewhere it is a function of the C
 * library, which is called a dozen times for each deviation. */
__attribute__((target("fma"), flatten)) static double root_fma(wa_uint128 numerator,
                                                               wa_uint128 denominator, int scale)
{
    return root(numerator, denominator, scale);
}
#endif

wa_status wa_scaled_sd(double *sd, uint64_t n, wa_int128 sum, wa_uint128 squares, int scale,
                       wa_divisor divisor, wa_error *err)
{
    assert(scale >= 0 && scale <= WA_SCALE_MAX);
    uint64_t least = divisor == WA_DIVISOR_N ? 1 : 2;
    if (n < least)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a standard deviation needs at least %d values, but there are %" PRIu64,
                       (int)least, n);
    wa_uint128 magnitude = sum < 0 ? -(wa_uint128)sum : (wa_uint128)sum, all, mean_part;
    if (__builtin_mul_overflow(squares, (wa_uint128)n, &all) ||
        __builtin_mul_overflow(magnitude, magnitude, &mean_part) || all >> 127 != 0 ||
        all < mean_part)
        return wa_fail(err, WA_ERR_ARG, "sums of %" PRIu64 " scaled values do not fit", n);
    uint64_t by = divisor == WA_DIVISOR_N ? n : n - 1;
    wa_uint128 under = (wa_uint128)n * by;
#if defined(__x86_64__)
    if (__builtin_cpu_supports("fma")) {
        *sd = root_fma(all - mean_part, under, scale);
        return WA_OK;
    }
#endif
    *sd = root(all - mean_part, under, scale);
    return WA_OK;
}
