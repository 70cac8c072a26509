#include "metrology/correlation.h"

#include "base/dd.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

static wa_status check(const double *matrix, size_t n, wa_error *err)
{
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++) {
            double r = matrix[i * n + k];
            if (!(fabs(r) <= 1))
                return wa_fail(err, WA_ERR_ARG, "correlation %zu, %zu is %g, not within -1 to 1",
                               i + 1, k + 1, r);
            if (i == k && r < 1)
                return wa_fail(err, WA_ERR_ARG,
                               "correlation %zu, %zu is %g: of a quantity with itself it is 1",
                               i + 1, k + 1, r);
            if (r < matrix[k * n + i] || r > matrix[k * n + i])
                return wa_fail(err, WA_ERR_ARG,
                               "correlation %zu, %zu is %g, but %zu, %zu is %g: it must be "
                               "symmetric",
                               i + 1, k + 1, r, k + 1, i + 1, matrix[k * n + i]);
        }
    return WA_OK;
}

/* matrix[i][k] less what the columns before k explain. */
static double rest(const double *root, const double *matrix, size_t n, size_t i, size_t k)
{
    wa_dd sum = wa_dd_of(matrix[i * n + k]);
    for (size_t j = 0; j < k; j++)
        sum = wa_dd_sub(sum, wa_two_product(root[i * n + j], root[k * n + j]));
    return sum.hi;
}

static wa_status factor(double *root, const double *matrix, size_t n, wa_error *err)
{
    const double nothing = 1e-10;
    for (size_t k = 0; k < n; k++) {
        double pivot = rest(root, matrix, n, k, k);
        bool is_zero = pivot < nothing;
        root[k * n + k] = is_zero ? 0 : sqrt(pivot);
        bool bad = pivot < -nothing;
        for (size_t i = 0; i < n; i++) {
            double left = i > k ? rest(root, matrix, n, i, k) : 0;
            bad = bad || (is_zero && fabs(left) > 1e-5); /* root of `nothing` */
            if (i != k)
                root[i * n + k] = is_zero || i < k ? 0 : left / root[k * n + k];
        }
        if (bad)
            return wa_fail(err, WA_ERR_ARG,
                           "no quantities can have these correlations (the matrix is not positive "
                           "semidefinite at row %zu)",
                           k + 1);
    }
    return WA_OK;
}

wa_status correlation_root(double *root, const double *matrix, size_t n, wa_error *err)
{
    wa_status s = check(matrix, n, err);
    if (s != WA_OK)
        return s;
    double *own = calloc(n * n + 1, sizeof *own);
    if (own == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    s = factor(own, matrix, n, err);
    for (size_t i = 0; s == WA_OK && root != NULL && i < n * n; i++)
        root[i] = own[i];
    free(own);
    return s;
}
