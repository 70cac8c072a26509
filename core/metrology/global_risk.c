/* Global risks: integrals over the true values of many items. */
#include "windassay/conformity.h"
#include "windassay/exact.h"
#include "windassay/portable.h"
#include "windassay/quantile.h"

#include <math.h>

/* Nodes and weights of the 15-point Kronrod rule; every second node is one of Gauss's 7-point
 * rule (Piessens et al., "QUADPACK", 1983; the values are theirs). */
enum { HALF = 8, DEPTH = 8 };
static const double NODE[HALF] = {
    0.991455371120812639206854697526329, 0.949107912342758524526189684047851,
    0.864864423359769072789712788640926, 0.741531185599394439863864773280788,
    0.586087235467691130294144691258410, 0.405845151377397166906606412076961,
    0.207784955007898467600689403773245, 0};
static const double KRONROD[HALF] = {
    0.022935322010529224963732008058970, 0.063092092629978553290700663189204,
    0.104790010322250183839876322541518, 0.140653259715525918745189590510238,
    0.169004726639267902826583426598550, 0.190350578064785409913256402421014,
    0.204432940075298892414161999234649, 0.209482141084727828012999174891714};
static const double GAUSS[HALF / 2] = {
    0.129484966168869693270611432679082, 0.279705391489276667901467771423780,
    0.381830050505118944950369775488975, 0.417959183673469387755102040816327};

/* Beyond this many standard deviations the normal density is below the smallest double. */
static const double FAR = 39;

static bool inside(const wa_tolerance *t, double x)
{
    return (!t->has_lower || x >= t->lower) && (!t->has_upper || x <= t->upper);
}

/* Density of the prior at z standard deviations, times the probability that such an item is
 * judged wrongly, taken from the tails. */
static double integrand(const wa_process *p, double z, bool conforms)
{
    const double inverse_root_2pi = 0.39894228040143268;
    double x = p->prior_u * z, wrong; /* from the prior's mean, which may be large */
    double low = p->acceptance.has_lower ? (p->acceptance.lower - p->prior - x) / p->u : -HUGE_VAL;
    double high = p->acceptance.has_upper ? (p->acceptance.upper - p->prior - x) / p->u : HUGE_VAL;
    if (conforms) /* rejected */
        wrong = wa_normal_cdf(low) + wa_normal_cdf(-high);
    else if (low > 0) /* accepted, from a piece of the upper tail */
        wrong = wa_normal_cdf(-low) - wa_normal_cdf(-high);
    else
        wrong = wa_normal_cdf(high) - wa_normal_cdf(low);
    return inverse_root_2pi * wa_exp(-0.5 * z * z) * wrong;
}

/* Adds the integral over [a, b], halved until both rules agree. */
static void integrate(wa_exact *sum, const wa_process *p, double a, double b, bool conforms,
                      int depth)
{
    /* where Gauss's rule has 9 digits, Kronrod's has them all; more would chase rounding */
    const double relative = 1e-9, absolute = 1e-30;
    double middle = (a + b) / 2, half = (b - a) / 2, kronrod = 0, gauss = 0;
    for (int i = 0; i < HALF; i++) {
        double f = integrand(p, middle + half * NODE[i], conforms);
        if (i < HALF - 1)
            f += integrand(p, middle - half * NODE[i], conforms);
        kronrod += KRONROD[i] * f;
        if (i % 2 == 1)
            gauss += GAUSS[i / 2] * f;
    }
    if (fabs(kronrod - gauss) * half <= relative * kronrod * half + absolute || depth == DEPTH) {
        wa_exact_add(sum, kronrod * half);
        return;
    }
    integrate(sum, p, a, middle, conforms, depth + 1);
    integrate(sum, p, middle, b, conforms, depth + 1);
}

/* ---- where the integrand bends ----------------------------------------------------------------- */

enum { BREAKS_MAX = 32 };

typedef struct breaks {
    double at[BREAKS_MAX];
    size_t n;
} breaks;

/* Puts z in its place where it lies within reach and is new. */
static void insert(breaks *b, double z)
{
    if (!(fabs(z) <= FAR))
        return;
    size_t i = b->n;
    while (i > 0 && b->at[i - 1] > z)
        i--;
    if (i > 0 && b->at[i - 1] >= z)
        return;
    for (size_t k = b->n; k > i; k--)
        b->at[k] = b->at[k - 1];
    b->at[i] = z;
    b->n++;
}

static void find_breaks(breaks *b, const wa_process *p)
{
    static const double fixed[] = {-13, -8, -4, 0, 4, 8, 13}, around[] = {-9, -3, 0, 3, 9};
    double ends[4];
    size_t n = 0;
    insert(b, -FAR);
    insert(b, FAR);
    for (size_t i = 0; i < sizeof fixed / sizeof *fixed; i++)
        insert(b, fixed[i]);
    if (p->tolerance.has_lower)
        insert(b, (p->tolerance.lower - p->prior) / p->prior_u);
    if (p->tolerance.has_upper)
        insert(b, (p->tolerance.upper - p->prior) / p->prior_u);
    if (p->acceptance.has_lower)
        ends[n++] = p->acceptance.lower;
    if (p->acceptance.has_upper)
        ends[n++] = p->acceptance.upper;
    for (size_t k = 0; k < n; k++)
        for (size_t i = 0; i < sizeof around / sizeof *around; i++)
            insert(b, (ends[k] + around[i] * p->u - p->prior) / p->prior_u);
}

wa_status wa_conformity_global_risk(wa_risks *out, const wa_process *p, wa_error *err)
{
    wa_risks r;
    breaks b = {.n = 0};
    wa_exact consumer = {0}, producer = {0};
    if (!(p->prior_u > 0) || !(p->u > 0) || !isfinite(p->prior_u) || !isfinite(p->u))
        return wa_fail(err, WA_ERR_ARG, "global risks need uncertainties above 0");
    double both = sqrt(p->prior_u * p->prior_u + p->u * p->u);
    wa_status s =
        wa_conformity_probability(&r.conforming, p->prior, p->prior_u, &p->tolerance, err);
    if (s == WA_OK)
        s = wa_conformity_probability(&r.accepted, p->prior, both, &p->acceptance, err);
    if (s != WA_OK)
        return s;
    find_breaks(&b, p);
    for (size_t i = 1; i < b.n; i++) {
        double middle = (b.at[i - 1] + b.at[i]) / 2;
        bool conforms = inside(&p->tolerance, p->prior + p->prior_u * middle);
        integrate(conforms ? &producer : &consumer, p, b.at[i - 1], b.at[i], conforms, 0);
    }
    r.consumer = wa_exact_round(&consumer);
    r.producer = wa_exact_round(&producer);
    *out = r;
    return WA_OK;
}
