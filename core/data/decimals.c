#include "data/decimals_inside.h"

#include "windassay/number.h"

#include <string.h>

/* What a digit counts at place i of eight characters; the point, which is 0, stands at `point`. */
static uint64_t weight(int i, int point)
{
    static const uint64_t ten_to[] = {1, 10, 100, 1000, 10000, 100000, 1000000};
    return ten_to[i > point ? 7 - i : 6 - i];
}

void wa_decimals_set(wa_decimals *d, char point, uint8_t scale)
{
    int at = scale > 0 ? 7 - scale : -1;
    *d = (wa_decimals){.point = point, .scale = scale, .lowest = -INT64_MAX, .below = INT64_MAX};
    d->zero = WA_EIGHT('0');
    d->beyond = WA_EIGHT(128 - 10);
    d->least = scale > 0 ? scale + 1u : 1;
    if (at >= 0) {
        d->zero ^= (uint64_t)(unsigned char)(point ^ '0') << 8 * at;
        d->beyond ^= (uint64_t)((128 - 10) ^ (128 - 1)) << 8 * at;
    }
    /* A pair with the point counts by its digit: ten times as much as it says, or as it says. */
    d->even = weight(1, at) << 32 | weight(5, at);
    d->odd = weight(3, at) << 32 | weight(7, at);
}

bool wa_decimals_avoid(const wa_decimals *d, int64_t x)
{
    bool found = x < d->lowest || x >= d->below;
    for (size_t k = 0; k < d->n_avoided; k++)
        found |= x == d->avoided[k];
    return found;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

void wa_decimals_add_marker(wa_decimals *d, const char *text)
{
    size_t n = strlen(text);
    int64_t digits;
    int scale;
    uint64_t word = 0;
    /* a number goes before a marker, and blanks around a field do not count; behind the last field of
     * a row may be a carriage return that is no part of it */
    if (n == 0 || n > 8 || d->n_markers == WA_MARKERS_MOST || is_blank(text[0]) ||
        is_blank(text[n - 1]) || strchr(text, '\r') != NULL ||
        wa_decimal_parse(&digits, &scale, text, n, d->point))
        return;
    for (size_t k = 0; k < n; k++) /* as wa_decimals_word reads it */
        word |= (uint64_t)(unsigned char)text[k] << 8 * k;
    d->marker[d->n_markers++] = word;
}

/* The same as wa_quick_decimal where the number of decimals is known, and that the text is ASCII: what
 * depends on it is made once. Reads field i, which begins behind begin[0]; false where it is no
 * number that will do. */
__attribute__((always_inline)) static inline bool read_one(const wa_decimals_job *j,
                                                           const wa_decimals *d, size_t i,
                                                           const uint32_t *begin, bool bounded)
{
    const uint64_t pair = 0x000000ff000000ffu;
    uint64_t negative = j->text[begin[0] + 1] == '-';
    uint64_t n = begin[1] - begin[0] - 1 - negative;
    if (n - d->least > 8 - d->least)
        return false;
    /* blank out what stands in front, and the sign */
    unsigned empty = 64 - 8 * (unsigned)n;
    uint64_t x = (wa_eight_bytes(j->text + begin[1] - 8) ^ d->zero) >> empty << empty;
    if (((x + d->beyond) & WA_EIGHT(0x80)) != 0)
        return false;
    x *= 10 << 8 | 1; /* each second byte holds a pair */
    x = ((x >> 8 & pair) * d->even + (x >> 24 & pair) * d->odd) >> 32;
    j->to[i].digits = (int64_t)((x ^ -negative) + negative);
    j->tag[i] = d->scale;
    return !bounded || !wa_decimals_avoid(d, j->to[i].digits);
}

bool wa_decimals_one(const wa_decimals_job *j, size_t i)
{
    return read_one(j, j->d, i, j->begin + i * j->stride, j->bounded) || wa_decimals_missing(j, i);
}

__attribute__((always_inline)) static inline size_t read_one_by_one(const wa_decimals_job *job,
                                                                    bool bounded)
{
    const wa_decimals_job j = *job; /* nothing that is written can be part of these */
    const wa_decimals d = *job->d;
    const uint32_t *begin = j.begin;
    for (size_t i = 0; i < j.n; i++, begin += j.stride)
        if (!read_one(&j, &d, i, begin, bounded) && !wa_decimals_missing(&j, i))
            return i;
    return j.n;
}

size_t wa_decimals_read(wa_datum *to, uint8_t *tag, const wa_decimals *d, const wa_fields *fields,
                        size_t n, wa_vector_level level)
{
    wa_decimals_job j = {.to = to,
                         .tag = tag,
                         .d = d,
                         .scale = d->scale,
                         .text = fields->text,
                         .begin = fields->begin,
                         .stride = fields->stride,
                         .n = n};
    j.bounded = d->n_avoided > 0 || d->lowest > -INT64_MAX || d->below < INT64_MAX;
#if defined(__x86_64__)
    if (level >= WA_VECTOR_AVX2)
        return wa_decimals_avx2(&j);
    if (level == WA_VECTOR_SSE2)
        return wa_decimals_sse2(&j);
#endif
    (void)level;
    return j.bounded ? read_one_by_one(&j, true) : read_one_by_one(&j, false);
}
