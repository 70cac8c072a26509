/* The normal distribution. */
#include "windassay/quantile.h"

#include "base/dd_functions.h"
#include "stats/tails.h"
#include "windassay/portable.h"

static const wa_dd ROOT_2PI = {0x1.40d931ff62706p+1, -0x1.a6a0d6f814637p-53};

enum { FRACTION_TERMS = 80 };

/* Where the continued fraction takes over from the series. */
static const double FAR = 7;

/* Sum of z^(2k+1) / (1 3 5 ... (2k+1)): P(0 < Z < z) without the density. */
static wa_dd series(wa_dd z)
{
    wa_dd square = wa_dd_mul(z, z), term = z, sum = z;
    for (int k = 1; term.hi > sum.hi * 0x1p-110; k++) {
        term = wa_dd_div(wa_dd_mul(term, square), wa_dd_of(2 * k + 1));
        sum = wa_dd_add(sum, term);
    }
    return sum;
}

/* Mills' ratio 1 / (z + 1 / (z + 2 / (z + ...))), from the inside out. */
static wa_dd mills(wa_dd z)
{
    wa_dd f = z;
    for (int k = FRACTION_TERMS; k >= 1; k--)
        f = wa_dd_add(z, wa_dd_div(wa_dd_of(k), f));
    return wa_dd_div(wa_dd_of(1), f);
}

wa_dd normal_upper(wa_dd z)
{
    int shift;
    if (z.hi < 0)
        return wa_dd_sub(wa_dd_of(1), normal_upper(wa_dd_neg(z)));
    if (z.hi > 38.6)
        return wa_dd_of(0); /* below the smallest double */
    wa_dd half_square = wa_dd_mul_d(wa_dd_mul(z, z), -0.5);
    wa_dd density = wa_dd_div(wa_exp_dd(half_square, &shift), ROOT_2PI);
    if (z.hi > FAR) {
        wa_dd tail = wa_dd_mul(density, mills(z));
        if (shift < -900) /* too small for a low part: the caller wants the nearest double */
            return wa_dd_of(wa_dd_ldexp(tail, shift));
        return (wa_dd){ldexp(tail.hi, shift), ldexp(tail.lo, shift)};
    }
    density = (wa_dd){ldexp(density.hi, shift), ldexp(density.lo, shift)};
    return wa_dd_sub(wa_dd_of(0.5), wa_dd_mul(density, series(z)));
}

double wa_normal_cdf(double z)
{
    if (isnan(z))
        return z;
    if (fabs(z) > 40)
        return z > 0 ? 1 : 0;
    return normal_upper(wa_dd_of(-z)).hi;
}

static double polynomial(const double c[8], double x)
{
    double sum = c[7];
    for (int i = 6; i >= 0; i--)
        sum = fma(sum, x, c[i]);
    return sum;
}

double wa_normal_quantile(double p)
{
    static const double A[8] = {3.3871328727963666080e0, 1.3314166789178437745e2,
                                1.9715909503065514427e3, 1.3731693765509461125e4,
                                4.5921953931549871457e4, 6.7265770927008700853e4,
                                3.3430575583588128105e4, 2.5090809287301226727e3},
                        B[8] = {1,
                                4.2313330701600911252e1,
                                6.8718700749205790830e2,
                                5.3941960214247511077e3,
                                2.1213794301586595867e4,
                                3.9307895800092710610e4,
                                2.8729085735721942674e4,
                                5.2264952788528545610e3},
                        C[8] = {1.42343711074968357734e0,  4.63033784615654529590e0,
                                5.76949722146069140550e0,  3.64784832476320460504e0,
                                1.27045825245236838258e0,  2.41780725177450611770e-1,
                                2.27238449892691845833e-2, 7.74545014278341407640e-4},
                        D[8] = {1,
                                2.05319162663775882187e0,
                                1.67638483018380384940e0,
                                6.89767334985100004550e-1,
                                1.48103976427480074590e-1,
                                1.51986665636164571966e-2,
                                5.47593808499534494600e-4,
                                1.05075007164441684324e-9},
                        E[8] = {6.65790464350110377720e0,  5.46378491116411436990e0,
                                1.78482653991729133580e0,  2.96560571828504891230e-1,
                                2.65321895265761230930e-2, 1.24266094738807843860e-3,
                                2.71155556874348757815e-5, 2.01033439929228813265e-7},
                        F[8] = {1,
                                5.99832206555887937690e-1,
                                1.36929880922735805310e-1,
                                1.48753612908506148525e-2,
                                7.86869131145613259100e-4,
                                1.84631831751005468180e-5,
                                1.42151175831644588870e-7,
                                2.04426310338993978564e-15};
    if (!(p > 0 && p < 1))
        return (double)NAN;
    double q = p - 0.5;
    if (fabs(q) <= 0.425) {
        double r = 0.180625 - q * q;
        return q * polynomial(A, r) / polynomial(B, r);
    }
    double r = sqrt(-wa_log(q < 0 ? p : 1 - p));
    double z = r <= 5 ? polynomial(C, r - 1.6) / polynomial(D, r - 1.6)
                      : polynomial(E, r - 5) / polynomial(F, r - 5);
    return q < 0 ? -z : z;
}
