/* Straight lines and linear combinations of columns. */
#include "windassay/fit.h"

#include "base/dd.h"
#include "stats/ls.h"

static double root(wa_dd x)
{
    return wa_dd_sqrt(x).hi;
}

wa_status wa_fit_through_origin(wa_origin_fit *out, const double *x, const double *y,
                                const double *weights, size_t n, wa_error *err)
{
    for (size_t i = 0; weights != NULL && i < n; i++)
        if (weights[i] < 0 || isinf(weights[i]))
            return wa_fail(err, WA_ERR_ARG, "weight %zu of a fit is %g: weights are 0 or above",
                           i + 1, weights[i]);
    ls_fit f;
    ls_data d = {.n = n, .columns = 1, .x = &x, .y = y, .weights = weights};
    wa_status s = ls_solve(&f, &d, err);
    if (s != WA_OK)
        return s;
    size_t dof = f.n - 1;
    wa_dd variance = wa_dd_div(f.rss, wa_dd_of((double)dof));
    *out = (wa_origin_fit){
        .n = f.n,
        .left_out = f.left_out,
        .dof = dof,
        .slope = f.slope[0].hi,
        .slope_u = root(wa_dd_mul(variance, f.inverse[0][0])),
        .residual_sd = root(variance),
        .r2_uncentred = ls_r2(f.rss, f.yy),
        .r2_centred = ls_r2(f.rss, f.syy),
        .r2_pearson = f.r2_pearson,
    };
    return WA_OK;
}

wa_status wa_fit_line(wa_line_fit *out, const double *x, const double *y, size_t n, wa_error *err)
{
    ls_fit f;
    ls_data d = {.n = n, .columns = 1, .x = &x, .y = y, .intercept = true};
    wa_status s = ls_solve(&f, &d, err);
    if (s != WA_OK)
        return s;
    size_t dof = f.n - 2;
    wa_dd variance = wa_dd_div(f.rss, wa_dd_of((double)dof));
    wa_dd slope = wa_dd_mul(variance, f.inverse[0][0]), mean = f.mean[0];
    wa_dd level = wa_dd_div(variance, wa_dd_of((double)f.n));
    level = wa_dd_add(level, wa_dd_mul(slope, wa_dd_mul(mean, mean)));
    *out = (wa_line_fit){
        .n = f.n,
        .left_out = f.left_out,
        .dof = dof,
        .slope = f.slope[0].hi,
        .slope_u = root(slope),
        .intercept = f.intercept.hi,
        .intercept_u = root(level),
        .covariance = 0.0 - wa_dd_mul(mean, slope).hi,
        .residual_sd = root(variance),
        .r2_pearson = f.r2_pearson,
        .at = mean,
        .height = f.mean_y,
        .rise = f.slope[0],
        .spread = wa_dd_div(wa_dd_of(1), f.inverse[0][0]),
        .variance = variance,
    };
    return WA_OK;
}

wa_status wa_line_predict(double *value, double *u, const wa_line_fit *line, double x,
                          wa_error *err)
{
    wa_dd from = wa_dd_add_d(wa_dd_neg(line->at), x);
    wa_dd at = wa_dd_add(line->height, wa_dd_mul(line->rise, from));
    wa_dd part = wa_dd_div(wa_dd_mul(from, from), line->spread);
    part = wa_dd_add(part, wa_dd_div(wa_dd_of(1), wa_dd_of((double)line->n)));
    part = wa_dd_mul(part, line->variance);
    if (!isfinite(at.hi) || !isfinite(part.hi))
        return wa_fail(err, WA_ERR_UNDEFINED, "the line at %g is not defined", x);
    *value = at.hi;
    *u = root(part);
    return WA_OK;
}

/* Covariance of the terms. The intercept is mean y - sum slope mean x. */
static void take_covariance(wa_least_squares_fit *out, const ls_fit *f, wa_dd variance)
{
    size_t p = out->columns;
    wa_dd level = wa_dd_div(wa_dd_of(1), f->weight);
    for (size_t j = 0; j < p; j++) {
        wa_dd with_mean = wa_dd_of(0);
        for (size_t k = 0; k < p; k++) {
            out->covariance[j][k] = wa_dd_mul(variance, f->inverse[j][k]).hi;
            with_mean = wa_dd_add(with_mean, wa_dd_mul(f->inverse[j][k], f->mean[k]));
        }
        out->coefficient_u[j] = root(wa_dd_mul(variance, f->inverse[j][j]));
        level = wa_dd_add(level, wa_dd_mul(with_mean, f->mean[j]));
        if (out->terms > p)
            out->covariance[j][p] = out->covariance[p][j] = 0.0 - wa_dd_mul(variance, with_mean).hi;
    }
    if (out->terms > p) {
        out->covariance[p][p] = wa_dd_mul(variance, level).hi;
        out->coefficient_u[p] = root(wa_dd_mul(variance, level));
    }
}

wa_status wa_fit_least_squares(wa_least_squares_fit *out, const double *y, const double *const *x,
                               const char *const *names, size_t columns, size_t n, bool intercept,
                               wa_error *err)
{
    if (columns == 0)
        return wa_fail(err, WA_ERR_ARG, "a least-squares fit needs at least one column");
    if (columns > WA_FIT_COLUMNS_MAX)
        return wa_fail(err, WA_ERR_ARG, "a least-squares fit takes at most %d columns, not %zu",
                       WA_FIT_COLUMNS_MAX, columns);
    ls_fit f;
    ls_data d = {
        .n = n, .columns = columns, .x = x, .y = y, .names = names, .intercept = intercept};
    wa_status s = ls_solve(&f, &d, err);
    if (s != WA_OK)
        return s;
    wa_least_squares_fit fit = {.n = f.n,
                                .left_out = f.left_out,
                                .columns = columns,
                                .terms = f.terms,
                                .dof = f.n - f.terms};
    wa_dd variance = wa_dd_div(f.rss, wa_dd_of((double)fit.dof));
    for (size_t j = 0; j < columns; j++)
        fit.coefficient[j] = f.slope[j].hi;
    if (intercept)
        fit.coefficient[columns] = f.intercept.hi;
    take_covariance(&fit, &f, variance);
    fit.residual_sd = root(variance);
    fit.r2_uncentred = ls_r2(f.rss, f.yy);
    fit.r2_centred = ls_r2(f.rss, f.syy);
    fit.r2_pearson = f.r2_pearson;
    *out = fit;
    return WA_OK;
}
