#include "data/minute.h"

#include "windassay/time.h"

#include <string.h>

#if defined(__x86_64__)
#include <emmintrin.h>
#endif

enum { PIECE = 16, POINT = 2 /* behind the second's digits */ };

void wa_minute_make(wa_minute *m, const char *text, size_t n, size_t at, size_t decimals)
{
    *m = (wa_minute){.at = at, .decimals = decimals, .unit_ns = WA_SECOND_NS};
    if (n < PIECE || n > 2 * PIECE)
        return;
    char second[2 * PIECE] = {0};
    second[at] = second[at + 1] = (char)0xff;
    for (size_t i = 0; i < decimals; i++) {
        second[at + POINT + 1 + i] = (char)0xff;
        m->unit_ns /= 10;
    }
    m->length = n;
    memcpy(m->first.is, text, PIECE);
    memcpy(m->first.second, second, PIECE);
    memcpy(m->last.is, text + n - PIECE, PIECE);
    memcpy(m->last.second, second + n - PIECE, PIECE);
}

/* True where both pieces of a text are as in the minute, but for the second. */
static inline bool same_but_second(const wa_minute *m, const char *first, const char *last)
{
#if defined(__x86_64__)
#define LOAD(at) _mm_loadu_si128((const __m128i *)(const void *)(at))
    __m128i a = _mm_cmpeq_epi8(LOAD(first), LOAD(m->first.is));
    __m128i b = _mm_cmpeq_epi8(LOAD(last), LOAD(m->last.is));
    a = _mm_or_si128(a, LOAD(m->first.second));
    b = _mm_or_si128(b, LOAD(m->last.second));
    return _mm_movemask_epi8(_mm_and_si128(a, b)) == 0xffff;
#undef LOAD
#else
    bool same = true;
    for (size_t i = 0; i < PIECE; i++)
        same &= (first[i] == m->first.is[i] || m->first.second[i] != 0) &&
                (last[i] == m->last.is[i] || m->last.second[i] != 0);
    return same;
#endif
}

__attribute__((always_inline)) static inline uint64_t
second_in(const wa_minute *m, const char *text, size_t n, size_t decimals)
{
    if (n != m->length || n == 0 || !same_but_second(m, text, text + n - PIECE))
        return UINT64_MAX;
    const char *at = text + m->at;
    unsigned tens = (unsigned char)at[0] - (unsigned)'0';
    unsigned ones = (unsigned char)at[1] - (unsigned)'0';
    if (tens > 5 || ones > 9)
        return UINT64_MAX;
    uint64_t second = tens * 10 + ones;
    for (size_t i = 0; i < decimals; i++) {
        unsigned digit = (unsigned char)at[POINT + 1 + i] - (unsigned)'0';
        if (digit > 9)
            return UINT64_MAX;
        second = second * 10 + digit;
    }
    return second;
}

uint64_t wa_minute_second(const wa_minute *m, const char *text, size_t n)
{
    return second_in(m, text, n, m->decimals);
}

/* The first second behind an instant, in units from the minute's beginning on. */
static uint64_t second_behind(const wa_minute *m, int64_t instant)
{
    if (instant < m->middle)
        return 0;
    if (instant >= m->middle + 60 * WA_SECOND_NS)
        return UINT64_MAX;
    return (uint64_t)((instant - m->middle) / m->unit_ns) + 1;
}

__attribute__((always_inline)) static inline bool step(int64_t *last, const wa_minute *m,
                                                       wa_plain *p, size_t column, int64_t after,
                                                       int64_t limit, size_t decimals,
                                                       int64_t *middles)
{
    uint64_t behind = second_behind(m, limit - 1), apart = middles == NULL;
    uint64_t next = second_behind(m, apart ? after : after - 1);
    const uint32_t *end = wa_plain_ends(p, p->next) + p->index.per * column;
    size_t from = p->next, ready = p->ready, i = from, stride = wa_plain_stride(p);
    const char *text = p->text;
    for (; i < ready; i++, end += stride) {
        uint32_t begin = end[-1] + 1;
        uint64_t second = second_in(m, text + begin, end[0] - begin, decimals);
        if (second < next || second >= behind)
            break;
        next = second + apart;
        if (middles != NULL)
            middles[i - from] = m->middle + (int64_t)second * m->unit_ns;
    }
    p->next = i;
    *last = (int64_t)(next - apart) * m->unit_ns;
    return i > from;
}

bool wa_minute_step(int64_t *last, const wa_minute *m, wa_plain *p, size_t column, int64_t after,
                    int64_t limit, int64_t *middles)
{
    if (m->length == 0)
        return false;
    if (m->decimals == 0 && middles == NULL) /* the usual case, without what it does not need */
        return step(last, m, p, column, after, limit, 0, NULL);
    return step(last, m, p, column, after, limit, m->decimals, middles);
}
