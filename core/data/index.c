#include "data/index.h"

#include "data/index_marks.h"

#include <stdlib.h>

bool wa_index_reserve(wa_index *x, size_t n)
{
    if (n <= x->room)
        return true;
    wa_index_release(x);
    /* two entries a field where there are quotes; whole groups are written */
    uint32_t *list = malloc((1 + 2 * (n + BYTES + GROUP)) * sizeof *list);
    if (list == NULL)
        return false;
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

/* Writes where the marked bytes are; what is written behind the last one is written over later. */
typedef void (*put_function)(uint32_t *to, uint32_t at, uint64_t end, count_function lowest);

__attribute__((always_inline)) static inline void put_groups(uint32_t *to, uint32_t at,
                                                             uint64_t end, count_function lowest)
{
    put_places(to, 1, at, end, lowest);
}

__attribute__((always_inline)) static inline bool make(wa_index *x, const char *text, size_t n,
                                                       char delimiter, mark_function mark,
                                                       count_function lowest, count_function count,
                                                       put_function put)
{
    wa_index to = *x;
    size_t i = 0;
    for (; i + BYTES <= n; i += BYTES) {
        marks m = mark(text + i, delimiter, false);
        for (; m.odd != 0; m.odd &= m.odd - 1)
            if (!odd_is_plain(text, i + lowest(m.odd), n)) {
                *x = to;
                return false;
            }
        if (m.feed != 0)
            to.feeds += count(m.feed);
        put(to.end + to.ends, (uint32_t)i, m.end, lowest);
        to.ends += count(m.end);
    }
    bool plain = add_rest(&to, text, i, n, delimiter);
    *x = to;
    return plain;
}

static bool make_portable(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_portable, lowest_portable, count_portable, put_groups);
}

#if defined(__x86_64__)

static bool make_sse2(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_sse2, lowest_portable, count_portable, put_groups);
}

AVX2 static bool make_avx2(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_avx2, lowest_avx2, count_avx2, put_groups);
}

/* AVX-512: the places of all marked bytes at once, sixteen of them a store. */
AVX512 __attribute__((always_inline)) static inline void
put_avx512(uint32_t *to, uint32_t at, uint64_t end, count_function lowest)
{
    static const uint8_t place[BYTES] = {
        0,  1,  2,  3,  4,  5,  6,  7,  8,  9,  10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21,
        22, 23, 24, 25, 26, 27, 28, 29, 30, 31, 32, 33, 34, 35, 36, 37, 38, 39, 40, 41, 42, 43,
        44, 45, 46, 47, 48, 49, 50, 51, 52, 53, 54, 55, 56, 57, 58, 59, 60, 61, 62, 63};
    (void)lowest;
    const __m512i from = _mm512_set1_epi32((int)at);
    __m512i places = _mm512_maskz_compress_epi8(end, _mm512_loadu_si512(place));
    for (uint32_t left = count_avx2(end);; left -= 16, to += 16) {
        __m512i wide = _mm512_cvtepu8_epi32(_mm512_castsi512_si128(places));
        _mm512_storeu_si512(to, _mm512_add_epi32(wide, from));
        if (left <= 16)
            return;
        places = _mm512_alignr_epi32(places, places, 4); /* the next sixteen */
    }
}

AVX512 static bool make_avx512(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_avx512, lowest_avx2, count_avx2, put_avx512);
}

#endif

/* ---- which ---- */

wa_vector_level wa_index_level(wa_vector_level wished)
{
    wa_vector_level has = WA_VECTOR_PORTABLE;
#if defined(__x86_64__)
    bool avx2 = __builtin_cpu_supports("avx2") && __builtin_cpu_supports("bmi") &&
                __builtin_cpu_supports("bmi2") && __builtin_cpu_supports("popcnt");
    bool avx512 =
        avx2 && __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512vbmi2");
    has = avx512 ? WA_VECTOR_AVX512 : avx2 ? WA_VECTOR_AVX2 : WA_VECTOR_SSE2;
#endif
    return wished == WA_VECTOR_BEST || wished > has ? has : wished;
}

bool wa_index_make(wa_index *x, const char *text, size_t n, char delimiter, wa_vector_level level)
{
    x->ends = x->feeds = 0;
    x->per = 1;
    x->quotes = false;
    x->end[-1] = UINT32_MAX;
    switch (level) {
#if defined(__x86_64__)
    case WA_VECTOR_AVX512:
        return make_avx512(x, text, n, delimiter);
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

/* Whether a field begins a row: in front of it is a line feed, and perhaps its quote. */
static inline bool is_fed(const char *text, uint32_t in_front)
{
    return text[in_front] == '\n' || (text[in_front] == '"' && text[in_front - 1] == '\n');
}

size_t wa_index_rows(const wa_index *x, const char *text, size_t columns)
{
    size_t rows = x->ends / columns, stride = x->per * columns, i = 0;
    const uint32_t *next = x->end + stride - 1; /* what is in front of the row behind */
    while (i < rows && is_fed(text, next[i * stride]))
        i++;
    if (i == rows && x->feeds == rows) /* so there is none elsewhere */
        return rows;
    for (size_t field = 0; field < i * columns; field++)
        if (is_fed(text, x->end[x->per * (field + 1) - 1]) && field % columns != columns - 1)
            return field / columns;
    return i;
}
