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
typedef uint32_t (*lowest_function)(uint64_t bits);

__attribute__((always_inline)) static inline uint32_t lowest_portable(uint64_t bits)
{
    return (uint32_t)__builtin_ctzll(bits | (uint64_t)1 << 63);
}

/* Adds what the marks of 64 bytes from `at` say. */
__attribute__((always_inline)) static inline void add(wa_index *x, uint32_t at, const marks *m,
                                                      lowest_function lowest)
{
    uint64_t all = m->delimiter | m->feed, left = all, feeds = m->feed;
    uint32_t *to = x->end + x->ends, *stop = to + __builtin_popcountll(all);
    x->ends = (size_t)(stop - x->end);
    for (; to < stop; to += GROUP) { /* one jump a group, not one a field */
        to[0] = at + lowest(left);
        left &= left - 1;
        to[1] = at + lowest(left);
        left &= left - 1;
        to[2] = at + lowest(left);
        left &= left - 1;
        to[3] = at + lowest(left);
        left &= left - 1;
    }
    for (; feeds != 0; feeds &= feeds - 1) {
        uint64_t behind = ~(feeds ^ (feeds - 1)) & all;
        uint32_t field = (uint32_t)x->ends - (uint32_t)__builtin_popcountll(behind);
        x->row[++x->rows] = (wa_index_row){at + lowest(feeds) + 1, field};
    }
}

/* The same text by one way to mark 64 bytes: the compiler makes one of these for each level. */
typedef marks (*mark_function)(const char *at, char delimiter);

__attribute__((always_inline)) static inline bool make(wa_index *x, const char *text, size_t n,
                                                       char delimiter, mark_function mark,
                                                       lowest_function lowest)
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
        add(&to, (uint32_t)i, &m, lowest);
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

/* The high bit of each byte that is not 0; no byte may be above 127. */
__attribute__((always_inline)) static inline uint64_t not_zero(uint64_t w)
{
    return w + ALL(0x7f);
}

/* The high bits that are not set, side by side. */
__attribute__((always_inline)) static inline uint64_t clear_ones(uint64_t w)
{
    return ((~w & ALL(0x80)) >> 7) * 0x0102040810204080u >> 56;
}

__attribute__((always_inline)) static inline marks mark_portable(const char *at, char delimiter)
{
    marks m = {0};
    const uint64_t d = ALL(delimiter);
    uint64_t strange = 0;
    for (unsigned k = 0; k < BYTES; k += 8) {
        uint64_t w = eight(at + k);
        strange |= w | ~(not_zero(w) & not_zero(w ^ ALL('"')));
        uint64_t feed = not_zero(w ^ ALL('\n')), carriage = not_zero(w ^ ALL('\r'));
        m.delimiter |= clear_ones(not_zero(w ^ d)) << k;
        if ((feed & carriage & ALL(0x80)) != ALL(0x80)) { /* one in ten or more */
            m.feed |= clear_ones(feed) << k;
            m.carriage |= clear_ones(carriage) << k;
        }
    }
    m.strange = strange & ALL(0x80);
    return m;
}

static bool make_portable(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_portable, lowest_portable);
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
    return make(x, text, n, delimiter, mark_sse2, lowest_portable);
}

/* ---- AVX2 ---- */

#define AVX2 __attribute__((target("avx2,bmi,bmi2,popcnt,lzcnt")))

AVX2 __attribute__((always_inline)) static inline uint32_t lowest_avx2(uint64_t bits)
{
    return (uint32_t)_tzcnt_u64(bits);
}

/* Which bytes of both halves are `byte`. */
AVX2 __attribute__((always_inline)) static inline uint64_t are(__m256i a, __m256i b, char byte)
{
    const __m256i all = _mm256_set1_epi8(byte);
    uint32_t low = (uint32_t)_mm256_movemask_epi8(_mm256_cmpeq_epi8(a, all));
    uint32_t high = (uint32_t)_mm256_movemask_epi8(_mm256_cmpeq_epi8(b, all));
    return low | (uint64_t)high << 32;
}

AVX2 __attribute__((always_inline)) static inline marks mark_avx2(const char *at, char delimiter)
{
    __m256i a = _mm256_loadu_si256((const __m256i *)(const void *)at);
    __m256i b = _mm256_loadu_si256((const __m256i *)(const void *)(at + 32));
    const __m256i quote = _mm256_set1_epi8('"'), return_here = _mm256_set1_epi8('\r');
    /* a byte above 127 is below 1 when it has a sign, as 0 is */
    __m256i low = _mm256_min_epi8(a, b);
    __m256i quotes = _mm256_or_si256(_mm256_cmpeq_epi8(a, quote), _mm256_cmpeq_epi8(b, quote));
    __m256i strange = _mm256_or_si256(_mm256_cmpgt_epi8(_mm256_set1_epi8(1), low), quotes);
    __m256i returns =
        _mm256_or_si256(_mm256_cmpeq_epi8(a, return_here), _mm256_cmpeq_epi8(b, return_here));
    marks m = {.delimiter = are(a, b, delimiter), .feed = are(a, b, '\n')};
    m.strange = (uint32_t)_mm256_movemask_epi8(strange);
    if (!_mm256_testz_si256(returns, returns))
        m.carriage = are(a, b, '\r');
    return m;
}

AVX2 static bool make_avx2(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_avx2, lowest_avx2);
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
