/* integers.h - sums of samples that are integers at one scale, and what their tags have in common. */
#ifndef WINDASSAY_DATA_INTEGERS_H
#define WINDASSAY_DATA_INTEGERS_H

#include "data/sample.h"
#include "windassay/int128.h"
#include "windassay/records.h"

typedef struct wa_integer_sums {
    uint64_t n;
    int64_t sum, least, greatest; /* least above greatest: none */
    wa_uint128 squares;
} wa_integer_sums;

/** Sums those of the n integers whose mark is the usual one: 0 in a list of what is left out, or the
 *  tag that all have which are not missing. False, and nothing summed, where one of them is not
 *  below 2^31, or their squares do not fit into 64 bits. */
bool wa_integers_sum(wa_integer_sums *to, const wa_datum *is, const uint8_t *mark, uint8_t usual,
                     size_t n, wa_vector_level level);

/** Marks in `to` (0 or 1) what `out` marks and what is missing; returns how many are marked. */
size_t wa_tags_missing(uint8_t *to, const uint8_t *out, const uint8_t *tag, size_t n);
/** How many of n bytes, each 0 or 1, are 1. */
size_t wa_tags_count(const uint8_t *marks, size_t n);

/** How many samples are missing, and the tag of all that are not: WA_TAG_MISSING where there are
 *  none, or they differ. */
typedef struct wa_tags {
    size_t missing;
    uint8_t common;
} wa_tags;
wa_tags wa_tags_look(const uint8_t *tag, size_t n);

#endif
