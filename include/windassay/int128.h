/* int128.h - the compiler's 128-bit integers under a name that a pedantic compiler accepts. */
#ifndef WINDASSAY_INT128_H
#define WINDASSAY_INT128_H

__extension__ typedef __int128 wa_int128;
__extension__ typedef unsigned __int128 wa_uint128;

#endif
