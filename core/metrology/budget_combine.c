/* Uncertainty budgets: components put together, in a bin and over bins. */
#include "base/dd.h"
#include "metrology/budget_rows.h"
#include "windassay/quantile.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Sums towards a combined uncertainty: u^2 and what Welch and Satterthwaite divide by. */
typedef struct sums {
    wa_dd square;  /* sum of g^2                                     */
    double fourth; /* sum of g^4 / nu_g = g^2 sum(s^2 / nu)          */
} sums;

/* Adds independent contributions: g the sum of one group, spread = sum(s^2 / nu) of its members. */
static void add_independent(sums *t, wa_dd g, double spread)
{
    wa_dd square = wa_dd_mul(g, g);
    t->square = wa_dd_add(t->square, square);
    t->fourth += square.hi * spread;
}

static double root(const sums *t)
{
    return wa_dd_sqrt(t->square).hi;
}

static double effective(const sums *t)
{
    double u2 = t->square.hi;
    if (isnan(u2))
        return u2;
    return t->fourth > 0 ? u2 * u2 / t->fourth : HUGE_VAL;
}

static double spread_of(double s, double dof)
{
    return isinf(dof) ? 0 : s * s / dof;
}

/* The first row of the group of row j, or j itself where it has none. */
static size_t leader(const wa_budget *b, size_t j)
{
    const char *group = b->row[j].group;
    for (size_t i = 0; group != NULL && i < j; i++)
        if (b->row[i].group != NULL && strcmp(b->row[i].group, group) == 0)
            return i;
    return j;
}

static wa_status need_components(const wa_budget *b, wa_error *err)
{
    return b->n > 0 ? WA_OK : wa_fail(err, WA_ERR_UNDEFINED, "the budget has no components");
}

/* The groups of one bin, each with its members. */
static sums bin_sums(const wa_budget *b, const size_t *leads, size_t i)
{
    sums t = {{0, 0}, 0};
    for (size_t lead = 0; lead < b->n; lead++) {
        wa_dd g = {0, 0};
        double spread = 0;
        if (leads[lead] != lead)
            continue;
        for (size_t j = lead; j < b->n; j++) {
            const wa_budget_row *r = &b->row[j];
            if (leads[j] != lead)
                continue;
            g = wa_dd_add_d(g, r->contribution[i]);
            spread += spread_of(r->contribution[i], r->dof[i]);
        }
        add_independent(&t, g, spread);
    }
    return t;
}

static bool has_missing(const wa_budget *b, size_t i)
{
    for (size_t j = 0; j < b->n; j++)
        if (isnan(b->row[j].contribution[i]))
            return true;
    return false;
}

wa_status wa_budget_combined(double *u, double *dof, const wa_budget *b, wa_error *err)
{
    size_t leads[WA_BUDGET_COMPONENTS_MAX];
    wa_status s = need_components(b, err);
    if (s != WA_OK)
        return s;
    for (size_t j = 0; j < b->n; j++)
        leads[j] = leader(b, j);
    for (size_t i = 0; i < b->bins; i++) {
        bool missing = has_missing(b, i);
        sums t = bin_sums(b, leads, i);
        u[i] = missing ? (double)NAN : root(&t);
        if (dof != NULL)
            dof[i] = missing ? (double)NAN : effective(&t);
    }
    return WA_OK;
}

double wa_coverage_factor(double probability, double dof)
{
    const double rounding = 1e-9; /* 16 worked out as 15.999999999999998 is 16 */
    if (!(probability > 0 && probability < 1) || !(dof >= 1 - rounding))
        return (double)NAN;
    return wa_t_quantile((1 + probability) / 2, isinf(dof) ? dof : floor(dof + rounding));
}

/* ---- over bins ------------------------------------------------------------------------------- */

/* What a bin's contributions are multiplied by: 0 where the bin does not count. */
static wa_status factors(double *factor, wa_overall *out, const wa_budget *b, const double *weights,
                         const double *relative_to, wa_error *err)
{
    wa_exact sum = {0};
    for (size_t i = 0; i < b->bins; i++) {
        double w = weights != NULL ? weights[i] : 1,
               over = relative_to != NULL ? relative_to[i] : 1;
        if (w < 0 || isinf(w))
            return wa_fail(err, WA_ERR_ARG, "the weight of bin %zu is %g", i + 1, w);
        if (over == 0 || isinf(over))
            return wa_fail(err, WA_ERR_ARG, "bin %zu: relative to %g", i + 1, over);
        bool counts = w > 0 && !isnan(over) && !has_missing(b, i); /* a missing weight is none */
        factor[i] = counts ? w / over : 0;
        wa_exact_add(&sum, counts ? w : 0);
        out->bins += counts;
        out->left_out += !counts;
    }
    double total = wa_exact_round(&sum);
    if (out->bins == 0)
        return wa_fail(err, WA_ERR_UNDEFINED, "no bin has all components of the budget");
    if (!isfinite(total))
        return wa_fail(err, WA_ERR_UNDEFINED, "the weights are out of range");
    for (size_t i = 0; i < b->bins; i++)
        factor[i] /= total;
    return WA_OK;
}

/* Row r as one effect that is the same in all bins: its sum, and its degrees of freedom (the
 * fewest of any bin that counts: it is one evaluation, read at several places). */
static wa_dd over_bins(const wa_budget *b, const wa_budget_row *r, const double *factor,
                       double *dof)
{
    wa_exact sum = {0};
    *dof = HUGE_VAL;
    for (size_t i = 0; i < b->bins; i++) {
        if (factor[i] == 0)
            continue;
        wa_exact_add_product(&sum, r->contribution[i], factor[i]);
        *dof = r->dof[i] < *dof ? r->dof[i] : *dof;
    }
    return wa_exact_round_dd(&sum);
}

/* Row r with bins that are independent of each other; gives what it adds alone. */
static double each_bin(sums *t, const wa_budget *b, const wa_budget_row *r, const double *factor)
{
    sums own = {{0, 0}, 0};
    for (size_t i = 0; i < b->bins; i++) {
        if (factor[i] == 0)
            continue;
        wa_dd s = wa_two_product(r->contribution[i], factor[i]);
        add_independent(&own, s, spread_of(s.hi, r->dof[i]));
    }
    t->square = wa_dd_add(t->square, own.square);
    t->fourth += own.fourth;
    return root(&own);
}

/* Row `lead` with the members of its group, which are the same effect in all bins. */
static void whole_group(sums *t, double *alone, const wa_budget *b, size_t lead,
                        const double *factor)
{
    wa_dd g = {0, 0};
    double spread = 0, dof;
    for (size_t j = lead; j < b->n; j++) {
        if (leader(b, j) != lead)
            continue;
        wa_dd s = over_bins(b, &b->row[j], factor, &dof);
        g = wa_dd_add(g, s);
        spread += spread_of(s.hi, dof);
        if (alone != NULL)
            alone[j] = s.hi;
    }
    add_independent(t, g, spread);
}

wa_status wa_budget_overall(wa_overall *out, double *contribution, const wa_budget *b,
                            const double *weights, const double *relative_to, wa_error *err)
{
    wa_overall o = {0};
    sums t = {{0, 0}, 0};
    wa_status s = need_components(b, err);
    if (s != WA_OK)
        return s;
    double *factor = calloc(b->bins, sizeof *factor);
    if (factor == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    s = factors(factor, &o, b, weights, relative_to, err);
    for (size_t j = 0; s == WA_OK && j < b->n; j++) {
        const wa_budget_row *r = &b->row[j];
        if (leader(b, j) != j)
            continue;
        if (r->kind == WA_TYPE_A && r->group == NULL) {
            double alone = each_bin(&t, b, r, factor);
            if (contribution != NULL)
                contribution[j] = alone;
        } else {
            whole_group(&t, contribution, b, j, factor);
        }
    }
    free(factor);
    if (s != WA_OK)
        return s;
    o.u = root(&t);
    o.dof = effective(&t);
    *out = o;
    return WA_OK;
}
