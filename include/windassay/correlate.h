/* correlate.h - how two series hang together when one is moved against the other.
 *
 * r(k) is Pearson's correlation of a(t) with b(t + k) over the pairs that are both there, each
 * lag with its own means. A positive lag: b shows later what a shows. Rows are taken to be evenly
 * spaced, gaps being missing values, so series are whole grids and not cut columns.
 */
#ifndef WINDASSAY_CORRELATE_H
#define WINDASSAY_CORRELATE_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { WA_LAG_PAIRS_LEAST = 3 };

typedef struct wa_lag {
    int lag;         /* rows: where r is greatest; of equals the one nearest to 0           */
    double sub_lag;  /* vertex of the parabola through r(lag - 1), r(lag), r(lag + 1); NaN
                       where the greatest lies at the end of the range, a neighbour is not
                       defined, or all three are equal                                     */
    double greatest; /* r(lag)                                                             */
} wa_lag;

/** Where the parabola through (-1, before), (0, at), (1, after) is greatest, in -0.5 to 0.5 when
 *  `at` is the greatest of the three; NaN where it has no greatest value. */
double wa_parabola_vertex(double before, double at, double after);

/** Lags -within to within; `correlation` and `pairs` (may be NULL) take 2 within + 1 values, for
 *  the lag k at [within + k]. A correlation is NaN where fewer than WA_LAG_PAIRS_LEAST pairs are
 *  there or one side does not vary. With `differences` the first differences of both are
 *  correlated (sharper, blind to trends); a difference needs both of its values.
 *  WA_ERR_UNDEFINED: no lag has a correlation. WA_ERR_ARG: within is negative or not less than n. */
wa_status wa_correlate_lag(wa_lag *out, double *correlation, size_t *pairs, const double *a,
                           const double *b, size_t n, int within, bool differences, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
