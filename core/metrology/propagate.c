#include "windassay/propagate.h"

#include "base/dd.h"
#include "metrology/correlation.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

enum { STEPS = 10 }; /* halvings of the step, at most */

/* One run of the model for the whole propagation. */
typedef struct run {
    wa_model *model;
    void *context;
    size_t m, n;
    const wa_input *in;
    double *x;             /* n: where the model is evaluated                    */
    double *above, *below; /* m                                                */
    double *table;         /* m x STEPS x 2: two rows of each output's table     */
    double *error;         /* m: how far apart the neighbours of the best lie    */
    wa_error *err;
} run;

static wa_status evaluate(const run *r, double *y)
{
    wa_status s = r->model(y, r->m, r->x, r->n, r->context, r->err);
    for (size_t a = 0; s == WA_OK && a < r->m; a++)
        if (!isfinite(y[a]))
            s = wa_fail(r->err, WA_ERR_UNDEFINED,
                        "the model is not defined at its inputs or one uncertainty beside them");
    return s;
}

/* Central differences at one step, into above[]. */
static wa_status difference(const run *r, size_t i, double h)
{
    double at = r->in[i].value, high = at + h, low = at - h;
    r->x[i] = high;
    wa_status s = evaluate(r, r->above);
    r->x[i] = low;
    if (s == WA_OK)
        s = evaluate(r, r->below);
    r->x[i] = at;
    for (size_t a = 0; s == WA_OK && a < r->m; a++)
        r->above[a] = (r->above[a] - r->below[a]) / (high - low);
    return s;
}

/* Adds row `step` to the table of output a; keeps the best entry in *best. */
static void extrapolate(const run *r, size_t a, size_t step, double *best)
{
    double *old = r->table + (2 * a + (step + 1) % 2) * STEPS;
    double *new = r->table + (2 * a + step % 2) * STEPS;
    double power = 4;
    new[0] = r->above[a];
    if (step == 0)
        *best = new[0];
    for (size_t k = 1; k <= step; k++, power *= 4) {
        new[k] = new[k - 1] + (new[k - 1] - old[k - 1]) / (power - 1);
        double e = fmax(fabs(new[k] - new[k - 1]), fabs(new[k] - old[k - 1]));
        if (e < r->error[a]) {
            r->error[a] = e;
            *best = new[k];
        }
    }
}

/* Sensitivities of all outputs to input i, into column i of c (m x n). */
static wa_status sensitivities(const run *r, double *c, size_t i)
{
    double u = r->in[i].u, size = fabs(r->in[i].value);
    double h = u > 0 ? u : 0x1p-10 * (size > 0 ? size : 1);
    for (size_t a = 0; a < r->m; a++)
        r->error[a] = HUGE_VAL;
    for (size_t step = 0; step < STEPS; step++, h /= 2) {
        if (!(h > 0) || r->in[i].value + h == r->in[i].value)
            break;
        wa_status s = difference(r, i, h);
        if (s != WA_OK)
            return s;
        bool settled = true;
        for (size_t a = 0; a < r->m; a++) {
            double *best = &c[a * r->n + i];
            extrapolate(r, a, step, best);
            settled = settled && step > 0 && r->error[a] <= 1e-15 * fabs(*best);
        }
        if (settled)
            break;
    }
    return WA_OK;
}

static double correlation_of(const double *r, size_t n, size_t i, size_t k)
{
    return r != NULL ? r[i * n + k] : i == k;
}

static double covariance_of(const run *r, const double *c, const double *rho, size_t a, size_t b)
{
    wa_dd sum = {0, 0};
    for (size_t i = 0; i < r->n; i++)
        for (size_t k = 0; k < r->n; k++) {
            double rik = correlation_of(rho, r->n, i, k);
            if (rik < 0 || rik > 0) {
                wa_dd s = wa_two_product(c[a * r->n + i], r->in[i].u);
                s = wa_dd_mul(s, wa_two_product(c[b * r->n + k], r->in[k].u));
                sum = wa_dd_add(sum, wa_dd_mul_d(s, rik));
            }
        }
    return sum.hi;
}

static double effective(const run *r, const double *c, const double *rho, size_t a, double variance)
{
    double fourth = 0;
    for (size_t i = 0; i < r->n; i++) {
        double s = c[a * r->n + i] * r->in[i].u;
        if (isinf(r->in[i].dof) || s == 0)
            continue;
        for (size_t k = 0; k < r->n; k++) {
            double rik = correlation_of(rho, r->n, i, k);
            if (k != i && (rik < 0 || rik > 0))
                return (double)NAN;
        }
        fourth += s * s * s * s / r->in[i].dof;
    }
    return fourth > 0 ? variance * variance / fourth : HUGE_VAL;
}

static void fill(const wa_propagated *out, const run *r, const double *y, const double *c,
                 const double *rho)
{
    for (size_t a = 0; a < r->m; a++) {
        double variance = covariance_of(r, c, rho, a, a);
        out->value[a] = y[a];
        out->u[a] = variance > 0 ? sqrt(variance) : 0;
        if (out->dof != NULL)
            out->dof[a] = effective(r, c, rho, a, variance);
        for (size_t b = 0; out->covariance != NULL && b <= a; b++) {
            double v = covariance_of(r, c, rho, a, b);
            out->covariance[a * r->m + b] = out->covariance[b * r->m + a] = v;
        }
    }
    if (out->sensitivity != NULL)
        memcpy(out->sensitivity, c, r->m * r->n * sizeof *c);
}

static wa_status check(size_t outputs, const wa_input *x, size_t n, const double *correlation,
                       wa_error *err)
{
    if (n == 0 || n > WA_INPUTS_MAX || outputs == 0 || outputs > WA_OUTPUTS_MAX)
        return wa_fail(err, WA_ERR_ARG, "a model has 1 to %d inputs and 1 to %d outputs",
                       WA_INPUTS_MAX, WA_OUTPUTS_MAX);
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(x[i].value) || !(x[i].u >= 0) || isinf(x[i].u))
            return wa_fail(err, WA_ERR_ARG,
                           "input %zu: value and standard uncertainty are finite, and the latter "
                           "is not below 0",
                           i + 1);
        if (!(x[i].dof >= 1))
            return wa_fail(err, WA_ERR_ARG, "input %zu has fewer than 1 degree of freedom", i + 1);
    }
    return correlation != NULL ? correlation_root(NULL, correlation, n, err) : WA_OK;
}

wa_status wa_propagate(const wa_propagated *out, wa_model *model, void *context, size_t outputs,
                       const wa_input *x, size_t n, const double *correlation, wa_error *err)
{
    wa_status s = check(outputs, x, n, correlation, err);
    if (s != WA_OK)
        return s;
    size_t m = outputs;
    double *room = calloc(n + m * (4 + n + 2 * STEPS), sizeof *room);
    if (room == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    double *y = room + n, *c = y + m;
    run r = {.model = model, .context = context, .m = m, .n = n, .in = x, .x = room, .err = err};
    r.above = c + m * n;
    r.below = r.above + m;
    r.error = r.below + m;
    r.table = r.error + m;
    for (size_t i = 0; i < n; i++)
        r.x[i] = x[i].value;
    s = evaluate(&r, y);
    for (size_t i = 0; s == WA_OK && i < n; i++)
        s = sensitivities(&r, c, i);
    if (s == WA_OK)
        fill(out, &r, y, c, correlation);
    free(room);
    return s;
}
