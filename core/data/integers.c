#include "data/integers.h"

#include "data/quick.h"

#if defined(__x86_64__)
#include <immintrin.h>
#endif

static const int64_t LIMIT = (int64_t)1 << 31;

static wa_integer_sums none(void)
{
    return (wa_integer_sums){.least = INT64_MAX, .greatest = INT64_MIN};
}

static void sum_each(wa_integer_sums *to, uint64_t *squares, const wa_datum *is, const uint8_t *out,
                     size_t n)
{
    int64_t least = to->least, greatest = to->greatest;
    uint64_t sum = (uint64_t)to->sum, square = *squares, left = 0;
    for (size_t i = 0; i < n; i++) {
        if (out[i] != 0)
            continue;
        int64_t x = is[i].digits;
        sum += (uint64_t)x;
        square += (uint64_t)x * (uint64_t)x;
        least = x < least ? x : least;
        greatest = x > greatest ? x : greatest;
        left++;
    }
    to->n += left;
    to->sum = (int64_t)sum;
    to->least = least;
    to->greatest = greatest;
    *squares = square;
}

#if defined(__x86_64__)

#define AVX2 __attribute__((target("avx2,bmi,bmi2,popcnt")))

typedef struct lanes {
    int64_t at[4];
} lanes;

AVX2 static lanes lanes_of(__m256i x)
{
    lanes l;
    _mm256_storeu_si256((__m256i *)(void *)l.at, x);
    return l;
}

/* Four at a time; what is left over stays. Returns how many were summed or left out. */
AVX2 static size_t sum_avx2(wa_integer_sums *to, uint64_t *squares, const wa_datum *is,
                            const uint8_t *out, size_t n)
{
    const __m256i zero = _mm256_setzero_si256();
    __m256i sum = zero, square = zero, left = zero;
    __m256i least = _mm256_set1_epi64x(to->least), greatest = _mm256_set1_epi64x(to->greatest);
    size_t i = 0;
    for (; i + 4 <= n; i += 4) {
        int32_t marks;
        __builtin_memcpy(&marks, out + i, sizeof marks);
        __m256i x = _mm256_loadu_si256((const __m256i *)(const void *)(is + i));
        __m256i low = x, high = x;
        if (marks != 0) {
            __m256i gone = _mm256_cmpgt_epi64(_mm256_cvtepu8_epi64(_mm_cvtsi32_si128(marks)), zero);
            low = _mm256_blendv_epi8(x, least, gone);
            high = _mm256_blendv_epi8(x, greatest, gone);
            x = _mm256_andnot_si256(gone, x);
            left = _mm256_add_epi64(left, gone);
        }
        sum = _mm256_add_epi64(sum, x);
        square = _mm256_add_epi64(square, _mm256_mul_epi32(x, x));
        least = _mm256_blendv_epi8(least, low, _mm256_cmpgt_epi64(least, low));
        greatest = _mm256_blendv_epi8(greatest, high, _mm256_cmpgt_epi64(high, greatest));
    }
    lanes sums = lanes_of(sum), squared = lanes_of(square), low = lanes_of(least);
    lanes high = lanes_of(greatest), gone = lanes_of(left);
    to->n += i;
    for (size_t k = 0; k < 4; k++) {
        to->n -= (uint64_t)-gone.at[k];
        to->sum = (int64_t)((uint64_t)to->sum + (uint64_t)sums.at[k]);
        *squares += (uint64_t)squared.at[k];
        to->least = low.at[k] < to->least ? low.at[k] : to->least;
        to->greatest = high.at[k] > to->greatest ? high.at[k] : to->greatest;
    }
    return i;
}

#endif

bool wa_integers_sum(wa_integer_sums *to, const wa_datum *is, const uint8_t *out, size_t n,
                     wa_vector_level level)
{
    wa_integer_sums t = none();
    uint64_t squares = 0;
    size_t done = 0;
#if defined(__x86_64__)
    if (level == WA_VECTOR_AVX2)
        done = sum_avx2(&t, &squares, is, out, n);
#endif
    (void)level;
    sum_each(&t, &squares, is + done, out + done, n - done);
    if (t.n > 0) {
        if (t.least <= -LIMIT || t.greatest >= LIMIT)
            return false;
        uint64_t size = (uint64_t)(t.greatest > -t.least ? t.greatest : -t.least);
        if ((wa_uint128)size * size * t.n >> 64 != 0) /* they may have run over */
            return false;
    }
    t.squares = squares;
    *to = t;
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

uint8_t wa_tags_common(const uint8_t *tag, size_t n)
{
    size_t i = 0;
    while (i < n && tag[i] == WA_TAG_MISSING)
        i++;
    if (i == n)
        return WA_TAG_MISSING;
    uint8_t common = tag[i];
    bool differ = false;
#if defined(__x86_64__)
    const __m128i missing = _mm_set1_epi8((char)WA_TAG_MISSING),
                  first = _mm_set1_epi8((char)common);
    __m128i same = _mm_set1_epi8(-1);
    for (; i + 16 <= n; i += 16) {
        __m128i t = load(tag + i);
        same =
            _mm_and_si128(same, _mm_or_si128(_mm_cmpeq_epi8(t, first), _mm_cmpeq_epi8(t, missing)));
    }
    differ = _mm_movemask_epi8(same) != 0xffff;
#endif
    for (; i < n; i++)
        differ |= tag[i] != common && tag[i] != WA_TAG_MISSING;
    return differ ? WA_TAG_MISSING : common;
}
