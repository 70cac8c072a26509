/* scaled.h - mean and standard deviation of decimals kept as integers.
 *
 * A sample -12.345 is the integer -12345 at scale 3. Sums of such integers are exact, so the mean
 * is one division of integers and the variance comes from the exact n * sum(x^2) - sum(x)^2.
 */
#ifndef BASE_SCALED_H
#define BASE_SCALED_H

#include "windassay/exact.h"
#include "windassay/int128.h"

enum { WA_SCALE_MAX = 18 };

/* numerator / denominator rounded once to a double; denominator above 0 and below 2^127. */
double wa_ratio(wa_int128 numerator, wa_uint128 denominator);

/* Mean of n values with this sum, times 10^-scale, rounded once. n from 1 to 2^63, scale from 0
 * to WA_SCALE_MAX. */
double wa_scaled_mean(uint64_t n, wa_int128 sum, int scale);

/* Standard deviation, times 10^-scale, finished in double-double. WA_ERR_UNDEFINED: fewer than 2
 * values (1 with WA_DIVISOR_N). WA_ERR_ARG: n * squares does not fit into 127 bits (it does for
 * values below 2^31 with n below 2^32), or the sums cannot be those of n values. */
wa_status wa_scaled_sd(double *sd, uint64_t n, wa_int128 sum, wa_uint128 squares, int scale,
                       wa_divisor divisor, wa_error *err);

#endif
