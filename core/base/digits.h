/* digits.h - two decimal digits at a time. */
#ifndef BASE_DIGITS_H
#define BASE_DIGITS_H

#include <stdint.h>
#include <string.h>

/* Writes the two digits of v, which is below 100. */
static inline void wa_put_pair(char *to, uint32_t v)
{
    static const char pairs[] = "00010203040506070809101112131415161718192021222324"
                                "25262728293031323334353637383940414243444546474849"
                                "50515253545556575859606162636465666768697071727374"
                                "75767778798081828384858687888990919293949596979899";
    memcpy(to, pairs + (size_t)2 * v, 2);
}

#endif
