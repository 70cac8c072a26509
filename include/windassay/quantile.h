/* quantile.h - normal, Student t, beta, F and chi-squared distributions: probabilities and quantiles.
 *
 * The same bits on every machine (only the portable functions of base inside). Probabilities and
 * the quantiles of t, beta and chi-squared are worked out in double-double: the nearest double, as tested
 * against 50-digit arithmetic. The normal quantile is fast instead (it is what Monte Carlo turns
 * uniform numbers into) and within 4 units in the last place.
 *
 * An argument outside the domain gives NaN: callers turn that into "undefined".
 */
#ifndef WINDASSAY_QUANTILE_H
#define WINDASSAY_QUANTILE_H

#ifdef __cplusplus
extern "C" {
#endif

/** P(Z <= z); for the upper tail give -z. Also for infinite z. */
double wa_normal_cdf(double z);

/** The z with P(Z <= z) = p, 0 < p < 1. Wichura, algorithm AS 241 (PPND16), Applied Statistics 37,
 *  477 (1988). */
double wa_normal_quantile(double p);

/** P(T <= t) for `dof` >= 1 degrees of freedom, whole or not; infinite: the normal distribution.
 *  By the incomplete beta function; from 20000 degrees of freedom on by Hill's expansion
 *  (algorithm 395, Comm. ACM 13, 617, 1970). */
double wa_t_cdf(double t, double dof);

/** The t with P(T <= t) = p, 1e-100 <= p <= 1 - 2^-53. The coverage factor of a probability P is
 *  wa_t_quantile((1 + P) / 2, dof): JCGM 100:2008, table G.2. */
double wa_t_quantile(double p, double dof);

/** Regularised incomplete beta function I_x(a, b), 0 <= x <= 1, a and b from 0.01 to 1e6. */
double wa_beta_cdf(double x, double a, double b);

/** The x with I_x(a, b) = p, 0 < p < 1. 0 where x is below 1e-300. */
double wa_beta_quantile(double p, double a, double b);

/** The F with P(F <= f) = p of Fisher's ratio of two variances, by the beta quantile:
 *  f = dof2 x / (dof1 (1 - x)), x of a = dof1/2, b = dof2/2. Degrees of freedom from 1 to 2e6.
 *  Within some units in the last place. */
double wa_f_quantile(double p, double dof1, double dof2);

/** P(X <= x) of the sum of the squares of `dof` standard normal values, dof from 1 to 1e6, whole or
 *  not, by the incomplete gamma function; x >= 0. */
double wa_chi2_cdf(double x, double dof);

/** The x with P(X <= x) = p, 0 < p < 1. 0 where x is below 1e-290. */
double wa_chi2_quantile(double p, double dof);

#ifdef __cplusplus
}
#endif
#endif
