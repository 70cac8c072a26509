/* The response of a line of sight to the wind direction: a cosine, or its absolute value. */
#include "windassay/fit.h"

#include "base/dd.h"
#include "stats/ls.h"
#include "windassay/portable.h"

#include <stdlib.h>

enum { ROUNDS_MAX = 200 };

static const char *const NAMES[] = {"cosine of the direction", "sine of the direction"};

static wa_status solve(ls_fit *f, const double *cosine, const double *sine, const double *y,
                       size_t n, bool offset, wa_error *err)
{
    const double *x[] = {cosine, sine};
    ls_data d = {.n = n, .columns = 2, .x = x, .y = y, .names = NAMES, .intercept = offset};
    return ls_solve(f, &d, err);
}

static double direction_of(const ls_fit *f)
{
    double d = wa_atan2_deg(f->slope[1].hi, f->slope[0].hi);
    return d < 0 ? d + 360 : d;
}

/* A direction on the side that `near` or the records ask for; the opposite one fits alike. */
static double choose_side(double d, const double *at, size_t n, double near)
{
    double opposite = d < 180 ? d + 180 : d - 180, least = d < opposite ? d : opposite;
    double other = least == d ? opposite : d;
    if (!isnan(near))
        return wa_cos_deg(near - least) >= 0 ? least : other;
    size_t here = 0, there = 0;
    for (size_t i = 0; i < n; i++) {
        double c = isnan(at[i]) ? 0 : wa_cos_deg(at[i] - least);
        here += c > 0;
        there += c < 0;
    }
    return here >= there ? least : other;
}

/* Gives each record the sign of the cosine from `direction`; tells whether one has changed. */
static bool assign_signs(double *cosine, double *sine, size_t n, double direction)
{
    double a, b;
    bool changed = false;
    wa_sincos_deg(direction, &b, &a);
    for (size_t i = 0; i < n; i++) {
        wa_dd along = wa_dd_add(wa_two_product(a, cosine[i]), wa_two_product(b, sine[i]));
        if (along.hi < 0) {
            cosine[i] = -cosine[i];
            sine[i] = -sine[i];
            changed = true;
        }
    }
    return changed;
}

/* A start for the rectified fit: |cos| is greatest where its second harmonic is. */
static wa_status start_rectified(double *direction, double *cosine, double *sine, const double *d,
                                 const double *y, size_t n, double near, wa_error *err)
{
    ls_fit f;
    for (size_t i = 0; i < n; i++)
        wa_sincos_deg(2 * d[i], &sine[i], &cosine[i]);
    wa_status s = solve(&f, cosine, sine, y, n, true, err);
    if (s != WA_OK)
        return s;
    if (f.slope[0].hi == 0 && f.slope[1].hi == 0)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a cosine fit is not defined: y does not hang on the direction");
    *direction = choose_side(direction_of(&f) / 2, d, n, near);
    return WA_OK;
}

static wa_status fit_rectified(ls_fit *f, double *cosine, double *sine, const double *d,
                               const double *y, size_t n, const wa_cosine_options *o, wa_error *err)
{
    double direction = 0;
    wa_status s = start_rectified(&direction, cosine, sine, d, y, n, o->near, err);
    if (s != WA_OK)
        return s;
    for (size_t i = 0; i < n; i++)
        wa_sincos_deg(d[i], &sine[i], &cosine[i]);
    assign_signs(cosine, sine, n, direction);
    for (int round = 0; round < ROUNDS_MAX; round++) {
        if ((s = solve(f, cosine, sine, y, n, o->offset, err)) != WA_OK)
            return s;
        direction = direction_of(f);
        if (!assign_signs(cosine, sine, n, direction))
            return WA_OK;
    }
    return wa_fail(err, WA_ERR_UNDEFINED,
                   "a rectified cosine fit does not settle: the signs of records near the zero of "
                   "the cosine change each time; exclude them");
}

/* direction = atan2(B, A), amplitude = sqrt(A^2 + B^2) and their propagated uncertainties. */
static wa_status finish(wa_cosine_fit *out, const ls_fit *f, const wa_cosine_options *o,
                        wa_error *err)
{
    wa_dd a = f->slope[0], b = f->slope[1];
    wa_dd aa = wa_dd_mul(a, a), bb = wa_dd_mul(b, b), ab = wa_dd_mul(a, b);
    wa_dd square = wa_dd_add(aa, bb);
    if (!(square.hi > 0))
        return wa_fail(err, WA_ERR_UNDEFINED, "a cosine fit has no direction: its amplitude is 0");
    size_t dof = f->n - f->terms;
    wa_dd variance = wa_dd_div(f->rss, wa_dd_of((double)dof));
    wa_dd vaa = f->inverse[0][0], vbb = f->inverse[1][1], vab = f->inverse[0][1];
    wa_dd cross = wa_dd_mul_d(wa_dd_mul(ab, vab), 2);
    wa_dd along = wa_dd_add(wa_dd_add(wa_dd_mul(aa, vaa), wa_dd_mul(bb, vbb)), cross);
    wa_dd across = wa_dd_sub(wa_dd_add(wa_dd_mul(bb, vaa), wa_dd_mul(aa, vbb)), cross);
    along = wa_dd_mul(variance, wa_dd_div(along, square));
    across = wa_dd_mul(variance, wa_dd_div(wa_dd_div(across, square), square));
    static const wa_dd RADIAN = {0x1.ca5dc1a63c1f8p+5, -0x1.1e7ab456405f9p-49}; /* 180 / pi */
    double none = (double)NAN;
    *out = (wa_cosine_fit){
        .n = f->n,
        .left_out = f->left_out,
        .dof = dof,
        .direction = direction_of(f),
        .direction_u = wa_dd_mul(RADIAN, wa_dd_sqrt(across)).hi,
        .amplitude = wa_dd_sqrt(square).hi,
        .amplitude_u = wa_dd_sqrt(along).hi,
        .offset = o->offset ? f->intercept.hi : none,
        .offset_u = none,
        .residual_sd = wa_dd_sqrt(variance).hi,
        .r2_pearson = f->r2_pearson,
    };
    if (o->offset) { /* variance of mean y - A mean cos - B mean sin */
        wa_dd level = wa_dd_div(wa_dd_of(1), f->weight);
        for (int j = 0; j < 2; j++)
            for (int k = 0; k < 2; k++)
                level = wa_dd_add(level,
                                  wa_dd_mul(f->inverse[j][k], wa_dd_mul(f->mean[j], f->mean[k])));
        out->offset_u = wa_dd_sqrt(wa_dd_mul(variance, level)).hi;
    }
    return WA_OK;
}

wa_status wa_fit_cosine(wa_cosine_fit *out, const double *d, const double *y, size_t n,
                        const wa_cosine_options *options, wa_error *err)
{
    ls_fit f;
    double *cosine = malloc((2 * n + 1) * sizeof *cosine), *sine = cosine + n;
    if (cosine == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory for a fit");
    wa_status s;
    if (options->rectified) {
        s = fit_rectified(&f, cosine, sine, d, y, n, options, err);
    } else {
        for (size_t i = 0; i < n; i++)
            wa_sincos_deg(d[i], &sine[i], &cosine[i]);
        s = solve(&f, cosine, sine, y, n, options->offset, err);
    }
    if (s == WA_OK)
        s = finish(out, &f, options, err);
    free(cosine);
    return s;
}
