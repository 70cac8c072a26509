/* sheet.h - a record with one check, filled by the program itself: what `look` shows. */
#ifndef WINDASSAY_RUN_SHEET_H
#define WINDASSAY_RUN_SHEET_H

#include "windassay/error.h"
#include "windassay/value.h"

#include <stdbool.h>
#include <stdint.h>

/** Collects tables and notes. The first failure (memory) sticks until wa_sheet_end. */
typedef struct wa_sheet {
    wa_value *tables, *notes;
    wa_value *columns, *rows, *row; /* of the table that is being filled */
    const char *name;
    bool failed;
} wa_sheet;

wa_sheet wa_sheet_begin(void);
/** Begins a table; its columns follow, then its cells row by row. */
void wa_sheet_table(wa_sheet *s, const char *name);
void wa_sheet_column(wa_sheet *s, const char *name, const char *unit);
void wa_sheet_row(wa_sheet *s);
void wa_sheet_text(wa_sheet *s, const char *text); /* NULL: an empty cell            */
void wa_sheet_number(wa_sheet *s, double x);       /* not finite: an empty cell      */
void wa_sheet_time(wa_sheet *s, int64_t t);
void wa_sheet_note(wa_sheet *s, const char *format, ...) WA_PRINTF(2, 3);
/** The map { title = TITLE }: what describes a record or check of the program's own. NULL: memory. */
wa_value *wa_titled(const char *title);

/** The record, with the title of its one check. Releases the sheet. */
wa_status wa_sheet_end(wa_value **record, wa_sheet *s, const char *title, wa_error *err);
/** Frees a sheet that was not ended (after wa_sheet_end it holds nothing). */
void wa_sheet_release(wa_sheet *s);

#endif
