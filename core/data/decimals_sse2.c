/* Four fields at once, two to a vector, for processors without AVX2: as wa_decimals_one reads one. */
#include "data/decimals_inside.h"

#if defined(__x86_64__)

#include <immintrin.h>

enum { GROUP = 4 };

/* As wa_decimals has it, for two fields. */
typedef struct shape {
    __m128i zero, most; /* '0' and 9; the point and 0                                   */
    __m128i minus;      /* after `zero` was taken away (xor); nothing where it may not be */
    __m128i needed;     /* the characters that a field has at least                     */
    __m128i pairs, fours;
    __m128i lowest, highest;
} shape;

static shape shape_of(const wa_decimals *d)
{
    const uint64_t each = 0x0101010101010101u, needed = ~(uint64_t)0 << (64 - 8 * d->least);
    /* weights as wa_decimals has them, in two steps: all fit into 16 bits */
    uint64_t w0 = d->even >> 32, w1 = d->odd >> 32, w2 = (uint32_t)d->even;
    return (shape){
        .zero = _mm_set1_epi64x((int64_t)d->zero),
        .most = _mm_set1_epi64x((int64_t)(each * 127 - d->beyond)),
        .minus = _mm_set1_epi64x((int64_t)(needed | (each * '-' ^ d->zero))),
        .needed = _mm_set1_epi64x((int64_t)needed),
        .pairs = _mm_set1_epi64x((int64_t)(w0 / w1 | 1 << 16 | w2 << 32 | (uint64_t)1 << 48)),
        .fours = _mm_set1_epi32((int32_t)(w1 | 1 << 16)),
        .lowest = _mm_set1_epi32(wa_decimals_clamp(d->lowest)),
        .highest = _mm_set1_epi32(wa_decimals_clamp(d->below) - 1),
    };
}

/* The characters of a field among the last eight; none where it has more. */
static inline int64_t inside(const uint32_t *begin)
{
    static const int64_t of[] = {0,
                                 0,
                                 -(1LL << 56),
                                 -(1LL << 48),
                                 -(1LL << 40),
                                 -(1LL << 32),
                                 -(1LL << 24),
                                 -(1LL << 16),
                                 -(1LL << 8),
                                 -1,
                                 0}; /* by the distance of its borders */
    uint32_t distance = begin[1] - begin[0];
    return of[distance < 10 ? distance : 10];
}

typedef struct two {
    __m128i pairs; /* of pairs of characters     */
    __m128i minus; /* not 0: there is one        */
    __m128i strange;
} two;

static inline two read_two(const shape *s, const char *text, const uint32_t *a, const uint32_t *b)
{
    __m128i field = _mm_set_epi64x(inside(b), inside(a));
    __m128i w = _mm_set_epi64x((int64_t)wa_eight_bytes(text + b[1] - 8),
                               (int64_t)wa_eight_bytes(text + a[1] - 8));
    __m128i x = _mm_and_si128(_mm_xor_si128(w, s->zero), field);
    __m128i first = _mm_andnot_si128(_mm_slli_epi64(field, 8), field);
    two t = {.minus = _mm_and_si128(_mm_cmpeq_epi8(x, s->minus), first)};
    x = _mm_andnot_si128(t.minus, x);
    t.strange = _mm_or_si128(_mm_cmpgt_epi8(x, s->most), _mm_andnot_si128(field, s->needed));
    x = _mm_srli_epi16(_mm_mullo_epi16(x, _mm_set1_epi16(10 << 8 | 1)), 8);
    t.pairs = _mm_madd_epi16(x, s->pairs);
    return t;
}

static inline __m128i out_of_bounds(const wa_decimals *d, const shape *s, __m128i x)
{
    __m128i bad = _mm_or_si128(_mm_cmpgt_epi32(s->lowest, x), _mm_cmpgt_epi32(x, s->highest));
    for (size_t k = 0; k < d->n_avoided; k++)
        bad =
            _mm_or_si128(bad, _mm_cmpeq_epi32(x, _mm_set1_epi32(wa_decimals_clamp(d->avoided[k]))));
    return bad;
}

size_t wa_decimals_sse2(const wa_decimals_job *j)
{
    const shape s = shape_of(j->d);
    const __m128i nothing = _mm_setzero_si128();
    const size_t stride = j->stride;
    const uint32_t tags = j->scale * 0x01010101u;
    const uint32_t *begin = j->begin;
    wa_datum *to = j->to;
    uint8_t *tag = j->tag;
    size_t i = 0;
    for (; i + GROUP <= j->n; i += GROUP, begin += GROUP * stride) {
        two a = read_two(&s, j->text, begin, begin + stride);
        two b = read_two(&s, j->text, begin + 2 * stride, begin + 3 * stride);
        __m128i x = _mm_madd_epi16(_mm_packs_epi32(a.pairs, b.pairs), s.fours);
        /* eight bytes of a field become four, which are 0 where they were */
        __m128i positive = _mm_cmpeq_epi32(_mm_packs_epi16(a.minus, b.minus), nothing);
        __m128i strange = _mm_packs_epi16(a.strange, b.strange);
        x = _mm_sub_epi32(positive, _mm_xor_si128(x, positive));
        __m128i high = _mm_srai_epi32(x, 31);
        _mm_storeu_si128((__m128i *)(void *)(to + i), _mm_unpacklo_epi32(x, high));
        _mm_storeu_si128((__m128i *)(void *)(to + i + 2), _mm_unpackhi_epi32(x, high));
        __builtin_memcpy(tag + i, &tags, sizeof tags);
        if (j->bounded)
            strange = _mm_or_si128(strange, out_of_bounds(j->d, &s, x));
        __m128i good = _mm_cmpeq_epi32(strange, nothing);
        unsigned doubt = (unsigned)_mm_movemask_ps(_mm_castsi128_ps(good)) ^ 15;
        for (; doubt != 0; doubt &= doubt - 1) {
            size_t at = i + (unsigned)__builtin_ctz(doubt);
            if (!wa_decimals_missing(j, at) && !wa_decimals_one(j, at))
                return at;
        }
    }
    for (; i < j->n; i++)
        if (!wa_decimals_one(j, i))
            return i;
    return j->n;
}

#endif
