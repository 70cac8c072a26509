#include "windassay/unit.h"

#include "base/dd.h"
#include "stats/fraction.h"
#include "stats/unit_factors.h"
#include "windassay/exact.h"
#include "windassay/text.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

wa_unit wa_unit_one(void)
{
    return (wa_unit){.scale_num = 1, .scale_den = 1, .offset_den = 1, .text = "1"};
}

wa_unit wa_unit_degree(void)
{
    return (wa_unit){.power = {[WA_POWER_ANGLE] = 1},
                     .scale_num = 1,
                     .scale_den = 1,
                     .offset_den = 1,
                     .text = "degree"};
}

wa_status wa_unit_parse(wa_unit *out, const char *text, wa_error *err)
{
    if (*text == '\0') {
        wa_fail(err, WA_ERR_ARG, "a unit is empty");
        return wa_hint(err, WA_ERR_ARG, "the pure number is \"1\"");
    }
    wa_factors list;
    wa_status s = wa_factors_read(&list, text, err);
    if (s != WA_OK)
        return s;
    char shown[96];
    return wa_factors_unit(out, &list, wa_shown(shown, sizeof shown, text, strlen(text)), err);
}

static bool same_dimensions(const wa_unit *a, const wa_unit *b)
{
    return memcmp(a->power, b->power, WA_POWER_PI) == 0;
}

bool wa_unit_comparable(const wa_unit *a, const wa_unit *b)
{
    return same_dimensions(a, b);
}

bool wa_unit_equal(const wa_unit *a, const wa_unit *b)
{
    return memcmp(a->power, b->power, sizeof a->power) == 0 && a->scale_num == b->scale_num &&
           a->scale_den == b->scale_den && a->offset_num == b->offset_num &&
           a->offset_den == b->offset_den;
}

bool wa_unit_is_one(const wa_unit *a)
{
    wa_unit one = wa_unit_one();
    return wa_unit_equal(a, &one);
}

bool wa_unit_has_zero(const wa_unit *a)
{
    return a->offset_num != 0;
}

wa_unit wa_unit_inside(const wa_unit *unit)
{
    static const char *const inside[] = {"m s-1", "degree", "degC", "hPa", "dB"};
    for (size_t i = 0; i < sizeof inside / sizeof *inside; i++) {
        wa_unit u;
        if (wa_unit_parse(&u, inside[i], NULL) == WA_OK && same_dimensions(&u, unit))
            return u;
    }
    return *unit;
}

static wa_status not_comparable(const wa_unit *from, const wa_unit *to, wa_error *err)
{
    return wa_fail(err, WA_ERR_ARG, "'%s' cannot be converted to '%s'", from->text, to->text);
}

/* y = (x * slope + offset) / den * pi^pi, all but pi whole numbers. */
typedef struct conversion {
    wa_int128 slope, offset, den;
    int pi;
} conversion;

static wa_status plan(conversion *c, const wa_unit *from, const wa_unit *to, wa_error *err)
{
    if (!same_dimensions(from, to))
        return not_comparable(from, to, err);
    wa_fraction slope, zero;
    wa_fraction from_zero = {from->offset_num, from->offset_den};
    wa_fraction to_zero = {to->offset_num, to->offset_den};
    c->pi = from->power[WA_POWER_PI] - to->power[WA_POWER_PI];
    if (!wa_fraction_over(&slope, wa_fraction_of(from), wa_fraction_of(to)) ||
        !wa_fraction_minus(&zero, from_zero, to_zero) ||
        !wa_fraction_over(&zero, zero, wa_fraction_of(to)) || (zero.num != 0 && c->pi != 0))
        return wa_fail(err, WA_ERR_ARG, "'%s' is too far from '%s' to be converted", from->text,
                       to->text);
    wa_int128 common = wa_gcd(slope.den, zero.den);
    assert(common > 0);
    wa_int128 left = zero.den / common, right = slope.den / common;
    c->slope = slope.num * left;
    c->offset = zero.num * right;
    c->den = slope.den * left;
    if (!wa_fraction_fits(c->slope) || !wa_fraction_fits(c->offset) || !wa_fraction_fits(c->den))
        return wa_fail(err, WA_ERR_ARG, "'%s' is too far from '%s' to be converted", from->text,
                       to->text);
    return WA_OK;
}

static double convert_exactly(const conversion *c, double x)
{
    wa_exact sum = {0};
    wa_dd slope = wa_dd_of_int128(c->slope), offset = wa_dd_of_int128(c->offset);
    wa_exact_add_product(&sum, x, slope.hi);
    wa_exact_add_product(&sum, x, slope.lo);
    wa_exact_add(&sum, offset.hi);
    wa_exact_add(&sum, offset.lo);
    return wa_exact_divide(&sum, (uint64_t)c->den);
}

static double convert_by_pi(const conversion *c, double x)
{
    /* pi to 107 bits, as hi + lo */
    static const wa_dd pi = {0x1.921fb54442d18p+1, 0x1.1a62633145c07p-53};
    wa_dd y = wa_dd_mul_d(wa_dd_of_int128(c->slope), x);
    for (int i = 0; i < c->pi; i++)
        y = wa_dd_mul(y, pi);
    for (int i = 0; i > c->pi; i--)
        y = wa_dd_div(y, pi);
    return wa_dd_div(y, wa_dd_of_int128(c->den)).hi;
}

wa_status wa_unit_convert(double *out, double x, const wa_unit *from, const wa_unit *to,
                          wa_error *err)
{
    conversion c;
    wa_status s = plan(&c, from, to, err);
    if (s != WA_OK)
        return s;
    *out = c.pi == 0 ? convert_exactly(&c, x) : convert_by_pi(&c, x);
    return WA_OK;
}

wa_status wa_unit_convert_all(double *out, const double *x, size_t n, const wa_unit *from,
                              const wa_unit *to, wa_error *err)
{
    conversion c;
    wa_status s = plan(&c, from, to, err);
    if (s != WA_OK)
        return s;
    bool same = wa_unit_equal(from, to);
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(x[i]))
            out[i] = (double)NAN;
        else if (same)
            out[i] = x[i];
        else
            out[i] = c.pi == 0 ? convert_exactly(&c, x[i]) : convert_by_pi(&c, x[i]);
    }
    return WA_OK;
}

wa_status wa_unit_affine(double *slope, double *offset, const wa_unit *from, const wa_unit *to,
                         wa_error *err)
{
    conversion c;
    wa_status s = plan(&c, from, to, err);
    if (s != WA_OK)
        return s;
    conversion linear = c;
    linear.offset = 0;
    *slope = c.pi == 0 ? convert_exactly(&linear, 1) : convert_by_pi(&linear, 1);
    *offset = c.pi == 0 ? convert_exactly(&c, 0) : 0;
    return WA_OK;
}

static wa_status join(wa_unit *out, const wa_unit *a, const wa_unit *b, int power, wa_error *err)
{
    wa_factors list, more;
    wa_status s = wa_factors_read(&list, a->text, err);
    if (s == WA_OK)
        s = wa_factors_read(&more, b->text, err);
    if (s != WA_OK)
        return s;
    char what[2 * WA_UNIT_TEXT + 8];
    snprintf(what, sizeof what, power > 0 ? "%s * %s" : "%s / %s", a->text, b->text);
    for (size_t i = 0; i < more.n; i++) {
        more.at[i].power *= power;
        if (!wa_factors_add(&list, &more.at[i]))
            return wa_fail(err, WA_ERR_ARG, "unit '%s' has too many factors", what);
    }
    return wa_factors_unit(out, &list, what, err);
}

wa_status wa_unit_multiply(wa_unit *out, const wa_unit *a, const wa_unit *b, wa_error *err)
{
    return join(out, a, b, 1, err);
}

wa_status wa_unit_divide(wa_unit *out, const wa_unit *a, const wa_unit *b, wa_error *err)
{
    return join(out, a, b, -1, err);
}

wa_status wa_unit_power(wa_unit *out, const wa_unit *a, int p, wa_error *err)
{
    wa_factors list;
    wa_status s = wa_factors_read(&list, a->text, err);
    if (s != WA_OK)
        return s;
    char what[WA_UNIT_TEXT + 16];
    snprintf(what, sizeof what, "(%s)^%d", a->text, p);
    if (p == 0)
        list.n = 0;
    for (size_t i = 0; i < list.n; i++) {
        int power = list.at[i].power;
        if (p > WA_FACTOR_POWER_MOST || p < -WA_FACTOR_POWER_MOST ||
            power * p > WA_FACTOR_POWER_MOST || power * p < -WA_FACTOR_POWER_MOST)
            return wa_fail(err, WA_ERR_ARG, "unit '%s' is out of range", what);
        list.at[i].power = power * p;
    }
    return wa_factors_unit(out, &list, what, err);
}

wa_status wa_unit_root(wa_unit *out, const wa_unit *a, wa_error *err)
{
    wa_factors list;
    wa_status s = wa_factors_read(&list, a->text, err);
    if (s != WA_OK)
        return s;
    for (size_t i = 0; i < list.n; i++) {
        if (list.at[i].power % 2 != 0)
            return wa_fail(err, WA_ERR_ARG, "the square root of '%s' is no unit", a->text);
        list.at[i].power /= 2;
    }
    return wa_factors_unit(out, &list, a->text, err);
}

wa_unit wa_unit_difference(const wa_unit *a)
{
    wa_unit u = *a;
    if (!wa_unit_has_zero(a))
        return u;
    u.offset_num = 0;
    u.offset_den = 1;
    snprintf(u.text, sizeof u.text, "%s", u.scale_den == 1 ? "K" : "degR");
    return u;
}
