#include "stats/ls.h"

#include "base/dd.h"
#include "windassay/text.h"

#include <stdlib.h>
#include <string.h>

/* A column of which less than the root of this is its own counts as a combination of the others.
 * Rounding a combination to doubles leaves 1e-32 of its square, ill-conditioned polynomials of
 * measured values 1e-20. */
static const double OWN_PART_LEAST = 1e-24;

/* Residuals below this part of their terms are beyond double-double: zero. */
static const double RESOLUTION = 0x1p-96;

void ls_add_dd(wa_exact *e, wa_dd v)
{
    wa_exact_add(e, v.hi);
    wa_exact_add(e, v.lo);
}

double ls_r2(wa_dd rss, wa_dd total)
{
    if (!(total.hi > 0))
        return (double)NAN;
    return wa_dd_sub(wa_dd_of(1), wa_dd_div(rss, total)).hi;
}

static double weight_of(const ls_data *d, size_t i)
{
    return d->weights == NULL ? 1 : d->weights[i];
}

static bool complete(const ls_data *d, size_t i)
{
    double w = weight_of(d, i);
    if (isnan(d->y[i]) || isnan(w) || w == 0)
        return false;
    for (size_t j = 0; j < d->columns; j++)
        if (isnan(d->x[j][i]))
            return false;
    return true;
}

/* Sum and range of one column. A column that does not vary has its value as the mean, exactly, so
 * that its spread is exactly zero. */
typedef struct column_sum {
    wa_exact sum;
    double least, most;
} column_sum;

static void take(column_sum *c, double w, double v)
{
    wa_exact_add_product(&c->sum, w, v);
    c->least = v < c->least ? v : c->least;
    c->most = v > c->most ? v : c->most;
}

static wa_dd mean_of(const column_sum *c, wa_dd weight)
{
    if (c->least == c->most)
        return wa_dd_of(c->least);
    return wa_dd_div(wa_exact_round_dd(&c->sum), weight);
}

/* First pass: counts, means. `sums` has room for columns + 1. */
static wa_status take_means(ls_fit *fit, const ls_data *d, column_sum *sums, wa_error *err)
{
    wa_exact weight = {0};
    for (size_t j = 0; j <= d->columns; j++)
        sums[j] = (column_sum){.least = (double)INFINITY, .most = -(double)INFINITY};
    for (size_t i = 0; i < d->n; i++) {
        if (!complete(d, i)) {
            fit->left_out++;
            continue;
        }
        double w = weight_of(d, i);
        fit->n++;
        wa_exact_add(&weight, w);
        for (size_t j = 0; j < d->columns; j++)
            take(&sums[j], w, d->x[j][i]);
        take(&sums[d->columns], w, d->y[i]);
    }
    if (fit->n < fit->terms + 1)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a fit of %zu coefficient%s needs at least %zu records, but there are %zu",
                       fit->terms, fit->terms == 1 ? "" : "s", fit->terms + 1, fit->n);
    fit->weight = wa_exact_round_dd(&weight);
    for (size_t j = 0; j < d->columns; j++)
        fit->mean[j] = mean_of(&sums[j], fit->weight);
    fit->mean_y = mean_of(&sums[d->columns], fit->weight);
    bool finite = isfinite(fit->mean_y.hi);
    for (size_t j = 0; j < d->columns; j++)
        finite = finite && isfinite(fit->mean[j].hi);
    if (!finite)
        return wa_fail(err, WA_ERR_UNDEFINED, "a fit is not defined: a value is not finite");
    return WA_OK;
}

/* What the record i puts into the sums: its columns and y, from their means with an intercept. */
typedef struct record {
    double w;
    wa_dd x[WA_FIT_COLUMNS_MAX], y;
} record;

static void take_record(record *r, const ls_fit *fit, const ls_data *d, size_t i)
{
    r->w = weight_of(d, i);
    for (size_t j = 0; j < d->columns; j++)
        r->x[j] =
            d->intercept ? wa_dd_add_d(wa_dd_neg(fit->mean[j]), d->x[j][i]) : wa_dd_of(d->x[j][i]);
    r->y = d->intercept ? wa_dd_add_d(wa_dd_neg(fit->mean_y), d->y[i]) : wa_dd_of(d->y[i]);
}

/* y less the fitted value; zero where it is beyond the arithmetic. */
static wa_dd residual(const ls_fit *fit, const record *r, size_t columns)
{
    wa_dd rest = r->y;
    double size = fabs(r->y.hi);
    for (size_t j = 0; j < columns; j++) {
        wa_dd part = wa_dd_mul(fit->slope[j], r->x[j]);
        rest = wa_dd_sub(rest, part);
        size += fabs(part.hi);
    }
    return fabs(rest.hi) <= size * RESOLUTION ? wa_dd_of(0) : rest;
}

/* The matrix and the triangular factors under way; lower[i][j] for j < i, and the diagonal. */
typedef struct equations {
    size_t n;
    wa_dd gram[WA_FIT_COLUMNS_MAX][WA_FIT_COLUMNS_MAX], right[WA_FIT_COLUMNS_MAX];
    wa_dd lower[WA_FIT_COLUMNS_MAX][WA_FIT_COLUMNS_MAX], diagonal[WA_FIT_COLUMNS_MAX];
} equations;

/* Second pass: the Gram matrix. `sums` has room for columns (columns + 1) / 2 + columns + 2. */
static void take_gram(equations *s, ls_fit *fit, const ls_data *d, wa_exact *sums)
{
    size_t p = d->columns, pairs = p * (p + 1) / 2;
    memset(sums, 0, (pairs + p + 2) * sizeof *sums);
    for (size_t i = 0; i < d->n; i++) {
        if (!complete(d, i))
            continue;
        record r;
        take_record(&r, fit, d, i);
        wa_exact *at = sums;
        for (size_t j = 0; j < p; j++) {
            wa_dd weighted = wa_dd_mul_d(r.x[j], r.w);
            for (size_t k = 0; k <= j; k++)
                ls_add_dd(at++, wa_dd_mul(weighted, r.x[k]));
            ls_add_dd(&sums[pairs + j], wa_dd_mul(weighted, r.y));
        }
        wa_dd centred = wa_dd_add_d(wa_dd_neg(fit->mean_y), d->y[i]);
        ls_add_dd(&sums[pairs + p], wa_dd_mul_d(wa_dd_mul(centred, centred), r.w));
        ls_add_dd(&sums[pairs + p + 1], wa_dd_mul_d(wa_two_product(d->y[i], d->y[i]), r.w));
    }
    const wa_exact *at = sums;
    for (size_t j = 0; j < p; j++)
        for (size_t k = 0; k <= j; k++)
            s->gram[j][k] = wa_exact_round_dd(at++);
    for (size_t j = 0; j < p; j++)
        s->right[j] = wa_exact_round_dd(&sums[pairs + j]);
    fit->syy = wa_exact_round_dd(&sums[pairs + p]);
    fit->yy = wa_exact_round_dd(&sums[pairs + p + 1]);
}

static wa_status refuse(const ls_data *d, size_t j, bool empty, wa_error *err)
{
    char name[64] = "x";
    if (d->names != NULL)
        wa_shown(name, sizeof name, d->names[j], strlen(d->names[j]));
    if (empty && d->intercept)
        return wa_fail(err, WA_ERR_UNDEFINED, "a fit is not defined: all values of '%s' are equal",
                       name);
    if (empty)
        return wa_fail(err, WA_ERR_UNDEFINED, "a fit is not defined: all values of '%s' are 0",
                       name);
    wa_status code = wa_fail(err, WA_ERR_UNDEFINED,
                             "the columns do not determine the coefficient of '%s': it is a "
                             "combination of the columns before it%s",
                             name, d->intercept ? " and a constant" : "");
    return wa_hint(err, code, "leave '%s' out, or one of the columns that it is made of", name);
}

/* gram = L D L'. */
static wa_status factor(equations *s, const ls_data *d, wa_error *err)
{
    for (size_t j = 0; j < s->n; j++) {
        wa_dd own = s->gram[j][j];
        if (!isfinite(own.hi))
            return wa_fail(err, WA_ERR_UNDEFINED, "a fit is not defined: values are too large");
        if (!(own.hi > 0))
            return refuse(d, j, true, err);
        for (size_t i = j; i < s->n; i++) {
            wa_dd sum = s->gram[i][j];
            for (size_t k = 0; k < j; k++) {
                wa_dd both = wa_dd_mul(s->lower[i][k], s->lower[j][k]);
                sum = wa_dd_sub(sum, wa_dd_mul(both, s->diagonal[k]));
            }
            if (i == j)
                s->diagonal[j] = sum;
            else
                s->lower[i][j] = wa_dd_div(sum, s->diagonal[j]);
            if (i == j && !(sum.hi > OWN_PART_LEAST * own.hi))
                return refuse(d, j, false, err);
        }
    }
    return WA_OK;
}

static void solve(wa_dd *x, const equations *s, const wa_dd *right)
{
    for (size_t i = 0; i < s->n; i++) {
        x[i] = right[i];
        for (size_t k = 0; k < i; k++)
            x[i] = wa_dd_sub(x[i], wa_dd_mul(s->lower[i][k], x[k]));
    }
    for (size_t i = s->n; i-- > 0;) {
        x[i] = wa_dd_div(x[i], s->diagonal[i]);
        for (size_t k = i + 1; k < s->n; k++)
            x[i] = wa_dd_sub(x[i], wa_dd_mul(s->lower[k][i], x[k]));
    }
}

/* One step of refinement: solves for what the residuals still hold of each column. */
static void refine(ls_fit *fit, const equations *s, const ls_data *d, wa_exact *sums)
{
    wa_dd right[WA_FIT_COLUMNS_MAX], step[WA_FIT_COLUMNS_MAX];
    memset(sums, 0, s->n * sizeof *sums);
    for (size_t i = 0; i < d->n; i++) {
        if (!complete(d, i))
            continue;
        record r;
        take_record(&r, fit, d, i);
        wa_dd weighted = wa_dd_mul_d(residual(fit, &r, s->n), r.w);
        for (size_t j = 0; j < s->n; j++)
            ls_add_dd(&sums[j], wa_dd_mul(weighted, r.x[j]));
    }
    for (size_t j = 0; j < s->n; j++)
        right[j] = wa_exact_round_dd(&sums[j]);
    solve(step, s, right);
    for (size_t j = 0; j < s->n; j++)
        fit->slope[j] = wa_dd_add(fit->slope[j], step[j]);
}

/* Last pass: residuals, and the correlation of y with the fitted values. A single column stands
 * for its fitted values, so that a slope of 0 has a correlation too. */
static void take_residuals(ls_fit *fit, const ls_data *d)
{
    wa_exact rss = {0}, ff = {0}, fy = {0};
    for (size_t i = 0; i < d->n; i++) {
        if (!complete(d, i))
            continue;
        record r;
        take_record(&r, fit, d, i);
        wa_dd rest = residual(fit, &r, d->columns), fitted = wa_dd_of(0);
        ls_add_dd(&rss, wa_dd_mul_d(wa_dd_mul(rest, rest), r.w));
        for (size_t j = 0; j < d->columns; j++) {
            wa_dd x = wa_dd_add_d(wa_dd_neg(fit->mean[j]), d->x[j][i]);
            fitted = wa_dd_add(fitted, d->columns == 1 ? x : wa_dd_mul(fit->slope[j], x));
        }
        wa_dd y = wa_dd_add_d(wa_dd_neg(fit->mean_y), d->y[i]);
        wa_dd weighted = wa_dd_mul_d(fitted, r.w);
        ls_add_dd(&ff, wa_dd_mul(weighted, fitted));
        ls_add_dd(&fy, wa_dd_mul(weighted, y));
    }
    fit->rss = wa_exact_round_dd(&rss);
    wa_dd together = wa_exact_round_dd(&fy), spread = wa_exact_round_dd(&ff);
    fit->r2_pearson = (double)NAN;
    if (spread.hi > 0 && fit->syy.hi > 0)
        fit->r2_pearson = wa_dd_mul(wa_dd_div(together, spread), wa_dd_div(together, fit->syy)).hi;
}

static bool all_finite(const ls_fit *fit, size_t columns)
{
    bool finite = isfinite(fit->intercept.hi) && isfinite(fit->rss.hi);
    for (size_t j = 0; j < columns; j++)
        finite = finite && isfinite(fit->slope[j].hi) && isfinite(fit->inverse[j][j].hi);
    return finite;
}

wa_status ls_solve(ls_fit *out, const ls_data *d, wa_error *err)
{
    size_t p = d->columns, room = p * (p + 1) / 2 + p + 2;
    ls_fit fit = {.terms = p + (d->intercept ? 1 : 0)};
    column_sum *means = malloc((p + 1) * sizeof *means);
    wa_exact *sums = malloc(room * sizeof *sums);
    equations *s = calloc(1, sizeof *s);
    wa_status status = WA_ERR_NOMEM;
    if (means == NULL || sums == NULL || s == NULL) {
        wa_fail(err, status, "out of memory for a fit");
        goto out;
    }
    s->n = p;
    if ((status = take_means(&fit, d, means, err)) != WA_OK)
        goto out;
    take_gram(s, &fit, d, sums);
    if ((status = factor(s, d, err)) != WA_OK)
        goto out;
    solve(fit.slope, s, s->right);
    for (int step = 0; p > 1 && step < 2; step++)
        refine(&fit, s, d, sums);
    for (size_t j = 0; j < p; j++) {
        wa_dd unit[WA_FIT_COLUMNS_MAX] = {{0, 0}};
        unit[j] = wa_dd_of(1);
        solve(fit.inverse[j], s, unit);
    }
    fit.intercept = wa_dd_of(0);
    if (d->intercept) {
        fit.intercept = fit.mean_y;
        for (size_t j = 0; j < p; j++)
            fit.intercept = wa_dd_sub(fit.intercept, wa_dd_mul(fit.slope[j], fit.mean[j]));
    }
    take_residuals(&fit, d);
    if (!all_finite(&fit, p)) {
        status = wa_fail(err, WA_ERR_UNDEFINED, "a fit is not defined: values are too large");
        goto out;
    }
    *out = fit;
out:
    free(means);
    free(sums);
    free(s);
    return status;
}
