/* quick.h - a plain decimal of up to eight digits, all of them read at once.
 *
 * It gives what wa_decimal_parse gives, or nothing: then that one is to be asked.
 */
#ifndef WINDASSAY_DATA_QUICK_H
#define WINDASSAY_DATA_QUICK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#define WA_EIGHT(byte) (0x0101010101010101u * (uint64_t)(byte))

/** Eight bytes, the first one lowest. */
static inline uint64_t wa_eight_bytes(const char *at)
{
    uint64_t w;
    memcpy(&w, at, sizeof w);
#if __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__
    w = __builtin_bswap64(w);
#endif
    return w;
}

/** The n characters at `at`; the 8 bytes in front of their end may be read. */
static inline bool wa_quick_decimal(int64_t *digits, uint8_t *scale, const char *at, size_t n,
                                    char decimal_point)
{
    const uint64_t zeros = WA_EIGHT('0'), high = WA_EIGHT(0x80);
    size_t negative = n > 0 && *at == '-';
    size_t length = n - negative;
    if (length - 1 >= 8)
        return false;
    /* zeros in front of the number fill the eight places */
    unsigned empty = 8 * (8 - (unsigned)length);
    uint64_t w = wa_eight_bytes(at + n - 8) ^ zeros;
    w = w >> empty << empty;
    if ((w & high) != 0) /* what follows holds for ASCII */
        return false;
    /* A byte that is 0 now is the point; it goes, and what is in front of it moves up. */
    uint64_t point = w ^ WA_EIGHT('0' ^ (unsigned char)decimal_point);
    uint64_t found = ~(point + WA_EIGHT(0x7f)) & high;
    unsigned decimals = 0;
    if (found != 0) {
        uint64_t in_front = (found >> 7) - 1, upto = (found << 1) - 1;
        decimals = 7 - (unsigned)__builtin_ctzll(found) / 8;
        w = (w & in_front) << 8 | (w & ~upto);
    }
    if (((w | (w + WA_EIGHT(0x76))) & high) != 0 || (found != 0 && length == 1))
        return false;
    /* pairs, then fours, then eight of them */
    w = w * 10 + (w >> 8);
    const uint64_t pairs = 0x000000ff000000ffu;
    w = ((w & pairs) * 0x000f424000000064u + (w >> 16 & pairs) * 0x0000271000000001u) >> 32;
    int64_t v = (int64_t)w;
    *digits = negative != 0 ? -v : v;
    *scale = (uint8_t)decimals;
    return true;
}

#endif
