/* decimals_inside.h - what the levels of decimals.c share. */
#ifndef WINDASSAY_DATA_DECIMALS_INSIDE_H
#define WINDASSAY_DATA_DECIMALS_INSIDE_H

#include "data/decimals.h"
#include "data/quick.h"

/* The fields of one call, and what depends on their scale alone. */
typedef struct wa_decimals_job {
    wa_datum *to;
    uint8_t *tag;
    const wa_decimals *d;
    const char *text; /* the fields */
    const uint32_t *begin;
    size_t stride, n;
    uint8_t scale;
    bool bounded; /* not every number will do */
} wa_decimals_job;

/* The n characters in front of `end` (1 to 8) as one number: texts that have one in common are the
 * same, as none of them holds a NUL. */
static inline uint64_t wa_decimals_word(const char *end, size_t n)
{
    return wa_eight_bytes(end - 8) >> 8 * (8 - n);
}

/* Reads field i where it is missing; false where it is not. */
static inline bool wa_decimals_missing(const wa_decimals_job *j, size_t i)
{
    const uint32_t *begin = j->begin + i * j->stride;
    size_t n = begin[1] - begin[0] - 1;
    bool found = n == 0;
    for (size_t k = 0; n - 1 < 8 && k < j->d->n_markers; k++)
        found |= wa_decimals_word(j->text + begin[1], n) == j->d->marker[k];
    if (found) {
        j->to[i].digits = 0;
        j->tag[i] = WA_TAG_MISSING;
    }
    return found;
}

/* Reads field i. False where it is neither a number that will do nor missing. */
bool wa_decimals_one(const wa_decimals_job *j, size_t i);

/* A number with which those of a vector, of up to eight digits, are compared in 32 bits. */
static inline int32_t wa_decimals_clamp(int64_t x)
{
    const int32_t most = 100000000;
    return x < -most ? -most : x > most ? most : (int32_t)x;
}

/* wa_decimals_read with vectors. */
size_t wa_decimals_avx2(const wa_decimals_job *j);
size_t wa_decimals_sse2(const wa_decimals_job *j);

#endif
