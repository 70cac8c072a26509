/* rows_inside.h - what rows.c and rows_head.c share: the inside of wa_rows. */
#ifndef WINDASSAY_DATA_ROWS_INSIDE_H
#define WINDASSAY_DATA_ROWS_INSIDE_H

#include "data/rows.h"

#include <csv.h>

/* A row that stays: of names, or of units. The raw text is kept to find bytes in it. */
typedef struct kept_row {
    char **text;
    char *raw;
    size_t n, raw_length, line;
} kept_row;

struct wa_rows {
    wa_lines *lines;
    struct csv_parser csv;
    bool csv_open, latin1;
    char delimiter;
    kept_row names, units;
    bool borrowed; /* names and units are another's                       */
    bool blank;    /* the rows ended with empty lines                     */
    /* the present row */
    char *text;
    size_t text_length, text_room;
    size_t fed; /* raw bytes given to libcsv */
    wa_field *field;
    size_t n_fields, field_room;
    size_t line;
    bool ended, stray; /* libcsv saw the row's end; it saw more after it */
    bool out_of_memory;
    bool leave_torn;
    size_t torn; /* line of the row that was left out; 0: none */
    uint64_t count;
    /* rows that need no parser */
    wa_vector_level level;
    wa_plain plain;
};

/* Reads the row that starts with the line just read; more lines where a quoted field has some. */
wa_status wa_rows_split(wa_rows *r, const char *at, size_t n, wa_error *err);

/* Reads a row into r->field. n_fields = 0: the end of the file, or (then *empty) an empty line. */
wa_status wa_rows_read(wa_rows *r, bool *empty, wa_error *err);

/* Brings line, number of rows and held text up to the plain row given last. */
void wa_rows_settle(wa_rows *r);

/* Reads names and units, and goes to the line before the first row. */
wa_status wa_rows_read_head(wa_rows *r, const wa_layout *layout, wa_error *err);

#endif
