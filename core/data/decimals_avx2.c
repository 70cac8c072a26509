/* Eight fields at once: the eight characters that end each of them, four to a vector. */
#include "data/decimals_inside.h"

#if defined(__x86_64__)

#include <immintrin.h>

#define AVX2        __attribute__((target("avx2,bmi,bmi2,popcnt")))
#define AVX2_INLINE AVX2 __attribute__((always_inline)) static inline

enum { GROUP = 8 };

/* Characters are put in this order: the point, the last one, the one in front of it, and so on. So
 * the last digit has the same place in every field, and the lowest character that is `front` is the
 * one in front of the field; where another is there (a quote, or none) it is strange. What must be
 * part of the field (the point and what is behind it, or one digit) is compared with a byte that is
 * not ASCII instead. */
typedef struct shape {
    __m256i order;
    /* '0', or the point; nothing for the highest character, so that it is 0 outside of a field only */
    __m256i zero;
    /* 9; 0 for the point, and for the highest, in front of which nothing would be seen */
    __m256i most;
    __m256i front, minus;              /* after `zero` was taken away (xor)      */
    __m256i tens, hundreds, thousands; /* weights of characters, pairs and fours */
    __m256i lowest, highest;
} shape;

AVX2_INLINE __m256i all(int64_t x)
{
    return _mm256_set1_epi64x(x);
}

AVX2_INLINE shape shape_of(const wa_decimals *d, char front)
{
    const bool point = d->scale > 0;
    const unsigned needed = point ? d->scale + 1u : 1;
    const uint64_t here = ~(uint64_t)0 >> (64 - 8 * needed), every = 0x0101010101010101u;
    uint64_t order = 0x0001020304050607u, zero = every * '0', most = every * 9;
    if (point) { /* what is behind the point moves up, and the point goes to the lowest place */
        order = (order & ~here) | (order << 8 & here) | (7u - d->scale);
        zero = (zero & ~(uint64_t)0xff) | (unsigned char)d->point;
        most &= ~(uint64_t)0xff;
    }
    __m256i in_lanes = _mm256_set_epi64x(0x0808080808080808, 0, 0x0808080808080808, 0);
    return (shape){
        .order = _mm256_add_epi8(all((int64_t)order), in_lanes),
        .zero = all((int64_t)zero),
        .most = all((int64_t)most),
        .front = all((int64_t)(here | (every * (unsigned char)front ^ zero))),
        .minus = all((int64_t)(here | (every * '-' ^ zero))),
        .tens = all(point ? 0x0a010a010a010100 : 0x0a010a010a010a01),
        .hundreds = all(point ? 0x00640001000a0001 : 0x0064000100640001),
        .thousands = _mm256_set1_epi32(point ? 1000 << 16 | 1 : 10000 << 16 | 1),
        .lowest = _mm256_set1_epi32(wa_decimals_clamp(d->lowest)),
        .highest = _mm256_set1_epi32(wa_decimals_clamp(d->below) - 1),
    };
}

/* What four fields say, one in each 64-bit part. */
typedef struct four {
    __m256i fours;    /* the number, as two of up to four digits   */
    __m256i positive; /* all bits, or none                         */
    __m256i strange;  /* not 0: some character should not be there */
    __m256i open; /* below 0: nothing in front was found, so that it has eight characters or more */
} four;

/* `may`: a minus may stand in front. */
AVX2_INLINE four read_four(const shape *s, __m256i w, bool may)
{
    const __m256i nothing = _mm256_setzero_si256();
    four f = {.positive = nothing};
    __m256i x = _mm256_xor_si256(_mm256_shuffle_epi8(w, s->order), s->zero);
    __m256i front = _mm256_cmpeq_epi8(x, s->front);
    /* taking away 1 turns every bit below the lowest one */
    __m256i inside = _mm256_andnot_si256(front, _mm256_add_epi64(front, all(-1)));
    x = _mm256_and_si256(x, inside);
    if (may) { /* behind a front only, or first of eight characters */
        __m256i first =
            _mm256_or_si256(_mm256_srli_epi64(front, 8), all((int64_t)((uint64_t)0xff << 56)));
        __m256i minus = _mm256_and_si256(_mm256_cmpeq_epi8(x, s->minus), first);
        x = _mm256_andnot_si256(minus, x);
        f.positive = _mm256_cmpeq_epi64(minus, nothing);
    }
    f.open = inside;
    f.strange = _mm256_cmpgt_epi8(x, s->most);
    f.fours = _mm256_madd_epi16(_mm256_maddubs_epi16(x, s->tens), s->hundreds);
    return f;
}

AVX2_INLINE int64_t load_eight(const char *at)
{
    int64_t w;
    __builtin_memcpy(&w, at, sizeof w);
    return w;
}

/* The eight characters that end each of four fields. */
AVX2_INLINE __m256i load_four(const char *last, const uint32_t *end, size_t stride)
{
    return _mm256_set_epi64x(load_eight(last + end[3 * stride]), load_eight(last + end[2 * stride]),
                             load_eight(last + end[stride]), load_eight(last + end[0]));
}

/* A bit for each part that is strange. */
AVX2_INLINE unsigned strange_ones(const four *f)
{
    __m256i good = _mm256_cmpeq_epi64(f->strange, _mm256_setzero_si256());
    return (unsigned)_mm256_movemask_pd(_mm256_castsi256_pd(good)) ^ 15;
}

AVX2_INLINE unsigned open_ones(const four *f)
{
    return (unsigned)_mm256_movemask_pd(_mm256_castsi256_pd(f->open));
}

/* Numbers that will not do: all bits. */
AVX2_INLINE __m256i out_of_bounds(const wa_decimals *d, const shape *s, __m256i x)
{
    __m256i bad =
        _mm256_or_si256(_mm256_cmpgt_epi32(s->lowest, x), _mm256_cmpgt_epi32(x, s->highest));
    for (size_t k = 0; k < d->n_avoided; k++)
        bad = _mm256_or_si256(
            bad, _mm256_cmpeq_epi32(x, _mm256_set1_epi32(wa_decimals_clamp(d->avoided[k]))));
    return bad;
}

static bool has_minus(const wa_decimals_job *j, size_t i)
{
    return j->text[j->begin[i * j->stride] + 1] == '-';
}

/* Looks again at fields from i on that have a bit: the first one that is to be read alone, or has
 * a minus where there may be none; else n. */
__attribute__((noinline)) static size_t settle(const wa_decimals_job *j, size_t i, unsigned doubt,
                                               bool may)
{
    for (; doubt != 0; doubt &= doubt - 1) {
        size_t at = i + (unsigned)__builtin_ctz(doubt);
        if ((!may && has_minus(j, at)) || !wa_decimals_one(j, at))
            return at;
    }
    return j->n;
}

/* Which of the fields from i on that have a bit are still in doubt: missing ones are read here, and
 * what is open, but not strange, is a number where it has eight characters. */
AVX2_INLINE unsigned still_in_doubt(const wa_decimals_job *j, size_t i, unsigned strange,
                                    unsigned open)
{
    unsigned left = strange | open;
    for (unsigned rest = left; rest != 0; rest &= rest - 1) {
        unsigned lowest = rest & -rest;
        size_t at = i + (unsigned)__builtin_ctz(rest);
        const uint32_t *begin = j->begin + at * j->stride;
        bool full = (strange & lowest) == 0 && begin[1] - begin[0] - 1 == 8;
        if (full || wa_decimals_missing(j, at))
            left ^= lowest;
    }
    return left;
}

AVX2 static size_t read_signed(const wa_decimals_job *j, size_t i);

/* Reads from field `from` on, of which there are GROUP at least; the last group may overlap another.
 * Says which field is to be read alone, or n: none. Most columns hold no minus, so that it is looked
 * for from the first one on. */
AVX2_INLINE size_t read_groups(const wa_decimals_job *j, size_t from, bool bounded, bool may)
{
    const shape s =
        shape_of(j->d, j->text[j->begin[from * j->stride]]); /* nearly always the same */
    const size_t stride = j->stride, last_group = j->n - GROUP;
    const char *last = j->text - 8;
    const uint64_t tags = j->scale * 0x0101010101010101u;
    const uint32_t *end = j->begin + from * stride + 1;
    wa_datum *to = j->to;
    uint8_t *tag = j->tag;
    for (size_t i = from;;) {
        four a = read_four(&s, load_four(last, end, stride), may);
        four b = read_four(&s, load_four(last, end + 4 * stride, stride), may);
        __m256i x = _mm256_madd_epi16(_mm256_packus_epi32(a.fours, b.fours), s.thousands);
        __m256i high = _mm256_setzero_si256();
        if (may) {
            __m256i positive = _mm256_packs_epi32(a.positive, b.positive);
            x = _mm256_sub_epi32(positive, _mm256_xor_si256(x, positive));
            high = _mm256_srai_epi32(x, 31);
        }
        _mm256_storeu_si256((__m256i *)(void *)(to + i), _mm256_unpacklo_epi32(x, high));
        _mm256_storeu_si256((__m256i *)(void *)(to + i + 4), _mm256_unpackhi_epi32(x, high));
        __builtin_memcpy(tag + i, &tags, sizeof tags);
        if (bounded) {
            __m256i bad = out_of_bounds(j->d, &s, x);
            a.strange = _mm256_or_si256(a.strange, _mm256_unpacklo_epi32(bad, bad));
            b.strange = _mm256_or_si256(b.strange, _mm256_unpackhi_epi32(bad, bad));
        }
        __m256i strange = _mm256_or_si256(a.strange, b.strange);
        __m256d open = _mm256_castsi256_pd(_mm256_or_si256(a.open, b.open));
        if (!_mm256_testz_si256(strange, strange) || !_mm256_testz_pd(open, open)) {
            unsigned doubt = still_in_doubt(j, i, strange_ones(&a) | strange_ones(&b) << 4,
                                            open_ones(&a) | open_ones(&b) << 4);
            size_t alone = doubt == 0 ? j->n : settle(j, i, doubt, may);
            if (alone < j->n)
                return may || !has_minus(j, alone) ? alone : read_signed(j, i);
        }
        if (i == last_group)
            return j->n;
        i += GROUP;
        end += GROUP * stride;
        if (i > last_group) {
            end -= (i - last_group) * stride;
            i = last_group;
        }
    }
}

AVX2 static size_t read_signed(const wa_decimals_job *j, size_t i)
{
    return j->bounded ? read_groups(j, i, true, true) : read_groups(j, i, false, true);
}

AVX2 static size_t read_unsigned(const wa_decimals_job *j, size_t i)
{
    return j->bounded ? read_groups(j, i, true, false) : read_groups(j, i, false, false);
}

size_t wa_decimals_avx2(const wa_decimals_job *j)
{
    size_t i = 0;
    /* what stands in front of the text need not be ASCII */
    while (i < j->n && (j->n - i < GROUP || j->begin[i * j->stride + 1] < 8)) {
        if (!wa_decimals_one(j, i))
            return i;
        i++;
    }
    if (i == j->n)
        return i;
    return has_minus(j, i) ? read_signed(j, i) : read_unsigned(j, i);
}

#endif
