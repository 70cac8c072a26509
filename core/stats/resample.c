/* The moving-block bootstrap. */
#include "windassay/resample.h"

#include "base/dd.h"
#include "stats/resample_blocks.h"
#include "stats/resample_sums.h"
#include "stats/resample_whole.h"
#include "windassay/summary.h"

#include <math.h>
#include <stdlib.h>

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory for resampling");
}

typedef struct drawing {
    const rs_sample *s;
    rs_blocks blocks;
    wa_dd *block_sums; /* width of them for each record that a block begins with; NULL in bins */
    wa_exact *part;    /* width: of a block that is cut short */
    wa_dd *sums;       /* of the resample */
    size_t *count;
} drawing;

static void drawing_release(drawing *d)
{
    rs_blocks_release(&d->blocks);
    free(d->block_sums);
    free(d->part);
    free(d->sums);
    free(d->count);
}

/* The sums of every block that can be drawn: what leaves at the front is taken away exactly. */
static void sum_blocks(drawing *d)
{
    const rs_sample *s = d->s;
    for (size_t k = 0; k < d->blocks.n_runs; k++) {
        const rs_run *r = &d->blocks.runs[k];
        wa_exact window[RS_WIDTH_MAX] = {{{0}, 0, false, 0, 0}};
        size_t length = r->n < d->blocks.length ? r->n : d->blocks.length;
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
    *d = (drawing){.s = s,
                   .part = calloc(s->width, sizeof *d->part),
                   .sums = calloc(s->groups * s->width, sizeof *d->sums),
                   .count = calloc(s->groups, sizeof *d->count)};
    if (!d->part || !d->sums || !d->count)
        return no_memory(err);
    wa_status status =
        rs_blocks_make(&d->blocks, s->time, s->interval, s->n, o->length, o->seed, err);
    if (status == WA_OK && s->bins == NULL) {
        d->block_sums = malloc(s->n * s->width * sizeof *d->block_sums);
        if (d->block_sums == NULL)
            return no_memory(err);
        sum_blocks(d);
    }
    return status;
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
        d->part[w] = (wa_exact){{0}, 0, false, 0, 0};
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
        rs_blocks_draw(&d->blocks, &start, &n);
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

/* The values of all resamples. In bins whose sums fit, as whole numbers, which is many times faster:
 * the same values, because either way nothing is rounded before rs_value. */
static wa_status draw_all(double *values, size_t times, drawing *d, wa_error *err)
{
    int exponent;
    if (d->s->bins == NULL || !rs_whole_fits(&exponent, d->s)) {
        for (size_t i = 0; i < times; i++)
            values[i] = draw(d);
        return WA_OK;
    }
    rs_whole w;
    wa_status status = rs_whole_make(&w, d->s, exponent, err);
    if (status == WA_OK)
        status = rs_whole_draw(values, times, &w, &d->blocks, err);
    rs_whole_release(&w);
    return status;
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
        r->runs = d.blocks.n_runs;
        r->blocks = d.blocks.blocks;
        r->length = d.blocks.length;
        r->times = o->times;
        s = draw_all(r->values, o->times, &d, err);
    }
    if (s == WA_OK)
        s = summarise(r, o->coverage, err);
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
