/* scan.h - the residual scan: how the residuals of a line of sight hang on its assumed direction.
 *
 * Model: y = gain x cos(d - psi) (+ offset), with x the projected size (reference speed times the
 * cosine of the tilt), d the reference direction, psi the candidate. For each psi the fit over gain
 * (and offset) leaves
 *
 *   RSS(psi) = sum (y - gain(psi) x cos(d - psi) (- offset(psi)))^2.
 *
 * x cos(d - psi) = cos psi p + sin psi q with p = x cos d, q = x sin d: every candidate is a point
 * on a line through the origin of the plane of coefficients (A, B) of y = A p + B q (+ offset).
 * So one pass over the records gives all candidates. With A, B, RSS_min from least squares and
 * Q the inverse of the Gram matrix of p and q (around their means with an offset):
 *
 *   RSS(psi) = RSS_min + (A sin psi - B cos psi)^2 / D(psi),
 *   gain(psi) = (Q_BB A cos psi - Q_AB (A sin psi + B cos psi) + Q_AA B sin psi) / D(psi),
 *   D(psi) = Q_AA sin^2 psi - 2 Q_AB sin psi cos psi + Q_BB cos^2 psi.
 *
 * The smallest RSS of all directions is RSS_min itself, at psi = atan2(B, A): exact, no search.
 * Nothing cancels, for the part above RSS_min is computed as such.
 *
 * Source: line-of-sight direction by RSS, public DTU method (Borraccino, Courtney, Wagner, Remote
 * Sens. 8(11), 907, 2016; procedure recalled); the closed form is our own. Degrees.
 */
#ifndef WINDASSAY_SCAN_H
#define WINDASSAY_SCAN_H

#include "windassay/error.h"
#include "windassay/exact.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct wa_scan {
    size_t n, left_out, dof;       /* dof = n - 2, or n - 3 with an offset                       */
    double direction, direction_u; /* of the smallest RSS: 0 <= direction < 360; u by propagation */
    double gain;                   /* there; not negative                                        */
    double offset;                 /* there; NaN where none was asked for                        */
    double rss;                    /* the smallest                                               */
    /* for wa_scan_at */
    wa_dd a, b, least, mean_p, mean_q, mean_y;
    wa_dd inverse[2][2];
    bool has_offset;
} wa_scan;

/** Over the n records of which no value is NaN. WA_ERR_UNDEFINED: fewer than 3 records (4 with an
 *  offset), directions that do not differ (a sector of a point), gain 0. */
wa_status wa_scan_make(wa_scan *out, const double *direction, const double *x, const double *y,
                       size_t n, bool offset, wa_error *err);

/** RSS, gain and offset at a candidate direction. `offset` is NaN where none was asked for. Each
 *  output may be NULL. WA_ERR_UNDEFINED: not finite. */
wa_status wa_scan_at(double *rss, double *gain, double *offset, const wa_scan *scan, double psi,
                     wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
