#include "data/minute.h"

#include "windassay/time.h"

#include <string.h>

#if defined(__x86_64__)
#include <emmintrin.h>
#endif

enum { PIECE = 16 };

void wa_minute_make(wa_minute *m, const char *text, size_t n, size_t at)
{
    *m = (wa_minute){.at = at};
    if (n < PIECE || n > 2 * PIECE)
        return;
    char second[2 * PIECE] = {0};
    second[at] = second[at + 1] = (char)0xff;
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

static inline unsigned second_in(const wa_minute *m, const char *text, size_t n)
{
    if (n != m->length || n == 0 || !same_but_second(m, text, text + n - PIECE))
        return 60;
    unsigned tens = (unsigned char)text[m->at] - (unsigned)'0';
    unsigned ones = (unsigned char)text[m->at + 1] - (unsigned)'0';
    return tens > 5 || ones > 9 ? 60 : tens * 10 + ones;
}

unsigned wa_minute_second(const wa_minute *m, const char *text, size_t n)
{
    return second_in(m, text, n);
}

/* The first whole second behind an instant, counted from the minute's: 0 to 60. */
static unsigned second_behind(const wa_minute *m, int64_t instant)
{
    if (instant < m->middle)
        return 0;
    if (instant >= m->middle + 60 * WA_SECOND_NS)
        return 60;
    return (unsigned)((instant - m->middle) / WA_SECOND_NS) + 1;
}

bool wa_minute_step(unsigned *last, const wa_minute *m, wa_plain *p, size_t column, int64_t after,
                    int64_t limit, int64_t *middles)
{
    unsigned behind = second_behind(m, limit - 1), apart = middles == NULL;
    unsigned next = second_behind(m, apart ? after : after - 1);
    const uint32_t *end = wa_plain_ends(p, p->next) + p->index.per * column;
    size_t from = p->next, i = from, stride = wa_plain_stride(p);
    for (; i < p->ready; i++, end += stride) {
        uint32_t begin = end[-1] + 1;
        unsigned second = second_in(m, p->text + begin, end[0] - begin);
        if (second < next || second >= behind)
            break;
        next = second + apart;
        if (middles != NULL)
            middles[i - from] = m->middle + second * WA_SECOND_NS;
    }
    p->next = i;
    *last = next - apart;
    return i > from;
}
