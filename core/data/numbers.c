#include "data/numbers.h"

#include "base/scaled.h"
#include "data/integers.h"
#include "data/quick.h"

#include <math.h>
#include <string.h>

#define INLINE static inline __attribute__((always_inline))

#if defined(__x86_64__)
#include <immintrin.h>

#define AVX2 __attribute__((target("avx2")))

/* The double 1.5 * 2^52 plus an integer within +-2^51 has it in its last bits. */
static const double shift = 6755399441055744.0;
static const int64_t shift_bits = 0x4338000000000000, limit = (int64_t)1 << 51;

/* Integers, two or four at a time, divided by a power of ten: both are exact, so that the quotient is
 * the double nearest to the decimal. Whole numbers need no division. Returns how many were divided;
 * `outside` says that one of them is not within the limit. */
INLINE size_t divide_twos(double *to, const wa_datum *is, double unit, bool whole, size_t n,
                          bool *outside)
{
    const __m128d shifts = _mm_set1_pd(shift), units = _mm_set1_pd(unit);
    const __m128i bits = _mm_set1_epi64x(shift_bits), limits = _mm_set1_epi64x(limit);
    __m128i beyond = _mm_setzero_si128();
    size_t i = 0;
    for (; i + 2 <= n; i += 2) {
        __m128i x = _mm_loadu_si128((const __m128i *)(const void *)(is + i));
        beyond = _mm_or_si128(beyond, _mm_add_epi64(x, limits));
        __m128d d = _mm_sub_pd(_mm_castsi128_pd(_mm_add_epi64(x, bits)), shifts);
        _mm_storeu_pd(to + i, whole ? d : _mm_div_pd(d, units));
    }
    beyond = _mm_srli_epi64(_mm_or_si128(beyond, _mm_srli_si128(beyond, 8)), 52);
    *outside = _mm_cvtsi128_si64(beyond) != 0;
    return i;
}

AVX2 INLINE size_t divide_fours(double *to, const wa_datum *is, double unit, bool whole, size_t n,
                                bool *outside)
{
    const __m256d shifts = _mm256_set1_pd(shift), units = _mm256_set1_pd(unit);
    const __m256i bits = _mm256_set1_epi64x(shift_bits), limits = _mm256_set1_epi64x(limit);
    __m256i beyond = _mm256_setzero_si256();
    size_t i = 0;
    for (; i + 4 <= n; i += 4) {
        __m256i x = _mm256_loadu_si256((const __m256i *)(const void *)(is + i));
        beyond = _mm256_or_si256(beyond, _mm256_add_epi64(x, limits));
        __m256d d = _mm256_sub_pd(_mm256_castsi256_pd(_mm256_add_epi64(x, bits)), shifts);
        _mm256_storeu_pd(to + i, whole ? d : _mm256_div_pd(d, units));
    }
    beyond = _mm256_srli_epi64(beyond, 52);
    *outside = _mm256_testz_si256(beyond, beyond) == 0;
    return i;
}

static size_t divide_sse2(double *to, const wa_datum *is, double unit, size_t n, bool *outside)
{
    return unit == 1 ? divide_twos(to, is, unit, true, n, outside)
                     : divide_twos(to, is, unit, false, n, outside);
}

AVX2 static size_t divide_avx2(double *to, const wa_datum *is, double unit, size_t n, bool *outside)
{
    return unit == 1 ? divide_fours(to, is, unit, true, n, outside)
                     : divide_fours(to, is, unit, false, n, outside);
}
#endif

static void divide(double *to, const wa_datum *is, double unit, size_t n, wa_vector_level level)
{
    size_t i = 0;
#if defined(__x86_64__)
    bool outside = false;
    if (level >= WA_VECTOR_AVX2)
        i = divide_avx2(to, is, unit, n, &outside);
    else if (level == WA_VECTOR_SSE2)
        i = divide_sse2(to, is, unit, n, &outside);
    for (size_t k = 0; outside && k < i; k++)
        if ((uint64_t)is[k].digits + (uint64_t)limit >= 2 * (uint64_t)limit)
            to[k] = (double)is[k].digits / unit;
#endif
    (void)level;
    for (; i < n; i++)
        to[i] = (double)is[i].digits / unit;
}

/* Tags are one scale or "missing": only the latter has the highest bit. */
static void put_missing(double *to, const uint8_t *tag, size_t n)
{
    size_t i = 0;
    for (; i + 8 <= n; i += 8) {
        uint64_t found = wa_eight_bytes((const char *)tag + i) & WA_EIGHT(0x80);
        for (; found != 0; found &= found - 1)
            to[i + ((size_t)__builtin_ctzll(found) >> 3)] = (double)NAN;
    }
    for (; i < n; i++)
        if (tag[i] == WA_TAG_MISSING)
            to[i] = (double)NAN;
}

void wa_numbers(double *to, const wa_datum *is, const uint8_t *tag, size_t n, wa_vector_level level)
{
    wa_tags tags = wa_tags_look(tag, n);
    if (tags.common > WA_SCALE_MAX) { /* all are missing, or there are doubles, or several scales */
        for (size_t i = 0; i < n; i++)
            to[i] = wa_sample_number(is[i], tag[i]);
        return;
    }
    double unit = 1;
    for (uint8_t k = 0; k < tags.common; k++)
        unit *= 10; /* exact: 10^18 has 42 bits beside its factors of 2 */
    divide(to, is, unit, n, level);
    if (tags.missing > 0)
        put_missing(to, tag, n);
}

/* ---- doubles that are missing ---- */

static inline __attribute__((always_inline)) void
mark(uint8_t *restrict to, const uint8_t *restrict out, const double *restrict x, size_t n)
{
    enum { MARKS = 16 };
    size_t i = 0;
    for (; i + MARKS <= n; i += MARKS) /* so many at a time become vector instructions */
        for (size_t k = 0; k < MARKS; k++)
            to[i + k] = (uint8_t)(out[i + k] | (x[i + k] != x[i + k]));
    for (; i < n; i++)
        to[i] = (uint8_t)(out[i] | (x[i] != x[i]));
}

#if defined(__x86_64__)
AVX2 static void mark_avx2(uint8_t *to, const uint8_t *out, const double *x, size_t n)
{
    mark(to, out, x, n);
}
#endif

size_t wa_numbers_missing(uint8_t *to, const uint8_t *out, const double *x, size_t n,
                          wa_vector_level level)
{
#if defined(__x86_64__)
    if (level >= WA_VECTOR_AVX2)
        mark_avx2(to, out, x, n);
    else
#endif
        mark(to, out, x, n);
    (void)level;
    return wa_tags_count(to, n);
}

/* ---- units and calibrations ---- */

enum { GROUP = 8 };

INLINE void affine(double *y, double slope, double offset, size_t n)
{
    size_t i = 0;
    for (; i + GROUP <= n; i += GROUP) /* so many at a time become vector instructions */
        for (size_t k = 0; k < GROUP; k++)
            y[i + k] = fma(y[i + k], slope, offset);
    for (; i < n; i++)
        y[i] = fma(y[i], slope, offset);
}

#if defined(__x86_64__)
__attribute__((target("avx2,fma"))) static void affine_fma(double *y, double slope, double offset,
                                                           size_t n)
{
    affine(y, slope, offset, n);
}
#endif

void wa_numbers_affine(double *y, double slope, double offset, size_t n, wa_vector_level level)
{
#if defined(__x86_64__)
    if (level >= WA_VECTOR_AVX2 && __builtin_cpu_supports("fma")) {
        affine_fma(y, slope, offset, n);
        return;
    }
#endif
    (void)level;
    affine(y, slope, offset, n);
}
