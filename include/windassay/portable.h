/* portable.h - sine to power with the same bits on every machine.
 *
 * The libm of one machine differs from another's in the last bit, and a last bit can flip a
 * printed digit. These functions use only + - * / sqrt and fma, each rounded once by the
 * standard, in double-double inside; the result is the double nearest to the exact value, as
 * tested against MPFR (tests/unit/test_portable.c): not one of 10^5 arguments a function wrong.
 * Angles are degrees, reduced without error, so that sin 30 = 0.5, cos 90 = 0, tan 45 = 1 and
 * sin 720000000000090 = 1. No result is minus zero.
 *
 * An argument outside the domain, or not finite, gives NaN: callers turn that into "undefined".
 * Method: tables at 106 bits and short series (Muller, "Elementary Functions", 3rd ed. 2016, ch. 4
 * and 6); the table is made by tests/reference/tables.py.
 */
#ifndef WINDASSAY_PORTABLE_H
#define WINDASSAY_PORTABLE_H

#include "windassay/error.h"
#include "windassay/int128.h"

#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

double wa_sin_deg(double deg);
double wa_cos_deg(double deg);
void wa_sincos_deg(double deg, double *sine, double *cosine);
double wa_tan_deg(double deg);           /* NaN at the poles: odd multiples of 90      */
double wa_asin_deg(double x);            /* -90 to 90; NaN for |x| > 1                 */
double wa_acos_deg(double x);            /* 0 to 180; NaN for |x| > 1                  */
double wa_atan2_deg(double y, double x); /* -180 to 180, direction of the point (x, y) from the
                                            x axis; NaN for (0, 0); (0, -1) gives 180   */

double wa_exp(double x); /* infinity above 709.78, 0 below -745.13            */
double wa_log(double x); /* natural logarithm; NaN for x <= 0                 */

/** x to the power y. NaN for a negative x unless y is an integer, and for x = 0 with y < 0;
 *  x^0 = 1, also 0^0. Infinity where the result is out of range, 0 where it is too small. */
double wa_pow(double x, double y);

/** Sine and cosine times 2^62 as the nearest integers: summed as integers, directions average
 *  to the same bits in any order. Both are 0 for a direction that is not finite. */
void wa_sincos_fixed(double deg, int64_t *sine62, int64_t *cosine62);

/** Vector mean of n directions from the sums of wa_sincos_fixed: direction in degrees, 0 <= d <
 *  360, and length of the mean resultant, 0 to 1 (Mardia and Jupp, "Directional Statistics",
 *  2000, 2.2). Either output may be NULL. WA_ERR_UNDEFINED when n is 0 or the resultant is below
 *  1e-9: the directions cancel and have no mean. */
wa_status wa_direction_from_fixed(wa_int128 sum_sine, wa_int128 sum_cosine, uint64_t n,
                                  double *direction, double *resultant, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
