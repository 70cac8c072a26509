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

/* The same as wa_quick_decimal where the number of decimals is known: what depends on it is made once.
 * The number of one field; false where it is none. */
typedef struct one_scale {
    uint64_t in_front, behind;
    uint64_t point, mask; /* the point in its place, and that place */
} one_scale;

static inline bool read_one(int64_t *to, const one_scale *c, const char *at, size_t n)
{
    const uint64_t high = WA_EIGHT(0x80), pairs = 0x000000ff000000ffu;
    if (n - 1 >= 8)
        return false;
    unsigned empty = 8 * (8 - (unsigned)n);
    uint64_t x = wa_eight_bytes(at + n - 8) ^ WA_EIGHT('0');
    uint64_t negative = *at == '-';
    /* blank out what stands in front, and the sign */
    x &= ~(uint64_t)0 << empty << 4 * negative << 4 * negative;
    if ((x & c->mask) != c->point || n == negative)
        return false;
    x = (x & c->in_front) << 8 | (x & c->behind);
    if (((x | (x + WA_EIGHT(0x76))) & high) != 0)
        return false;
    x = x * 10 + (x >> 8);
    x = ((x & pairs) * 0x000f424000000064u + (x >> 16 & pairs) * 0x0000271000000001u) >> 32;
    *to = (int64_t)((x ^ -negative) + negative);
    return true;
}

static size_t read_one_by_one(wa_datum *to, const wa_decimals *d, const char *text,
                              const uint32_t *begin, size_t stride, size_t n)
{
    unsigned at = 8 * (7 - (unsigned)d->scale); /* bits in front of the point */
    one_scale c = {.behind = ~(uint64_t)0};
    bool bounded = d->n_avoided > 0 || d->lowest > -INT64_MAX || d->below < INT64_MAX;
    if (d->scale > 0) {
        c.mask = (uint64_t)0xff << at;
        c.point = (uint64_t)(unsigned char)(d->point ^ '0') << at;
        c.in_front = ((uint64_t)1 << at) - 1;
        c.behind = ~(c.in_front | c.mask);
    }
    for (size_t i = 0; i < n; i++, begin += stride)
        if (!read_one(&to[i].digits, &c, text + begin[0] + 1, begin[1] - begin[0] - 1) ||
            (bounded && wa_decimals_avoid(d, to[i].digits)))
            return i;
    return n;
}

#if defined(__x86_64__)

/* Four fields at once, one in each 64-bit part, its last character in the highest byte. */
#define AVX2 __attribute__((target("avx2,bmi,bmi2,popcnt")))

typedef struct constants {
    __m256i point, point_here, in_front, behind;
    __m256i lowest, highest;
} constants;

AVX2 static inline __m256i all(int64_t x)
{
    return _mm256_set1_epi64x(x);
}

AVX2 static constants constants_of(const wa_decimals *d)
{
    unsigned at = 8 * (7 - (unsigned)d->scale); /* bits in front of the point */
    uint64_t here = (uint64_t)0xff << at, in_front = ((uint64_t)1 << at) - 1;
    return (constants){.point = _mm256_set1_epi8((char)(d->point ^ '0')),
                       .point_here = all((int64_t)here),
                       .in_front = all((int64_t)in_front),
                       .behind = all((int64_t) ~(in_front | here)),
                       .lowest = all(d->lowest),
                       .highest = all(d->below - 1)};
}

AVX2 static inline int64_t load_eight(const void *at)
{
    int64_t w;
    __builtin_memcpy(&w, at, sizeof w);
    return w;
}

/* The numbers of the words w, whose fields are so many characters long; the parts of *bad are not 0
 * where there is none. */
AVX2 __attribute__((always_inline)) static inline __m256i
four(__m256i *bad, const constants *c, __m256i w, __m256i length, bool decimals)
{
    const __m256i tens = _mm256_set1_epi16(0x010a), hundreds = _mm256_set1_epi32(0x00010064);
    __m256i empty = _mm256_sub_epi64(all(64), _mm256_slli_epi64(length, 3));
    __m256i field = _mm256_sllv_epi64(all(-1), empty); /* 0 where it is too long */
    __m256i x = _mm256_and_si256(_mm256_xor_si256(w, _mm256_set1_epi8('0')), field);
    __m256i minus = _mm256_cmpeq_epi8(x, _mm256_set1_epi8('-' ^ '0'));
    __m256i not_first = _mm256_and_si256(_mm256_slli_epi64(field, 8), minus);
    x = _mm256_andnot_si256(minus, x);
    __m256i point = _mm256_cmpeq_epi8(x, c->point);
    if (decimals) {
        /* the point stands where it should, and so at least one digit behind it */
        point = _mm256_xor_si256(point, c->point_here);
        x = _mm256_or_si256(_mm256_and_si256(x, c->behind),
                            _mm256_slli_epi64(_mm256_and_si256(x, c->in_front), 8));
    }
    __m256i no_digit = _mm256_cmpgt_epi8(x, _mm256_set1_epi8(9));
    /* pairs, fours, eights */
    x = _mm256_madd_epi16(_mm256_maddubs_epi16(x, tens), hundreds);
    x = _mm256_add_epi64(_mm256_mul_epu32(x, all(10000)), _mm256_srli_epi64(x, 32));
    __m256i negative = _mm256_xor_si256(_mm256_cmpeq_epi64(minus, all(0)), all(-1));
    x = _mm256_sub_epi64(_mm256_xor_si256(x, negative), negative);
    *bad = _mm256_or_si256(_mm256_or_si256(not_first, point), no_digit);
    if (!decimals) { /* at least one digit, at most eight characters */
        __m256i digits = _mm256_add_epi64(length, negative);
        *bad = _mm256_or_si256(*bad, _mm256_or_si256(_mm256_cmpgt_epi64(length, all(8)),
                                                     _mm256_cmpgt_epi64(all(1), digits)));
    }
    return x;
}

/* `decimals`: there is a point; `bounded`: not every number will do. */
AVX2 __attribute__((always_inline)) static inline size_t
read_fours(wa_datum *to, const wa_decimals *d, const char *text, const uint32_t *begin,
           size_t stride, size_t n, bool decimals, bool bounded)
{
    const constants c = constants_of(d);
    const uint32_t *b = begin;
    size_t i = 0;
    for (; i + 4 <= n; i += 4, b += 4 * stride) {
        /* begin in the low half of each part, end in the high one */
        __m256i both = _mm256_set_epi64x(load_eight(b + 3 * stride), load_eight(b + 2 * stride),
                                         load_eight(b + stride), load_eight(b));
        __m256i length = _mm256_sub_epi32(_mm256_srli_epi64(both, 32), both);
        length = _mm256_sub_epi64(_mm256_and_si256(length, all(0xffffffff)), all(1));
        const char *last = text - 8;
        __m256i w = _mm256_set_epi64x(load_eight(last + b[3 * stride + 1]),
                                      load_eight(last + b[2 * stride + 1]),
                                      load_eight(last + b[stride + 1]), load_eight(last + b[1]));
        __m256i bad, x = four(&bad, &c, w, length, decimals);
        if (bounded) {
            bad = _mm256_or_si256(bad, _mm256_or_si256(_mm256_cmpgt_epi64(c.lowest, x),
                                                       _mm256_cmpgt_epi64(x, c.highest)));
            for (size_t k = 0; k < d->n_avoided; k++)
                bad = _mm256_or_si256(bad, _mm256_cmpeq_epi64(x, all(d->avoided[k])));
        }
        _mm256_storeu_si256((__m256i *)(void *)(to + i), x);
        if (!_mm256_testz_si256(bad, bad)) {
            __m256i good = _mm256_cmpeq_epi64(bad, all(0));
            unsigned lanes = (unsigned)_mm256_movemask_pd(_mm256_castsi256_pd(good));
            return i + (size_t)__builtin_ctz(~lanes);
        }
    }
    return i + read_one_by_one(to + i, d, text, b, stride, n - i);
}

AVX2 static size_t read_avx2(wa_datum *to, const wa_decimals *d, const char *text,
                             const uint32_t *begin, size_t stride, size_t n)
{
    bool bounded = d->n_avoided > 0 || d->lowest > -INT64_MAX || d->below < INT64_MAX;
    if (bounded)
        return d->scale > 0 ? read_fours(to, d, text, begin, stride, n, true, true)
                            : read_fours(to, d, text, begin, stride, n, false, true);
    return d->scale > 0 ? read_fours(to, d, text, begin, stride, n, true, false)
                        : read_fours(to, d, text, begin, stride, n, false, false);
}

#endif

size_t wa_decimals_read(wa_datum *to, const wa_decimals *d, const char *text, const uint32_t *begin,
                        size_t stride, size_t n, wa_vector_level level)
{
#if defined(__x86_64__)
    if (level == WA_VECTOR_AVX2 && d->scale < 8)
        return read_avx2(to, d, text, begin, stride, n);
#endif
    (void)level;
    return read_one_by_one(to, d, text, begin, stride, n);
}
