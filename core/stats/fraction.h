/* fraction.h - exact fractions of 63 bits: the sizes of units. */
#ifndef STATS_FRACTION_H
#define STATS_FRACTION_H

#include "windassay/int128.h"
#include "windassay/unit.h"

#include <stdbool.h>
#include <stdint.h>

typedef struct wa_fraction {
    wa_int128 num, den; /* den > 0, no common factor, both below 2^63 in size */
} wa_fraction;

static inline wa_int128 wa_gcd(wa_int128 a, wa_int128 b)
{
    if (a < 0)
        a = -a;
    while (b != 0) {
        wa_int128 rest = a % b;
        a = b;
        b = rest < 0 ? -rest : rest;
    }
    return a;
}

static inline bool wa_fraction_fits(wa_int128 x)
{
    return x <= INT64_MAX && x >= -INT64_MAX;
}

/* False where num or den does not fit 63 bits when reduced. */
static inline bool wa_fraction_reduce(wa_fraction *f, wa_int128 num, wa_int128 den)
{
    wa_int128 common = wa_gcd(num, den);
    if (common == 0)
        return false; /* 0/0: a unit without size, which none has */
    if (den < 0)
        common = -common;
    *f = (wa_fraction){num / common, den / common};
    return wa_fraction_fits(f->num) && wa_fraction_fits(f->den);
}

static inline wa_fraction wa_fraction_of(const wa_unit *u)
{
    return (wa_fraction){u->scale_num, u->scale_den};
}

static inline bool wa_fraction_times(wa_fraction *f, wa_fraction a, wa_fraction b)
{
    return wa_fraction_reduce(f, a.num * b.num, a.den * b.den);
}

static inline bool wa_fraction_over(wa_fraction *f, wa_fraction a, wa_fraction b)
{
    return wa_fraction_reduce(f, a.num * b.den, a.den * b.num);
}

/* Each product is below 2^126, so that their sum holds. */
static inline bool wa_fraction_minus(wa_fraction *f, wa_fraction a, wa_fraction b)
{
    return wa_fraction_reduce(f, a.num * b.den - b.num * a.den, a.den * b.den);
}

#endif
