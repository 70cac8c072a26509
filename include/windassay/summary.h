/* summary.h - what a row of numbers comes to: mean, sd, quantiles, autocorrelation.
 *
 * Missing values (NaN) are left out. Sums are exact (exact.h), so no order of rows can change a
 * result; means are rounded once, sd and autocorrelation are finished in double-double. What is
 * not defined - too few values, no spread - is WA_ERR_UNDEFINED and never NaN or zero. Results
 * are in the unit of x, the autocorrelation and counts are pure numbers.
 */
#ifndef WINDASSAY_SUMMARY_H
#define WINDASSAY_SUMMARY_H

#include "windassay/error.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Values that are not missing. */
size_t wa_summary_count(const double *x, size_t n);

/** At least one value. */
wa_status wa_summary_mean(double *out, const double *x, size_t n, wa_error *err);
/** The sum of no values is 0; WA_ERR_UNDEFINED only when it is out of range. */
wa_status wa_summary_sum(double *out, const double *x, size_t n, wa_error *err);
wa_status wa_summary_min(double *out, const double *x, size_t n, wa_error *err);
wa_status wa_summary_max(double *out, const double *x, size_t n, wa_error *err);

/** The root of sum (x - mean)^2 / (N - 1); at least two values. */
wa_status wa_summary_sd(double *out, const double *x, size_t n, wa_error *err);

/** Quantile p in [0, 1] of R's type 7 (Hyndman and Fan, "Sample quantiles in statistical
 *  packages", The American Statistician 50, 361, 1996): with h = (N - 1) p and k = floor h, the
 *  value x[k] + (h - k)(x[k+1] - x[k]) of the sorted values, k from 0. At least one value.
 *  `scratch` holds n doubles; x itself is not touched. */
wa_status wa_summary_quantile(double *out, const double *x, size_t n, double p, double *scratch,
                              wa_error *err);

/** The quantile 0.5. */
wa_status wa_summary_median(double *out, const double *x, size_t n, double *scratch, wa_error *err);

/**
 * Autocorrelation at `lag` rows, as NIST defines it (e-Handbook of Statistical Methods, 1.3.3.1):
 * sum over pairs (x[i] - m)(x[i+lag] - m) divided by the sum over all values of (x[i] - m)^2.
 * A pair with a missing value is left out of the sum above. `time` (s, may be NULL): then a pair
 * counts only when its times are exactly lag times the smallest step of `time` apart, so that a
 * gap in a cut column joins no strangers. WA_ERR_UNDEFINED: no pair, or no spread.
 * WA_ERR_ARG: lag below 1.
 */
wa_status wa_summary_autocorrelation(double *out, const double *x, const double *time, size_t n,
                                     size_t lag, wa_error *err);

/** Independent values that N correlated ones are worth: N (1 - r)/(1 + r) with r the
 *  autocorrelation at lag 1, at most N (a negative r is not believed). The approximation for a
 *  first-order autoregressive series, "common practice"; Wilks, "Statistical Methods in the
 *  Atmospheric Sciences" (recalled). WA_ERR_UNDEFINED as the autocorrelation. */
wa_status wa_summary_effective_count(double *out, const double *x, const double *time, size_t n,
                                     wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
