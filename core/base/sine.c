/* Sine, cosine and tangent of degrees. */
#include "windassay/portable.h"

#include "base/dd.h"
#include "base/function_tables.h"

/* Below this the angle in radians is its sine and tangent to 400 bits. */
static const double TINY = 0x1p-200;
static const double STEP = 1.40625; /* degrees, 45 / 32 */

/* sin(a) and cos(a) - 1 for a in radians, |a| < 0.0123. */
static void short_series(wa_dd a, wa_dd *sine, wa_dd *cosine_1)
{
    const wa_dd *f = INVERSE_FACTORIAL;
    wa_dd t = wa_dd_mul(a, a);
    double tail = f[9].hi - t.hi * (f[11].hi - t.hi * f[13].hi);
    wa_dd p = wa_dd_add_d(wa_dd_neg(f[7]), t.hi * tail);
    p = wa_dd_add(f[5], wa_dd_mul(t, p));
    p = wa_dd_add(wa_dd_neg(f[3]), wa_dd_mul(t, p));
    *sine = wa_dd_add(a, wa_dd_mul(a, wa_dd_mul(t, p)));

    tail = f[8].hi - t.hi * (f[10].hi - t.hi * (f[12].hi - t.hi * f[14].hi));
    p = wa_dd_add_d(wa_dd_neg(f[6]), t.hi * tail);
    p = wa_dd_add(f[4], wa_dd_mul(t, p));
    p = wa_dd_add_d(wa_dd_mul(t, p), -0.5);
    *cosine_1 = wa_dd_mul(t, p);
}

static void sine_cosine(double deg, wa_dd *sine, wa_dd *cosine)
{
    /* Each step of the reduction is exact: all terms are multiples of the last place of deg (or
     * of 360 where deg is larger), and the results are smaller than what they come from. */
    double r = fmod(deg, 360);
    double quarter = rint(r / 90);
    double z = r - 90 * quarter;
    double j = rint(z / STEP);
    int entry = (int)fabs(j);
    wa_dd sine_j = SIN_TABLE[entry], cosine_j = COS_TABLE[entry], s, c;
    if (j < 0)
        sine_j = wa_dd_neg(sine_j);
    short_series(wa_dd_mul_d(RADIANS, z - j * STEP), &s, &c);
    wa_dd ss = wa_dd_add(sine_j, wa_dd_add(wa_dd_mul(sine_j, c), wa_dd_mul(cosine_j, s)));
    wa_dd cc = wa_dd_add(cosine_j, wa_dd_sub(wa_dd_mul(cosine_j, c), wa_dd_mul(sine_j, s)));
    switch ((int)quarter & 3) {
    case 0:
        *sine = ss;
        *cosine = cc;
        break;
    case 1:
        *sine = cc;
        *cosine = wa_dd_neg(ss);
        break;
    case 2:
        *sine = wa_dd_neg(ss);
        *cosine = wa_dd_neg(cc);
        break;
    default:
        *sine = wa_dd_neg(cc);
        *cosine = ss;
    }
}

static double tiny_in_radians(double deg)
{
    return wa_dd_ldexp(wa_dd_mul_d(RADIANS, ldexp(deg, 400)), -400);
}

void wa_sincos_deg(double deg, double *sine, double *cosine)
{
    *sine = *cosine = (double)NAN;
    if (!isfinite(deg))
        return;
    wa_dd s, c;
    sine_cosine(deg, &s, &c);
    *sine = fabs(deg) < TINY ? tiny_in_radians(deg) : s.hi + 0.0; /* + 0.0: no minus zero */
    *cosine = c.hi + 0.0;
}

double wa_sin_deg(double deg)
{
    double s, c;
    wa_sincos_deg(deg, &s, &c);
    return s;
}

double wa_cos_deg(double deg)
{
    double s, c;
    wa_sincos_deg(deg, &s, &c);
    return c;
}

double wa_tan_deg(double deg)
{
    if (!isfinite(deg))
        return (double)NAN;
    if (fabs(deg) < TINY)
        return tiny_in_radians(deg);
    wa_dd s, c;
    sine_cosine(deg, &s, &c);
    return c.hi == 0 ? (double)NAN : wa_dd_div(s, c).hi + 0.0;
}

/* A value of at most 1 times 2^62, to the nearest integer. */
static int64_t fixed62(wa_dd x)
{
    double whole = rint(x.hi * 0x1p62);
    return (int64_t)whole + (int64_t)rint((x.hi * 0x1p62 - whole) + x.lo * 0x1p62);
}

void wa_sincos_fixed(double deg, int64_t *sine62, int64_t *cosine62)
{
    *sine62 = *cosine62 = 0;
    if (!isfinite(deg))
        return;
    wa_dd s, c;
    sine_cosine(deg, &s, &c);
    *sine62 = fixed62(s);
    *cosine62 = fixed62(c);
}
