/* resample_blocks.h - runs without a gap, and blocks drawn from them (resample.h says how). */
#ifndef STATS_RESAMPLE_BLOCKS_H
#define STATS_RESAMPLE_BLOCKS_H

#include "windassay/resample.h"

typedef struct rs_run {
    size_t start, n;
    uint64_t below; /* the weights of this run and of those before it */
} rs_run;

typedef struct rs_blocks {
    wa_random *random;
    rs_run *runs;
    size_t n_runs, length, blocks; /* blocks: different ones that can be drawn */
} rs_blocks;

/* Of n records (at least one) at these times. A length of 0: by the rule in resample.h.
 * WA_ERR_UNDEFINED: fewer than two blocks. `b` is to be released also when this fails. */
wa_status rs_blocks_make(rs_blocks *b, const double *time, double interval, size_t n, size_t length,
                         uint32_t seed, wa_error *err);
void rs_blocks_release(rs_blocks *b);

/* The next block: its first record, and how many it has. */
void rs_blocks_draw(rs_blocks *b, size_t *start, size_t *n);

#endif
