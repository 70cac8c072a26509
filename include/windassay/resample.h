/* resample.h - how far a result hangs on which records happened to be there.
 *
 * Ten-minute records are not independent: weather lasts. So whole blocks of them are drawn (the
 * moving-block bootstrap; Kuensch, Annals of Statistics 17, 1217, 1989), or whole days are left out
 * in turn (the delete-a-group jackknife). Records are pairs (x, y) and stay together. A pair with a
 * missing value is left out and counted, and is a gap.
 *
 * A run is a piece of the campaign without a gap: its records are exactly one interval apart. A
 * block never leaves its run: it is `length` records of it, or all of it where it is shorter. Blocks
 * are drawn in two steps: a run, with the weight max(records of the run, length), so that runs are
 * drawn in proportion to what they hold; then, where the run is longer than a block, one of its
 * records - length + 1 blocks, each alike. Blocks are drawn until there are as many records as in
 * the sample; what the last one has over is cut off. With a single run that is Kuensch's method.
 *
 * Statistics are made of sums. The sums of a block are exact and rounded to double-double (in bins:
 * added in double-double, record by record), so that a thousand resamples of ten years take
 * seconds. One resample follows the other from one generator: threads cannot change anything.
 */
#ifndef WINDASSAY_RESAMPLE_H
#define WINDASSAY_RESAMPLE_H

#include "windassay/bin.h"
#include "windassay/error.h"
#include "windassay/random.h"

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum wa_resample_of {
    WA_RESAMPLE_MEAN,                /* mean of x; y is NULL                            */
    WA_RESAMPLE_DEVIATION,           /* mean of y - x                                   */
    WA_RESAMPLE_RATIO,               /* mean of y / mean of x                           */
    WA_RESAMPLE_THROUGH_ORIGIN,      /* slope of y = slope x                            */
    WA_RESAMPLE_LINE,                /* slope of y = intercept + slope x                */
    WA_RESAMPLE_INTERCEPT,           /* its intercept                                   */
    WA_RESAMPLE_BINS_THROUGH_ORIGIN, /* slope of the means of the complete bins of x    */
    WA_RESAMPLE_BINS_LINE            /* slope of their line                             */
} wa_resample_of;

/** The n records. Times rise; without them, rows are one interval apart. */
typedef struct wa_resample_data {
    const double *x, *y;
    const double *time; /* s; may be NULL                                                */
    double interval_s;  /* 0: the smallest step of the times                             */
    size_t n;
    wa_resample_of of;
    const wa_bin_spec *bins; /* of x; only for WA_RESAMPLE_BINS_...                      */
} wa_resample_data;

enum { WA_RESAMPLE_TIMES_MAX = 100000, WA_RESAMPLE_DAY = 144 };

typedef struct wa_resample_options {
    size_t length;   /* of a block, in records; 0: WA_RESAMPLE_DAY where the records would fill
                        ten of them, else the cube root of their number, rounded up            */
    size_t times;    /* resamples: 2 to WA_RESAMPLE_TIMES_MAX                                   */
    uint32_t seed;   /* from 1                                                                 */
    double coverage; /* of the interval, between 0 and 1                                       */
} wa_resample_options;

/** The smallest k with k^3 >= n: block length for the least error of a variance (Hall, Horowitz
 *  and Jing, Biometrika 82, 561, 1995: proportional to the cube root; recalled). */
size_t wa_resample_cube_root(size_t n);

typedef struct wa_resampled {
    double estimate;           /* of all records                                               */
    double standard_error;     /* sd of the resamples' values (divisor times - 1)              */
    double low, high;          /* percentile interval: quantiles (type 7) of the values        */
    double standard_error_iid; /* as if records were independent: the jackknife's, each record
                                  left out in turn; NaN where that is not defined              */
    size_t n, left_out;        /* pairs; records without a pair                                */
    size_t runs, blocks;       /* runs; different blocks that can be drawn                     */
    size_t length, times;      /* as used                                                      */
    size_t undefined;          /* resamples in which the statistic is not defined: in none of
                                  the above                                                    */
    double *values;            /* times of them, in order of drawing, NaN where undefined      */
} wa_resampled;

/** On success the caller owns *out: wa_resampled_free. WA_ERR_UNDEFINED: the statistic is not
 *  defined, or fewer than two blocks can be drawn, or fewer than two resamples are defined.
 *  WA_ERR_ARG: options out of range, times that do not rise, bins as wa_bins_make. */
wa_status wa_resample_blocks(wa_resampled **out, const wa_resample_data *data,
                             const wa_resample_options *options, wa_error *err);
void wa_resampled_free(wa_resampled *r);

/** One resample as rows: the n records (times rise) of drawn blocks into rows[n] (from 0), and into
 *  times[n] rising times: within a block `interval_s` apart, from block to block twice that, so that
 *  no two blocks are neighbours. For statistics that are no functions of sums. Errors as above. */
wa_status wa_resample_rows(size_t *rows, double *times, const double *time, double interval_s,
                           size_t n, size_t length, uint32_t seed, wa_error *err);

typedef struct wa_days_left_out {
    double estimate;       /* of all records                                                   */
    double standard_error; /* jackknife: sqrt((days - 1)/days sum (value - mean value)^2); NaN
                              where a value is not defined                                     */
    double least, most;    /* of the values that are defined                                   */
    size_t n, left_out, days;
    int64_t *day;    /* days since 1970 (UTC), rising; a day without a pair is not there       */
    size_t *records; /* pairs of that day                                                      */
    double *value;   /* of all other days; NaN where it is not defined                         */
} wa_days_left_out;

/** Leaves each UTC day out in turn. The caller owns *out: wa_days_left_out_free. WA_ERR_ARG without
 *  times; WA_ERR_UNDEFINED: the statistic is not defined, or there are fewer than two days, or
 *  none whose omission leaves it defined. */
wa_status wa_resample_leave_out_days(wa_days_left_out **out, const wa_resample_data *data,
                                     wa_error *err);
void wa_days_left_out_free(wa_days_left_out *d);

#ifdef __cplusplus
}
#endif
#endif
