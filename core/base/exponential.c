/* Exponential, logarithm and power. */
#include "windassay/portable.h"

#include "base/dd_functions.h"
#include "base/function_tables.h"

wa_dd wa_exp_dd(wa_dd x, int *shift)
{
    double k = rint(x.hi / LN2.hi * 64);
    wa_dd r = wa_two_sum(x.hi, -k * STEP_HIGH); /* the product is exact: 17 bits by 36 */
    r = wa_dd_sub(wa_dd_add_d(r, x.lo), wa_dd_mul_d(STEP_REST, k));
    const wa_dd *f = INVERSE_FACTORIAL;
    double tail = f[9].hi + r.hi * (f[10].hi + r.hi * (f[11].hi + r.hi * f[12].hi));
    tail = f[7].hi + r.hi * (f[8].hi + r.hi * tail);
    wa_dd p = wa_dd_add_d(f[6], r.hi * tail);
    for (int i = 5; i >= 2; i--)
        p = wa_dd_add(f[i], wa_dd_mul(r, p));
    p = wa_dd_add(r, wa_dd_mul(wa_dd_mul(r, r), p));
    int whole = (int)k, entry = whole & 63;
    *shift = (whole - entry) / 64;
    return wa_dd_add(EXP_TABLE[entry], wa_dd_mul(EXP_TABLE[entry], p));
}

static double exp_rounded(wa_dd x)
{
    if (x.hi > 710)
        return (double)INFINITY;
    if (x.hi < -746)
        return 0;
    int shift;
    wa_dd e = wa_exp_dd(x, &shift);
    return wa_dd_ldexp(e, shift);
}

double wa_exp(double x)
{
    return isfinite(x) ? exp_rounded(wa_dd_of(x)) : (double)NAN;
}

/* log(x) for finite x > 0: x = m 2^e, m = (1 + u) / c with c from a table, and
 * log(1 + u) = 2 (s + s^3/3 + s^5/5 + ...), s = u / (2 + u). */
wa_dd wa_log_dd(double x)
{
    int e;
    double m = frexp(x, &e);
    if (m < 0x1.6a09e667f3bcdp-1) { /* so that x near 1 has e = 0 */
        m *= 2;
        e--;
    }
    int entry = (int)rint(m * 128) - 90;
    wa_dd p = wa_two_product(m, LOG_FACTOR[entry]);
    wa_dd u = wa_two_sum(p.hi - 1, p.lo);
    wa_dd s = wa_dd_div(u, wa_dd_add_d(u, 2)), t = wa_dd_mul(s, s);
    const wa_dd *inverse = INVERSE;
    double tail = inverse[13].hi + t.hi * (inverse[15].hi + t.hi * inverse[17].hi);
    tail = inverse[9].hi + t.hi * (inverse[11].hi + t.hi * tail);
    wa_dd q = wa_dd_add_d(inverse[7], t.hi * tail);
    q = wa_dd_add(inverse[5], wa_dd_mul(t, q));
    q = wa_dd_add(inverse[3], wa_dd_mul(t, q));
    q = wa_dd_add(s, wa_dd_mul(s, wa_dd_mul(t, q)));
    wa_dd sum = wa_dd_add(LOG_TABLE[entry], wa_dd_mul_d(q, 2));
    return wa_dd_add(wa_dd_mul_d(LN2, e), sum);
}

double wa_log(double x)
{
    return isfinite(x) && x > 0 ? wa_log_dd(x).hi + 0.0 : (double)NAN;
}

/* x^y for x > 0 where it has few enough bits to be a double or halfway between two of them. The
 * rounding of such a value must see it exactly, which the logarithm cannot. */
static bool exact_power(double x, double y, double *out)
{
    int exponent;
    bool negative;
    uint64_t odd = wa_mantissa(x, &exponent, &negative);
    int zeros = __builtin_ctzll(odd);
    odd >>= zeros;
    exponent += zeros;
    if (odd == 1) { /* a power of two; exponent * y is exact when it is an integer */
        double shift = exponent * y;
        if (shift != rint(shift) || fma(exponent, y, -shift) != 0)
            return false;
        *out = shift > 1100 ? (double)INFINITY : shift < -1100 ? 0 : ldexp(1, (int)shift);
        return true;
    }
    /* m^F with odd m >= 3 has at most 54 bits only for F <= 34, and y = F / 2^k needs m to be a
     * perfect 2^k-th power: k <= 5. */
    if (!(y > 0 && y <= 34) || y * 32 != rint(y * 32))
        return false;
    while (y != rint(y)) {
        double root = sqrt((double)odd);
        if (root != rint(root) || (exponent & 1) != 0 || fma(root, root, -(double)odd) != 0)
            return false;
        odd = (uint64_t)root;
        exponent /= 2;
        y *= 2;
        if (y > 34 && odd > 1)
            return false;
    }
    uint64_t power = 1;
    for (int i = 0; i < (int)y; i++) {
        if (power > ((uint64_t)1 << 54) / odd)
            return false;
        power *= odd;
    }
    *out = wa_compose(false, power, exponent * (int)y, false);
    return true;
}

static double positive_power(double x, double y)
{
    double exact;
    if (exact_power(x, y, &exact))
        return exact;
    wa_dd l = wa_log_dd(x);
    double rough = l.hi * y;
    if (fabs(rough) < 0x1p-60)
        return 1;
    if (fabs(rough) > 800)
        return rough > 0 ? (double)INFINITY : 0;
    return exp_rounded(wa_dd_mul_d(l, y));
}

double wa_pow(double x, double y)
{
    if (!isfinite(x) || !isfinite(y))
        return (double)NAN;
    if (y == 0 || x == 1)
        return 1;
    if (x == 0)
        return y > 0 ? 0 : (double)NAN;
    if (x > 0)
        return positive_power(x, y);
    if (y != rint(y))
        return (double)NAN;
    double p = positive_power(-x, y);
    return fmod(y, 2) == 0 || p == 0 ? p : -p;
}
