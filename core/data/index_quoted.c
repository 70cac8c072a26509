/* Where the fields of text with quotes begin and end: without them, so that who reads a field sees no
 * difference. Whatever needs a parser is refused: a delimiter, a line end or a quote inside quotes, and
 * a quote that does not stand at the border of a field. */
#include "data/index.h"
#include "data/index_marks.h"

/* The list while it is made, and what the bytes in front leave open for those that follow: 0 or 1. */
typedef struct list {
    uint32_t *begin, *end;   /* where the next ones go                                      */
    uint64_t ended;          /* the last byte ended a field, or none was                    */
    uint64_t opened, closed; /* the last byte is a quote that opens a field, or closes one  */
    uint64_t returned;       /* the last byte is a carriage return                          */
    uint64_t inside;         /* a quote was opened and not closed yet                       */
    uint64_t quotes;         /* not 0: there was a quote                                    */
    size_t feeds;
} list;

/* Writes where the marked bytes are, to every second place. */
__attribute__((always_inline)) static inline void put(uint32_t *to, uint32_t at, uint64_t marked,
                                                      count_function lowest)
{
    for (; marked != 0; to += 2 * GROUP) {
        to[0] = at + lowest(marked);
        marked &= marked - 1;
        to[2] = at + lowest(marked);
        marked &= marked - 1;
        to[4] = at + lowest(marked);
        marked &= marked - 1;
        to[6] = at + lowest(marked);
        marked &= marked - 1;
    }
}

/* Adds 64 bytes from `at`, of which those in `known` are there; what is odd among them is a carriage
 * return in front of a line feed. False, and nothing added: they are not plain. */
__attribute__((always_inline)) static inline bool add(list *l, uint32_t at, const marks *m,
                                                      uint64_t known, count_function lowest,
                                                      count_function count)
{
    uint64_t first = m->end << 1 | l->ended, stop = m->end | m->odd;
    uint64_t opening = m->quote & first, closing = m->quote ^ opening;
    uint64_t behind = closing << 1 | l->closed;
    /* Opening and closing quotes take turns, or this marks something that it must not: borrowing
     * runs from each opening one to the closing one behind it. */
    uint64_t inside = closing - opening - l->inside;
    if (((inside & (m->end | closing)) | (behind & ~stop & known)) != 0)
        return false;
    uint64_t begin = opening << 1 | l->opened | (first ^ opening);
    uint64_t end = closing | (stop & ~(behind | m->odd << 1 | l->returned));
    put(l->begin, at - 1, begin, lowest);
    put(l->end, at, end, lowest);
    l->begin += 2 * (size_t)count(begin);
    l->end += 2 * (size_t)count(end);
    if (m->feed != 0)
        l->feeds += count(m->feed);
    l->ended = m->end >> 63;
    l->opened = opening >> 63;
    l->closed = closing >> 63;
    l->returned = m->odd >> 63;
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
    list l = {.begin = x->end - 1, .end = x->end, .ended = 1};
    size_t i = 0;
    bool plain = true;
    for (; i + BYTES <= n; i += BYTES) {
        marks m = mark(text + i, delimiter, true);
        plain = (m.odd == 0 || odds_are_plain(m.odd, text, i, n, lowest)) &&
                add(&l, (uint32_t)i, &m, ~(uint64_t)0, lowest, count);
        if (!plain)
            break;
    }
    if (plain) { /* what is left at the end */
        char rest[BYTES];
        uint64_t known = ((uint64_t)1 << (n - i)) - 1;
        memset(rest, ' ', sizeof rest);
        memcpy(rest, text + i, n - i);
        marks m = mark(rest, delimiter, true);
        m.end &= known; /* a blank may be the delimiter */
        plain = odds_are_plain(m.odd, text, i, n, lowest) &&
                add(&l, (uint32_t)i, &m, known, lowest, count);
    }
    if (!plain) /* where the next field would begin is yet to be written */
        add(&l, (uint32_t)i, &(marks){0}, 0, lowest, count);
    x->ends = (size_t)(l.begin - x->end) / 2;
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
    case WA_VECTOR_AVX2:
        return make_avx2(x, text, n, delimiter);
    case WA_VECTOR_SSE2:
        return make_sse2(x, text, n, delimiter);
#endif
    default:
        return make_portable(x, text, n, delimiter);
    }
}
