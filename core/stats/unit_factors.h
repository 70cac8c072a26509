/* unit_factors.h - a unit as a list of named factors: how it is read, joined and printed. */
#ifndef STATS_UNIT_FACTORS_H
#define STATS_UNIT_FACTORS_H

#include "stats/unit_table.h"

#include <stddef.h>

enum { WA_FACTORS_MOST = 8, WA_FACTOR_SYMBOL = 16, WA_FACTOR_POWER_MOST = 9 };

typedef struct wa_factor {
    wa_named_unit unit; /* with its prefix in num/den */
    char symbol[WA_FACTOR_SYMBOL];
    int power;
} wa_factor;

typedef struct wa_factors {
    wa_factor at[WA_FACTORS_MOST];
    size_t n;
} wa_factors;

/* Reads a spelling (unit.h). */
wa_status wa_factors_read(wa_factors *out, const char *text, wa_error *err);

/* Adds one factor to the list, joined with an equal symbol. False: too many, too high a power. */
bool wa_factors_add(wa_factors *list, const wa_factor *f);

/* The unit that the factors make; `what` names it in messages. */
wa_status wa_factors_unit(wa_unit *out, const wa_factors *list, const char *what, wa_error *err);

#endif
