/* Inverse sine, cosine and tangent in degrees; the direction of a sum of unit vectors. */
#include "windassay/portable.h"

#include "base/dd.h"
#include "base/function_tables.h"

/* atan(u) in radians for |u| <= 1/128. */
static wa_dd short_series(wa_dd u)
{
    const wa_dd *inverse = INVERSE;
    wa_dd t = wa_dd_mul(u, u);
    double tail = inverse[15].hi - t.hi * inverse[17].hi;
    tail = inverse[9].hi - t.hi * (inverse[11].hi - t.hi * (inverse[13].hi - t.hi * tail));
    wa_dd p = wa_dd_add_d(wa_dd_neg(inverse[7]), t.hi * tail);
    p = wa_dd_add(inverse[5], wa_dd_mul(t, p));
    p = wa_dd_add(wa_dd_neg(inverse[3]), wa_dd_mul(t, p));
    return wa_dd_add(u, wa_dd_mul(u, wa_dd_mul(t, p)));
}

/* atan(y / x) in degrees for 0 <= y <= x, 2^-900 < x < 2^900:
 * atan(y / x) = atan(c) + atan((y - c x) / (x + c y)) with c from a table. */
static wa_dd octant(wa_dd y, wa_dd x)
{
    double j = rint(64 * (y.hi / x.hi)), c = j / 64;
    wa_dd over = wa_dd_sub(y, wa_dd_mul_d(x, c)), under = wa_dd_add(x, wa_dd_mul_d(y, c));
    wa_dd rest = wa_dd_mul(short_series(wa_dd_div(over, under)), DEGREES);
    return wa_dd_add(ATAN_TABLE[(int)j], rest);
}

/* Direction of (x, y), not both 0, neither of them out of octant's range. */
static wa_dd direction(wa_dd y, wa_dd x)
{
    bool down = y.hi < 0, left = x.hi < 0;
    if (down)
        y = wa_dd_neg(y);
    if (left)
        x = wa_dd_neg(x);
    bool steep = y.hi > x.hi;
    wa_dd a = steep ? octant(x, y) : octant(y, x);
    if (steep)
        a = wa_dd_sub(wa_dd_of(90), a);
    if (left)
        a = wa_dd_sub(wa_dd_of(180), a);
    return down ? wa_dd_neg(a) : a;
}

double wa_atan2_deg(double y, double x)
{
    if (!isfinite(x) || !isfinite(y) || (x == 0 && y == 0))
        return (double)NAN;
    int scale_x, scale_y;
    double my = frexp(y, &scale_y), mx = frexp(x, &scale_x);
    int ratio = x == 0 || y == 0 ? 0 : scale_y - scale_x;
    if (ratio < -200 && x > 0) /* the angle is the ratio, perhaps subnormal */
        return wa_dd_ldexp(wa_dd_mul(wa_dd_div(wa_dd_of(my), wa_dd_of(mx)), DEGREES), ratio);
    /* Elsewhere a ratio beyond 2^200 changes no bit of 0, 90 or 180 but the direction of rounding,
     * and that not to nearest. */
    ratio = ratio < -200 ? -200 : ratio > 200 ? 200 : ratio;
    return direction(wa_dd_of(ldexp(my, ratio)), wa_dd_of(mx)).hi + 0.0;
}

/* sqrt(1 - x^2) for |x| <= 1; both factors are exact. */
static wa_dd other_side(double x)
{
    return wa_dd_sqrt(wa_dd_mul(wa_two_sum(1, -x), wa_two_sum(1, x)));
}

double wa_asin_deg(double x)
{
    if (!(fabs(x) <= 1))
        return (double)NAN;
    if (fabs(x) < 0x1p-200)
        return wa_dd_ldexp(wa_dd_mul_d(DEGREES, ldexp(x, 400)), -400);
    return direction(wa_dd_of(x), other_side(x)).hi;
}

double wa_acos_deg(double x)
{
    if (!(fabs(x) <= 1))
        return (double)NAN;
    if (fabs(x) < 0x1p-200)
        return 90;
    return direction(other_side(x), wa_dd_of(x)).hi + 0.0;
}

wa_status wa_direction_from_fixed(wa_int128 sum_sine, wa_int128 sum_cosine, uint64_t n,
                                  double *direction_deg, double *resultant, wa_error *err)
{
    if (n == 0)
        return wa_fail(err, WA_ERR_UNDEFINED, "a mean direction needs at least 1 value");
    wa_dd s = wa_dd_of_int128(sum_sine), c = wa_dd_of_int128(sum_cosine);
    wa_dd length = wa_dd_sqrt(wa_dd_add(wa_dd_mul(s, s), wa_dd_mul(c, c)));
    length = wa_dd_div(length, wa_dd_of_uint128((wa_uint128)n << 62));
    if (length.hi < 1e-9)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "direction undefined: the directions cancel (mean resultant %.1e)",
                       length.hi);
    if (direction_deg != NULL) {
        wa_dd d = direction(s, c);
        if (d.hi < 0)
            d = wa_dd_add(d, wa_dd_of(360));
        *direction_deg = d.hi >= 360 ? 0 : d.hi + 0.0;
    }
    if (resultant != NULL) /* the fixed sines of one direction round to at most 1 + 2^-62 */
        *resultant = length.hi > 1 ? 1 : length.hi;
    return WA_OK;
}
