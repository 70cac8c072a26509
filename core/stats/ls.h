/* ls.h - weighted linear least squares in double-double: what the fits have in common.
 *
 * With an intercept, columns and y are taken from their weighted means first, which takes away
 * nearly all of the ill-conditioning of measured columns. The Gram matrix is summed exactly from
 * double-double products, solved by L D L', and the solution is refined on its own residuals.
 */
#ifndef STATS_LS_H
#define STATS_LS_H

#include "windassay/exact.h"
#include "windassay/fit.h"

typedef struct ls_data {
    size_t n, columns;
    const double *const *x; /* columns arrays of n                                 */
    const double *y;
    const double *weights;    /* NULL: all 1. 0 leaves a record out                  */
    const char *const *names; /* of the columns, for error texts; NULL: unnamed      */
    bool intercept;
} ls_data;

typedef struct ls_fit {
    size_t n, left_out, terms;
    wa_dd slope[WA_FIT_COLUMNS_MAX], intercept;
    wa_dd mean[WA_FIT_COLUMNS_MAX], mean_y, weight; /* weighted means, sum of weights       */
    wa_dd inverse[WA_FIT_COLUMNS_MAX][WA_FIT_COLUMNS_MAX]; /* of the (centred) Gram matrix  */
    wa_dd rss, yy, syy;                                    /* residuals, y, y - mean: squared */
    double r2_pearson;                                     /* NaN when not defined            */
} ls_fit;

/* WA_ERR_UNDEFINED with fewer than terms + 1 records, and as fit.h says. */
wa_status ls_solve(ls_fit *out, const ls_data *data, wa_error *err);

/* 1 - rss / total, NaN when total is 0. */
double ls_r2(wa_dd rss, wa_dd total);

/* Sums of a record's values that are double-doubles. */
void ls_add_dd(wa_exact *e, wa_dd v);

#endif
