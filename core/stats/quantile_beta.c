/* The incomplete beta function, and with it Student's t. */
#include "windassay/quantile.h"

#include "base/dd_functions.h"
#include "stats/tails.h"

#include <string.h>

static const double T_NORMAL_FROM = 20000; /* degrees of freedom where Hill's expansion is exact */

enum { FRACTION_ROUNDS = 20000 };

wa_dd log_of_dd(wa_dd x)
{
    /* log(hi) + log(1 + lo / hi), where lo / hi is below 2^-53 */
    double ratio = x.lo / x.hi;
    return wa_dd_add(wa_log_dd(x.hi), wa_dd_of(ratio - ratio * ratio / 2));
}

/* log of the gamma function: Stirling's series above 30, which smaller arguments are moved to. */
wa_dd log_gamma_dd(wa_dd z)
{
    static const double C[][2] = {/* B(2k) / (2k (2k - 1)) */
                                  {1, 12},           {-1, 360},           {1, 1260},
                                  {-1, 1680},        {1, 1188},           {-691, 360360},
                                  {1, 156},          {-3617, 122400},     {43867, 244188},
                                  {-174611, 125400}, {77683, 5796},       {-236364091, 1506960},
                                  {657931, 300},     {-3392780147, 93960}};
    static const wa_dd HALF_LOG_2PI = {0x1.d67f1c864beb5p-1, -0x1.65b5a1b7ff5dfp-55};
    wa_dd product = wa_dd_of(1);
    for (; z.hi < 30; z = wa_dd_add_d(z, 1))
        product = wa_dd_mul(product, z);
    wa_dd inverse = wa_dd_div(wa_dd_of(1), z), square = wa_dd_mul(inverse, inverse);
    wa_dd sum = wa_dd_of(0);
    for (size_t k = sizeof C / sizeof *C; k-- > 0;) {
        wa_dd c = wa_dd_div(wa_dd_of(C[k][0]), wa_dd_of(C[k][1]));
        sum = wa_dd_add(wa_dd_mul(sum, square), c);
    }
    sum = wa_dd_add(wa_dd_mul(sum, inverse), HALF_LOG_2PI);
    wa_dd main = wa_dd_mul(wa_dd_add_d(z, -0.5), log_of_dd(z));
    return wa_dd_sub(wa_dd_add(wa_dd_sub(main, z), sum), log_of_dd(product));
}

/* The continued fraction of I_x(a, b), by Lentz' method (DLMF 8.17.22). */
static wa_dd fraction(wa_dd x, double a, double b)
{
    wa_dd one = wa_dd_of(1), sum = wa_two_sum(a, b);
    wa_dd d = wa_dd_div(wa_dd_mul(sum, x), wa_dd_of(a + 1));
    wa_dd c = one, f;
    d = wa_dd_div(one, wa_dd_sub(one, d));
    f = d;
    for (int m = 1; m < FRACTION_ROUNDS; m++) {
        wa_dd am = wa_two_sum(a, m), a2 = wa_two_sum(a, 2 * m);
        wa_dd even = wa_dd_mul_d(wa_two_sum(b, -m), m);
        even = wa_dd_div(wa_dd_mul(even, x), wa_dd_mul(wa_dd_add_d(a2, -1), a2));
        wa_dd odd = wa_dd_mul(am, wa_dd_add_d(sum, m));
        odd = wa_dd_neg(wa_dd_div(wa_dd_mul(odd, x), wa_dd_mul(a2, wa_dd_add_d(a2, 1))));
        d = wa_dd_div(one, wa_dd_add(one, wa_dd_mul(even, d)));
        c = wa_dd_add(one, wa_dd_div(even, c));
        f = wa_dd_mul(f, wa_dd_mul(d, c));
        d = wa_dd_div(one, wa_dd_add(one, wa_dd_mul(odd, d)));
        c = wa_dd_add(one, wa_dd_div(odd, c));
        wa_dd step = wa_dd_mul(d, c);
        f = wa_dd_mul(f, step);
        if (fabs(wa_dd_add_d(step, -1).hi) < 0x1p-90)
            break;
    }
    return f;
}

static wa_dd beta_direct(wa_dd x, wa_dd y, double a, double b)
{
    wa_dd power = wa_dd_add(wa_dd_mul_d(log_of_dd(x), a), wa_dd_mul_d(log_of_dd(y), b));
    power = wa_dd_add(power, log_gamma_dd(wa_two_sum(a, b)));
    power = wa_dd_sub(power, wa_dd_add(log_gamma_dd(wa_dd_of(a)), log_gamma_dd(wa_dd_of(b))));
    if (power.hi < -600)
        return wa_dd_of(0);
    int shift;
    wa_dd front = wa_exp_dd(power, &shift);
    front = wa_dd_div(wa_dd_mul(front, fraction(x, a, b)), wa_dd_of(a));
    return (wa_dd){ldexp(front.hi, shift), ldexp(front.lo, shift)};
}

wa_dd beta_lower(wa_dd x, wa_dd y, double a, double b)
{
    if (!(x.hi > 0))
        return wa_dd_of(0);
    if (!(y.hi > 0))
        return wa_dd_of(1);
    if (x.hi < (a + 1) / (a + b + 2))
        return beta_direct(x, y, a, b);
    return wa_dd_sub(wa_dd_of(1), beta_direct(y, x, b, a));
}

static bool beta_domain(double a, double b)
{
    return a >= 0.01 && b >= 0.01 && a <= 1e6 && b <= 1e6;
}

double wa_beta_cdf(double x, double a, double b)
{
    if (!(x >= 0 && x <= 1) || !beta_domain(a, b))
        return (double)NAN;
    return beta_lower(wa_dd_of(x), wa_two_sum(1, -x), a, b).hi;
}

/* P(T > t) for t > 0. */
static wa_dd t_upper(wa_dd t, double dof)
{
    if (isinf(dof))
        return normal_upper(t);
    wa_dd n = wa_dd_of(dof), square = wa_dd_mul(t, t), sum = wa_dd_add(n, square);
    if (dof < T_NORMAL_FROM) {
        wa_dd x = wa_dd_div(n, sum), y = wa_dd_div(square, sum);
        return wa_dd_mul_d(beta_lower(x, y, dof / 2, 0.5), 0.5);
    }
    /* Hill 1970: with a = n - 1/2, b = 48 a^2, y^2 = a log(1 + t^2/n), z is y + (y^3 + 3 y) / b
     * - (4 y^7 + 33 y^5 + 240 y^3 + 855 y) / (10 b (b + 0.8 y^4 + 100)) + ... */
    wa_dd a = wa_dd_add_d(n, -0.5), b = wa_dd_mul_d(wa_dd_mul(a, a), 48);
    wa_dd y2 = wa_dd_mul(a, log_of_dd(wa_dd_div(sum, n)));
    double r = y2.hi;
    double second = (((-0.4 * r - 3.3) * r - 24) * r - 85.5) / (0.8 * r * r + 100 + b.hi);
    wa_dd z = wa_dd_add_d(wa_dd_add_d(y2, 3), second);
    z = wa_dd_add_d(wa_dd_div(z, b), 1);
    return normal_upper(wa_dd_mul(z, wa_dd_sqrt(y2)));
}

double wa_t_cdf(double t, double dof)
{
    if (isnan(t) || !(dof >= 1))
        return (double)NAN;
    if (t == 0)
        return 0.5;
    if (fabs(t) > 1e140)
        return t > 0 ? 1 : 0;
    wa_dd upper = t_upper(wa_dd_of(fabs(t)), dof);
    return t > 0 ? wa_dd_sub(wa_dd_of(1), upper).hi : upper.hi;
}

double first_above(bool (*above)(const void *context, wa_dd x), const void *context, double low,
                   double high)
{
    int64_t from, to;
    memcpy(&from, &low, sizeof from);
    memcpy(&to, &high, sizeof to);
    from--; /* positive doubles are in order as integers; the answer is in (from, to] */
    while (to - from > 1) {
        int64_t middle = from + (to - from) / 2;
        double x;
        memcpy(&x, &middle, sizeof x);
        if (above(context, wa_dd_of(x)))
            to = middle;
        else
            from = middle;
    }
    double up, down;
    memcpy(&up, &to, sizeof up);
    memcpy(&down, &from, sizeof down);
    return above(context, (wa_dd){up, -(up - down) / 2}) ? down : up;
}

typedef struct t_question {
    double tail, dof;
} t_question;

/* Is the tail beyond t as small as asked for? */
static bool t_far_enough(const void *context, wa_dd t)
{
    const t_question *q = context;
    wa_dd over = wa_dd_add_d(t_upper(t, q->dof), -q->tail);
    return over.hi <= 0;
}

double wa_t_quantile(double p, double dof)
{
    if (!(p >= 1e-100 && p < 1) || !(dof >= 1))
        return (double)NAN;
    if (p == 0.5)
        return 0;
    t_question q = {.tail = p < 0.5 ? p : 1 - p, .dof = dof};
    double t = first_above(t_far_enough, &q, 1e-17, 1e101);
    return p < 0.5 ? -t : t;
}

typedef struct beta_question {
    double p, a, b;
} beta_question;

static bool beta_enough(const void *context, wa_dd x)
{
    const beta_question *q = context;
    wa_dd over = wa_dd_add_d(beta_lower(x, wa_dd_sub(wa_dd_of(1), x), q->a, q->b), -q->p);
    return over.hi >= 0;
}

double wa_beta_quantile(double p, double a, double b)
{
    if (!(p > 0 && p < 1) || !beta_domain(a, b))
        return (double)NAN;
    beta_question q = {p, a, b};
    if (beta_enough(&q, wa_dd_of(1e-300)))
        return 0;
    return first_above(beta_enough, &q, 1e-300, 1);
}

double wa_f_quantile(double p, double dof1, double dof2)
{
    if (!(dof1 >= 1 && dof2 >= 1))
        return (double)NAN;
    double x = wa_beta_quantile(p, dof1 / 2, dof2 / 2);
    if (x <= 0.5)
        return dof2 * x / (dof1 * (1 - x));
    double rest = wa_beta_quantile(1 - p, dof2 / 2, dof1 / 2); /* 1 - x, with all its digits */
    return dof2 * (1 - rest) / (dof1 * rest);
}
