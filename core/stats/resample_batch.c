/* Many resamples at once. One after the other they jump through the whole sample, each block into
 * memory that the cache has lost; so the blocks of many are drawn first, and added region by region.
 * The sums are whole numbers: their order changes nothing. */
#include "stats/resample_whole.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    REGION = 2048,     /* records; with their parts some 150 KB                      */
    BLOCKS = 1 << 17,  /* a batch is full when it has so many                        */
    TALLIES = 1 << 11, /* bins of all its resamples: what the cache holds beside it  */
};

typedef struct block {
    uint32_t start, n, resample;
} block;

typedef struct batch {
    const rs_whole *w;
    block *drawn, *sorted; /* in order of drawing, of region               */
    size_t n;
    size_t *region; /* the blocks of region k begin at region[k]          */
    size_t n_regions;
    rs_tally *tally; /* groups of each resample                            */
    size_t most;     /* resamples of a batch                               */
    wa_dd *sums;     /* of one resample                                    */
    size_t *count;
} batch;

static wa_status batch_make(batch *b, const rs_whole *w, wa_error *err)
{
    size_t groups = w->s->groups, room = BLOCKS + w->s->n; /* a resample has at most n blocks */
    size_t most = groups < TALLIES ? TALLIES / groups : 1, regions = w->s->n / REGION + 1;
    *b = (batch){.w = w,
                 .drawn = malloc(room * sizeof *b->drawn),
                 .sorted = malloc(room * sizeof *b->sorted),
                 .region = malloc((regions + 1) * sizeof *b->region),
                 .n_regions = regions,
                 .tally = malloc(most * groups * sizeof *b->tally),
                 .most = most,
                 .sums = malloc(2 * groups * sizeof *b->sums),
                 .count = malloc(groups * sizeof *b->count)};
    bool good = b->drawn && b->sorted && b->region && b->tally && b->sums && b->count;
    return good ? WA_OK : wa_no_memory(err);
}

static void batch_release(batch *b)
{
    free(b->drawn);
    free(b->sorted);
    free(b->region);
    free(b->tally);
    free(b->sums);
    free(b->count);
}

static void draw_one(batch *b, rs_blocks *blocks, size_t resample)
{
    size_t all = b->w->s->n;
    for (size_t have = 0; have < all;) {
        size_t start, n, left = all - have;
        rs_blocks_draw(blocks, &start, &n);
        n = n < left ? n : left;
        b->drawn[b->n++] = (block){(uint32_t)start, (uint32_t)n, (uint32_t)resample};
        have += n;
    }
}

static void sort_by_region(batch *b)
{
    size_t at = 0;
    memset(b->region, 0, (b->n_regions + 1) * sizeof *b->region);
    for (size_t i = 0; i < b->n; i++)
        b->region[b->drawn[i].start / REGION]++;
    for (size_t k = 0; k <= b->n_regions; k++) {
        size_t here = b->region[k];
        b->region[k] = at;
        at += here;
    }
    for (size_t i = 0; i < b->n; i++)
        b->sorted[b->region[b->drawn[i].start / REGION]++] = b->drawn[i];
}

/* The values of as many resamples as a batch has; how many they are. */
static size_t draw_batch(batch *b, double *values, size_t times, rs_blocks *blocks)
{
    const rs_sample *s = b->w->s;
    size_t n = 0;
    b->n = 0;
    while (n < times && n < b->most && b->n < BLOCKS)
        draw_one(b, blocks, n++);
    sort_by_region(b);
    memset(b->tally, 0, n * s->groups * sizeof *b->tally);
    for (size_t i = 0; i < b->n; i++) {
        const block *k = &b->sorted[i];
        rs_whole_add(b->tally + k->resample * s->groups, b->w, k->start, k->n);
    }
    for (size_t i = 0; i < n; i++) {
        rs_whole_sums(b->sums, b->count, b->w, b->tally + i * s->groups);
        if (!rs_value(&values[i], s, b->sums, b->count))
            values[i] = (double)NAN;
    }
    return n;
}

wa_status rs_whole_draw(double *values, size_t times, const rs_whole *w, rs_blocks *blocks,
                        wa_error *err)
{
    batch b;
    wa_status status = batch_make(&b, w, err);
    for (size_t done = 0; status == WA_OK && done < times;)
        done += draw_batch(&b, values + done, times - done, blocks);
    batch_release(&b);
    return status;
}
