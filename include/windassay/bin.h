/* bin.h - the method of bins: records sorted into bins of a reference quantity.
 *
 * A bin includes its lower edge and not its upper one. Bins of a width have their centres on
 * multiples of the width (shifted by centred_on); the edges lie half a width to both sides. Edges
 * and centres are worked out in decimals and are the doubles nearest to them: with a width of 0.5
 * they are exact, with 0.1 the edge 0.35 is the double that a file's "0.35" is read as, so that a
 * logged value on an edge always falls into the bin above it.
 *
 * A bin is complete when it holds at_least records. The statistic of an incomplete bin is missing
 * (NaN), and so is one for which fewer than at_least values of the column are there (or fewer
 * than 2 where a standard deviation is in it).
 */
#ifndef WINDASSAY_BIN_H
#define WINDASSAY_BIN_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { WA_BINS_MAX = 100000, WA_NO_BIN = -1, WA_BIN_UNKNOWN = -2 };

/** Either edges, or width with the centres of the lowest and the highest bin. */
typedef struct wa_bin_spec {
    double width, lowest, highest;
    double centred_on;   /* a centre; 0: multiples of the width                    */
    const double *edges; /* edge_count of them, rising; NULL: by width             */
    size_t edge_count;
    size_t at_least; /* records that a bin needs; 0 counts as 1                    */
} wa_bin_spec;

typedef struct wa_bins {
    size_t n;           /* bins                                                  */
    size_t records;     /* of the reference that they were made from             */
    size_t at_least;    /* as used: 1 or more                                    */
    double *edge;       /* n + 1                                                 */
    double *centre;     /* n                                                     */
    size_t *count;      /* n: records in the bin                                 */
    size_t *days;       /* n: distinct UTC days among them; NULL without times   */
    bool *complete;     /* n                                                     */
    int32_t *of_record; /* records: bin from 0, WA_NO_BIN outside all bins,
                             WA_BIN_UNKNOWN where the reference is missing         */
    size_t *order;      /* the records of bin k are order[start[k]..start[k+1]) */
    size_t *start;      /* n + 1                                                 */
} wa_bins;

/** Sorts n records by `reference` (NaN: missing). `time` (s since 1970) may be NULL. On success
 *  the caller owns *out: wa_bins_free. WA_ERR_ARG: a width not above 0, centres that are not on the
 *  grid, edges that do not rise, more than WA_BINS_MAX bins, numbers with too many digits. */
wa_status wa_bins_make(wa_bins **out, const double *reference, const double *time, size_t n,
                       const wa_bin_spec *spec, wa_error *err);
void wa_bins_free(wa_bins *bins);

/** Bins lie in one piece of memory of this size. */
size_t wa_bins_size(const wa_bins *bins);

/** Copies them into a piece of that size (aligned as malloc aligns), which is not freed by
 *  wa_bins_free but by whoever made it. Returns the copy. */
wa_bins *wa_bins_copy(void *to, const wa_bins *bins);

typedef enum wa_bin_statistic {
    WA_BIN_MEAN,
    WA_BIN_SD,             /* divisor N - 1                       */
    WA_BIN_RMS,            /* root of the mean square             */
    WA_BIN_STANDARD_ERROR, /* sd / sqrt(N)                        */
    WA_BIN_MIN,
    WA_BIN_MAX
} wa_bin_statistic;

/** One value a bin into out[0..bins->n). `x` has bins->records values. WA_ERR_UNDEFINED: a value
 *  is not finite. */
wa_status wa_bins_statistic(double *out, const wa_bins *bins, wa_bin_statistic which,
                            const double *x, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
