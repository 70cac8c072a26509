#include "windassay/circular.h"

#include "base/dd.h"
#include "windassay/portable.h"

#include <math.h>

static const double DEGREES = 0x1.ca5dc1a63c1f8p+5; /* 180 / pi */

/* 1 - R^2 below this is the rounding of the fixed-point sines (2^-63 each), not a spread. */
static const double FINEST = 0x1p-60;

/* A resultant below this is rounding: the directions cancel. */
static const double LEAST_RESULTANT = 1e-9;

wa_status wa_circular_of(wa_circular *out, wa_int128 sum_sine, wa_int128 sum_cosine, uint64_t n,
                         wa_error *err)
{
    if (n == 0)
        return wa_fail(err, WA_ERR_UNDEFINED, "a mean direction needs at least 1 value");
    wa_dd whole = wa_dd_of_uint128((wa_uint128)n << 62);
    wa_dd s = wa_dd_div(wa_dd_of_int128(sum_sine), whole);
    wa_dd c = wa_dd_div(wa_dd_of_int128(sum_cosine), whole);
    wa_dd squared = wa_dd_add(wa_dd_mul(s, s), wa_dd_mul(c, c));
    wa_dd rest = wa_dd_sub(wa_dd_of(1), squared);
    if (rest.hi < FINEST) {
        squared = wa_dd_of(1);
        rest = wa_dd_of(0);
    }
    wa_dd r = wa_dd_sqrt(squared);
    wa_circular made = {.resultant = r.hi, .defined = r.hi >= LEAST_RESULTANT};
    if (made.defined) {
        wa_status status = wa_direction_from_fixed(sum_sine, sum_cosine, n, &made.mean, NULL, err);
        if (status != WA_OK)
            return status;
        /* ln (hi + lo) = ln hi + lo/hi as far as doubles see */
        made.sd = sqrt(-2 * (wa_log(r.hi) + r.lo / r.hi) + 0.0) * DEGREES;
    }
    double e = sqrt(rest.hi), k = 2 / sqrt(3) - 1;
    made.yamartino_sd = wa_asin_deg(e) * (1 + k * (e * e * e));
    /* 1 - R = (1 - R^2) / (1 + R) keeps its digits where R is near 1 */
    made.angular_deviation = sqrt(2 * rest.hi / (1 + r.hi)) * DEGREES;
    *out = made;
    return WA_OK;
}

static wa_status summarise(wa_circular *out, const double *deg, size_t n, wa_error *err)
{
    wa_int128 sine = 0, cosine = 0;
    uint64_t present = 0;
    for (size_t i = 0; i < n; i++) {
        int64_t s, c;
        if (isnan(deg[i]))
            continue;
        if (isinf(deg[i]))
            return wa_fail(err, WA_ERR_UNDEFINED, "a direction is not finite");
        wa_sincos_fixed(deg[i], &s, &c);
        sine += s;
        cosine += c;
        present++;
    }
    return wa_circular_of(out, sine, cosine, present, err);
}

static wa_status cancelled(const wa_circular *c, const char *what, wa_error *err)
{
    return wa_fail(err, WA_ERR_UNDEFINED,
                   "%s undefined: the directions cancel (mean resultant %.1e)", what, c->resultant);
}

wa_status wa_circular_mean(double *out, const double *deg, size_t n, wa_error *err)
{
    wa_circular c;
    wa_status s = summarise(&c, deg, n, err);
    if (s == WA_OK && !c.defined)
        s = cancelled(&c, "mean direction", err);
    if (s == WA_OK)
        *out = c.mean;
    return s;
}

wa_status wa_circular_resultant(double *out, const double *deg, size_t n, wa_error *err)
{
    wa_circular c;
    wa_status s = summarise(&c, deg, n, err);
    if (s == WA_OK)
        *out = c.resultant;
    return s;
}

wa_status wa_circular_sd(double *out, const double *deg, size_t n, wa_error *err)
{
    wa_circular c;
    wa_status s = summarise(&c, deg, n, err);
    if (s == WA_OK && !c.defined)
        s = cancelled(&c, "standard deviation of direction", err);
    if (s == WA_OK)
        *out = c.sd;
    return s;
}

wa_status wa_circular_yamartino_sd(double *out, const double *deg, size_t n, wa_error *err)
{
    wa_circular c;
    wa_status s = summarise(&c, deg, n, err);
    if (s == WA_OK)
        *out = c.yamartino_sd;
    return s;
}

wa_status wa_circular_angular_deviation(double *out, const double *deg, size_t n, wa_error *err)
{
    wa_circular c;
    wa_status s = summarise(&c, deg, n, err);
    if (s == WA_OK)
        *out = c.angular_deviation;
    return s;
}

double wa_circular_difference(double a, double b)
{
    /* fmod is exact; each side first, so that a large turn loses no digits of the other */
    double d = fmod(fmod(a, 360) - fmod(b, 360), 360);
    if (d > 180)
        d -= 360;
    else if (d <= -180)
        d += 360;
    return d + 0.0;
}
