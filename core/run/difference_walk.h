/* difference_walk.h - where a walk over two records or files is, and what it met. */
#ifndef WINDASSAY_RUN_DIFFERENCE_WALK_H
#define WINDASSAY_RUN_DIFFERENCE_WALK_H

#include "run/difference.h"

#include <stdbool.h>

typedef struct wa_walk {
    wa_differences *d;
    const char *check, *table, *column;
    const wa_value *key; /* of the row: its first cell */
    size_t row;          /* from 1; 0: in no row       */
    wa_text place;
    bool failed;
} wa_walk;

/** Notes that the two sides differ here; NULL: a side has nothing. */
void wa_walk_add(wa_walk *w, const wa_value *before, const wa_value *after);

#endif
