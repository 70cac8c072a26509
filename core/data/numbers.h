/* numbers.h - the samples of a channel as the nearest doubles. */
#ifndef WINDASSAY_DATA_NUMBERS_H
#define WINDASSAY_DATA_NUMBERS_H

#include "data/sample.h"
#include "windassay/records.h"

/** As wa_sample_number gives each of n samples; NaN: missing. The bits are the same at all levels. */
void wa_numbers(double *to, const wa_datum *is, const uint8_t *tag, size_t n,
                wa_vector_level level);

/** Marks in `to` (0 or 1) what `out` marks and what is NaN; returns how many are marked. */
size_t wa_numbers_missing(uint8_t *to, const uint8_t *out, const double *x, size_t n,
                          wa_vector_level level);

/** y = fma(y, slope, offset) of each. */
void wa_numbers_affine(double *y, double slope, double offset, size_t n, wa_vector_level level);

#endif
