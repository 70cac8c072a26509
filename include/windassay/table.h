/* table.h - a plain CSV table: what lies on no time grid (a bench sheet), and the data of a free
 * script.
 *
 * Commas between fields, a point in numbers, one row of names, which are taken as they stand
 * ("speed [m/s]" is a name). A column is, by what all its fields are:
 *   numbers  decimal numbers; blanks around them do not count
 *   times    ISO 8601, all with an offset from UTC (or Z), or all without: those are taken as UTC
 *            and has_offset is false, so that whoever shows them can say so
 *   text     anything else
 * In numbers and times the empty field, "NaN" and "NA" (in any case) are missing; a column that
 * holds nothing else is numbers. In a text column every field is text, the empty one too.
 */
#ifndef WINDASSAY_TABLE_H
#define WINDASSAY_TABLE_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum wa_table_kind { WA_TABLE_NUMBERS, WA_TABLE_TIMES, WA_TABLE_TEXT } wa_table_kind;

typedef struct wa_table_column {
    char *name;
    wa_table_kind kind;
    double *at;         /* numbers; times in s since 1970; NaN: missing. NULL for text */
    const char **texts; /* text: n strings; else NULL */
    bool has_offset;    /* times */
    size_t first_at;    /* text: row (from 0) of the first field that is no number... */
    size_t first_line;  /* ...its physical line, for the error where one is asked for */
    char *bytes;        /* owns the texts */
} wa_table_column;

typedef struct wa_table {
    char *file; /* what errors call it */
    size_t n;   /* rows */
    wa_table_column *columns;
    size_t n_columns;
    uint64_t stored; /* bytes of the file */
    char sha256[65];
} wa_table;

/** Reads a table; owns `fd` (open at its start) from now on, also when it fails. `file` is what
 *  errors call it; ".gz" at its end says that it is gzip. WA_ERR_DATA with line and byte for what
 *  is no such table, WA_ERR_LIMIT above 2^26 fields. */
wa_status wa_table_read(wa_table **out, int fd, const char *file, wa_error *err);
void wa_table_free(wa_table *t);

/** The column of that name; WA_ERR_DATA with the nearest name where there is none. */
wa_status wa_table_find(const wa_table_column **out, const wa_table *t, const char *name,
                        wa_error *err);

/** Fills `err` for a text column that is used as numbers: file, line of the first field that is
 *  none. Returns WA_ERR_DATA. */
wa_status wa_table_not_numbers(const wa_table *t, const wa_table_column *c, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
