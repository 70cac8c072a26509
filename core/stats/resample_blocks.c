#include "stats/resample_blocks.h"

#include <stdlib.h>

size_t wa_resample_cube_root(size_t n)
{
    size_t k = 0;
    while (k < 2642245 && k * k * k < n) /* the next cube does not fit 64 bits */
        k++;
    return k;
}

void rs_blocks_release(rs_blocks *b)
{
    wa_random_free(b->random);
    free(b->runs);
    *b = (rs_blocks){0};
}

static void find_runs(rs_blocks *b, const double *time, double interval, size_t n)
{
    uint64_t below = 0;
    for (size_t i = 0; i < n; i++) {
        if (i == 0 || time[i] - time[i - 1] != interval)
            b->runs[b->n_runs++] = (rs_run){.start = i};
        b->runs[b->n_runs - 1].n++;
    }
    for (size_t k = 0; k < b->n_runs; k++) {
        rs_run *r = &b->runs[k];
        below += r->n > b->length ? r->n : b->length;
        r->below = below;
        b->blocks += r->n > b->length ? r->n - b->length + 1 : 1;
    }
}

wa_status rs_blocks_make(rs_blocks *b, const double *time, double interval, size_t n, size_t length,
                         uint32_t seed, wa_error *err)
{
    bool long_enough = n >= 10 * (size_t)WA_RESAMPLE_DAY;
    if (length == 0)
        length = long_enough ? WA_RESAMPLE_DAY : wa_resample_cube_root(n);
    *b = (rs_blocks){.length = length < n ? length : n, .runs = calloc(n, sizeof *b->runs)};
    if (b->runs == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory for resampling");
    find_runs(b, time, interval, n);
    if (b->blocks < 2) {
        wa_status status =
            wa_fail(err, WA_ERR_UNDEFINED,
                    "resampling: %zu records without a gap are one block of %zu: nothing to draw",
                    n, b->length);
        return wa_hint(err, status,
                       "shorter blocks: their length is at most a tenth of the records, or better");
    }
    return wa_random_new(&b->random, seed, err);
}

void rs_blocks_draw(rs_blocks *b, size_t *start, size_t *n)
{
    uint64_t at = wa_random_below(b->random, b->runs[b->n_runs - 1].below);
    size_t low = 0, high = b->n_runs - 1;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (b->runs[middle].below > at)
            high = middle;
        else
            low = middle + 1;
    }
    const rs_run *r = &b->runs[low];
    *start = r->start;
    *n = r->n;
    if (r->n > b->length) {
        *start += wa_random_below(b->random, r->n - b->length + 1);
        *n = b->length;
    }
}

wa_status wa_resample_rows(size_t *rows, double *times, const double *time, double interval_s,
                           size_t n, size_t length, uint32_t seed, wa_error *err)
{
    rs_blocks b = {0};
    if (n == 0)
        return wa_fail(err, WA_ERR_UNDEFINED, "resampling: there is no record to draw from");
    wa_status s = rs_blocks_make(&b, time, interval_s, n, length, seed, err);
    double at = s == WA_OK ? time[0] : 0;
    for (size_t have = 0; s == WA_OK && have < n;) {
        size_t start, taken;
        rs_blocks_draw(&b, &start, &taken);
        for (size_t k = 0; k < taken && have < n; k++, at += interval_s) {
            rows[have] = start + k;
            times[have++] = at;
        }
        at += interval_s; /* a gap: what was apart stays apart */
    }
    rs_blocks_release(&b);
    return s;
}
