#include "data/index.h"

#include <stdlib.h>
#include <string.h>

#if defined(__x86_64__)
#include <immintrin.h>
#endif

/* What 64 bytes hold: one bit a byte, the first byte's the lowest. */
typedef struct marks {
    uint64_t end, feed; /* delimiters and line feeds; line feeds alone */
    uint64_t odd;       /* controls that end nothing, quotes, bytes above 127 */
} marks;

enum { BYTES = 64, GROUP = 4 };

bool wa_index_reserve(wa_index *x, size_t n)
{
    if (n <= x->room)
        return true;
    wa_index_release(x);
    uint32_t *list = malloc((1 + n + BYTES + GROUP) * sizeof *list); /* whole groups are written */
    if (list == NULL)
        return false;
    list[0] = UINT32_MAX;
    *x = (wa_index){.end = list + 1, .room = n};
    return true;
}

void wa_index_release(wa_index *x)
{
    if (x->end != NULL)
        free(x->end - 1);
    *x = (wa_index){0};
}

static bool is_odd(char c)
{
    return (unsigned char)c < ' ' || (unsigned char)c > 127 || c == '"';
}

/* Something odd is plain only if it is a carriage return with a line feed behind it, or at the end. */
static bool odd_is_plain(const char *text, size_t at, size_t n)
{
    return text[at] == '\r' && (at + 1 == n || text[at + 1] == '\n');
}

/* What is left at the end, one byte after another. */
static bool add_rest(wa_index *x, const char *text, size_t from, size_t n, char delimiter)
{
    uint32_t *end = x->end + x->ends;
    size_t feeds = 0;
    for (size_t i = from; i < n; i++) {
        if (text[i] == '\n' || text[i] == delimiter)
            *end++ = (uint32_t)i;
        else if (is_odd(text[i]) && !odd_is_plain(text, i, n))
            return false;
        feeds += text[i] == '\n';
    }
    x->ends = (size_t)(end - x->end);
    x->feeds += feeds;
    return true;
}

/* ---- the same for all levels ---- */

/* The place of the lowest bit (any number where there is none), and how many bits there are. */
typedef uint32_t (*count_function)(uint64_t bits);
/* Marks 64 bytes. The compiler makes one way through the text for each level. */
typedef marks (*mark_function)(const char *at, char delimiter);

/* Writes where the marked bytes are; behind the last one something more is written over later. */
__attribute__((always_inline)) static inline void add(wa_index *x, uint32_t at, uint64_t end,
                                                      count_function lowest, count_function count)
{
    uint32_t *to = x->end + x->ends;
    x->ends += count(end);
    for (; end != 0; to += GROUP) { /* one jump a group, not one a field */
        to[0] = at + lowest(end);
        end &= end - 1;
        to[1] = at + lowest(end);
        end &= end - 1;
        to[2] = at + lowest(end);
        end &= end - 1;
        to[3] = at + lowest(end);
        end &= end - 1;
    }
}

__attribute__((always_inline)) static inline bool make(wa_index *x, const char *text, size_t n,
                                                       char delimiter, mark_function mark,
                                                       count_function lowest, count_function count)
{
    wa_index to = *x;
    size_t i = 0;
    for (; i + BYTES <= n; i += BYTES) {
        marks m = mark(text + i, delimiter);
        for (; m.odd != 0; m.odd &= m.odd - 1)
            if (!odd_is_plain(text, i + lowest(m.odd), n)) {
                *x = to;
                return false;
            }
        if (m.feed != 0)
            to.feeds += count(m.feed);
        add(&to, (uint32_t)i, m.end, lowest, count);
    }
    bool plain = add_rest(&to, text, i, n, delimiter);
    *x = to;
    return plain;
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
                                                             char delimiter)
{
    uint64_t w = eight(at + k), end = is_not(w, delimiter);
    uint64_t other = is_no_control(w) & is_not(w, '"');
    if (((w | ~other) & ALL(0x80)) != 0) { /* one in ten: a line feed, or something odd */
        uint64_t high = w & ALL(0x80), low = w & ~ALL(0x80), feed = is_not(low, '\n') | high;
        end = (is_not(low, delimiter) | high) & feed;
        other = (is_no_control(low) | ~end) & is_not(low, '"') & ~high;
        m->feed |= clear_ones(feed) << k;
        m->odd |= clear_ones(other) << k;
    }
    m->end |= clear_ones(end) << k;
}

__attribute__((always_inline)) static inline marks mark_portable(const char *at, char delimiter)
{
    marks m = {0};
    mark_eight(&m, at, 0, delimiter); /* eight times: gcc -O2 would make a loop of it */
    mark_eight(&m, at, 8, delimiter);
    mark_eight(&m, at, 16, delimiter);
    mark_eight(&m, at, 24, delimiter);
    mark_eight(&m, at, 32, delimiter);
    mark_eight(&m, at, 40, delimiter);
    mark_eight(&m, at, 48, delimiter);
    mark_eight(&m, at, 56, delimiter);
    return m;
}

static bool make_portable(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_portable, lowest_portable, count_portable);
}

#if defined(__x86_64__)

/* ---- SSE2, which every x86-64 has ---- */

/* Marks the sixteen bytes from `at` + k. */
__attribute__((always_inline)) static inline void mark_sixteen(marks *m, const char *at, unsigned k,
                                                               char delimiter)
{
    __m128i w = _mm_loadu_si128((const __m128i *)(const void *)(at + k));
    __m128i feed = _mm_cmpeq_epi8(w, _mm_set1_epi8('\n'));
    __m128i end = _mm_or_si128(feed, _mm_cmpeq_epi8(w, _mm_set1_epi8(delimiter)));
    /* a byte above 127 has a sign and is below a blank, as a control is */
    __m128i low = _mm_andnot_si128(end, _mm_cmplt_epi8(w, _mm_set1_epi8(' ')));
    __m128i odd = _mm_or_si128(low, _mm_cmpeq_epi8(w, _mm_set1_epi8('"')));
    m->end |= (uint64_t)(unsigned)_mm_movemask_epi8(end) << k;
    m->feed |= (uint64_t)(unsigned)_mm_movemask_epi8(feed) << k;
    m->odd |= (uint64_t)(unsigned)_mm_movemask_epi8(odd) << k;
}

__attribute__((always_inline)) static inline marks mark_sse2(const char *at, char delimiter)
{
    marks m = {0};
    mark_sixteen(&m, at, 0, delimiter);
    mark_sixteen(&m, at, 16, delimiter);
    mark_sixteen(&m, at, 32, delimiter);
    mark_sixteen(&m, at, 48, delimiter);
    return m;
}

static bool make_sse2(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_sse2, lowest_portable, count_portable);
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

AVX2 __attribute__((always_inline)) static inline marks mark_avx2(const char *at, char delimiter)
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
    good_a = _mm256_andnot_si256(_mm256_cmpeq_epi8(a, quote), good_a);
    good_b = _mm256_andnot_si256(_mm256_cmpeq_epi8(b, quote), good_b);
    marks m = {.end = bits_of(end_a, end_b), .feed = bits_of(feed_a, feed_b)};
    if (!_mm256_testc_si256(_mm256_and_si256(good_a, good_b), _mm256_set1_epi8(-1)))
        m.odd = ~bits_of(good_a, good_b);
    return m;
}

AVX2 static bool make_avx2(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_avx2, lowest_avx2, count_avx2);
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
    x->ends = x->feeds = 0;
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

/* ---- rows ---- */

size_t wa_index_rows(const wa_index *x, const char *text, size_t columns)
{
    size_t rows = x->ends / columns, i = 0;
    const uint32_t *last = x->end + columns - 1;
    while (i < rows && text[last[i * columns]] == '\n')
        i++;
    if (i == rows && x->feeds == rows) /* so there is none elsewhere */
        return rows;
    for (size_t field = 0; field < i * columns; field++)
        if (text[x->end[field]] == '\n' && field % columns != columns - 1)
            return field / columns;
    return i;
}
