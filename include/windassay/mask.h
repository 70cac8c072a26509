/* mask.h - true, false or unknown for every row of a column.
 *
 * A comparison with a missing value is unknown. & | ~ follow Kleene, "Introduction to
 * Metamathematics" (1952), section 64: unknown & false = false, unknown | true = true, else what
 * hangs on an unknown is unknown.
 *
 * Bounds are operands: a number said with a unit that can be converted to the column's; a bare
 * number only where the column is a pure number; or a column. As in column.h, out->at must have
 * room, and outputs stay as they were on failure.
 */
#ifndef WINDASSAY_MASK_H
#define WINDASSAY_MASK_H

#include "windassay/column.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum wa_comparison { WA_BELOW, WA_ABOVE, WA_EQUALS } wa_comparison;

/** Below: a < bound. Above: a > bound. Equals: a == bound. */
wa_status wa_mask_compare(wa_mask *out, wa_comparison c, const wa_column *a,
                          const wa_operand *bound, wa_error *err);

/** lower <= a < upper. WA_ERR_ARG also where two numbers are not in order. */
wa_status wa_mask_between(wa_mask *out, const wa_column *a, const wa_operand *lower,
                          const wa_operand *upper, wa_error *err);

/** Directions in [from, to) clockwise, across north where from > to. The bounds are degrees;
 *  from and to must differ; 0 to 360 is the whole circle. */
wa_status wa_mask_in_sector(wa_mask *out, const wa_column *a, double from, double to,
                            wa_error *err);

/** True where a is missing, else false; never unknown. */
void wa_mask_missing(wa_mask *out, const wa_column *a);

/** True for every row of a run of n or more equal values in direct succession (n at least 2), the
 *  first of the run included; a missing value ends a run and is unknown itself. */
wa_status wa_mask_unchanged(wa_mask *out, const wa_column *a, int64_t n, wa_error *err);

wa_status wa_mask_and(wa_mask *out, const wa_mask *a, const wa_mask *b, wa_error *err);
wa_status wa_mask_or(wa_mask *out, const wa_mask *a, const wa_mask *b, wa_error *err);
void wa_mask_not(wa_mask *out, const wa_mask *a);

/** Spreads to n rows before and after: true where any row within n is true, else unknown where
 *  any is unknown. out->at must not be a->at. WA_ERR_ARG for n < 0. */
wa_status wa_mask_grow(wa_mask *out, const wa_mask *a, int64_t n, wa_error *err);

/** True where a has been true for n rows in direct succession, this one the last (n at least 1);
 *  false where fewer rows stand before it, or any of them is false; else unknown where any is
 *  unknown. Where the mask knows its times, a gap (a step larger than the smallest) ends a
 *  succession. out->at must not be a->at. */
wa_status wa_mask_held(wa_mask *out, const wa_mask *a, int64_t n, wa_error *err);

/** A state that `on` sets and `off` resets: in each row on | (~off & the row before), by Kleene.
 *  Before the first row it is false; after a gap (as above) it is unknown if it was not false. Where
 *  both are true it is on. Used for hysteresis. out->at must not be on->at or off->at. */
wa_status wa_mask_latch(wa_mask *out, const wa_mask *on, const wa_mask *off, wa_error *err);

/** Rows in the given state (WA_FALSE, WA_TRUE, WA_UNKNOWN). */
size_t wa_mask_count(const wa_mask *a, uint8_t state);

#ifdef __cplusplus
}
#endif
#endif
