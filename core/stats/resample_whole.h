/* resample_whole.h - the sums of a sample in bins as whole numbers.
 *
 * A double is a whole number times a power of two. Where all x and y that lie in bins are multiples
 * of one power of two, and no sum of as many of them as there are records needs more than 100 bits
 * of it, adding them in double-double (106 bits) rounds nothing. Their order then changes nothing
 * either, so that whole numbers give the same sums, and what neighbours come to in each bin is
 * added up once and not for every block that they lie in.
 */
#ifndef STATS_RESAMPLE_WHOLE_H
#define STATS_RESAMPLE_WHOLE_H

#include "stats/resample_blocks.h"
#include "stats/resample_sums.h"
#include "windassay/int128.h"

typedef struct rs_pair {
    wa_int128 x, y;
} rs_pair;

/* What a piece of neighbours has in one bin. */
typedef struct rs_part {
    rs_pair sum;
    uint32_t bin, count;
} rs_part;

typedef struct rs_whole {
    const rs_sample *s;
    double unit;     /* the power of two                           */
    rs_pair *record; /* n: x and y in units; 0 outside of the bins */
    rs_part *part;   /* those of piece k: from[k]..from[k + 1]     */
    size_t *from;
} rs_whole;

/* What a bin got of the blocks that were added. */
typedef struct rs_tally {
    rs_pair sum;
    size_t count;
} rs_tally;

/* The exponent of the power of two; false where 100 bits do not do. */
bool rs_whole_fits(int *exponent, const rs_sample *s);

/* Of a sample that fits. `w` is to be released also when this fails. */
wa_status rs_whole_make(rs_whole *w, const rs_sample *s, int exponent, wa_error *err);
void rs_whole_release(rs_whole *w);

/* Adds n records from `start` on to the tallies of the bins. */
void rs_whole_add(rs_tally *bins, const rs_whole *w, size_t start, size_t n);

/* The tallies as the sums (2 a bin) and counts that rs_value takes. */
void rs_whole_sums(wa_dd *sums, size_t *count, const rs_whole *w, const rs_tally *bins);

/* The values of resamples (resample_batch.c), NaN where not defined: the same as one after the
 * other, in an order that the processor's cache likes. */
wa_status rs_whole_draw(double *values, size_t times, const rs_whole *w, rs_blocks *blocks,
                        wa_error *err);

#endif
