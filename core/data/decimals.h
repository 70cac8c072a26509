/* decimals.h - one column of plain rows: decimals read many at a time.
 *
 * What is read are fields of at most eight characters with one and the same number of decimals,
 * which is what nearly every field of a logger's column is, and fields that say that there is none:
 * empty ones and short markers. The first field that is anything else ends it: that one is read
 * alone, and then it goes on. All levels read the same.
 */
#ifndef WINDASSAY_DATA_DECIMALS_H
#define WINDASSAY_DATA_DECIMALS_H

#include "data/index.h"
#include "data/sample.h"

enum { WA_AVOIDED_MOST = 4, WA_MARKERS_MOST = 4 };

/** What a column's fields are expected to be, as integers at its scale. */
typedef struct wa_decimals {
    char point;
    uint8_t scale;
    int64_t lowest, below;            /* the range in which they need no second look */
    int64_t avoided[WA_AVOIDED_MOST]; /* numbers that mean something else            */
    size_t n_avoided;
    uint64_t marker[WA_MARKERS_MOST]; /* texts that mean that the sample is missing  */
    size_t n_markers;
    /* what follows from the scale; of eight characters, whose last one is the highest byte: */
    uint64_t zero;      /* '0' each, but the point in its place                             */
    uint64_t beyond;    /* what makes each reach 128 where it is no digit, or not the point */
    uint64_t even, odd; /* weights of pairs of characters, two each in 32 bits              */
    unsigned least;     /* characters                                                       */
} wa_decimals;

/** Any number with so many decimals (below 8), and no marker. */
void wa_decimals_set(wa_decimals *d, char point, uint8_t scale);

/** Field i lies between text + begin[i * stride] and text + begin[i * stride + 1], where one byte
 *  stands each that is no part of it: delimiters, or quotes. No field holds the byte in front of
 *  another. All of the text is ASCII; the 8 bytes in front of it may be read, too. */
typedef struct wa_fields {
    const char *text;
    const uint32_t *begin;
    size_t stride;
} wa_fields;

/** True for a number that does need a second look. */
bool wa_decimals_avoid(const wa_decimals *d, int64_t x);

/** Adds a text that says that a sample is missing, where it is one that can be told at once: the
 *  others are left to wa_sample_read_channel. */
void wa_decimals_add_marker(wa_decimals *d, const char *text);

/** Reads fields from the first on, at most n, and says how many. Behind those, `to` and `tag` may
 *  be overwritten as far as n. */
size_t wa_decimals_read(wa_datum *to, uint8_t *tag, const wa_decimals *d, const wa_fields *fields,
                        size_t n, wa_vector_level level);

#endif
