/* dd.h - double-double arithmetic: a number as hi + lo, about 106 bits.
 *
 * The accurate versions, relative error of some 2^-103 each (Joldes, Muller, Popescu, "Tight and
 * rigorous error bounds for basic building blocks of double-word arithmetic", ACM TOMS 44, 2017).
 * They hold as long as nothing overflows and no low part is subnormal (|x| above 2^-960). The
 * results are the same on every machine: only + - * / sqrt and fma, none of them contracted.
 */
#ifndef BASE_DD_H
#define BASE_DD_H

#include "base/bits.h"
#include "windassay/exact.h"
#include "windassay/int128.h"

#include <math.h>

/* a + b exactly. */
static inline wa_dd wa_two_sum(double a, double b)
{
    double s = a + b, t = s - a;
    return (wa_dd){s, (a - (s - t)) + (b - t)};
}

/* a + b exactly where |a| >= |b| or a = 0. */
static inline wa_dd wa_fast_two_sum(double a, double b)
{
    double s = a + b;
    return (wa_dd){s, b - (s - a)};
}

/* a * b exactly. */
static inline wa_dd wa_two_product(double a, double b)
{
    double p = a * b;
    return (wa_dd){p, fma(a, b, -p)};
}

static inline wa_dd wa_dd_of(double x)
{
    return (wa_dd){x, 0};
}

static inline wa_dd wa_dd_neg(wa_dd a)
{
    return (wa_dd){-a.hi, -a.lo};
}

static inline wa_dd wa_dd_add(wa_dd a, wa_dd b)
{
    wa_dd s = wa_two_sum(a.hi, b.hi), t = wa_two_sum(a.lo, b.lo);
    s = wa_fast_two_sum(s.hi, s.lo + t.hi);
    return wa_fast_two_sum(s.hi, s.lo + t.lo);
}

static inline wa_dd wa_dd_add_d(wa_dd a, double b)
{
    wa_dd s = wa_two_sum(a.hi, b);
    return wa_fast_two_sum(s.hi, s.lo + a.lo);
}

static inline wa_dd wa_dd_sub(wa_dd a, wa_dd b)
{
    return wa_dd_add(a, wa_dd_neg(b));
}

static inline wa_dd wa_dd_mul(wa_dd a, wa_dd b)
{
    wa_dd p = wa_two_product(a.hi, b.hi);
    double cross = fma(a.lo, b.hi, fma(a.hi, b.lo, a.lo * b.lo));
    return wa_fast_two_sum(p.hi, p.lo + cross);
}

static inline wa_dd wa_dd_mul_d(wa_dd a, double b)
{
    wa_dd p = wa_two_product(a.hi, b);
    return wa_fast_two_sum(p.hi, fma(a.lo, b, p.lo));
}

/* b.hi must not be 0. The quotient of hi parts, corrected by its exact rest, twice. */
static inline wa_dd wa_dd_div(wa_dd a, wa_dd b)
{
    double first = a.hi / b.hi;
    wa_dd rest = wa_dd_sub(a, wa_dd_mul_d(b, first));
    double second = rest.hi / b.hi;
    rest = wa_dd_sub(rest, wa_dd_mul_d(b, second));
    double third = rest.hi / b.hi;
    return wa_dd_add_d(wa_fast_two_sum(first, second), third);
}

/* a must not be negative. One Newton step of the root of hi, with the exact rest. */
static inline wa_dd wa_dd_sqrt(wa_dd a)
{
    if (a.hi <= 0)
        return (wa_dd){0, 0};
    double root = sqrt(a.hi);
    wa_dd rest = wa_dd_sub(a, wa_two_product(root, root));
    double step = rest.hi / (2 * root);
    wa_dd first = wa_fast_two_sum(root, step);
    /* what the step leaves is -step^2 and the rounding of the division: once more */
    rest = wa_dd_sub(a, wa_dd_mul(first, first));
    return wa_dd_add_d(first, rest.hi / (2 * root));
}

/* From a 128-bit integer, rounded to double-double. */
static inline wa_dd wa_dd_of_uint128(wa_uint128 x)
{
    if (x >> 62 == 0) { /* the nearest double and the exact rest, as what follows gives, too */
        double nearest = (double)(int64_t)x;
        return (wa_dd){nearest, (double)((int64_t)x - (int64_t)nearest)};
    }
    double high = (double)(uint32_t)(x >> 96) * 0x1p96;
    wa_dd s =
        wa_two_sum((double)(uint32_t)(x >> 64) * 0x1p64, (double)(uint32_t)(x >> 32) * 0x1p32);
    s = wa_dd_add(s, wa_dd_of((double)(uint32_t)x));
    return wa_dd_add(wa_dd_of(high), s);
}

static inline wa_dd wa_dd_of_int128(wa_int128 x)
{
    return x < 0 ? wa_dd_neg(wa_dd_of_uint128(-(wa_uint128)x)) : wa_dd_of_uint128((wa_uint128)x);
}

/* (hi + lo) * 2^shift rounded once to a double, also where the result is subnormal: there the
 * sign of lo decides what a plain ldexp(hi) would take for a tie. */
static inline double wa_dd_ldexp(wa_dd a, int shift)
{
    if (a.hi == 0)
        return 0;
    int exponent;
    bool negative;
    uint64_t mantissa = wa_mantissa(a.hi, &exponent, &negative) << 8;
    double lo = negative ? -a.lo : a.lo;
    bool sticky = lo != 0;
    if (lo < 0)
        mantissa--; /* a bit less than hi: the 8 bits below hold it, the rest is sticky */
    return wa_compose(negative, mantissa, exponent - 8 + shift, sticky);
}

#endif
