/* decimal.h - small exact decimals behind doubles, for numbers that a person wrote. */
#ifndef STATS_DECIMAL_H
#define STATS_DECIMAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Finds integers and the least number of decimals (0 to 16) so that each x[i] is the double
 * nearest to scaled[i] 10^-digits, all below 10^15 in size. False when there are none. */
bool decimals_of(int64_t *scaled, int *digits, const double *x, size_t n);

/* The double nearest to scaled / by 10^-digits; |scaled| below 2^53, by 1 or 2, digits to 16. */
double decimal_value(int64_t scaled, int by, int digits);

#endif
