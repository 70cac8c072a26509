/* The moving-block bootstrap. */
#include "windassay/resample.h"

#include "base/dd.h"
#include "stats/resample_sums.h"
#include "windassay/summary.h"

#include <math.h>
#include <stdlib.h>

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory for resampling");
}

size_t wa_resample_cube_root(size_t n)
{
    size_t k = 0;
    while (k < 2642245 && k * k * k < n) /* the next cube does not fit 64 bits */
        k++;
    return k;
}

/* ---- blocks -------------------------------------------------------------------------------- */

typedef struct run {
    size_t start, n;
    uint64_t below; /* the weights of this run and of those before it */
} run;

typedef struct drawing {
    const rs_sample *s;
    wa_random *random;
    run *runs;
    size_t n_runs, length, blocks;
    wa_dd *block_sums; /* width of them for each record that a block begins with; NULL in bins */
    wa_exact *part;    /* width: of a block that is cut short */
    wa_dd *sums;       /* of the resample */
    size_t *count;
} drawing;

static void drawing_release(drawing *d)
{
    wa_random_free(d->random);
    free(d->runs);
    free(d->block_sums);
    free(d->part);
    free(d->sums);
    free(d->count);
}

static bool neighbours(const rs_sample *s, size_t i)
{
    return s->time[i] - s->time[i - 1] == s->interval;
}

static void find_runs(drawing *d)
{
    const rs_sample *s = d->s;
    uint64_t below = 0;
    for (size_t i = 0; i < s->n; i++) {
        if (i == 0 || !neighbours(s, i))
            d->runs[d->n_runs++] = (run){.start = i};
        d->runs[d->n_runs - 1].n++;
    }
    for (size_t k = 0; k < d->n_runs; k++) {
        run *r = &d->runs[k];
        below += r->n > d->length ? r->n : d->length;
        r->below = below;
        d->blocks += r->n > d->length ? r->n - d->length + 1 : 1;
    }
}

/* The sums of every block that can be drawn: what leaves at the front is taken away exactly. */
static void sum_blocks(drawing *d)
{
    const rs_sample *s = d->s;
    for (size_t k = 0; k < d->n_runs; k++) {
        const run *r = &d->runs[k];
        wa_exact window[RS_WIDTH_MAX] = {{{0}, 0, false}};
        size_t length = r->n < d->length ? r->n : d->length;
        for (size_t i = 0; i < r->n; i++) {
            rs_add(s, window, r->start + i);
            if (i + 1 < length)
                continue;
            size_t first = r->start + i + 1 - length;
            for (size_t w = 0; w < s->width; w++)
                d->block_sums[first * s->width + w] = wa_exact_round_dd(&window[w]);
            rs_take_away(s, window, first);
        }
    }
}

static wa_status drawing_make(drawing *d, const rs_sample *s, const wa_resample_options *o,
                              wa_error *err)
{
    size_t root = wa_resample_cube_root(s->n);
    *d = (drawing){.s = s,
                   .length = o->length > 0                          ? o->length
                             : s->n >= 10 * (size_t)WA_RESAMPLE_DAY ? WA_RESAMPLE_DAY
                                                                    : root,
                   .runs = calloc(s->n, sizeof *d->runs),
                   .part = calloc(s->width, sizeof *d->part),
                   .sums = calloc(s->groups * s->width, sizeof *d->sums),
                   .count = calloc(s->groups, sizeof *d->count)};
    if (!d->runs || !d->part || !d->sums || !d->count)
        return no_memory(err);
    if (d->length > s->n)
        d->length = s->n;
    find_runs(d);
    if (d->blocks < 2) {
        wa_status status =
            wa_fail(err, WA_ERR_UNDEFINED,
                    "resampling: %zu records without a gap are one block of %zu: nothing to draw",
                    s->n, d->length);
        return wa_hint(err, status,
                       "shorter blocks: their length is at most a tenth of the "
                       "records, or better");
    }
    if (s->bins == NULL) {
        d->block_sums = malloc(s->n * s->width * sizeof *d->block_sums);
        if (d->block_sums == NULL)
            return no_memory(err);
        sum_blocks(d);
    }
    return wa_random_new(&d->random, o->seed, err);
}

static void draw_block(drawing *d, size_t *start, size_t *n)
{
    uint64_t at = wa_random_below(d->random, d->runs[d->n_runs - 1].below);
    size_t low = 0, high = d->n_runs - 1;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (d->runs[middle].below > at)
            high = middle;
        else
            low = middle + 1;
    }
    const run *r = &d->runs[low];
    *start = r->start;
    *n = r->n;
    if (r->n > d->length) {
        *start += wa_random_below(d->random, r->n - d->length + 1);
        *n = d->length;
    }
}

/* Adds a block whose sums are there, or its first n records. */
static void add_whole(drawing *d, size_t start, size_t n)
{
    for (size_t w = 0; w < d->s->width; w++)
        d->sums[w] = wa_dd_add(d->sums[w], d->block_sums[start * d->s->width + w]);
    d->count[0] += n;
}

static void add_part(drawing *d, size_t start, size_t n)
{
    for (size_t w = 0; w < d->s->width; w++)
        d->part[w] = (wa_exact){{0}, 0, false};
    for (size_t i = start; i < start + n; i++)
        rs_add(d->s, d->part, i);
    for (size_t w = 0; w < d->s->width; w++)
        d->sums[w] = wa_dd_add(d->sums[w], wa_exact_round_dd(&d->part[w]));
    d->count[0] += n;
}

/* In bins, each record goes to its own sums (of x and y). */
static void add_binned(drawing *d, size_t start, size_t n)
{
    const rs_sample *s = d->s;
    const int32_t *bin = s->bins->of_record;
    for (size_t i = start; i < start + n; i++) {
        if (bin[i] < 0)
            continue;
        wa_dd *sum = &d->sums[2 * (size_t)bin[i]];
        sum[0] = wa_dd_add_d(sum[0], s->x[i]);
        sum[1] = wa_dd_add_d(sum[1], s->y[i]);
        d->count[bin[i]]++;
    }
}

static double draw(drawing *d)
{
    const rs_sample *s = d->s;
    double value;
    for (size_t k = 0; k < s->groups * s->width; k++)
        d->sums[k] = wa_dd_of(0);
    for (size_t g = 0; g < s->groups; g++)
        d->count[g] = 0;
    for (size_t have = 0; have < s->n;) {
        size_t start, n, left = s->n - have;
        draw_block(d, &start, &n);
        size_t taken = n < left ? n : left;
        if (s->bins != NULL)
            add_binned(d, start, taken);
        else if (taken == n)
            add_whole(d, start, n);
        else
            add_part(d, start, taken);
        have += taken;
    }
    return rs_value(&value, s, d->sums, d->count) ? value : (double)NAN;
}

static wa_status summarise(wa_resampled *r, double coverage, wa_error *err)
{
    size_t defined = wa_summary_count(r->values, r->times);
    r->undefined = r->times - defined;
    if (defined < 2)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "resampling: the statistic is defined in %zu of %zu resamples", defined,
                       r->times);
    double *scratch = malloc(r->times * sizeof *scratch), tail = (1 - coverage) / 2;
    if (scratch == NULL)
        return no_memory(err);
    wa_status s = wa_summary_sd(&r->standard_error, r->values, r->times, err);
    if (s == WA_OK)
        s = wa_summary_quantile(&r->low, r->values, r->times, tail, scratch, err);
    if (s == WA_OK)
        s = wa_summary_quantile(&r->high, r->values, r->times, 1 - tail, scratch, err);
    free(scratch);
    return s;
}

static wa_status check_options(const wa_resample_options *o, wa_error *err)
{
    if (o->times < 2 || o->times > WA_RESAMPLE_TIMES_MAX)
        return wa_fail(err, WA_ERR_ARG, "resampling: %zu times: it must be from 2 to %d", o->times,
                       WA_RESAMPLE_TIMES_MAX);
    if (!(o->coverage > 0 && o->coverage < 1))
        return wa_fail(err, WA_ERR_ARG, "resampling: a coverage of %g: it lies between 0 and 1",
                       o->coverage);
    return WA_OK;
}

/* Fills r, which holds nothing yet. */
static wa_status resample(wa_resampled *r, const rs_sample *sample, const wa_resample_options *o,
                          wa_error *err)
{
    rs_totals t = {0};
    drawing d = {0};
    wa_status s = rs_totals_make(&t, sample, err);
    if (s == WA_OK)
        s = rs_estimate(&r->estimate, &t, err);
    if (s == WA_OK)
        s = rs_error_of_records(&r->standard_error_iid, &t, err);
    if (s == WA_OK)
        s = drawing_make(&d, sample, o, err);
    if (s == WA_OK && (r->values = malloc(o->times * sizeof *r->values)) == NULL)
        s = no_memory(err);
    if (s == WA_OK) {
        r->n = sample->n;
        r->left_out = sample->left_out;
        r->runs = d.n_runs;
        r->blocks = d.blocks;
        r->length = d.length;
        r->times = o->times;
        for (size_t i = 0; i < o->times; i++)
            r->values[i] = draw(&d);
        s = summarise(r, o->coverage, err);
    }
    rs_totals_release(&t);
    drawing_release(&d);
    return s;
}

wa_status wa_resample_blocks(wa_resampled **out, const wa_resample_data *data,
                             const wa_resample_options *options, wa_error *err)
{
    rs_sample sample;
    wa_status s = check_options(options, err);
    if (s == WA_OK)
        s = rs_sample_make(&sample, data, err);
    if (s != WA_OK)
        return s;
    wa_resampled *r = calloc(1, sizeof *r);
    s = r == NULL ? no_memory(err) : resample(r, &sample, options, err);
    rs_sample_release(&sample);
    if (s == WA_OK)
        *out = r;
    else
        wa_resampled_free(r);
    return s;
}

void wa_resampled_free(wa_resampled *r)
{
    if (r != NULL)
        free(r->values);
    free(r);
}
