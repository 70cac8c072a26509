/* propagate.h - the law of propagation of uncertainty (JCGM 100:2008, 5.1.2 and 5.2.2).
 *
 * A model turns n inputs into m outputs. To first order, with s_ai = c_ai u_i,
 *
 *   covariance of y_a and y_b = sum_ij s_ai s_bj r_ij
 *
 * The sensitivities c_ai = dy_a / dx_i are numeric: central differences with steps u_i, u_i/2,
 * u_i/4, ... (u_i = 0: from 2^-10 |x_i|, or 2^-10), extrapolated to step 0 by Richardson's scheme;
 * of all entries of the table the one that its neighbours confirm best is taken (Ridders,
 * Adv. Eng. Software 4, 75, 1982). For smooth models that leaves some ten digits.
 */
#ifndef WINDASSAY_PROPAGATE_H
#define WINDASSAY_PROPAGATE_H

#include "windassay/error.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { WA_INPUTS_MAX = 50, WA_OUTPUTS_MAX = 50 };

/** The model: `outputs` values of y at the n inputs x. Anything but WA_OK ends the propagation. */
typedef wa_status wa_model(double *y, size_t outputs, const double *x, size_t n, void *context,
                           wa_error *err);

typedef struct wa_input {
    double value;
    double u;   /* standard uncertainty, not negative                            */
    double dof; /* degrees of freedom of u, 1 or more; infinite: known           */
} wa_input;

/** Results go where the caller says; any but `value` and `u` may be NULL. */
typedef struct wa_propagated {
    double *value;       /* m                                                      */
    double *u;           /* m                                                      */
    double *dof;         /* m: Welch-Satterthwaite (G.4.1), which supposes independent inputs:
                              NaN where an input with finitely many is correlated with another */
    double *covariance;  /* m x m                                                  */
    double *sensitivity; /* m x n                                                  */
} wa_propagated;

/**
 * Propagates. `correlation` is n x n (NULL: independent); it must be symmetric, 1 on its diagonal
 * and possible (positive semidefinite). WA_ERR_ARG: it is not, an uncertainty below 0, fewer than
 * 1 degree of freedom, too many inputs or outputs. WA_ERR_UNDEFINED: the model gives what is not
 * finite at an input or one step beside it.
 */
wa_status wa_propagate(const wa_propagated *out, wa_model *model, void *context, size_t outputs,
                       const wa_input *x, size_t n, const double *correlation, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
