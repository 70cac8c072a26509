/* fit.h - the fits: lines, planes, cosines and lines with errors in both variables.
 *
 * All take plain arrays of n values; a record in which a value is NaN (missing) is left out and
 * counted. Weighted sums are exact or carried in double-double (about 106 bits), so that results
 * do not hang on the order of the records and agree with 60-digit arithmetic to the last digit or
 * two. Names that end in _u are standard uncertainties (k = 1) from the scatter of the records
 * alone: they hold when residuals are independent, which 10-minute means are not.
 *
 * WA_ERR_UNDEFINED: too few records, no spread in x, columns that determine nothing, values that
 * are not finite or out of range. A field that is not defined although the fit is (a coefficient
 * of determination where y does not vary) is NaN; its comment says when.
 */
#ifndef WINDASSAY_FIT_H
#define WINDASSAY_FIT_H

#include "windassay/error.h"
#include "windassay/exact.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Coefficients of determination. The three differ, so that each is named:
 *  uncentred 1 - RSS / sum y^2;  centred 1 - RSS / sum (y - mean y)^2, which may be negative;
 *  pearson: squared correlation of y and the fitted values, blind to slope and offset.
 *  With weights, every sum and mean is weighted. */

/** y = slope x. slope = sum wxy / sum wx^2, s^2 = sum w (y - slope x)^2 / (n - 1),
 *  slope_u = s / sqrt(sum wx^2); w = 1 where there are no weights. */
typedef struct wa_origin_fit {
    size_t n, left_out, dof; /* dof = n - 1                                 */
    double slope, slope_u;   /* unit of y per unit of x                     */
    double residual_sd;      /* s, in the unit of y (of sqrt(w) y)          */
    double r2_uncentred;     /* NaN when all y are 0                        */
    double r2_centred;       /* NaN when all y are equal                    */
    double r2_pearson;       /* NaN when all y or all x are equal           */
} wa_origin_fit;

/** `weights` may be NULL; a record of weight 0 is left out. At least 2 records, not all x 0.
 *  WA_ERR_ARG: a weight negative or not finite. */
wa_status wa_fit_through_origin(wa_origin_fit *out, const double *x, const double *y,
                                const double *weights, size_t n, wa_error *err);

/** y = intercept + slope x by ordinary least squares; s^2 = RSS / (n - 2). */
typedef struct wa_line_fit {
    size_t n, left_out, dof; /* dof = n - 2                        */
    double slope, slope_u;
    double intercept, intercept_u;
    double covariance;  /* of slope and intercept             */
    double residual_sd; /* s, in the unit of y                */
    double r2_pearson;  /* NaN when all y are equal           */
    /* for wa_line_predict */
    wa_dd at, height, rise, spread, variance; /* mean x, mean y, slope, Sxx, s^2 */
} wa_line_fit;

/** At least 3 records, not all x equal. */
wa_status wa_fit_line(wa_line_fit *out, const double *x, const double *y, size_t n, wa_error *err);

/** The line at x and the standard uncertainty of that point of the line:
 *  u^2 = s^2 (1/n + (x - mean x)^2 / Sxx). JCGM 100:2008 H.3. */
wa_status wa_line_predict(double *value, double *u, const wa_line_fit *line, double x,
                          wa_error *err);

enum { WA_FIT_COLUMNS_MAX = 24, WA_FIT_TERMS_MAX = WA_FIT_COLUMNS_MAX + 1 };

/** y = sum coefficient[j] x[j] (+ intercept). The intercept, if there is one, is the last term. */
typedef struct wa_least_squares_fit {
    size_t n, left_out, dof; /* dof = n - terms */
    size_t columns, terms;   /* terms = columns (+ 1) */
    double coefficient[WA_FIT_TERMS_MAX], coefficient_u[WA_FIT_TERMS_MAX];
    double covariance[WA_FIT_TERMS_MAX][WA_FIT_TERMS_MAX];
    double residual_sd;
    double r2_uncentred, r2_centred, r2_pearson; /* NaN as in wa_origin_fit; pearson also when
                                                    all fitted values are equal */
} wa_least_squares_fit;

/** `names` (may be NULL) are for error texts. WA_ERR_UNDEFINED also when a column is a
 *  combination of the columns before it (less than 1e-12 of it is its own), naming it.
 *  WA_ERR_ARG: no column, or more than WA_FIT_COLUMNS_MAX. */
wa_status wa_fit_least_squares(wa_least_squares_fit *out, const double *y, const double *const *x,
                               const char *const *names, size_t columns, size_t n, bool intercept,
                               wa_error *err);

/** y = amplitude cos(d - direction) (+ offset), or with the cosine's absolute value (rectified:
 *  an instrument that is blind to the sign). Degrees. */
typedef struct wa_cosine_fit {
    size_t n, left_out, dof;       /* dof = n - 2, or n - 3 with an offset       */
    double direction, direction_u; /* degrees, 0 <= direction < 360              */
    double amplitude, amplitude_u; /* not negative; unit of y                    */
    double offset, offset_u;       /* NaN where no offset was asked for          */
    double residual_sd;
    double r2_pearson; /* of y and the fitted values; NaN when all y are equal */
} wa_cosine_fit;

typedef struct wa_cosine_options {
    bool rectified, offset;
    double near; /* rectified only: which of two opposite directions; NaN: the one with more
                    records within 90 degrees of it (0 <= direction < 180 when equal) */
} wa_cosine_options;

/** Linear least squares on the portable cosine and sine of d; the uncertainties by the law of
 *  propagation. Rectified: the sign of each record follows the fitted direction, from a start by
 *  cos 2d and sin 2d, until no sign changes. Undefined: too few records or directions, amplitude
 *  0, signs that do not settle. Method B1 of practice: "coarse" line-of-sight direction. */
wa_status wa_fit_cosine(wa_cosine_fit *out, const double *d, const double *y, size_t n,
                        const wa_cosine_options *options, wa_error *err);

/** Errors in both variables of known ratio = var(error of y) / var(error of x):
 *  slope = (Syy - ratio Sxx + sqrt((Syy - ratio Sxx)^2 + 4 ratio Sxy^2)) / (2 Sxy). */
typedef struct wa_deming_fit {
    size_t n, left_out, dof; /* dof = n - 2 */
    double slope, intercept;
    double slope_u, intercept_u; /* jackknife: each record left out in turn (Linnet, Clin. Chem.
                                    39, 424, 1993) */
} wa_deming_fit;

/** At least 3 records; undefined when x and y are uncorrelated or the line is vertical.
 *  WA_ERR_ARG: ratio not positive. */
wa_status wa_fit_deming(wa_deming_fit *out, const double *x, const double *y, size_t n,
                        double ratio, wa_error *err);

/** Errors in both variables, given for each record, possibly correlated. York, Evensen,
 *  Martinez, De Basabe Delgado, Am. J. Phys. 72, 367 (2004), equations 13. The uncertainties are
 *  those of the given errors, not scaled by the scatter: times sqrt(chi2 / dof) they are. */
typedef struct wa_york_fit {
    size_t n, left_out, dof; /* dof = n - 2; through the origin n - 1 */
    double slope, slope_u;
    double intercept, intercept_u;
    double covariance; /* of slope and intercept                        */
    double chi2;       /* sum W (y - intercept - slope x)^2, expected dof */
} wa_york_fit;

/** u_x, u_y: standard uncertainty of each x and y; correlation (may be NULL: 0) of the two errors
 *  of each record. WA_ERR_ARG: a negative uncertainty, |correlation| > 1.
 *  Undefined also when the iteration does not settle. */
wa_status wa_fit_york(wa_york_fit *out, const double *x, const double *y, const double *u_x,
                      const double *u_y, const double *correlation, size_t n, wa_error *err);

/** The same for a line through the origin, y = slope x: equations 13 with (0, 0) in place of the
 *  weighted means (own; the records and their mirror images about the origin give the same slope).
 *  dof = n - 1; intercept, its uncertainty and the covariance are 0. At least 2 records; undefined
 *  also where x is 0 in all. */
wa_status wa_fit_york_through_origin(wa_york_fit *out, const double *x, const double *y,
                                     const double *u_x, const double *u_y,
                                     const double *correlation, size_t n, wa_error *err);

/** Median of the slopes of all pairs with different x (exact, then rounded to the nearest double;
 *  mean of the two middle ones for an even number), and the median of y - slope x.
 *  Theil 1950; Sen, J. Am. Stat. Assoc. 63, 1379 (1968). */
typedef struct wa_theil_sen_fit {
    size_t n, left_out, dof; /* dof = n - 2 */
    double slope, intercept;
} wa_theil_sen_fit;

/** Takes about 70 n log n comparisons. At least 2 records with different x. */
wa_status wa_fit_theil_sen(wa_theil_sen_fit *out, const double *x, const double *y, size_t n,
                           wa_error *err);

/** Pearson's correlation of the records in which both are there. Undefined: fewer than 2, or no
 *  spread in one of them. */
wa_status wa_correlation(double *r, const double *x, const double *y, size_t n, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
