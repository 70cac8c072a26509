/* unit.h - units of measurement: UDUNITS spellings, exact conversion.
 *
 * A unit is a product of powers of base units with an exact rational scale, and for the
 * temperatures an exact rational offset. A plane angle is a dimension of its own (base: degree),
 * as is a level (base: dB), so that neither passes for a pure number. The radian, 180/pi degrees,
 * carries its pi as a power beside the rational scale.
 *
 * Conversions are exact until the last rounding; those between degree and radian are computed
 * with 106 bits and then rounded.
 *
 * Spellings: names and symbols of UDUNITS-2 for the units of wind measurement (the table in
 * core/stats/unit_table.c), joined by blank, '.', '*' or '/', powers as "m2", "m^2", "m**2",
 * "s-1"; '/' divides by the next factor only ("m/s/s", "W/(m2 K)"). Factors from: SI brochure
 * (9th ed. 2019) tables 4 to 8; knot, mile, foot, degree Fahrenheit: NIST SP 811 (2008) B.8.
 */
#ifndef WINDASSAY_UNIT_H
#define WINDASSAY_UNIT_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { WA_UNIT_DIMENSIONS = 8, WA_UNIT_TEXT = 32 };

/** What wa_unit.power counts. The power of pi is part of the size, not of the dimensions. */
enum {
    WA_POWER_M,
    WA_POWER_KG,
    WA_POWER_S,
    WA_POWER_K,
    WA_POWER_ANGLE, /* degree */
    WA_POWER_LEVEL, /* dB     */
    WA_POWER_A,
    WA_POWER_PI
};

/** Plain data; two units with equal contents but other texts are equal units. */
typedef struct wa_unit {
    int8_t power[WA_UNIT_DIMENSIONS]; /* as WA_POWER_M ... say                            */
    int64_t scale_num, scale_den;     /* value in base units = value * num/den + offset   */
    int64_t offset_num, offset_den;
    char text[WA_UNIT_TEXT]; /* as it is printed: "m s-1"; "1" for a pure number          */
} wa_unit;

/** The pure number. */
wa_unit wa_unit_one(void);

/** The degree, in which directions and angles are held. */
wa_unit wa_unit_degree(void);

/** Reads a UDUNITS spelling: "m/s", "m s-1", "m.s^-1", "degree", "degC", "%", "hPa", "dB", "knot".
 *  The text of the unit is its one way of printing ("m s-1" for "m/s").
 *  WA_ERR_ARG with the nearest known name for what it does not know. */
wa_status wa_unit_parse(wa_unit *out, const char *text, wa_error *err);

bool wa_unit_equal(const wa_unit *a, const wa_unit *b);      /* same size and zero          */
bool wa_unit_comparable(const wa_unit *a, const wa_unit *b); /* same dimensions             */
bool wa_unit_is_one(const wa_unit *a);                       /* the pure number itself      */
bool wa_unit_has_zero(const wa_unit *a);                     /* degC, degF: an own zero     */

/** The one unit that is used inside for what has the dimensions of `unit`: m s-1, degree, degC,
 *  hPa, dB, else the unit itself. Pure numbers stay as they are written: a ratio of 0.98, a count
 *  and a humidity in % have nothing in common but their dimension. */
wa_unit wa_unit_inside(const wa_unit *unit);

/** One value from a unit to another, rounded once. WA_ERR_ARG when the dimensions differ. */
wa_status wa_unit_convert(double *out, double x, const wa_unit *from, const wa_unit *to,
                          wa_error *err);

/** The same for n values; NaN and infinities stay NaN. `out` may be `x`. */
wa_status wa_unit_convert_all(double *out, const double *x, size_t n, const wa_unit *from,
                              const wa_unit *to, wa_error *err);

/** The same as y = x * slope + offset with both rounded to double: for statistics.
 *  Differences and standard deviations convert by the slope alone. */
wa_status wa_unit_affine(double *slope, double *offset, const wa_unit *from, const wa_unit *to,
                         wa_error *err);

/* The unit of a product, quotient, whole power; WA_ERR_ARG for offsets (degC * m) or overflow. */
wa_status wa_unit_multiply(wa_unit *out, const wa_unit *a, const wa_unit *b, wa_error *err);
wa_status wa_unit_divide(wa_unit *out, const wa_unit *a, const wa_unit *b, wa_error *err);
wa_status wa_unit_power(wa_unit *out, const wa_unit *a, int p, wa_error *err);
wa_status wa_unit_root(wa_unit *out, const wa_unit *a, wa_error *err); /* even powers only */

/** The unit of a difference of two values: K for degC, degR (5/9 K) for degF; else the unit itself. */
wa_unit wa_unit_difference(const wa_unit *a);

#ifdef __cplusplus
}
#endif
#endif
