/* monte_carlo.h - propagation of distributions (JCGM 101:2008).
 *
 * Inputs are drawn, a model is applied to columns of trials, and the outputs are sorted: mean,
 * standard uncertainty, and two coverage intervals of a probability p. Random numbers: MT19937 of
 * a seed (random.h), one uniform number for each input of each trial in that order (two or more
 * for a t); normal by wa_normal_quantile, t by Bailey's polar method (Math. Comp. 62, 779, 1994),
 * correlated normals by Cholesky's root of their correlation. The same seed gives the same bits on
 * any machine.
 */
#ifndef WINDASSAY_MONTE_CARLO_H
#define WINDASSAY_MONTE_CARLO_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum wa_distribution_kind {
    WA_NORMAL,      /* scale: standard deviation                                          */
    WA_RECTANGULAR, /* scale: half width                                                  */
    WA_TRIANGULAR,  /* scale: half width                                                  */
    WA_U_SHAPED,    /* arcsine; scale: half width                                         */
    WA_STUDENT_T    /* scaled and shifted t of `dof`; scale: its scale (JCGM 101, 6.4.9)  */
} wa_distribution_kind;

typedef struct wa_distribution {
    wa_distribution_kind kind;
    double centre, scale, dof;
} wa_distribution;

/** The model over columns: y[t] from x[i][t], i < n, for `trials` trials. */
typedef wa_status wa_column_model(double *y, const double *const *x, size_t n, size_t trials,
                                  void *context, wa_error *err);

enum { WA_TRIALS_BLOCK = 10000 };

typedef struct wa_monte_carlo {
    const wa_distribution *input;
    size_t n;
    const double *correlation; /* n x n; NULL: independent. Only normal inputs correlate         */
    uint32_t seed;             /* 1 or more                                                      */
    double probability;        /* of the intervals                                               */
    size_t trials;             /* 0: as many as the adaptive procedure needs (7.9)               */
    int digits;                /* adaptive: significant digits of u that must settle, 1 or 2     */
    size_t most;               /* adaptive: trials at most                                       */
    double *values;            /* room for `trials` or `most` values; they come back sorted      */
    double *scratch;           /* room for n WA_TRIALS_BLOCK values                              */
} wa_monte_carlo;

typedef struct wa_trials {
    size_t trials;
    double mean, u;                     /* u divides by trials - 1                             */
    double low, high;                   /* probabilistically symmetric interval (7.7)          */
    double shortest_low, shortest_high; /* shortest interval (5.3.4, 7.7.4)                    */
    double tolerance; /* adaptive: the numerical tolerance (7.9.2) that all four met; else 0    */
} wa_trials;

/**
 * Runs the trials. WA_ERR_ARG: arguments out of range, correlations that are not possible or not
 * between normals, too few trials for the probability. WA_ERR_UNDEFINED: the model gives what is
 * not finite; or, adaptive, the results have not settled after `most` trials.
 */
wa_status wa_monte_carlo_run(wa_trials *out, const wa_monte_carlo *mc, wa_column_model *model,
                             void *context, wa_error *err);

/** Half a unit of the last of 1 or 2 significant decimal digits of a standard uncertainty: what a
 *  result is to be trusted to (7.9.2). 0 for u = 0. */
double wa_numerical_tolerance(double u, int digits);

#ifdef __cplusplus
}
#endif
#endif
