/* resample_means.h - statistics of the means of complete bins, as exact sums over bins: so that one
 * bin can change without looking at the others. */
#ifndef STATS_RESAMPLE_MEANS_H
#define STATS_RESAMPLE_MEANS_H

#include "stats/resample_sums.h"

typedef struct rs_means {
    const rs_sample *s;
    wa_exact sum[4]; /* of x, y, x x and x y around the centre; the first two of a line only */
    size_t n;        /* complete bins                                                        */
    size_t first;    /* the one whose means are a line's centre                              */
    double cx, cy;
} rs_means;

/* The means of a bin with these sums, rounded as a comparison gives them. */
void rs_mean(double *x, double *y, const wa_dd sums[2], size_t count);

/* Those of all complete bins. */
void rs_means_take(rs_means *m, const rs_sample *s, const wa_dd *sums, const size_t *count);

/* Adds the means of a bin, or takes them away. */
void rs_means_add(rs_means *m, double x, double y);
void rs_means_take_away(rs_means *m, double x, double y);

/* The statistic; false where it is not defined. */
bool rs_means_value(double *out, const rs_means *m);

#endif
