/* averaging.h - the statistics of one channel over one interval.
 *
 * Where all samples are decimals below 2^31 at a common scale, sums are integers in 64 and 128
 * bits; otherwise all samples are the nearest doubles in exact sums. Either way nothing is
 * rounded before the end, so the order of samples cannot matter (design, section 10).
 * Directions: vector mean of unit vectors, summed as integers; the standard deviation is
 * sqrt(-2 ln R) in degrees (Mardia and Jupp, "Directional Statistics", 2000, 2.3).
 */
#ifndef WINDASSAY_DATA_AVERAGING_H
#define WINDASSAY_DATA_AVERAGING_H

#include "data/sample.h"
#include "windassay/exact.h"
#include "windassay/records.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/** NaN where a statistic is not defined: no sample, too few for a deviation, no direction. */
typedef struct wa_statistics {
    size_t count;
    double mean, sd, min, max;
    double resultant; /* directions */
} wa_statistics;

/** Samples of one channel: `out` marks (0 or 1) those that are left out and those that are missing;
 *  NULL: those that are missing are left out. Where it is known that all others have one tag, a
 *  scale, `known` says so: it is faster. */
typedef struct wa_samples {
    const wa_datum *is;
    const uint8_t *tag;
    const uint8_t *out;
    size_t n;
    wa_vector_level level;
    bool known;
    uint8_t scale;
} wa_samples;

/** Room of `n` doubles that the functions below may overwrite. */
wa_status wa_average_scalar(wa_statistics *to, const wa_samples *s, wa_divisor divisor,
                            double *room, wa_error *err);

/** The same for doubles; NaN is a missing sample. */
wa_status wa_average_numbers(wa_statistics *to, const double *x, const uint8_t *out, size_t n,
                             wa_divisor divisor, double *room, wa_error *err);

/** y = x * slope + offset, applied to statistics: the deviation by the slope's size alone. */
void wa_average_affine(wa_statistics *s, double slope, double offset);

/** Sines and cosines of directions as logged, so that each is computed once. Zeroed: empty. */
typedef struct wa_angle_table {
    struct wa_angle *at; /* by digits, at one scale */
    size_t n;
    uint8_t scale;
    double slope, offset;
} wa_angle_table;
void wa_angle_table_release(wa_angle_table *t);

/** Directions x * slope + offset in degrees. */
wa_status wa_average_direction(wa_statistics *to, const wa_samples *s, double slope, double offset,
                               wa_angle_table *table, wa_error *err);
/** Directions in degrees; NaN is a missing sample. */
wa_status wa_average_degrees(wa_statistics *to, const double *x, const uint8_t *out, size_t n,
                             wa_error *err);

/** Share of the samples for which `bit` of the number is set, or (words) the number is `word`. */
double wa_share_of_bit(const wa_samples *s, uint32_t bit);
double wa_share_of_word(const wa_samples *s, int64_t word);

#endif
