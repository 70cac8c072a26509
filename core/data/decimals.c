#include "data/decimals.h"

#include "data/quick.h"

#if defined(__x86_64__)
#include <immintrin.h>
#endif

bool wa_decimals_avoid(const wa_decimals *d, int64_t x)
{
    bool found = x < d->lowest || x >= d->below;
    for (size_t k = 0; k < d->n_avoided; k++)
        found |= x == d->avoided[k];
    return found;
}

static size_t read_one_by_one(wa_datum *to, const wa_decimals *d, const char *text,
                              const uint32_t *begin, const uint32_t *end, size_t stride, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        uint32_t from = begin[i * stride] + 1, upto = end[i * stride];
        uint8_t scale;
        if (!wa_quick_decimal(&to[i].digits, &scale, text + from, upto - from, d->point) ||
            scale != d->scale || wa_decimals_avoid(d, to[i].digits))
            return i;
    }
    return n;
}

#if defined(__x86_64__)

/* Four fields at once, one in each 64-bit part, its last character in the highest byte. */
#define AVX2 __attribute__((target("avx2,bmi,bmi2,popcnt")))

typedef struct constants {
    __m256i point, point_here, in_front, behind, least;
    __m256i lowest, highest;
} constants;

AVX2 static inline __m256i all(int64_t x)
{
    return _mm256_set1_epi64x(x);
}

AVX2 static constants constants_of(const wa_decimals *d)
{
    unsigned at = 8 * (7 - (unsigned)d->scale); /* bits in front of the point */
    bool has = d->scale > 0;
    uint64_t here = has ? (uint64_t)0xff << at : 0;
    uint64_t in_front = has ? ((uint64_t)1 << at) - 1 : 0;
    return (constants){.point = _mm256_set1_epi8((char)(d->point ^ '0')),
                       .point_here = all((int64_t)here),
                       .in_front = all((int64_t)in_front),
                       .behind = all((int64_t) ~(in_front | here)),
                       .least = all(has ? 1 : 0),
                       .lowest = all(d->lowest),
                       .highest = all(d->below - 1)};
}

AVX2 static inline int64_t load_eight(const char *text, uint32_t end)
{
    int64_t w;
    __builtin_memcpy(&w, text + end - 8, sizeof w);
    return w;
}

/* The numbers; the parts of *bad are not 0 where there is none. */
AVX2 static inline __m256i four(__m256i *bad, const constants *c, __m256i w, __m256i length)
{
    const __m256i tens = _mm256_set1_epi16(0x010a), hundreds = _mm256_set1_epi32(0x00010064);
    __m256i empty = _mm256_sub_epi64(all(64), _mm256_slli_epi64(length, 3));
    __m256i x = _mm256_xor_si256(w, _mm256_set1_epi8('0'));
    x = _mm256_sllv_epi64(_mm256_srlv_epi64(x, empty), empty); /* what is no part of it is 0 */
    __m256i minus = _mm256_cmpeq_epi8(x, _mm256_set1_epi8('-' ^ '0'));
    __m256i not_first = _mm256_andnot_si256(_mm256_sllv_epi64(all(0xff), empty), minus);
    x = _mm256_andnot_si256(minus, x);
    __m256i point = _mm256_xor_si256(_mm256_cmpeq_epi8(x, c->point), c->point_here);
    x = _mm256_or_si256(_mm256_and_si256(x, c->behind),
                        _mm256_slli_epi64(_mm256_and_si256(x, c->in_front), 8));
    __m256i no_digit = _mm256_cmpgt_epi8(x, _mm256_set1_epi8(9));
    /* pairs, fours, eights */
    x = _mm256_madd_epi16(_mm256_maddubs_epi16(x, tens), hundreds);
    x = _mm256_add_epi64(_mm256_mul_epu32(x, all(10000)), _mm256_srli_epi64(x, 32));
    __m256i positive = _mm256_cmpeq_epi64(minus, all(0));
    __m256i negative = _mm256_xor_si256(positive, all(-1));
    x = _mm256_sub_epi64(_mm256_xor_si256(x, negative), negative);
    /* between 1 + sign + point and 8 characters */
    __m256i digits = _mm256_add_epi64(length, negative);
    __m256i length_bad =
        _mm256_or_si256(_mm256_cmpgt_epi64(length, all(8)),
                        _mm256_xor_si256(_mm256_cmpgt_epi64(digits, c->least), all(-1)));
    __m256i range =
        _mm256_or_si256(_mm256_cmpgt_epi64(c->lowest, x), _mm256_cmpgt_epi64(x, c->highest));
    *bad = _mm256_or_si256(_mm256_or_si256(_mm256_or_si256(not_first, point), no_digit),
                           _mm256_or_si256(length_bad, range));
    return x;
}

AVX2 static size_t read_avx2(wa_datum *to, const wa_decimals *d, const char *text,
                             const uint32_t *begin, const uint32_t *end, size_t stride, size_t n)
{
    const constants c = constants_of(d);
    size_t i = 0;
    for (; i + 4 <= n; i += 4, begin += 4 * stride, end += 4 * stride) {
        uint32_t e0 = end[0], e1 = end[stride], e2 = end[2 * stride], e3 = end[3 * stride];
        __m128i ends = _mm_set_epi32((int)e3, (int)e2, (int)e1, (int)e0);
        __m128i begins = _mm_set_epi32((int)begin[3 * stride], (int)begin[2 * stride],
                                       (int)begin[stride], (int)begin[0]);
        /* from the byte behind begin; minus 1 more: begin is a delimiter */
        __m128i lengths = _mm_sub_epi32(_mm_sub_epi32(ends, begins), _mm_set1_epi32(1));
        __m256i w = _mm256_set_epi64x(load_eight(text, e3), load_eight(text, e2),
                                      load_eight(text, e1), load_eight(text, e0));
        __m256i bad, x = four(&bad, &c, w, _mm256_cvtepi32_epi64(lengths));
        for (size_t k = 0; k < d->n_avoided; k++)
            bad = _mm256_or_si256(bad, _mm256_cmpeq_epi64(x, all(d->avoided[k])));
        _mm256_storeu_si256((__m256i *)(void *)(to + i), x);
        if (!_mm256_testz_si256(bad, bad)) {
            __m256i good = _mm256_cmpeq_epi64(bad, all(0));
            unsigned lanes = (unsigned)_mm256_movemask_pd(_mm256_castsi256_pd(good));
            return i + (size_t)__builtin_ctz(~lanes);
        }
    }
    return i + read_one_by_one(to + i, d, text, begin, end, stride, n - i);
}

#endif

size_t wa_decimals_read(wa_datum *to, const wa_decimals *d, const char *text, const uint32_t *begin,
                        const uint32_t *end, size_t stride, size_t n, wa_vector_level level)
{
#if defined(__x86_64__)
    if (level == WA_VECTOR_AVX2 && d->scale < 8)
        return read_avx2(to, d, text, begin, end, stride, n);
#endif
    (void)level;
    return read_one_by_one(to, d, text, begin, end, stride, n);
}
