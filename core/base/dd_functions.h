/* dd_functions.h - exponential and logarithm in double-double, some 2^-100 of relative error: for
 * results that are combined further before they are rounded. */
#ifndef BASE_DD_FUNCTIONS_H
#define BASE_DD_FUNCTIONS_H

#include "base/dd.h"

/* exp(x) = (result) * 2^shift for |x| < 800. */
wa_dd wa_exp_dd(wa_dd x, int *shift);

/* log(x) for finite x > 0. */
wa_dd wa_log_dd(double x);

#endif
