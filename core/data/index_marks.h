/* index_marks.h - what index.c and index_quoted.c look for: the marks of 64 bytes, at every level. */
#ifndef WINDASSAY_DATA_INDEX_MARKS_H
#define WINDASSAY_DATA_INDEX_MARKS_H

#include "data/quick.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#if defined(__x86_64__)
#include <immintrin.h>
#endif

/* What 64 bytes hold: one bit a byte, the first byte's the lowest. */
typedef struct marks {
    uint64_t end, feed; /* delimiters and line feeds; line feeds alone */
    uint64_t odd;       /* controls that end nothing, bytes above 127, and quotes ... */
    uint64_t quote;     /* ... unless these are asked for, and marked here */
} marks;

enum { BYTES = 64, GROUP = 4 };

/* Something odd is plain only if it is a carriage return with a line feed behind it, or at the end. */
static inline bool odd_is_plain(const char *text, size_t at, size_t n)
{
    return text[at] == '\r' && (at + 1 == n || text[at + 1] == '\n');
}

/* The place of the lowest bit (any number where there is none), and how many bits there are. */
typedef uint32_t (*count_function)(uint64_t bits);
/* Marks 64 bytes. The compiler makes one way through the text for each level. */
typedef marks (*mark_function)(const char *at, char delimiter, bool quotes);

/* Writes where the marked bytes are, to every place or (step 2) every second one: one jump a group, not
 * one a byte. What is written behind the last one is written over later. */
__attribute__((always_inline)) static inline void put_places(uint32_t *to, size_t step, uint32_t at,
                                                             uint64_t marked, count_function lowest)
{
    for (; marked != 0; to += GROUP * step) {
        to[0] = at + lowest(marked);
        marked &= marked - 1;
        to[step] = at + lowest(marked);
        marked &= marked - 1;
        to[2 * step] = at + lowest(marked);
        marked &= marked - 1;
        to[3 * step] = at + lowest(marked);
        marked &= marked - 1;
    }
}

/* ---- eight bytes at a time ---- */

#define ALL(byte) WA_EIGHT((unsigned char)(byte))

__attribute__((always_inline)) static inline uint32_t lowest_portable(uint64_t bits)
{
    return (uint32_t)__builtin_ctzll(bits | (uint64_t)1 << 63);
}

/* Not every processor has an instruction for it: pairs, fours, bytes, and their sum. */
__attribute__((always_inline)) static inline uint32_t count_portable(uint64_t bits)
{
    bits -= bits >> 1 & ALL(0x55);
    bits = (bits & ALL(0x33)) + (bits >> 2 & ALL(0x33));
    return (uint32_t)(((bits + (bits >> 4)) & ALL(0x0f)) * ALL(1) >> 56);
}

/* In what follows the high bit of a byte is its answer; no byte may be above 127. */
__attribute__((always_inline)) static inline uint64_t is_not(uint64_t w, char byte)
{
    return (w ^ ALL(byte)) + ALL(0x7f);
}

__attribute__((always_inline)) static inline uint64_t is_no_control(uint64_t w)
{
    return w + ALL(0x80 - ' ');
}

/* The high bits that are not set, side by side. */
__attribute__((always_inline)) static inline uint64_t clear_ones(uint64_t w)
{
    return ((~w & ALL(0x80)) >> 7) * 0x0102040810204080u >> 56;
}

/* Marks the eight bytes from `at` + k. */
__attribute__((always_inline)) static inline void mark_eight(marks *m, const char *at, unsigned k,
                                                             char delimiter, bool quotes)
{
    uint64_t w = wa_eight_bytes(at + k), end = is_not(w, delimiter), quote = is_not(w, '"');
    uint64_t other = is_no_control(w) & (quotes ? ALL(0x80) : quote);
    if (((w | ~other) & ALL(0x80)) != 0) { /* one in ten: a line feed, or something odd */
        uint64_t high = w & ALL(0x80), low = w & ~ALL(0x80), feed = is_not(low, '\n') | high;
        end = (is_not(low, delimiter) | high) & feed;
        quote = is_not(low, '"') | high;
        other = (is_no_control(low) | ~end) & (quotes ? ~high : is_not(low, '"') & ~high);
        m->feed |= clear_ones(feed) << k;
        m->odd |= clear_ones(other) << k;
    }
    m->end |= clear_ones(end) << k;
    if (quotes)
        m->quote |= clear_ones(quote) << k;
}

__attribute__((always_inline)) static inline marks mark_portable(const char *at, char delimiter,
                                                                 bool quotes)
{
    marks m = {0};
    mark_eight(&m, at, 0, delimiter, quotes); /* eight times: gcc -O2 would make a loop of it */
    mark_eight(&m, at, 8, delimiter, quotes);
    mark_eight(&m, at, 16, delimiter, quotes);
    mark_eight(&m, at, 24, delimiter, quotes);
    mark_eight(&m, at, 32, delimiter, quotes);
    mark_eight(&m, at, 40, delimiter, quotes);
    mark_eight(&m, at, 48, delimiter, quotes);
    mark_eight(&m, at, 56, delimiter, quotes);
    return m;
}

#if defined(__x86_64__)

/* ---- SSE2, which every x86-64 has ---- */

/* Marks the sixteen bytes from `at` + k. */
__attribute__((always_inline)) static inline void mark_sixteen(marks *m, const char *at, unsigned k,
                                                               char delimiter, bool quotes)
{
    __m128i w = _mm_loadu_si128((const __m128i *)(const void *)(at + k));
    __m128i feed = _mm_cmpeq_epi8(w, _mm_set1_epi8('\n'));
    __m128i end = _mm_or_si128(feed, _mm_cmpeq_epi8(w, _mm_set1_epi8(delimiter)));
    /* a byte above 127 has a sign and is below a blank, as a control is */
    __m128i low = _mm_andnot_si128(end, _mm_cmplt_epi8(w, _mm_set1_epi8(' ')));
    __m128i quote = _mm_cmpeq_epi8(w, _mm_set1_epi8('"'));
    __m128i odd = quotes ? low : _mm_or_si128(low, quote);
    m->end |= (uint64_t)(unsigned)_mm_movemask_epi8(end) << k;
    m->feed |= (uint64_t)(unsigned)_mm_movemask_epi8(feed) << k;
    m->odd |= (uint64_t)(unsigned)_mm_movemask_epi8(odd) << k;
    if (quotes)
        m->quote |= (uint64_t)(unsigned)_mm_movemask_epi8(quote) << k;
}

__attribute__((always_inline)) static inline marks mark_sse2(const char *at, char delimiter,
                                                             bool quotes)
{
    marks m = {0};
    mark_sixteen(&m, at, 0, delimiter, quotes);
    mark_sixteen(&m, at, 16, delimiter, quotes);
    mark_sixteen(&m, at, 32, delimiter, quotes);
    mark_sixteen(&m, at, 48, delimiter, quotes);
    return m;
}

/* ---- AVX2 ---- */

/* Without the tuning gcc clears a register in front of each tzcnt, for the sake of older processors. */
#define AVX2 __attribute__((target("avx2,bmi,bmi2,popcnt,lzcnt,tune=znver2")))

AVX2 __attribute__((always_inline)) static inline uint32_t lowest_avx2(uint64_t bits)
{
    return (uint32_t)_tzcnt_u64(bits);
}

AVX2 __attribute__((always_inline)) static inline uint32_t count_avx2(uint64_t bits)
{
    return (uint32_t)_mm_popcnt_u64(bits);
}

AVX2 __attribute__((always_inline)) static inline uint64_t bits_of(__m256i low, __m256i high)
{
    return (uint32_t)_mm256_movemask_epi8(low) | (uint64_t)(uint32_t)_mm256_movemask_epi8(high)
                                                     << 32;
}

AVX2 __attribute__((always_inline)) static inline marks mark_avx2(const char *at, char delimiter,
                                                                  bool quotes)
{
    const __m256i d = _mm256_set1_epi8(delimiter), feed = _mm256_set1_epi8('\n');
    const __m256i controls = _mm256_set1_epi8(' ' - 1), quote = _mm256_set1_epi8('"');
    __m256i a = _mm256_loadu_si256((const __m256i *)(const void *)at);
    __m256i b = _mm256_loadu_si256((const __m256i *)(const void *)(at + 32));
    __m256i feed_a = _mm256_cmpeq_epi8(a, feed), feed_b = _mm256_cmpeq_epi8(b, feed);
    __m256i end_a = _mm256_or_si256(feed_a, _mm256_cmpeq_epi8(a, d));
    __m256i end_b = _mm256_or_si256(feed_b, _mm256_cmpeq_epi8(b, d));
    /* see mark_sixteen */
    __m256i good_a = _mm256_or_si256(end_a, _mm256_cmpgt_epi8(a, controls));
    __m256i good_b = _mm256_or_si256(end_b, _mm256_cmpgt_epi8(b, controls));
    __m256i quote_a = _mm256_cmpeq_epi8(a, quote), quote_b = _mm256_cmpeq_epi8(b, quote);
    marks m = {.end = bits_of(end_a, end_b), .feed = bits_of(feed_a, feed_b)};
    if (quotes) {
        m.quote = bits_of(quote_a, quote_b);
    } else {
        good_a = _mm256_andnot_si256(quote_a, good_a);
        good_b = _mm256_andnot_si256(quote_b, good_b);
    }
    if (!_mm256_testc_si256(_mm256_and_si256(good_a, good_b), _mm256_set1_epi8(-1)))
        m.odd = ~bits_of(good_a, good_b);
    return m;
}

/* ---- AVX-512, with VBMI2 ---- */

#define AVX512                                                                                     \
    __attribute__((target("avx512f,avx512bw,avx512vbmi2,avx2,bmi,bmi2,popcnt,lzcnt,tune=znver2")))

AVX512 __attribute__((always_inline)) static inline marks mark_avx512(const char *at,
                                                                      char delimiter, bool quotes)
{
    __m512i w = _mm512_loadu_si512(at);
    uint64_t feed = _mm512_cmpeq_epi8_mask(w, _mm512_set1_epi8('\n'));
    uint64_t end = feed | _mm512_cmpeq_epi8_mask(w, _mm512_set1_epi8(delimiter));
    uint64_t quote = _mm512_cmpeq_epi8_mask(w, _mm512_set1_epi8('"'));
    uint64_t low = _mm512_cmplt_epi8_mask(w, _mm512_set1_epi8(' ')); /* see mark_sixteen */
    return (marks){.end = end,
                   .feed = feed,
                   .odd = (low & ~end) | (quotes ? 0 : quote),
                   .quote = quotes ? quote : 0};
}

#endif

#endif
