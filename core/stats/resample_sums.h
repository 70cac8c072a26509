/* resample_sums.h - statistics as functions of sums over records, so that records can be added and
 * taken away without looking at the others. */
#ifndef STATS_RESAMPLE_SUMS_H
#define STATS_RESAMPLE_SUMS_H

#include "windassay/exact.h"
#include "windassay/resample.h"

enum { RS_WIDTH_MAX = 4 };

/* The pairs of a sample, and how the statistic sees them. */
typedef struct rs_sample {
    wa_resample_of of;
    size_t n, left_out;
    double *x, *y;        /* y: of the mean of x, x again                                     */
    double *time;         /* s, or the row's number                                           */
    double interval;      /* between neighbours of a run                                      */
    wa_bins *bins;        /* NULL: one group of all records                                   */
    size_t groups, width; /* sums a group                                                     */
    double centre_x, centre_y;
} rs_sample;

/* WA_ERR_UNDEFINED without a pair. */
wa_status rs_sample_make(rs_sample *out, const wa_resample_data *data, wa_error *err);
void rs_sample_release(rs_sample *s);

/* The group of a record, negative for none. */
int32_t rs_group(const rs_sample *s, size_t i);

/* Adds record i to the sums of its group, or takes it away. */
void rs_add(const rs_sample *s, wa_exact *sums, size_t i);
void rs_take_away(const rs_sample *s, wa_exact *sums, size_t i);

/* The value from the sums (groups * width) and counts (groups) of all groups; false where it is not
 * defined. */
bool rs_value(double *out, const rs_sample *s, const wa_dd *sums, const size_t *count);

/* The same of a sample in bins (resample_means.c). */
bool rs_value_of_bins(double *out, const rs_sample *s, const wa_dd *sums, const size_t *count);

/* (x - cx)(y - cy), exactly, times a sign. */
void rs_add_central(wa_exact *e, double sign, double x, double cx, double y, double cy);

/* Slope and intercept of y on x from sums of x, y, x x and x y over n; false without spread, which
 * the rounding of the sums (2^-104 of xx) must not feign. */
bool rs_line(wa_dd *slope, wa_dd *intercept, const wa_dd sum[4], size_t n);

/* The sums of all records, and room to leave some out (resample_leave.c). */
typedef struct rs_totals {
    const rs_sample *s;
    wa_exact *sums;  /* groups * width                     */
    wa_dd *rounded;  /* the same, rounded                  */
    wa_dd *before;   /* groups * width: those of touched   */
    size_t *count;   /* groups                             */
    size_t *touched; /* groups of the records that are out */
    bool *is_touched;
} rs_totals;

/* `t` is to be released also when this fails. */
wa_status rs_totals_make(rs_totals *t, const rs_sample *s, wa_error *err);
void rs_totals_release(rs_totals *t);

/* The value of all records. */
wa_status rs_estimate(double *out, const rs_totals *t, wa_error *err);

/* The jackknife's standard error with each record left out in turn; NaN where not defined. */
wa_status rs_error_of_records(double *out, rs_totals *t, wa_error *err);

#endif
