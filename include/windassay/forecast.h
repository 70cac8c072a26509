/* forecast.h - how long until enough has come, from how much came so far.
 *
 * Records come in spells: weather that brings one brings more. Blocks (days) are taken as
 * independent, and the records of a block as spells of the size
 *
 *   phi = s^2 / m, at least 1
 *
 * with m and s^2 the mean and the variance (divisor n - 1) of the counts of whole blocks: the index
 * of dispersion, 1 for a Poisson process (McCullagh and Nelder, Generalized Linear Models, 2nd ed.,
 * 1989, 6.2.3, over-dispersed counts; recalled). So K = total / phi spells came in `elapsed` blocks,
 * and Q = missing / phi (at least 1/2) more are waited for. With Jeffreys' prior of a Poisson rate,
 * the waiting time T for Q more has the predictive distribution
 *
 *   T = elapsed Q / (K + 1/2) F(2 Q, 2 K + 1)
 *
 * (a ratio of two gamma variables is an F variable: Johnson, Kotz and Balakrishnan, Continuous
 * Univariate Distributions, vol. 2, chapter 27; recalled). What is taken for granted: the weather
 * to come is like the weather that was, and a block knows nothing of the one before it. Spells that
 * last longer than a block make the truth less certain than the interval says.
 */
#ifndef WINDASSAY_FORECAST_H
#define WINDASSAY_FORECAST_H

#include "windassay/error.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** What came so far, and what is waited for. */
typedef struct wa_arrivals {
    const double *count; /* of each whole block                                        */
    size_t n;            /* whole blocks                                               */
    double total;        /* all that came, in parts of blocks too                      */
    double elapsed;      /* blocks, whole or not, in which they came                   */
    double missing;      /* above 0                                                    */
    double most;         /* what one block can bring at most: no wait is shorter       */
} wa_arrivals;

/** More blocks until it is there: the median, and between which it lies with the probability. */
typedef struct wa_forecast {
    double low, middle, high;
} wa_forecast;

/** WA_ERR_UNDEFINED where fewer than 2 whole blocks are there, or nothing came. */
wa_status wa_forecast_wait(wa_forecast *out, const wa_arrivals *a, double probability,
                           wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
