/* rolling.h - what the neighbours of a row say: median and spread in a window about it.
 *
 * The window of row i are the rows i - h to i + h, h = (n - 1) / 2, n odd. Left out of it are
 * rows beyond the ends, missing values, and rows that a gap parts from row i: where the column
 * knows its times, a gap is any step that is larger than the smallest between two neighbours. The
 * result is missing where fewer than h + 1 values remain, the half of the window and one more; so
 * it is there in the first row of a whole column, whose window has just these.
 *
 * A median of directions has no meaning where they lie about north.
 */
#ifndef WINDASSAY_ROLLING_H
#define WINDASSAY_ROLLING_H

#include "windassay/column.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The median of the window; of an even number of values the middle of the two in the middle. Away
 *  from ends and gaps it is Tukey's running median ("Exploratory Data Analysis", 1977, ch. 7).
 *  out->at must not be a->at and have room for as many values; out has a's unit. WA_ERR_ARG: n is
 *  even or not in 1 to WA_ROLLING_MAX. */
wa_status wa_rolling_median(wa_column *out, const wa_column *a, int64_t n, wa_error *err);

/** The median distance of the window's values from their median, without a factor (times 1.4826 it
 *  estimates the standard deviation of normal values: Hampel, J. Am. Stat. Assoc. 69, 383, 1974).
 *  Otherwise as above; of a column in degC it is in K. */
wa_status wa_rolling_mad(wa_column *out, const wa_column *a, int64_t n, wa_error *err);

/** The widest window: a week of ten-minute intervals and a row. */
enum { WA_ROLLING_MAX = 1009 };

#ifdef __cplusplus
}
#endif
#endif
