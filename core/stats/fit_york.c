/* A line with errors given for each record: York et al., Am. J. Phys. 72, 367 (2004). */
#include "windassay/fit.h"

#include "base/dd.h"
#include "stats/ls.h"
#include "stats/moments.h"

#include <stdlib.h>

enum { ROUNDS_MAX = 500 };

/* The slope has settled when a round moves it by less than this part: far below a double's last
 * bit, as each round gains only a constant factor. */
static const double SETTLED = 0x1p-80;

/* A slope may be 0 itself: less than this part of what the spreads allow is rounding. */
static const double BEYOND = 0x1p-90;

typedef struct york_data {
    size_t n; /* complete records only */
    double *x, *y, *ux, *uy, *r;
    bool through_origin; /* the line passes (0, 0), not the weighted means */
} york_data;

static wa_status out_of_range(size_t i, const char *what, double found, wa_error *err)
{
    return wa_fail(err, WA_ERR_ARG, "record %zu of a fit: %s is %g", i + 1, what, found);
}

/* Copies the complete records; `room` holds 5 n values. */
static wa_status take_complete(york_data *to, double *room, const double *const in[5], size_t n,
                               wa_error *err)
{
    double **const column[5] = {&to->x, &to->y, &to->ux, &to->uy, &to->r};
    for (size_t k = 0; k < 5; k++)
        *column[k] = room + k * n;
    to->n = 0;
    for (size_t i = 0; i < n; i++) {
        double v[5];
        bool complete = true;
        for (size_t k = 0; k < 5; k++) {
            v[k] = in[k] == NULL ? 0 : in[k][i];
            complete = complete && !isnan(v[k]);
        }
        if (!complete)
            continue;
        if (v[2] < 0 || isinf(v[2]))
            return out_of_range(i, "the uncertainty of x", v[2], err);
        if (v[3] < 0 || isinf(v[3]))
            return out_of_range(i, "the uncertainty of y", v[3], err);
        if (fabs(v[4]) > 1)
            return out_of_range(i, "the correlation of the errors", v[4], err);
        for (size_t k = 0; k < 5; k++)
            (*column[k])[to->n] = v[k];
        to->n++;
    }
    return WA_OK;
}

/* Terms of record i at the slope b: squares of its errors, their product, and its weight
 * W = 1 / (uy^2 + b^2 ux^2 - 2 b r ux uy). False where that is not above 0. */
typedef struct record {
    wa_dd xx, yy, xy, weight;
} record;

static bool take_record(record *t, const york_data *d, size_t i, wa_dd b)
{
    t->xx = wa_two_product(d->ux[i], d->ux[i]);
    t->yy = wa_two_product(d->uy[i], d->uy[i]);
    t->xy = wa_dd_mul_d(wa_two_product(d->ux[i], d->uy[i]), d->r[i]);
    wa_dd variance = wa_dd_add(t->yy, wa_dd_mul(wa_dd_mul(b, b), t->xx));
    variance = wa_dd_sub(variance, wa_dd_mul_d(wa_dd_mul(b, t->xy), 2));
    if (!(variance.hi > 0) || !isfinite(variance.hi))
        return false;
    t->weight = wa_dd_div(wa_dd_of(1), variance);
    return isfinite(t->weight.hi);
}

/* What a round leaves: the point that the line passes, and sums over the adjusted points for the next slope. */
typedef struct york_round {
    wa_dd mean_x, mean_y, weight;
    wa_dd with_x, with_y, beta; /* sums of W beta U, W beta V, W beta */
} york_round;

/* beta = W (U uy^2 + b V ux^2 - (b U + V) r ux uy), U and V from the weighted means. */
static wa_dd beta_of(const record *t, wa_dd u, wa_dd v, wa_dd b)
{
    wa_dd bv = wa_dd_mul(b, v), bu = wa_dd_mul(b, u);
    wa_dd sum = wa_dd_add(wa_dd_mul(u, t->yy), wa_dd_mul(bv, t->xx));
    sum = wa_dd_sub(sum, wa_dd_mul(wa_dd_add(bu, v), t->xy));
    return wa_dd_mul(t->weight, sum);
}

static bool take_round(york_round *out, const york_data *d, wa_dd b)
{
    record t;
    wa_exact w = {0}, wx = {0}, wy = {0}, bx = {0}, by = {0}, wb = {0};
    for (size_t i = 0; i < d->n; i++) {
        if (!take_record(&t, d, i, b))
            return false;
        ls_add_dd(&w, t.weight);
        ls_add_dd(&wx, wa_dd_mul_d(t.weight, d->x[i]));
        ls_add_dd(&wy, wa_dd_mul_d(t.weight, d->y[i]));
    }
    out->weight = wa_exact_round_dd(&w);
    out->mean_x = out->mean_y = wa_dd_of(0);
    if (!d->through_origin) {
        out->mean_x = wa_dd_div(wa_exact_round_dd(&wx), out->weight);
        out->mean_y = wa_dd_div(wa_exact_round_dd(&wy), out->weight);
    }
    for (size_t i = 0; i < d->n; i++) {
        take_record(&t, d, i, b);
        wa_dd u = wa_dd_add_d(wa_dd_neg(out->mean_x), d->x[i]);
        wa_dd v = wa_dd_add_d(wa_dd_neg(out->mean_y), d->y[i]);
        wa_dd weighted = wa_dd_mul(t.weight, beta_of(&t, u, v, b));
        ls_add_dd(&bx, wa_dd_mul(weighted, u));
        ls_add_dd(&by, wa_dd_mul(weighted, v));
        ls_add_dd(&wb, weighted);
    }
    out->with_x = wa_exact_round_dd(&bx);
    out->with_y = wa_exact_round_dd(&by);
    out->beta = wa_exact_round_dd(&wb);
    return true;
}

/* Uncertainties from the adjusted points x_i = mean x + beta_i, and chi2. */
static bool finish(wa_york_fit *out, const york_data *d, const york_round *last, wa_dd b)
{
    record t;
    wa_exact spread = {0}, chi2 = {0};
    wa_dd shift = wa_dd_of(0); /* weighted mean of beta */
    if (!d->through_origin)
        shift = wa_dd_div(last->beta, last->weight);
    for (size_t i = 0; i < d->n; i++) {
        take_record(&t, d, i, b);
        wa_dd u = wa_dd_add_d(wa_dd_neg(last->mean_x), d->x[i]);
        wa_dd v = wa_dd_add_d(wa_dd_neg(last->mean_y), d->y[i]);
        wa_dd off = wa_dd_sub(beta_of(&t, u, v, b), shift);
        ls_add_dd(&spread, wa_dd_mul(t.weight, wa_dd_mul(off, off)));
        wa_dd rest = wa_dd_sub(v, wa_dd_mul(b, u));
        ls_add_dd(&chi2, wa_dd_mul(t.weight, wa_dd_mul(rest, rest)));
    }
    wa_dd adjusted = wa_dd_add(last->mean_x, shift);
    wa_dd intercept = wa_dd_sub(last->mean_y, wa_dd_mul(b, last->mean_x));
    wa_dd variance = wa_dd_div(wa_dd_of(1), wa_exact_round_dd(&spread));
    wa_dd level = wa_dd_add(wa_dd_div(wa_dd_of(1), last->weight),
                            wa_dd_mul(wa_dd_mul(adjusted, adjusted), variance));
    out->slope = b.hi;
    out->slope_u = wa_dd_sqrt(variance).hi;
    out->intercept = intercept.hi;
    out->intercept_u = wa_dd_sqrt(level).hi;
    out->covariance = 0.0 - wa_dd_mul(adjusted, variance).hi;
    out->chi2 = wa_exact_round(&chi2);
    return isfinite(out->slope_u) && isfinite(out->intercept_u) && isfinite(out->intercept) &&
           isfinite(out->covariance) && isfinite(out->chi2);
}

/* Where the iteration starts: the slope without errors in x; and how much of it is nothing. */
static wa_status start(wa_dd *b, double *nothing, const york_data *d, wa_error *err)
{
    wa_dd xx, xy, yy;
    if (d->through_origin) {
        wa_exact sum_xx = {0}, sum_xy = {0}, sum_yy = {0};
        for (size_t i = 0; i < d->n; i++) {
            wa_exact_add_product(&sum_xx, d->x[i], d->x[i]);
            wa_exact_add_product(&sum_xy, d->x[i], d->y[i]);
            wa_exact_add_product(&sum_yy, d->y[i], d->y[i]);
        }
        xx = wa_exact_round_dd(&sum_xx);
        xy = wa_exact_round_dd(&sum_xy);
        yy = wa_exact_round_dd(&sum_yy);
    } else {
        pair_moments m;
        pair_moments_take(&m, d->x, d->y, d->n);
        xx = m.sxx;
        xy = m.sxy;
        yy = m.syy;
    }
    if (!(xx.hi > 0) || !isfinite(xx.hi) || !isfinite(xy.hi))
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a fit is not defined: x %s, or values are not finite",
                       d->through_origin ? "is 0 in all records" : "does not vary");
    *b = wa_dd_div(xy, xx);
    *nothing = sqrt(yy.hi / xx.hi) * BEYOND;
    return WA_OK;
}

static wa_status iterate(wa_york_fit *out, const york_data *d, wa_error *err)
{
    wa_dd b;
    double nothing;
    wa_status s = start(&b, &nothing, d, err);
    if (s != WA_OK)
        return s;
    for (int round = 0; round < ROUNDS_MAX; round++) {
        york_round r;
        if (!take_round(&r, d, b))
            return wa_fail(err, WA_ERR_UNDEFINED,
                           "a fit is not defined: a record has no uncertainty across the line");
        wa_dd next = wa_dd_div(r.with_y, r.with_x);
        if (!isfinite(next.hi))
            break;
        double moved = fabs(wa_dd_sub(next, b).hi);
        b = next;
        if (moved <= fabs(b.hi) * SETTLED + nothing) {
            if (!take_round(&r, d, b) || !finish(out, d, &r, b))
                break;
            return WA_OK;
        }
    }
    return wa_fail(err, WA_ERR_UNDEFINED,
                   "a fit with errors in both variables does not settle in %d rounds", ROUNDS_MAX);
}

static wa_status fit_york(wa_york_fit *out, const double *const in[5], size_t n,
                          bool through_origin, wa_error *err)
{
    york_data d = {.through_origin = through_origin};
    size_t unknowns = through_origin ? 1 : 2;
    double *room = malloc((5 * n + 1) * sizeof *room);
    if (room == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory for a fit");
    wa_york_fit fit = {0};
    wa_status s = take_complete(&d, room, in, n, err);
    if (s == WA_OK && d.n <= unknowns)
        s = wa_fail(err, WA_ERR_UNDEFINED,
                    "a fit with errors in both variables needs at least %zu records, but there "
                    "are %zu",
                    unknowns + 1, d.n);
    if (s == WA_OK)
        s = iterate(&fit, &d, err);
    if (s == WA_OK) {
        fit.n = d.n;
        fit.left_out = n - d.n;
        fit.dof = d.n - unknowns;
        *out = fit;
    }
    free(room);
    return s;
}

wa_status wa_fit_york(wa_york_fit *out, const double *x, const double *y, const double *u_x,
                      const double *u_y, const double *correlation, size_t n, wa_error *err)
{
    const double *const in[5] = {x, y, u_x, u_y, correlation};
    return fit_york(out, in, n, false, err);
}

wa_status wa_fit_york_through_origin(wa_york_fit *out, const double *x, const double *y,
                                     const double *u_x, const double *u_y,
                                     const double *correlation, size_t n, wa_error *err)
{
    const double *const in[5] = {x, y, u_x, u_y, correlation};
    wa_york_fit fit;
    wa_status s = fit_york(&fit, in, n, true, err);
    if (s == WA_OK) {
        fit.intercept = fit.intercept_u = fit.covariance = 0;
        *out = fit;
    }
    return s;
}
