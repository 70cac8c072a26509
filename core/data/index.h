/* index.h - where the fields of plain text begin and end, found many bytes at a time.
 *
 * Plain is text of ASCII without controls, but for a carriage return in front of a line feed, whose
 * quotes stand around whole fields and hold no delimiter, line end or quote. Such text needs no CSV
 * parser: every delimiter ends a field, every line feed a row.
 * All levels find the same; which one a processor has is asked for when a file is opened.
 */
#ifndef WINDASSAY_DATA_INDEX_H
#define WINDASSAY_DATA_INDEX_H

#include "windassay/records.h"

#include <stddef.h>
#include <stdint.h>

/* Field i lies between end[per * i - 1], the byte in front of it, and end[per * i], that behind it.
 * Without quotes (per is 1) what ends a field is in front of the next: a delimiter or a line feed. Of
 * text that may have quotes (per is 2) each field has two places of its own, and its quotes are not
 * part of it; but a carriage return in front of a line feed is, and a quote in front of that. */
typedef struct wa_index {
    uint32_t *end;
    size_t per;
    size_t ends, feeds; /* how many fields are ended, and how many of them by line feeds */
    size_t room;        /* bytes of text that the list is long enough for                */
    bool quotes;        /* there is a quote */
} wa_index;

/** The best level not above the one wished for that this processor has. */
wa_vector_level wa_index_level(wa_vector_level wished);

/** Makes room for the index of a text of n bytes. False: memory ran out. */
bool wa_index_reserve(wa_index *x, size_t n);
void wa_index_release(wa_index *x);

/** Indexes the n bytes (room for them is there, fewer than 2^31) at `text`, which begin a row, up
 *  to the first piece of at most 64 bytes that is not plain, or has a quote. True where all of it is
 *  plain and without quotes. */
bool wa_index_make(wa_index *x, const char *text, size_t n, char delimiter, wa_vector_level level);
/** The same, and text may have quotes. */
bool wa_index_make_quoted(wa_index *x, const char *text, size_t n, char delimiter,
                          wa_vector_level level);

/** Where field i begins (i = ends: where the next one would), with its quote if it has one. */
static inline uint32_t wa_index_begin(const wa_index *x, const char *text, size_t i)
{
    uint32_t in_front = (x->end + x->per * i)[-1];
    return i == 0 ? 0 : in_front + (text[in_front] != '"');
}

/** How many rows of so many fields the text begins with: each ended by a line feed, none with one
 *  inside. */
size_t wa_index_rows(const wa_index *x, const char *text, size_t columns);

#endif
