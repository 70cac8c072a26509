/* sample.h - what one field of a raw file says: a number as it is written, or nothing.
 *
 * A sample is the exact decimal of its field: an integer with a scale (-12.345 is -12345 with
 * scale 3). What does not fit (an exponent, more than 15 or 16 digits) is the nearest double.
 */
#ifndef WINDASSAY_DATA_SAMPLE_H
#define WINDASSAY_DATA_SAMPLE_H

#include "data/rows.h"
#include "windassay/campaign.h"

#include <stdint.h>

/* What the eight bytes of a sample are. Tags up to WA_SCALE_MAX (18) are the scale. */
enum { WA_TAG_DOUBLE = 254, WA_TAG_MISSING = 255 };

typedef union wa_datum {
    int64_t digits;
    double number;
} wa_datum;

typedef struct wa_sample {
    wa_datum is;
    uint8_t tag;
} wa_sample;

/** The nearest double; NaN for a missing sample. */
double wa_sample_number(wa_datum is, uint8_t tag);

/** True where both say the same number, 8.0 and 8.00 alike, or both are missing. */
bool wa_sample_equal(const wa_sample *a, const wa_sample *b);

/** Reads field `column` of the present row as a number. Blanks and tabs around it are ignored;
 *  empty, or one of the layout's markers: missing. `what` is named in errors: "column 'ws'". */
wa_status wa_sample_read(wa_sample *out, wa_rows *r, const wa_field *field, size_t column,
                         const wa_layout *layout, wa_error *err);

/** The same for a channel: bits must be a whole number below 2^32, words one of the channel's words
 *  (the sample is then the index of its flag), a direction within [0, 360] degrees where
 *  `to_degree` is the slope of its unit (360 becomes 0). */
wa_status wa_sample_read_channel(wa_sample *out, wa_rows *r, const wa_field *field, size_t column,
                                 const wa_layout *layout, const wa_channel *channel,
                                 double to_degree, wa_error *err);

#endif
