#include "data/index.h"

#include <stdlib.h>
#include <string.h>

#if defined(__x86_64__)
#include <immintrin.h>
#endif

/* What 64 bytes hold: one bit a byte, the first byte's the lowest. */
typedef struct marks {
    uint64_t delimiter, feed, carriage;
    uint64_t strange; /* not 0: something is not plain */
} marks;

enum { BYTES = 64, GROUP = 4 };

bool wa_index_reserve(wa_index *x, size_t n)
{
    if (n <= x->room)
        return true;
    size_t room = n + BYTES + GROUP; /* whole groups are written, and the rest overwritten */
    free(x->end);
    free(x->row);
    x->end = malloc(room * sizeof *x->end);
    x->row = malloc(room * sizeof *x->row);
    x->room = x->end != NULL && x->row != NULL ? n : 0;
    return x->room != 0;
}

void wa_index_release(wa_index *x)
{
    free(x->end);
    free(x->row);
    *x = (wa_index){0};
}

/* The place of the lowest bit; any number where there is none. */
__attribute__((always_inline)) static inline uint32_t lowest(uint64_t bits)
{
#if defined(__x86_64__)
    uint64_t at = 0;
    __asm__("rep bsf %1, %0" : "=r"(at) : "r"(bits), "0"(at) : "cc");
    return (uint32_t)at; /* tzcnt, and bsf where there is no tzcnt; neither traps on 0 */
#else
    return (uint32_t)__builtin_ctzll(bits | (uint64_t)1 << 63);
#endif
}

/* Adds what the marks of 64 bytes from `at` say. */
__attribute__((always_inline)) static inline void add(wa_index *x, uint32_t at, const marks *m)
{
    uint64_t ends = m->delimiter | m->feed, feeds = m->feed;
    size_t count = (size_t)__builtin_popcountll(ends);
    uint32_t *to = x->end + x->ends;
    for (size_t done = 0; done < count; done += GROUP) /* one jump a group, not one a field */
        for (size_t i = 0; i < GROUP; i++) {
            *to++ = at + lowest(ends);
            ends &= ends - 1;
        }
    for (; feeds != 0; feeds &= feeds - 1) {
        uint64_t upto = feeds ^ (feeds - 1);
        size_t before = (size_t)__builtin_popcountll((m->delimiter | m->feed) & upto);
        x->row[++x->rows] =
            (wa_index_row){at + (uint32_t)__builtin_ctzll(feeds) + 1, (uint32_t)(x->ends + before)};
    }
    x->ends += count;
}

/* The same text by one way to mark 64 bytes: the compiler makes one of these for each level. */
typedef marks (*mark_function)(const char *at, char delimiter);

__attribute__((always_inline)) static inline bool make(wa_index *x, const char *text, size_t n,
                                                       char delimiter, mark_function mark)
{
    uint64_t carried = 0; /* a carriage return was the last byte before */
    wa_index to = *x;
    for (size_t i = 0; i < n; i += BYTES) {
        char rest[BYTES];
        const char *at = text + i;
        if (n - i < BYTES) {
            memset(rest, ' ', sizeof rest); /* marks nothing, unless it delimits: see below */
            memcpy(rest, at, n - i);
            at = rest;
        }
        marks m = mark(at, delimiter);
        uint64_t behind = m.carriage << 1 | carried;
        if (n - i < BYTES) { /* a line feed may follow beyond the end */
            m.delimiter &= ((uint64_t)1 << (n - i)) - 1;
            behind &= ((uint64_t)1 << (n - i)) - 1;
        }
        if ((m.strange | (behind & ~m.feed)) != 0) {
            *x = to;
            return false;
        }
        carried = m.carriage >> 63;
        add(&to, (uint32_t)i, &m);
    }
    *x = to;
    return true;
}

/* ---- eight bytes at a time ---- */

static uint64_t eight(const char *at)
{
    uint64_t w;
    memcpy(&w, at, sizeof w);
#if __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__
    w = __builtin_bswap64(w);
#endif
    return w;
}

#define ALL(byte) (0x0101010101010101u * (uint64_t)(unsigned char)(byte))

/* The high bit of each byte that is 0; no byte may be above 127. */
__attribute__((always_inline)) static inline uint64_t zeros(uint64_t w)
{
    return ~(w + ALL(0x7f)) & ALL(0x80);
}

/* Those high bits side by side. */
__attribute__((always_inline)) static inline uint64_t together(uint64_t high)
{
    return (high >> 7) * 0x0102040810204080u >> 56;
}

__attribute__((always_inline)) static inline marks mark_portable(const char *at, char delimiter)
{
    marks m = {0};
    const uint64_t d = ALL(delimiter);
    for (unsigned k = 0; k < BYTES; k += 8) {
        uint64_t w = eight(at + k);
        m.strange |= (w & ALL(0x80)) | zeros(w) | zeros(w ^ ALL('"'));
        uint64_t feed = zeros(w ^ ALL('\n')), carriage = zeros(w ^ ALL('\r'));
        m.delimiter |= together(zeros(w ^ d)) << k;
        if ((feed | carriage) != 0) { /* one in ten or more */
            m.feed |= together(feed) << k;
            m.carriage |= together(carriage) << k;
        }
    }
    return m;
}

static bool make_portable(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_portable);
}

#if defined(__x86_64__)

/* ---- SSE2, which every x86-64 has ---- */

__attribute__((always_inline)) static inline marks mark_sse2(const char *at, char delimiter)
{
    marks m = {0};
    const __m128i d = _mm_set1_epi8(delimiter), feed = _mm_set1_epi8('\n');
    const __m128i carriage = _mm_set1_epi8('\r'), quote = _mm_set1_epi8('"');
    __m128i strange = _mm_setzero_si128();
    for (unsigned k = 0; k < BYTES; k += 16) {
        __m128i w = _mm_loadu_si128((const __m128i *)(const void *)(at + k));
        /* a byte above 127 is below 1 when it has a sign */
        strange = _mm_or_si128(
            strange, _mm_or_si128(_mm_cmplt_epi8(w, _mm_set1_epi8(1)), _mm_cmpeq_epi8(w, quote)));
        m.delimiter |= (uint64_t)(unsigned)_mm_movemask_epi8(_mm_cmpeq_epi8(w, d)) << k;
        m.feed |= (uint64_t)(unsigned)_mm_movemask_epi8(_mm_cmpeq_epi8(w, feed)) << k;
        m.carriage |= (uint64_t)(unsigned)_mm_movemask_epi8(_mm_cmpeq_epi8(w, carriage)) << k;
    }
    m.strange = (uint64_t)(unsigned)_mm_movemask_epi8(strange);
    return m;
}

static bool make_sse2(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_sse2);
}

/* ---- AVX2 ---- */

#define AVX2 __attribute__((target("avx2,bmi,bmi2,popcnt,lzcnt")))

AVX2 __attribute__((always_inline)) static inline marks mark_avx2(const char *at, char delimiter)
{
    marks m = {0};
    const __m256i d = _mm256_set1_epi8(delimiter), feed = _mm256_set1_epi8('\n');
    const __m256i carriage = _mm256_set1_epi8('\r'), quote = _mm256_set1_epi8('"');
    __m256i strange = _mm256_setzero_si256();
    for (unsigned k = 0; k < BYTES; k += 32) {
        __m256i w = _mm256_loadu_si256((const __m256i *)(const void *)(at + k));
        strange =
            _mm256_or_si256(strange, _mm256_or_si256(_mm256_cmpgt_epi8(_mm256_set1_epi8(1), w),
                                                     _mm256_cmpeq_epi8(w, quote)));
        m.delimiter |= (uint64_t)(unsigned)_mm256_movemask_epi8(_mm256_cmpeq_epi8(w, d)) << k;
        m.feed |= (uint64_t)(unsigned)_mm256_movemask_epi8(_mm256_cmpeq_epi8(w, feed)) << k;
        m.carriage |= (uint64_t)(unsigned)_mm256_movemask_epi8(_mm256_cmpeq_epi8(w, carriage)) << k;
    }
    m.strange = (uint64_t)(unsigned)_mm256_movemask_epi8(strange);
    return m;
}

AVX2 static bool make_avx2(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_avx2);
}

#endif

/* ---- which ---- */

wa_vector_level wa_index_level(wa_vector_level wished)
{
    wa_vector_level has = WA_VECTOR_PORTABLE;
#if defined(__x86_64__)
    bool avx2 = __builtin_cpu_supports("avx2") && __builtin_cpu_supports("bmi") &&
                __builtin_cpu_supports("bmi2") && __builtin_cpu_supports("popcnt");
    has = avx2 ? WA_VECTOR_AVX2 : WA_VECTOR_SSE2;
#endif
    return wished == WA_VECTOR_BEST || wished > has ? has : wished;
}

bool wa_index_make(wa_index *x, const char *text, size_t n, char delimiter, wa_vector_level level)
{
    x->ends = x->rows = 0;
    x->row[0] = (wa_index_row){0, 0};
    switch (level) {
#if defined(__x86_64__)
    case WA_VECTOR_AVX2:
        return make_avx2(x, text, n, delimiter);
    case WA_VECTOR_SSE2:
        return make_sse2(x, text, n, delimiter);
#endif
    default:
        return make_portable(x, text, n, delimiter);
    }
}
