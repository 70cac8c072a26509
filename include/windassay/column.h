/* column.h - a row of numbers with a unit, and what formulas do with it.
 *
 * A column is a view: the numbers belong to whoever made them. NaN is "missing" and exists only
 * inside C; whatever is computed from a missing value is missing, and so is what is not finite
 * (a division by zero, the root of a negative number).
 *
 * Units are checked, never assumed:
 *   + and -   need units of the same dimensions; the right side is converted to the left side's.
 *             degC - degC gives K; other sums of units with a zero of their own are refused.
 *   * and /   multiply units; * and / with a number keep the unit. degC is refused.
 *   ^         whole powers of a unit, and 0.5 where the root is a unit; any power of pure numbers.
 *   exp, log  take pure numbers (percent is converted); sqrt takes the root of the unit.
 *
 * Every function with an `out` column expects out->at to hold room for the result's n values,
 * sets out's n, unit, side and time, and leaves out as it was on failure. `out->at` may be the
 * `at` of an input. `time` of a result is borrowed from its first input that has one.
 */
#ifndef WINDASSAY_COLUMN_H
#define WINDASSAY_COLUMN_H

#include "windassay/error.h"
#include "windassay/unit.h"

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Whose measurement a column holds; a computed column has the sides of all its inputs. */
enum { WA_SIDE_NONE = 0, WA_SIDE_UNIT = 1, WA_SIDE_REFERENCE = 2, WA_SIDE_BOTH = 3 };

typedef struct wa_column {
    double *at; /* n values; NaN: missing                                             */
    size_t n;
    wa_unit unit;
    uint8_t side;       /* WA_SIDE_...                                                */
    const double *time; /* starts of the intervals, s since 1970, or NULL             */
} wa_column;

/** Three-valued truth (Kleene), one byte a value. */
enum { WA_FALSE = 0, WA_TRUE = 1, WA_UNKNOWN = 2 };

typedef struct wa_mask {
    uint8_t *at; /* n bytes, WA_FALSE, WA_TRUE or WA_UNKNOWN                           */
    size_t n;
    uint8_t sides;      /* of all columns that were compared                                */
    const double *time; /* as a column's: of the intervals that are judged, or NULL        */
} wa_mask;

typedef enum wa_operator { WA_ADD, WA_SUBTRACT, WA_MULTIPLY, WA_DIVIDE, WA_POWER } wa_operator;

/** What stands on one side of an operator: a column, or one number for every row. */
typedef struct wa_operand {
    const wa_column *column; /* NULL: the number                                       */
    double number;
    bool has_unit; /* the number was said with a unit: { 0.5, "m/s" }                  */
    wa_unit unit;
} wa_operand;

/** out = a OP b; at least one side is a column. WA_ERR_ARG: units, lengths or intervals differ. */
wa_status wa_column_combine(wa_column *out, wa_operator op, const wa_operand *a,
                            const wa_operand *b, wa_error *err);

/** The unit of a OP b and nothing else: what wa_column_combine would give (used where formulas
 *  are checked before there are data). For WA_POWER b must be a number. */
wa_status wa_operator_unit(wa_unit *out, wa_operator op, const wa_operand *a, const wa_operand *b,
                           wa_error *err);

typedef enum wa_function {
    WA_NEGATE,
    WA_ABS,
    WA_SQRT,
    WA_EXP,
    WA_LOG,
    WA_SIN, /* of an angle in any unit; a pure number is taken as degrees */
    WA_COS,
    WA_TAN,
    WA_ASIN, /* of a pure number; gives degrees */
    WA_ACOS
} wa_function;

/** out = F(a), one value a row. */
wa_status wa_column_apply(wa_column *out, wa_function f, const wa_column *a, wa_error *err);

/** out = direction of the point (x, y) from the x axis in degrees, -180 to 180; y and x have
 *  comparable units. */
wa_status wa_column_atan2(wa_column *out, const wa_operand *y, const wa_operand *x, wa_error *err);

/** out = a - b on the circle in degrees, in (-180, 180]; the caller has seen to the units. */
wa_status wa_column_difference(wa_column *out, const wa_operand *a, const wa_operand *b,
                               wa_error *err);

/** out = a in another unit. */
wa_status wa_column_to(wa_column *out, const wa_column *a, const wa_unit *unit, wa_error *err);

/** out[i] = a[i - n]: the value n rows earlier (later for negative n); missing beyond the ends. */
void wa_column_lag(wa_column *out, const wa_column *a, int64_t n);

/** out = the values of a where the mask is true; out->at needs wa_mask_count(mask, WA_TRUE)
 *  values; `time` needs as many where a has times, else it is NULL and not used. */
wa_status wa_column_where(wa_column *out, double *time, const wa_column *a, const wa_mask *mask,
                          wa_error *err);

/** WA_ERR_ARG unless both have the same number of rows and, where both know them, the same
 *  intervals. `what` names the operation in the message. */
wa_status wa_column_aligned(const wa_column *a, const wa_column *b, const char *what,
                            wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
