/* A line with errors of known ratio in both variables, and Pearson's correlation. */
#include "windassay/fit.h"

#include "base/dd.h"
#include "stats/moments.h"

static bool finite_moments(const pair_moments *m)
{
    return isfinite(m->sxx.hi) && isfinite(m->syy.hi) && isfinite(m->sxy.hi);
}

wa_status wa_correlation(double *r, const double *x, const double *y, size_t n, wa_error *err)
{
    pair_moments m;
    pair_moments_take(&m, x, y, n);
    if (m.n < 2)
        return wa_fail(err, WA_ERR_UNDEFINED, "a correlation needs at least 2 pairs, but there %s",
                       m.n ? "is 1" : "are none");
    if (!finite_moments(&m))
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a correlation is not defined: values are not finite or too large");
    if (!(m.sxx.hi > 0) || !(m.syy.hi > 0))
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a correlation is not defined: all values of one column are equal");
    wa_dd both = wa_dd_mul(wa_dd_sqrt(m.sxx), wa_dd_sqrt(m.syy));
    *r = wa_dd_div(m.sxy, both).hi;
    return WA_OK;
}

/* The slope from the moments; false where the line is vertical or has any direction. The two
 * forms are equal; each is used where it does not cancel. */
static bool deming_slope(wa_dd *slope, wa_dd sxx, wa_dd sxy, wa_dd syy, double ratio)
{
    wa_dd more = wa_dd_sub(syy, wa_dd_mul_d(sxx, ratio));
    wa_dd cross = wa_dd_mul_d(wa_dd_mul(sxy, sxy), 4 * ratio);
    wa_dd root = wa_dd_sqrt(wa_dd_add(wa_dd_mul(more, more), cross));
    if (more.hi >= 0) {
        if (sxy.hi == 0)
            return false;
        *slope = wa_dd_div(wa_dd_add(more, root), wa_dd_mul_d(sxy, 2));
    } else {
        *slope = wa_dd_div(wa_dd_mul_d(sxy, 2 * ratio), wa_dd_sub(root, more));
    }
    return isfinite(slope->hi);
}

/* Slope and intercept without the record (x, y): its part is taken off the moments,
 * Sxy' = Sxy - (x - mean x)(y - mean y) n / (n - 1). */
static bool without(wa_dd *slope, wa_dd *intercept, const pair_moments *m, double x, double y,
                    double ratio)
{
    double n = (double)m->n;
    wa_dd dx = wa_dd_add_d(wa_dd_neg(m->mean_x), x), dy = wa_dd_add_d(wa_dd_neg(m->mean_y), y);
    wa_dd part = wa_dd_div(wa_dd_of(n), wa_dd_of(n - 1)), less = wa_dd_of(n - 1);
    wa_dd sxx = wa_dd_sub(m->sxx, wa_dd_mul(part, wa_dd_mul(dx, dx)));
    wa_dd sxy = wa_dd_sub(m->sxy, wa_dd_mul(part, wa_dd_mul(dx, dy)));
    wa_dd syy = wa_dd_sub(m->syy, wa_dd_mul(part, wa_dd_mul(dy, dy)));
    /* what is left of all the spread when one record made it up is rounding */
    if (!(sxx.hi > m->sxx.hi * 0x1p-90) || !deming_slope(slope, sxx, sxy, syy, ratio))
        return false;
    wa_dd mean_x = wa_dd_sub(m->mean_x, wa_dd_div(dx, less));
    wa_dd mean_y = wa_dd_sub(m->mean_y, wa_dd_div(dy, less));
    *intercept = wa_dd_sub(mean_y, wa_dd_mul(*slope, mean_x));
    return true;
}

/* Standard errors by leaving out each record: u^2 = (n - 1)/n sum (b_i - mean b_i)^2. The b_i are
 * taken from the whole fit's, near their mean, so that one pass is enough. */
static bool jackknife(wa_deming_fit *fit, const pair_moments *m, wa_dd slope, wa_dd intercept,
                      const double *x, const double *y, size_t n, double ratio)
{
    wa_exact sum_b = {0}, sum_a = {0}, sum_bb = {0}, sum_aa = {0};
    for (size_t i = 0; i < n; i++) {
        wa_dd b, a;
        if (isnan(x[i]) || isnan(y[i]))
            continue;
        if (!without(&b, &a, m, x[i], y[i], ratio))
            return false;
        double db = wa_dd_sub(b, slope).hi, da = wa_dd_sub(a, intercept).hi;
        wa_exact_add(&sum_b, db);
        wa_exact_add(&sum_a, da);
        wa_exact_add_product(&sum_bb, db, db);
        wa_exact_add_product(&sum_aa, da, da);
    }
    double sd_b, sd_a, more = (double)(m->n - 1) * ((double)(m->n - 1) / (double)m->n);
    if (wa_exact_sd(&sd_b, &sum_b, &sum_bb, m->n, WA_DIVISOR_N_MINUS_1, NULL) != WA_OK ||
        wa_exact_sd(&sd_a, &sum_a, &sum_aa, m->n, WA_DIVISOR_N_MINUS_1, NULL) != WA_OK)
        return false;
    fit->slope_u = sd_b * sqrt(more);
    fit->intercept_u = sd_a * sqrt(more);
    return true;
}

wa_status wa_fit_deming(wa_deming_fit *out, const double *x, const double *y, size_t n,
                        double ratio, wa_error *err)
{
    if (!(ratio > 0) || !isfinite(ratio))
        return wa_fail(err, WA_ERR_ARG, "the ratio of error variances is %g: it must be above 0",
                       ratio);
    pair_moments m;
    pair_moments_take(&m, x, y, n);
    if (m.n < 3)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a fit with errors in both variables needs at least 3 records, but there "
                       "are %zu",
                       m.n);
    if (!finite_moments(&m))
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a fit is not defined: values are not finite or too "
                       "large");
    wa_dd slope;
    if (!deming_slope(&slope, m.sxx, m.sxy, m.syy, ratio))
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a fit with errors in both variables is not defined: x and y are not "
                       "correlated, or x does not vary");
    wa_dd intercept = wa_dd_sub(m.mean_y, wa_dd_mul(slope, m.mean_x));
    wa_deming_fit fit = {.n = m.n,
                         .left_out = m.left_out,
                         .dof = m.n - 2,
                         .slope = slope.hi,
                         .intercept = intercept.hi};
    if (!jackknife(&fit, &m, slope, intercept, x, y, n, ratio))
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a fit with errors in both variables has no uncertainty: without one of "
                       "the records there is no line");
    *out = fit;
    return WA_OK;
}
