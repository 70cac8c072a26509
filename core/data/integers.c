#include "data/integers.h"

#include "data/quick.h"

#if defined(__x86_64__)
#include <immintrin.h>
#endif

static const int64_t LIMIT = (int64_t)1 << 31;

static inline uint64_t eight_marks(const uint8_t *at)
{
    return wa_eight_bytes((const char *)at);
}

/* ---- sums ---- */

/* In 64 bits each, which may run over: wa_integers_sum finds out. */
typedef struct running {
    uint64_t n, sum, squares;
    int64_t least, greatest;
} running;

__attribute__((always_inline)) static inline void add(running *t, int64_t x)
{
    t->sum += (uint64_t)x;
    t->squares += (uint64_t)x * (uint64_t)x;
    t->least = x < t->least ? x : t->least;
    t->greatest = x > t->greatest ? x : t->greatest;
}

__attribute__((always_inline)) static inline void add_four(running *t, const wa_datum *is)
{
    add(t, is[0].digits);
    add(t, is[1].digits);
    add(t, is[2].digits);
    add(t, is[3].digits);
}

static void sum_each(running *to, const wa_datum *is, const uint8_t *mark, uint8_t usual, size_t n)
{
    const uint64_t all_usual = WA_EIGHT(usual);
    running t = *to;
    size_t i = 0;
    while (i < n) {
        if (n - i >= 8 && eight_marks(mark + i) == all_usual) { /* nearly always */
            add_four(&t, is + i);
            add_four(&t, is + i + 4);
            t.n += 8;
            i += 8;
            continue;
        }
        for (size_t stop = n - i < 8 ? n : i + 8; i < stop; i++) {
            if (mark[i] == usual) {
                add(&t, is[i].digits);
                t.n++;
            }
        }
    }
    *to = t;
}

#if defined(__x86_64__)

#define AVX2        __attribute__((target("avx2,bmi,bmi2,popcnt")))
#define AVX2_INLINE AVX2 __attribute__((always_inline)) static inline

typedef struct lanes {
    int32_t at[8];
} lanes;

AVX2_INLINE lanes lanes_of(__m256i x)
{
    lanes l;
    _mm256_storeu_si256((__m256i *)(void *)l.at, x);
    return l;
}

AVX2_INLINE __m256i load_four(const wa_datum *at)
{
    return _mm256_loadu_si256((const __m256i *)(const void *)at);
}

/* The low halves (0) or the high ones (1) of eight integers, in this order: 0 1 4 5 2 3 6 7. */
AVX2_INLINE __m256i halves(__m256i a, __m256i b, bool high)
{
    __m256 x = _mm256_castsi256_ps(a), y = _mm256_castsi256_ps(b);
    return _mm256_castps_si256(high ? _mm256_shuffle_ps(x, y, 0xdd)
                                    : _mm256_shuffle_ps(x, y, 0x88));
}

/* Eight at a time; what is left over stays. Returns how many were summed or left out; 0 where one
 * of them has more than 32 bits, or the sums of 32 bits in which they are added may have run over. */
AVX2 static size_t sum_avx2(running *to, const wa_datum *is, const uint8_t *mark, uint8_t usual,
                            size_t n)
{
    const __m256i zero = _mm256_setzero_si256(), order = _mm256_setr_epi32(0, 1, 4, 5, 2, 3, 6, 7);
    __m256i sum = zero, square = zero, more = zero;
    __m256i least = _mm256_set1_epi32(INT32_MAX), greatest = _mm256_set1_epi32(INT32_MIN);
    const uint64_t all_usual = WA_EIGHT(usual);
    uint64_t gone = 0;
    size_t i = 0;
    for (; i + 8 <= n; i += 8) {
        __m256i a = load_four(is + i), b = load_four(is + i + 4);
        __m256i x = halves(a, b, false), low = x, high = x;
        __m256i wrong = _mm256_xor_si256(halves(a, b, true), _mm256_srai_epi32(x, 31));
        uint64_t unusual = eight_marks(mark + i) ^ all_usual;
        if (unusual != 0) {
            __m256i m = _mm256_cvtepu8_epi32(_mm_cvtsi64_si128((int64_t)unusual));
            __m256i good = _mm256_cmpeq_epi32(_mm256_permutevar8x32_epi32(m, order), zero);
            low = _mm256_blendv_epi8(least, x, good);
            high = _mm256_blendv_epi8(greatest, x, good);
            x = _mm256_and_si256(x, good);
            wrong = _mm256_and_si256(wrong, good);
            unsigned here = (unsigned)_mm256_movemask_ps(_mm256_castsi256_ps(good));
            gone += 8 - (unsigned)__builtin_popcount(here);
        }
        more = _mm256_or_si256(more, wrong);
        sum = _mm256_add_epi32(sum, x);
        least = _mm256_min_epi32(least, low);
        greatest = _mm256_max_epi32(greatest, high);
        __m256i odd = _mm256_srli_epi64(x, 32);
        square = _mm256_add_epi64(square, _mm256_mul_epi32(x, x));
        square = _mm256_add_epi64(square, _mm256_mul_epi32(odd, odd));
    }
    running t = *to;
    t.n += i - gone;
    lanes lows = lanes_of(least), highs = lanes_of(greatest), added = lanes_of(sum);
    for (size_t k = 0; k < 8; k++) {
        t.least = lows.at[k] < t.least ? lows.at[k] : t.least;
        t.greatest = highs.at[k] > t.greatest ? highs.at[k] : t.greatest;
        t.sum += (uint64_t)(int64_t)added.at[k];
    }
    uint64_t squares[4];
    _mm256_storeu_si256((__m256i *)(void *)squares, square);
    for (size_t k = 0; k < 4; k++)
        t.squares += squares[k];
    int64_t size = t.greatest > -t.least ? t.greatest : -t.least;
    if (i == gone) /* nothing was summed */
        return i;
    if (!_mm256_testz_si256(more, more) || size * (int64_t)(n / 8) >= LIMIT)
        return 0;
    *to = t;
    return i;
}

#endif

bool wa_integers_sum(wa_integer_sums *to, const wa_datum *is, const uint8_t *mark, uint8_t usual,
                     size_t n, wa_vector_level level)
{
    running t = {.least = INT64_MAX, .greatest = INT64_MIN};
    size_t done = 0;
#if defined(__x86_64__)
    if (level >= WA_VECTOR_AVX2)
        done = sum_avx2(&t, is, mark, usual, n);
#endif
    (void)level;
    sum_each(&t, is + done, mark + done, usual, n - done);
    if (t.n > 0) {
        if (t.least <= -LIMIT || t.greatest >= LIMIT)
            return false;
        uint64_t size = (uint64_t)(t.greatest > -t.least ? t.greatest : -t.least);
        if ((wa_uint128)size * size * t.n >> 64 != 0) /* they may have run over */
            return false;
    }
    *to = (wa_integer_sums){t.n, (int64_t)t.sum, t.least, t.greatest, t.squares};
    return true;
}

/* ---- tags and marks ---- */

#if defined(__x86_64__)
static inline __m128i load(const uint8_t *at)
{
    return _mm_loadu_si128((const __m128i *)(const void *)at);
}
#endif

size_t wa_tags_missing(uint8_t *to, const uint8_t *out, const uint8_t *tag, size_t n)
{
    size_t i = 0;
#if defined(__x86_64__)
    const __m128i missing = _mm_set1_epi8((char)WA_TAG_MISSING), one = _mm_set1_epi8(1);
    for (; i + 16 <= n; i += 16) {
        __m128i gone = _mm_and_si128(_mm_cmpeq_epi8(load(tag + i), missing), one);
        _mm_storeu_si128((__m128i *)(void *)(to + i), _mm_or_si128(load(out + i), gone));
    }
#endif
    for (; i < n; i++)
        to[i] = out[i] != 0 || tag[i] == WA_TAG_MISSING;
    return wa_tags_count(to, n);
}

size_t wa_tags_count(const uint8_t *marks, size_t n)
{
    size_t count = 0, i = 0;
#if defined(__x86_64__)
    __m128i sums = _mm_setzero_si128();
    for (; i + 16 <= n; i += 16)
        sums = _mm_add_epi64(sums, _mm_sad_epu8(load(marks + i), _mm_setzero_si128()));
    count = (size_t)(_mm_cvtsi128_si64(sums) + _mm_cvtsi128_si64(_mm_srli_si128(sums, 8)));
#endif
    for (; i < n; i++)
        count += marks[i];
    return count;
}

wa_tags wa_tags_look(const uint8_t *tag, size_t n)
{
    wa_tags t = {.common = WA_TAG_MISSING};
    while (t.missing < n && tag[t.missing] == WA_TAG_MISSING)
        t.missing++;
    size_t i = t.missing;
    if (i == n)
        return t;
    uint8_t common = tag[i];
    bool differ = false;
#if defined(__x86_64__)
    const __m128i missing = _mm_set1_epi8((char)WA_TAG_MISSING),
                  first = _mm_set1_epi8((char)common);
    __m128i same = _mm_set1_epi8(-1);
    while (n - i >= 16) {
        __m128i counts = _mm_setzero_si128(); /* of up to 255 each */
        size_t vectors = (n - i) / 16;
        for (size_t stop = i + 16 * (vectors < 255 ? vectors : 255); i < stop; i += 16) {
            __m128i tags = load(tag + i), gone = _mm_cmpeq_epi8(tags, missing);
            counts = _mm_sub_epi8(counts, gone);
            same = _mm_and_si128(same, _mm_or_si128(gone, _mm_cmpeq_epi8(tags, first)));
        }
        counts = _mm_sad_epu8(counts, _mm_setzero_si128());
        t.missing += (size_t)(_mm_cvtsi128_si64(counts) + _mm_extract_epi16(counts, 4));
    }
    differ = _mm_movemask_epi8(same) != 0xffff;
#endif
    for (; i < n; i++) {
        t.missing += tag[i] == WA_TAG_MISSING;
        differ |= tag[i] != common && tag[i] != WA_TAG_MISSING;
    }
    t.common = differ ? WA_TAG_MISSING : common;
    return t;
}
