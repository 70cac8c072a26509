/* tails.h - tail probabilities in double-double, shared by the distributions. */
#ifndef STATS_TAILS_H
#define STATS_TAILS_H

#include "windassay/exact.h"

/* P(Z > z). */
wa_dd normal_upper(wa_dd z);

/* I_x(a, b) with y = 1 - x given apart, so that neither side cancels; a, b > 0. */
wa_dd beta_lower(wa_dd x, wa_dd y, double a, double b);

/* Natural logarithms of x > 0, and of the gamma function of z > 0. */
wa_dd log_of_dd(wa_dd x);
wa_dd log_gamma_dd(wa_dd z);

/* The double nearest to the x in [low, high] at which `above` turns from false to true; it must be
 * false just below low. Both of one sign. */
double first_above(bool (*above)(const void *context, wa_dd x), const void *context, double low,
                   double high);

#endif
