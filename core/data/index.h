/* index.h - where the fields of plain text end, found many bytes at a time.
 *
 * Plain is text of ASCII that holds no quote and no NUL, and a carriage return in front of a line
 * feed only. Such text needs no CSV parser: every delimiter ends a field, every line feed a row.
 * All levels find the same; which one a processor has is asked for when a file is opened.
 */
#ifndef WINDASSAY_DATA_INDEX_H
#define WINDASSAY_DATA_INDEX_H

#include "windassay/records.h"

#include <stddef.h>
#include <stdint.h>

typedef struct wa_index {
    uint32_t *end; /* of each field: its delimiter or line feed. end[-1] + 1 is 0, so that field i
                      begins at end[i - 1] + 1 whichever it is */
    size_t ends, feeds; /* how many, and how many of them are line feeds           */
    size_t room;        /* bytes of text that the list is long enough for          */
} wa_index;

/** The best level not above the one wished for that this processor has. */
wa_vector_level wa_index_level(wa_vector_level wished);

/** Makes room for the index of a text of n bytes. False: memory ran out. */
bool wa_index_reserve(wa_index *x, size_t n);
void wa_index_release(wa_index *x);

/** Indexes the n bytes (room for them is there, fewer than 2^31) at `text`, which begin a row, up
 *  to the first piece of at most 64 bytes that is not plain. True where all of it is plain. */
bool wa_index_make(wa_index *x, const char *text, size_t n, char delimiter, wa_vector_level level);

/** How many rows of so many fields the text begins with: each ended by a line feed, none with one
 *  inside. */
size_t wa_index_rows(const wa_index *x, const char *text, size_t columns);

#endif
