/* compare.h - measured against reference, by bin of the reference.
 *
 * A pair in which one value is missing is left out and counted. Pairs are sorted by the reference,
 * never by what is measured (that would bend the end bins); where the reference scatters as much as
 * what is measured, by a column that neither bends. Deviation is measured - reference, taken without
 * rounding. Method of IEC 61400-50-2 and of 61400-12-1:2017 annex L (from memory).
 */
#ifndef WINDASSAY_COMPARE_H
#define WINDASSAY_COMPARE_H

#include "windassay/bin.h"
#include "windassay/fit.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Arrays of bins->n, NaN in an incomplete bin. */
typedef struct wa_by_bin {
    wa_bins *bins;   /* of the reference of the pairs, or of what sorts them */
    size_t left_out; /* records with only one value, or none                 */
    double *reference_mean;
    double *measured_mean;
    double *deviation_mean;
    double *deviation_sd;   /* divisor N - 1; NaN also where a bin holds one pair   */
    double *standard_error; /* deviation_sd / sqrt(count)                           */
    double *deviation_min, *deviation_max;
    double *relative_deviation; /* deviation_mean / reference_mean in percent; NaN also
                                    where the reference mean is 0                        */
    size_t pairs;               /* in bins, complete or not: what fits of records use   */
    double *pair_reference, *pair_measured;
} wa_by_bin;

/** Compares n records. `sorted_by` may be NULL (the reference sorts them); a pair without its value
 *  is left out. `time` may be NULL (then no days). On success the caller owns *out: wa_by_bin_free.
 *  Errors as wa_bins_make; WA_ERR_UNDEFINED: a value is not finite. */
wa_status wa_compare_by_bin(wa_by_bin **out, const double *measured, const double *reference,
                            const double *sorted_by, const double *time, size_t n,
                            const wa_bin_spec *spec, wa_error *err);
void wa_by_bin_free(wa_by_bin *c);

/** What a fit of a comparison is made of: the pairs that lie in bins, complete or not, or the means
 *  of the complete bins (reference mean and measured mean, each bin counting alike). */
typedef enum wa_fit_of { WA_FIT_RECORDS, WA_FIT_BIN_MEANS } wa_fit_of;

/** y = measured, x = reference. left_out counts missing pairs; of bin means, incomplete bins. */
wa_status wa_compare_through_origin(wa_origin_fit *out, const wa_by_bin *c, wa_fit_of of,
                                    wa_error *err);
wa_status wa_compare_line(wa_line_fit *out, const wa_by_bin *c, wa_fit_of of, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
