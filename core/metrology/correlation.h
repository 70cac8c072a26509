/* correlation.h - matrices of correlation: are they possible, and their root. */
#ifndef METROLOGY_CORRELATION_H
#define METROLOGY_CORRELATION_H

#include "windassay/error.h"

#include <stddef.h>

/* The lower triangular root of an n x n correlation matrix (root root' = matrix), by Cholesky's
 * scheme; `root` may be NULL. Full correlation is fine: a pivot that rounding leaves of nothing
 * (below 1e-10 either way) counts as 0. WA_ERR_ARG where no quantities can be correlated so. */
wa_status correlation_root(double *root, const double *matrix, size_t n, wa_error *err);

#endif
