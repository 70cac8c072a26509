/* exact_place.h - the inside of a wa_exact, for exact*.c alone. */
#ifndef BASE_EXACT_PLACE_H
#define BASE_EXACT_PLACE_H

#include "windassay/exact.h"

/* The lowest bit of an exact sum is 2^WA_EXACT_LOWEST: the square of the smallest double. */
enum { WA_EXACT_LOWEST = -2148 };

/* Adds +-mantissa * 2^(WA_EXACT_LOWEST + position). */
void wa_exact_place(wa_exact *e, bool negative, uint64_t mantissa, int position);

#endif
