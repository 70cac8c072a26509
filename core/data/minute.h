/* minute.h - stamps of one minute, which differ from one another by their second alone, whole or with
 * so many decimals: nearly every stamp of a logger is in the minute of the one before, and needs no
 * calendar.
 */
#ifndef WINDASSAY_DATA_MINUTE_H
#define WINDASSAY_DATA_MINUTE_H

#include "data/row.h"

/* Sixteen characters of a stamp, and which of them are digits of the second (0xff, else 0). */
typedef struct wa_minute_piece {
    char is[16], second[16];
} wa_minute_piece;

typedef struct wa_minute {
    size_t length, at; /* of the stamp as written; where its second stands: "07", "07.250" */
    size_t decimals;   /* of the second                                                   */
    int64_t unit_ns;   /* of its last digit                                               */
    wa_minute_piece first,
        last;              /* which cover the stamp, and may overlap                          */
    int64_t stamp, middle; /* of its second 0: the caller's                                   */
} wa_minute;

/** The minute of a stamp of n characters whose second stands at text[at]. A stamp shorter than 16 or
 *  longer than 32 characters gives a minute that no stamp is in. */
void wa_minute_make(wa_minute *m, const char *text, size_t n, size_t at, size_t decimals);

/** The second of a stamp of that minute, in units; UINT64_MAX for any other stamp. */
uint64_t wa_minute_second(const wa_minute *m, const char *text, size_t n);

/** Steps over plain rows that lie ready, as long as the stamp in `column` (which is not the last one)
 *  is in the minute, its middle behind the one before (`after` at first) and below `limit`. *last
 *  becomes the second of the last one, in ns; false where there is none. Where their middles are asked
 *  for, a row may have the time of the one before. */
bool wa_minute_step(int64_t *last, const wa_minute *m, wa_plain *p, size_t column, int64_t after,
                    int64_t limit, int64_t *middles);

#endif
