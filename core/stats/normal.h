/* normal.h - normal equations of two or three unknowns in double-double. */
#ifndef STATS_NORMAL_H
#define STATS_NORMAL_H

#include "windassay/exact.h"

#include <stdbool.h>
#include <stddef.h>

enum { NORMAL_MOST = 3 };

/* m is symmetric and filled wholly; n is 2 or 3. */
typedef struct normal {
    size_t n;
    wa_dd m[NORMAL_MOST][NORMAL_MOST];
} normal;

/* Adds w a a'. */
void normal_add(normal *to, const wa_dd *a, double w);

/* The root of largest by smallest eigenvalue: the condition number of sqrt(W) A. Infinity where
 * the smallest is not above 0. */
double normal_condition(const normal *of);

/* The inverse of a matrix whose condition is finite. */
void normal_invert(normal *inverse, const normal *of);

/* x = m right. */
void normal_times(wa_dd *x, const normal *m, const wa_dd *right);

#endif
