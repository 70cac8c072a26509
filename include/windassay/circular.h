/* circular.h - statistics of directions in degrees.
 *
 * Every direction becomes a unit vector of 62-bit fixed-point sine and cosine, which are summed
 * as integers: no order of rows changes a result, and 350 and 10 average to 0, not to 180 or 360.
 * Missing values (NaN) are left out. With C and S the means of cosine and sine:
 *
 *   resultant         R = sqrt(C^2 + S^2)
 *   mean              direction of (C, S), in [0, 360)
 *   sd                sqrt(-2 ln R) radians, in degrees (Mardia and Jupp, "Directional
 *                     Statistics", 2000, section 2.3)
 *   yamartino_sd      asin(e) (1 + (2/sqrt 3 - 1) e^3), e = sqrt(1 - R^2), in degrees (Yamartino,
 *                     J. Climate Appl. Meteor. 23, 1362, 1984); at most 103.92
 *   angular_deviation sqrt(2 (1 - R)) radians, in degrees (Batschelet, "Circular Statistics in
 *                     Biology", 1981; recalled)
 *
 * WA_ERR_UNDEFINED: no values, or (for mean and sd) a resultant below 1e-9, where directions
 * cancel and no mean is left.
 */
#ifndef WINDASSAY_CIRCULAR_H
#define WINDASSAY_CIRCULAR_H

#include "windassay/error.h"
#include "windassay/int128.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

wa_status wa_circular_mean(double *out, const double *deg, size_t n, wa_error *err);
wa_status wa_circular_resultant(double *out, const double *deg, size_t n, wa_error *err);
wa_status wa_circular_sd(double *out, const double *deg, size_t n, wa_error *err);
wa_status wa_circular_yamartino_sd(double *out, const double *deg, size_t n, wa_error *err);
wa_status wa_circular_angular_deviation(double *out, const double *deg, size_t n, wa_error *err);

/** All of the above from sums of wa_sincos_fixed over n directions. Where the resultant is below
 *  1e-9, `defined` is false and mean and sd are not set (0). A spread below some 1e-7 degree is
 *  finer than the fixed-point sums and counts as 0. */
typedef struct wa_circular {
    bool defined;
    double mean, resultant, sd, yamartino_sd, angular_deviation;
} wa_circular;

/** WA_ERR_UNDEFINED when n is 0. */
wa_status wa_circular_of(wa_circular *out, wa_int128 sum_sine, wa_int128 sum_cosine, uint64_t n,
                         wa_error *err);

/** a - b on the circle, in (-180, 180]: how far clockwise a lies from b. NaN for NaN. */
double wa_circular_difference(double a, double b);

#ifdef __cplusplus
}
#endif
#endif
