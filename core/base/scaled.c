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
static double root(wa_dd numerator, wa_uint128 denominator, double ten)
{
    wa_dd variance = wa_dd_div(numerator, wa_dd_of_uint128(denominator));
    return wa_dd_div(wa_dd_sqrt(variance), wa_dd_of(ten)).hi;
}

/* The same, a quarter as long, for a numerator that is not 0 and a denominator below 2^53: each step
 * is one rounded operation, corrected once by its exact rest (which fma gives). With u = 2^-53 the
 * errors are below 5 u^2 (quotient), 12 u^2 (root), 10 u^2 (quotient), together below 2^-100 of the
 * value; those of root() are not larger. False where numbers that are nearer to the result than
 * 2^-95 of it round in two ways: root() decides then. Otherwise both round to the same double. */
static inline __attribute__((always_inline)) bool quick_root(double *out, wa_dd numerator,
                                                             double denominator, double ten)
{
    double quotient = numerator.hi / denominator;
    double rest = fma(-quotient, denominator, numerator.hi) + numerator.lo;
    double more = rest / denominator;
    double first = sqrt(quotient);
    rest = fma(-first, first, quotient) + more;
    double second = rest / (2 * first);
    double value = first / ten;
    rest = fma(-value, ten, first) + second;
    double low = rest / ten, error = value * 0x1p-95;
    *out = value + (low - error);
    return *out == value + (low + error);
}

#if defined(__x86_64__)
__attribute__((target("fma"))) static bool quick_root_fma(double *out, wa_dd numerator,
                                                          double denominator, double ten)
{
    return quick_root(out, numerator, denominator, ten);
}
#endif

/* With fma as an instruction where there is one; elsewhere it is a function of the C library. */
static bool quickest_root(double *out, wa_dd numerator, double denominator, double ten)
{
#if defined(__x86_64__)
    if (__builtin_cpu_supports("fma"))
        return quick_root_fma(out, numerator, denominator, ten);
#endif
    return quick_root(out, numerator, denominator, ten);
}

static double deviation(wa_uint128 numerator, wa_uint128 denominator, double ten)
{
    if (numerator == 0)
        return 0;
    wa_dd over = wa_dd_of_uint128(numerator);
    double value;
    bool exact = denominator >> 53 == 0;
    if (exact && quickest_root(&value, over, (double)(uint64_t)denominator, ten))
        return value;
    return root(over, denominator, ten);
}

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
    *sd = deviation(all - mean_part, (wa_uint128)n * by, (double)TEN_TO[scale]);
    return WA_OK;
}
