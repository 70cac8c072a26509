/* footnotes.h - remarks that many rows share, said once below the table and numbered in its cells. */
#ifndef WA_REPORT_FOOTNOTES_H
#define WA_REPORT_FOOTNOTES_H

#include "windassay/text.h"

#include <stddef.h>

typedef struct wa_footnotes {
    wa_text said; /* the notes one behind the other, each ended by NUL */
} wa_footnotes;

#define WA_FOOTNOTES_INIT                                                                          \
    {                                                                                              \
        WA_TEXT_INIT                                                                               \
    }

/* The number of `text`, from 1: that of an equal note, or the next one. Plain text, not escaped. */
size_t wa_footnote(wa_footnotes *f, const char *text);

/* The next note behind `note`; NULL as `note` gives the first, NULL comes back behind the last. */
const char *wa_footnotes_next(const wa_footnotes *f, const char *note);

void wa_footnotes_clear(wa_footnotes *f);

#endif
