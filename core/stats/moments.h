/* moments.h - means and centred second moments of pairs, from exact sums. */
#ifndef STATS_MOMENTS_H
#define STATS_MOMENTS_H

#include "windassay/exact.h"

typedef struct pair_moments {
    size_t n, left_out;
    wa_dd mean_x, mean_y;
    wa_dd sxx, sxy, syy; /* sums of (x - mean x)^2, ...; exactly 0 where nothing varies */
} pair_moments;

/* Over the pairs of which neither is NaN. Fields are not finite where a value is not. */
void pair_moments_take(pair_moments *out, const double *x, const double *y, size_t n);

#endif
