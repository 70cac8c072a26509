/* row.h - one row of a CSV file and its fields, whichever way it was taken apart. */
#ifndef WINDASSAY_DATA_ROW_H
#define WINDASSAY_DATA_ROW_H

#include "data/index.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct wa_field {
    const char *at; /* from wa_rows_next: NUL-terminated, and it holds no other NUL; the 8 bytes
                       in front of its end may be read, whoever gave it */
    size_t length;
} wa_field;

typedef struct wa_row {
    const wa_field *field; /* from the parser; NULL: a plain row, which is what follows      */
    const char *text;      /* that was indexed; the 8 bytes in front of it may be read       */
    const uint32_t *end;   /* of the fields in the text, so many places each: see wa_index   */
    size_t per;
    uint32_t last, cut; /* the last column, whose end is `cut` bytes further to the front    */
} wa_row;

/** The plain rows that lie ready: indexed, and each proven to have as many fields as it should. */
typedef struct wa_plain {
    wa_index index;
    const char *text;
    size_t next, ready; /* rows given, and rows that can be given */
    size_t settled;     /* rows of which the lines know */
    uint32_t columns;
    bool quoted; /* the text last indexed had quotes */
} wa_plain;

/** The ends of row i of those that lie ready: wa_plain_stride places, see wa_index. */
static inline const uint32_t *wa_plain_ends(const wa_plain *p, size_t i)
{
    return p->index.end + i * p->columns * p->index.per;
}

static inline size_t wa_plain_stride(const wa_plain *p)
{
    return p->columns * p->index.per;
}

/** Where row i begins in the text, or one behind the last. */
static inline uint32_t wa_plain_start(const wa_plain *p, size_t i)
{
    return wa_index_begin(&p->index, p->text, i * p->columns);
}

/** How many bytes in front of a line feed are not part of the last field, whose ends these are: a
 *  carriage return, and a quote in front of it. */
static inline uint32_t wa_plain_cut(const wa_plain *p, const uint32_t *last)
{
    if (last[0] == last[-1] + 1 || p->text[last[0] - 1] != '\r')
        return 0;
    return last[0] > 1 && p->text[last[0] - 2] == '"' ? 2 : 1;
}

/** Row i of those that lie ready. */
static inline void wa_plain_at(const wa_plain *p, size_t i, wa_row *row)
{
    row->field = NULL;
    row->text = p->text;
    row->end = wa_plain_ends(p, i);
    row->per = p->index.per;
    row->last = p->columns - 1;
    row->cut = wa_plain_cut(p, row->end + row->per * row->last);
}

/** The next of the rows that lie ready; false when none does. */
static inline bool wa_plain_next(wa_plain *p, wa_row *row)
{
    if (p->next == p->ready)
        return false;
    wa_plain_at(p, p->next++, row);
    return true;
}

static inline wa_field wa_row_field(const wa_row *row, size_t column)
{
    if (row->field != NULL)
        return row->field[column];
    const uint32_t *end = row->end + row->per * column;
    uint32_t from = end[-1] + 1, to = end[0] - (column == row->last ? row->cut : 0);
    return (wa_field){row->text + from, to - from};
}

#endif
