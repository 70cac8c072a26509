/* reconstruct.h - the wind from the line-of-sight speeds of several beams.
 *
 * Each beam b sees the wind's component along its unit vector n_b, v_b = n_b . p; the wind p is
 * the weighted least-squares answer of all beams of one record, by normal equations in
 * double-double. Axes and signs (they decide everything, so they are fixed):
 *
 *   nacelle  x upwind, y left when looking upwind, z up. Azimuth from x, positive to the left;
 *            n = (cos azimuth cos elevation, sin azimuth cos elevation, sin elevation). Speeds are
 *            positive towards the lidar; (u, v, w) is the vector that the wind comes FROM: u > 0
 *            from ahead, v > 0 from the left. direction = atan2(v, u) in (-180, 180]: the yaw
 *            misalignment, positive when the wind comes from the left.
 *   earth    x east, y north, z up. Azimuth clockwise from north;
 *            n = (sin azimuth cos elevation, cos azimuth cos elevation, sin elevation). Speeds are
 *            positive away from the instrument; (u, v, w) is where the wind blows TO, w upwards.
 *            direction = atan2(-u, -v) in [0, 360): where the wind comes from.
 *
 * Tilt p and roll r of the instrument turn every beam, n' = R_y(-p) R_x(r) n in the axes
 * (forward, left, up), forward being x of the nacelle and north of the earth frame: a tilt of +1
 * degree raises a forward beam by sin 1 deg = 0.0174524, a positive roll lowers the right side.
 *
 * Source: weighted linear least squares, any textbook; signs as in docs/reference/methods.md,
 * after the use of IEC 61400-50-3 (recalled). GSL and 40-digit arithmetic are the second opinion.
 */
#ifndef WINDASSAY_RECONSTRUCT_H
#define WINDASSAY_RECONSTRUCT_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum wa_wind_frame { WA_WIND_EARTH, WA_WIND_NACELLE } wa_wind_frame;

/** Which unknowns there are.
 *  UVW    u, v, w; the same at all beams.
 *  UV     u, v; w is taken as 0.
 *  SHEAR  u, v at the height `at`, and the exponent a of v_b = (height_b / at)^a (n_x u + n_y v);
 *         w is taken as 0. Gauss-Newton from the answer of UV and a = 0.1. */
typedef enum wa_wind_model { WA_WIND_UVW, WA_WIND_UV, WA_WIND_SHEAR } wa_wind_model;

enum { WA_BEAMS_MAX = 1000 };

typedef struct wa_beam {
    double azimuth, elevation; /* degrees                                                  */
    double height;             /* m, SHEAR only                                            */
    double weight;             /* of its squared residual; not negative                    */
    double u;                  /* standard uncertainty of its speed, independent of others */
    double u_common;           /* the part that all beams share (correlation 1, signed):
                                  they were calibrated against one reference               */
} wa_beam;

typedef struct wa_wind_setup {
    wa_wind_frame frame;
    wa_wind_model model;
    const wa_beam *beam;
    size_t beams;
    double at; /* m, SHEAR only: the height of the answer */
    /** false: covariance = (A' W A)^-1, that of weights 1 / u^2 (weights of 1: for a standard
     *  uncertainty of 1 of each speed). true: G U G' with U = diag(u^2) + u_common u_common',
     *  G = (A' W A)^-1 A' W. */
    bool uncertainties;
} wa_wind_setup;

/** Why a record has no wind. */
typedef enum wa_wind_reason {
    WA_WIND_IS_THERE = 0,
    WA_WIND_TOO_FEW_BEAMS,  /* fewer beams than unknowns have a speed        */
    WA_WIND_NOT_DETERMINED, /* the beams that have one do not determine it   */
    WA_WIND_NO_ATTITUDE,    /* tilt or roll is missing                       */
    WA_WIND_NO_SOLUTION,    /* the shear exponent does not settle            */
    WA_WIND_REASONS
} wa_wind_reason;

/** "fewer beams than unknowns" and so on; "" for WA_WIND_IS_THERE. */
const char *wa_wind_reason_text(wa_wind_reason reason);

/** The wind of one record. All numbers are NaN where `reason` says that there is none. */
typedef struct wa_wind {
    wa_wind_reason reason;
    size_t beams;                /* that have a speed in this record                            */
    double p[3];                 /* UVW u, v, w; UV u, v, NaN; SHEAR u, v, exponent             */
    double covariance[3][3];     /* of p; NaN beside the unknowns                            */
    double speed, direction;     /* horizontal; direction NaN where the speed is 0           */
    double speed_u, direction_u; /* from the covariance, degrees; NaN at speed 0         */
    double condition;            /* of sqrt(W) A: largest by smallest singular value          */
    double residual_sd; /* sqrt(sum w r^2 / (beams - unknowns)); NaN with no beam to spare */
} wa_wind;

/** Largest condition number that is answered: beyond it an error of 1e-6 m/s in a speed can be one
 *  of 1 m/s in the wind, and the geometry does not determine the answer. */
#define WA_WIND_CONDITION_MOST 1e6

/** out[i] from speed[b][i], b < beams, i < n. A missing (NaN) speed drops that beam for that
 *  record. `tilt` and `roll`: one value a record in degrees, or NULL for 0.
 *  WA_ERR_UNDEFINED: all beams together do not determine the unknowns, with the reason.
 *  WA_ERR_ARG: no or too many beams, an angle, weight, uncertainty or height out of range. */
wa_status wa_reconstruct_wind(wa_wind *out, const wa_wind_setup *setup, const double *const *speed,
                              const double *tilt, const double *roll, size_t n, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
