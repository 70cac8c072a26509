#include "windassay/monte_carlo.h"

#include "metrology/correlation.h"
#include "windassay/exact.h"
#include "windassay/portable.h"
#include "windassay/quantile.h"
#include "windassay/random.h"

#include <math.h>
#include <stdlib.h>

typedef struct sampler {
    const wa_monte_carlo *mc;
    wa_random *random;
    double *root; /* n x n; NULL: independent                                     */
    double *z;    /* n: independent standard normals of one trial                   */
} sampler;

/* ---- drawing ----------------------------------------------------------------------------------- */

/* Bailey's polar method; `dof` may be any number above 0. */
static double draw_t(wa_random *r, double dof)
{
    for (;;) {
        double a = 2 * wa_random_uniform(r) - 1, b = 2 * wa_random_uniform(r) - 1;
        double w = a * a + b * b;
        if (w < 1 && w > 0)
            return a * sqrt(dof * (wa_pow(w, -2 / dof) - 1) / w);
    }
}

/* A standard one: centre 0, scale 1. */
static double draw(wa_random *r, const wa_distribution *d)
{
    if (d->kind == WA_STUDENT_T)
        return draw_t(r, d->dof);
    double p = wa_random_uniform(r);
    switch (d->kind) {
    case WA_RECTANGULAR:
        return 2 * p - 1;
    case WA_TRIANGULAR:
        return p < 0.5 ? sqrt(2 * p) - 1 : 1 - sqrt(2 * (1 - p));
    case WA_U_SHAPED:
        return wa_cos_deg(180 * p);
    default:
        return wa_normal_quantile(p);
    }
}

/* One trial into row t of the columns. */
static void draw_trial(const sampler *s, double *const *x, size_t t)
{
    const wa_monte_carlo *mc = s->mc;
    for (size_t i = 0; i < mc->n; i++)
        s->z[i] = draw(s->random, &mc->input[i]);
    for (size_t i = 0; i < mc->n; i++) {
        double z = s->z[i];
        if (s->root != NULL) {
            z = 0;
            for (size_t k = 0; k <= i; k++)
                z += s->root[i * mc->n + k] * s->z[k];
        }
        x[i][t] = mc->input[i].centre + mc->input[i].scale * z;
    }
}

/* The next `count` values of the model, at most a block. */
static wa_status run_block(const sampler *s, double *y, size_t count, wa_column_model *model,
                           void *context, wa_error *err)
{
    const wa_monte_carlo *mc = s->mc;
    double *column[64];
    const double *seen[64];
    for (size_t i = 0; i < mc->n; i++)
        seen[i] = column[i] = mc->scratch + i * WA_TRIALS_BLOCK;
    for (size_t t = 0; t < count; t++)
        draw_trial(s, column, t);
    wa_status status = model(y, seen, mc->n, count, context, err);
    for (size_t t = 0; status == WA_OK && t < count; t++) {
        y[t] += 0.0; /* no minus zero */
        if (!isfinite(y[t]))
            status = wa_fail(err, WA_ERR_UNDEFINED,
                             "the model is not defined for some of the drawn inputs");
    }
    return status;
}

static wa_status run_blocks(const sampler *s, double *y, size_t count, wa_column_model *model,
                            void *context, wa_error *err)
{
    wa_status status = WA_OK;
    for (size_t at = 0; status == WA_OK && at < count; at += WA_TRIALS_BLOCK) {
        size_t left = count - at;
        status = run_block(s, y + at, left < WA_TRIALS_BLOCK ? left : WA_TRIALS_BLOCK, model,
                           context, err);
    }
    return status;
}

/* ---- summing up -------------------------------------------------------------------------------- */

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Sorts the values; JCGM 101, 7.6 and 7.7. */
static wa_status sum_up(wa_trials *out, double *y, size_t m, double p, wa_error *err)
{
    qsort(y, m, sizeof *y, by_value);
    wa_status s = wa_mean_sd(&out->mean, &out->u, y, m, WA_DIVISOR_N_MINUS_1, err);
    if (s != WA_OK)
        return s;
    size_t q = (size_t)floor(p * (double)m + 0.5), r = (m - q + 1) / 2;
    if (q < 1 || r < 1 || q + r > m)
        return wa_fail(err, WA_ERR_ARG, "%zu trials are too few for a probability of %g", m, p);
    out->trials = m;
    out->low = y[r - 1];
    out->high = y[r + q - 1];
    size_t best = 0;
    for (size_t i = 1; i + q < m; i++)
        if (y[i + q] - y[i] < y[best + q] - y[best])
            best = i;
    out->shortest_low = y[best];
    out->shortest_high = y[best + q];
    out->tolerance = 0;
    return WA_OK;
}

double wa_numerical_tolerance(double u, int digits)
{
    if (!(u > 0))
        return u;
    int exponent = 0;
    double power = 1; /* 10^|exponent|: exact up to 10^22, near enough beyond */
    while (u >= 10 * power && exponent < 300) {
        power *= 10;
        exponent++;
    }
    double unit = power;
    if (u < 1) {
        power = 1;
        while (u * power < 1 && exponent > -300) {
            power *= 10;
            exponent--;
        }
        unit = 1 / power;
    }
    return (digits == 2 ? unit / 10 : unit) / 2;
}

/* ---- the adaptive procedure ---------------------------------------------------------------------- */

enum { RESULTS = 4 };

/* Sums over blocks of mean, u, and both ends of the interval. */
typedef struct spread {
    size_t blocks;
    wa_exact sum[RESULTS], squares[RESULTS];
} spread;

static void add_block(spread *s, const wa_trials *block)
{
    const double z[RESULTS] = {block->mean, block->u, block->low, block->high};
    s->blocks++;
    for (int i = 0; i < RESULTS; i++) {
        wa_exact_add(&s->sum[i], z[i]);
        wa_exact_add_product(&s->squares[i], z[i], z[i]);
    }
}

/* True where twice the standard deviation of each mean over blocks is within the tolerance. */
static bool settled(const spread *s, double tolerance)
{
    if (s->blocks < 2)
        return false;
    for (int i = 0; i < RESULTS; i++) {
        double sd;
        if (wa_exact_sd(&sd, &s->sum[i], &s->squares[i], s->blocks, WA_DIVISOR_N_MINUS_1, NULL) !=
                WA_OK ||
            2 * sd / sqrt((double)s->blocks) > tolerance)
            return false;
    }
    return true;
}

/* Blocks of M trials until mean, u and both ends have settled (7.9.4). */
static wa_status adaptive(wa_trials *out, const sampler *s, wa_column_model *model, void *context,
                          wa_error *err)
{
    const wa_monte_carlo *mc = s->mc;
    double needed = floor(100 / (1 - mc->probability) + 0.5);
    size_t m = needed > WA_TRIALS_BLOCK ? (size_t)needed : WA_TRIALS_BLOCK, done = 0;
    spread blocks = {0};
    wa_exact sum = {0}, squares = {0};
    while (done + m <= mc->most) {
        wa_trials block;
        double *y = mc->values + done, u;
        wa_status status = run_blocks(s, y, m, model, context, err);
        if (status == WA_OK)
            status = sum_up(&block, y, m, mc->probability, err);
        if (status != WA_OK)
            return status;
        add_block(&blocks, &block);
        for (size_t t = 0; t < m; t++) {
            wa_exact_add(&sum, y[t]);
            wa_exact_add_product(&squares, y[t], y[t]);
        }
        done += m;
        status = wa_exact_sd(&u, &sum, &squares, done, WA_DIVISOR_N_MINUS_1, err);
        if (status != WA_OK)
            return status;
        double tolerance = wa_numerical_tolerance(u, mc->digits);
        if (u == 0 || settled(&blocks, tolerance)) {
            status = sum_up(out, mc->values, done, mc->probability, err);
            out->tolerance = tolerance;
            return status;
        }
    }
    wa_fail(err, WA_ERR_UNDEFINED, "%d digits of the uncertainty have not settled in %zu trials",
            mc->digits, done);
    return wa_hint(err, WA_ERR_UNDEFINED, "ask for fewer digits, or allow more trials");
}

/* ---- all of it ----------------------------------------------------------------------------------- */

static wa_status check(const wa_monte_carlo *mc, wa_error *err)
{
    if (mc->n == 0 || mc->n > 50)
        return wa_fail(err, WA_ERR_ARG, "a model has 1 to 50 inputs");
    if (!(mc->probability > 0 && mc->probability < 1))
        return wa_fail(err, WA_ERR_ARG, "the probability of an interval lies between 0 and 1");
    if (mc->trials == 0 && mc->digits != 1 && mc->digits != 2)
        return wa_fail(err, WA_ERR_ARG, "1 or 2 digits can be asked for");
    if (mc->trials == 1)
        return wa_fail(err, WA_ERR_ARG, "one trial says nothing");
    for (size_t i = 0; i < mc->n; i++) {
        const wa_distribution *d = &mc->input[i];
        if (!isfinite(d->centre) || !isfinite(d->scale) || d->scale < 0)
            return wa_fail(err, WA_ERR_ARG, "input %zu: its width is below 0 or not finite", i + 1);
        if (d->kind == WA_STUDENT_T && !(d->dof >= 1 && isfinite(d->dof)))
            return wa_fail(err, WA_ERR_ARG, "input %zu: a t has 1 or more degrees of freedom",
                           i + 1);
        for (size_t k = 0; mc->correlation != NULL && k < mc->n; k++) {
            double r = mc->correlation[i * mc->n + k];
            if (k != i && (r < 0 || r > 0) && d->kind != WA_NORMAL)
                return wa_fail(err, WA_ERR_ARG,
                               "input %zu is correlated, but not normal: only normal inputs can be",
                               i + 1);
        }
    }
    return WA_OK;
}

wa_status wa_monte_carlo_run(wa_trials *out, const wa_monte_carlo *mc, wa_column_model *model,
                             void *context, wa_error *err)
{
    wa_trials found;
    sampler s = {.mc = mc};
    wa_status status = check(mc, err);
    if (status != WA_OK)
        return status;
    s.z = calloc(mc->n * (mc->n + 1), sizeof *s.z);
    if (s.z == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    if (mc->correlation != NULL) {
        s.root = s.z + mc->n;
        status = correlation_root(s.root, mc->correlation, mc->n, err);
    }
    if (status == WA_OK)
        status = wa_random_new(&s.random, mc->seed, err);
    if (status == WA_OK && mc->trials == 0) {
        status = adaptive(&found, &s, model, context, err);
    } else if (status == WA_OK) {
        status = run_blocks(&s, mc->values, mc->trials, model, context, err);
        if (status == WA_OK)
            status = sum_up(&found, mc->values, mc->trials, mc->probability, err);
    }
    wa_random_free(s.random);
    free(s.z);
    if (status == WA_OK)
        *out = found;
    return status;
}
