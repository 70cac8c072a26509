/* The incomplete gamma function, and with it the distribution of a sum of squares. */
#include "windassay/quantile.h"

#include "base/dd_functions.h"
#include "stats/tails.h"

enum { ROUNDS = 100000 };

static const double DOF_MOST = 1e6;

/* x^a e^-x / Gamma(a). */
static wa_dd front_of(double a, wa_dd x)
{
    wa_dd power = wa_dd_sub(wa_dd_mul_d(log_of_dd(x), a), wa_dd_add(x, log_gamma_dd(wa_dd_of(a))));
    if (power.hi < -700)
        return wa_dd_of(0);
    int shift;
    wa_dd front = wa_exp_dd(power, &shift);
    return (wa_dd){ldexp(front.hi, shift), ldexp(front.lo, shift)};
}

/* P(a, x) by its series, whose terms are all positive (DLMF 8.11.4). */
static wa_dd lower_series(double a, wa_dd x)
{
    wa_dd term = wa_dd_div(wa_dd_of(1), wa_dd_of(a)), sum = term;
    for (int n = 1; n < ROUNDS && term.hi > sum.hi * 0x1p-106; n++) {
        term = wa_dd_div(wa_dd_mul(term, x), wa_two_sum(a, n));
        sum = wa_dd_add(sum, term);
    }
    return wa_dd_mul(front_of(a, x), sum);
}

/* Q(a, x) by its continued fraction, by Lentz' method (DLMF 8.9.2). */
static wa_dd upper_fraction(double a, wa_dd x)
{
    wa_dd one = wa_dd_of(1), b = wa_dd_add(x, wa_two_sum(1, -a));
    wa_dd d = wa_dd_div(one, b), c = wa_dd_of(0x1p300), f = d;
    for (int n = 1; n < ROUNDS; n++) {
        wa_dd an = wa_dd_mul_d(wa_two_sum(a, -n), n);
        b = wa_dd_add_d(b, 2);
        d = wa_dd_div(one, wa_dd_add(b, wa_dd_mul(an, d)));
        c = wa_dd_add(b, wa_dd_div(an, c));
        wa_dd step = wa_dd_mul(c, d);
        f = wa_dd_mul(f, step);
        if (fabs(wa_dd_add_d(step, -1).hi) < 0x1p-100)
            break;
    }
    return wa_dd_mul(front_of(a, x), f);
}

/* P(X <= 2 x) of 2 a degrees of freedom. */
static wa_dd gamma_lower(double a, wa_dd x)
{
    if (!(x.hi > 0))
        return wa_dd_of(0);
    if (x.hi < a + 1)
        return lower_series(a, x);
    return wa_dd_sub(wa_dd_of(1), upper_fraction(a, x));
}

static bool in_domain(double dof)
{
    return dof >= 1 && dof <= DOF_MOST;
}

double wa_chi2_cdf(double x, double dof)
{
    if (!(x >= 0) || !in_domain(dof))
        return (double)NAN;
    if (x > 1e300)
        return 1;
    return gamma_lower(dof / 2, wa_dd_of(x / 2)).hi;
}

typedef struct question {
    double p, dof;
} question;

static bool enough(const void *context, wa_dd x)
{
    const question *q = context;
    wa_dd half = {x.hi / 2, x.lo / 2};
    return wa_dd_add_d(gamma_lower(q->dof / 2, half), -q->p).hi >= 0;
}

double wa_chi2_quantile(double p, double dof)
{
    if (!(p > 0 && p < 1) || !in_domain(dof))
        return (double)NAN;
    question q = {p, dof};
    if (enough(&q, wa_dd_of(1e-290)))
        return 0;
    return first_above(enough, &q, 1e-290, 2 * dof + 1000);
}
