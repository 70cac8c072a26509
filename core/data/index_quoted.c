/* Where the fields of text with quotes begin and end: without them, so that who reads a field sees no
 * difference. Whatever needs a parser is refused: a delimiter, a line end or a quote inside quotes, and
 * a quote that does not stand at the border of a field. */
#include "data/index.h"
#include "data/index_marks.h"

/* What is made, and what the bytes in front leave open for those that follow: 0 or 1 each. */
typedef struct list {
    uint32_t *end;   /* where the next end goes, and behind it where the next field begins */
    uint64_t ended;  /* the last byte ended a field, or none was                           */
    uint64_t closed; /* the last byte is a quote that closes a field                       */
    uint64_t inside; /* a quote was opened and not closed yet                              */
    uint64_t quotes; /* not 0: there was a quote                                           */
    size_t feeds;
} list;

__attribute__((always_inline)) static inline uint64_t
put_one(uint32_t *to, uint32_t at, uint64_t end, uint32_t quote, count_function lowest)
{
    uint32_t here = at + lowest(end);
    to[0] = here - quote;
    to[1] = here + quote;
    return end & (end - 1);
}

/* The same for bytes that all have quotes on both sides (1), or none has one on either (0): in front of
 * those a field ends, behind them the next one begins. */
__attribute__((always_inline)) static inline void put_alike(uint32_t *to, uint32_t at, uint64_t end,
                                                            uint32_t quote, count_function lowest)
{
    for (; end != 0; to += 2 * GROUP) {
        end = put_one(to, at, end, quote, lowest);
        end = put_one(to + 2, at, end, quote, lowest);
        end = put_one(to + 4, at, end, quote, lowest);
        end = put_one(to + 6, at, end, quote, lowest);
    }
}

/* Writes where in front of the marked bytes a field ends, and where behind them the next one begins:
 * `in_front` and `behind` are those of them that have a quote there. */
__attribute__((always_inline)) static inline void put_both(uint32_t *to, uint32_t at, uint64_t end,
                                                           uint64_t in_front, uint64_t behind,
                                                           size_t n, count_function lowest)
{
    const uint64_t inner = in_front & ~(uint64_t)1, outer = behind & ~((uint64_t)1 << 63);
    if ((in_front & behind) == end) {
        put_alike(to, at, end, 1, lowest);
    } else if ((in_front | behind) == 0) {
        put_alike(to, at, end, 0, lowest);
    } else {
        put_places(to, 2, at, (end ^ inner) | inner >> 1, lowest);
        put_places(to + 1, 2, at, (end ^ outer) | outer << 1, lowest);
        to[0] -= (uint32_t)(in_front & 1); /* these quotes are not among the 64 bytes */
        to[2 * n - 1] += (uint32_t)(behind >> 63);
    }
}

/* Adds 64 bytes from `at`, of which those in `known` are there and behind which there is a quote or
 * none: 1 or 0. What is odd among them is a carriage return in front of a line feed. False, and nothing
 * added: they are not plain. */
__attribute__((always_inline)) static inline bool add(list *l, uint32_t at, const marks *m,
                                                      uint64_t known, uint64_t next,
                                                      count_function lowest, count_function count)
{
    uint64_t first = m->end << 1 | l->ended, opening = m->quote & first;
    uint64_t closing = m->quote ^ opening, behind = closing << 1 | l->closed;
    /* Opening and closing quotes take turns, or this marks something that it must not: borrowing
     * runs from each opening one to the closing one behind it. */
    uint64_t inside = closing - opening - l->inside;
    if (((inside & (m->end | closing)) | (behind & ~(m->end | m->odd) & known)) != 0)
        return false;
    uint64_t in_front = behind & m->end; /* of which ends there is a quote */
    behind = (m->quote >> 1 | next << 63) & m->end;
    size_t n = count(m->end);
    put_both(l->end, at, m->end, in_front, behind, n, lowest);
    l->end += 2 * n;
    if (m->feed != 0)
        l->feeds += count(m->feed);
    l->ended = m->end >> 63;
    l->closed = closing >> 63;
    l->inside = inside >> 63;
    l->quotes |= m->quote;
    return true;
}

/* Whether nothing odd needs the parser. */
__attribute__((always_inline)) static inline bool
odds_are_plain(uint64_t odd, const char *text, size_t at, size_t n, count_function lowest)
{
    for (; odd != 0; odd &= odd - 1)
        if (!odd_is_plain(text, at + lowest(odd), n))
            return false;
    return true;
}

__attribute__((always_inline)) static inline bool make(wa_index *x, const char *text, size_t n,
                                                       char delimiter, mark_function mark,
                                                       count_function lowest, count_function count)
{
    list l = {.end = x->end, .ended = 1};
    size_t i = 0;
    bool plain = true;
    for (; plain && n - i > BYTES; i += BYTES) {
        marks m = mark(text + i, delimiter, true);
        plain = (m.odd == 0 || odds_are_plain(m.odd, text, i, n, lowest)) &&
                add(&l, (uint32_t)i, &m, ~(uint64_t)0, text[i + BYTES] == '"', lowest, count);
    }
    if (plain) { /* the last ones */
        char rest[BYTES];
        uint64_t known = n - i == BYTES ? ~(uint64_t)0 : ((uint64_t)1 << (n - i)) - 1;
        memset(rest, ' ', sizeof rest);
        memcpy(rest, text + i, n - i);
        marks m = mark(rest, delimiter, true);
        m.end &= known; /* a blank may be the delimiter */
        plain = odds_are_plain(m.odd, text, i, n, lowest) &&
                add(&l, (uint32_t)i, &m, known, 0, lowest, count);
    }
    x->end[-1] = n > 0 && text[0] == '"' ? 0 : UINT32_MAX;
    x->ends = (size_t)(l.end - x->end) / 2;
    x->feeds = l.feeds;
    x->quotes = l.quotes != 0;
    return plain;
}

static bool make_portable(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_portable, lowest_portable, count_portable);
}

#if defined(__x86_64__)

static bool make_sse2(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_sse2, lowest_portable, count_portable);
}

AVX2 static bool make_avx2(wa_index *x, const char *text, size_t n, char delimiter)
{
    return make(x, text, n, delimiter, mark_avx2, lowest_avx2, count_avx2);
}

#endif

bool wa_index_make_quoted(wa_index *x, const char *text, size_t n, char delimiter,
                          wa_vector_level level)
{
    x->per = 2;
    switch (level) {
#if defined(__x86_64__)
    case WA_VECTOR_AVX512:
    case WA_VECTOR_AVX2:
        return make_avx2(x, text, n, delimiter);
    case WA_VECTOR_SSE2:
        return make_sse2(x, text, n, delimiter);
#endif
    default:
        return make_portable(x, text, n, delimiter);
    }
}
