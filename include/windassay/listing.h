/* listing.h - a CSV file of a dossier that has one row an interval, made row by row.
 *
 * These files are larger than all that a run holds otherwise, and grow with the campaign. So they
 * are never held: whoever writes, digests or compares one takes it piece by piece, as often as it likes
 * and each time with the same bytes. RFC 4180 with line feeds; the first column is the time of the
 * interval's start, in UTC.
 */
#ifndef WINDASSAY_LISTING_H
#define WINDASSAY_LISTING_H

#include "windassay/error.h"
#include "windassay/text.h"

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct wa_listing {
    int64_t from, interval_ns; /* the grid, in ns of UTC */
    size_t n;                  /* intervals              */
    wa_text names;             /* of the columns but the time: a comma and a field each */
    /* Appends the cells of interval i: a comma and what there is, for each of the names. */
    void (*cells)(const void *context, size_t i, wa_text *out);
    void (*release)(void *context); /* NULL: nothing is owned */
    void *context;                  /* what it looks at outlives the listing */
} wa_listing;

/** Appends line i, with its line feed: the names for 0, then interval i - 1. Nothing beyond. */
void wa_listing_line(wa_text *out, const wa_listing *l, size_t i);

/** Takes some bytes of the text, in order. */
typedef wa_status wa_listing_taker(void *to, const char *bytes, size_t n, wa_error *err);

/** Makes the whole text and hands it over in pieces of whole lines, one at a time and in order. Up to
 *  `jobs` threads call `cells` at once; the bytes are the same for any number. Stops where `take` fails,
 *  with its status; WA_ERR_NOMEM. */
wa_status wa_listing_make(const wa_listing *l, size_t jobs, wa_listing_taker *take, void *to,
                          wa_error *err);

/** Accepts one that is zeroed or was released. */
void wa_listing_release(wa_listing *l);

#ifdef __cplusplus
}
#endif
#endif
