/* report.h - what people read: functions of the record alone.
 *
 * Each takes the record of a run (or a part of it, as docs/reference/result.schema.json describes
 * it) and adds text to `out`. The same record gives the same bytes. All text of the record is
 * foreign and is escaped. On failure `out` may hold a torn piece: its owner throws it away.
 */
#ifndef WINDASSAY_REPORT_H
#define WINDASSAY_REPORT_H

#include "windassay/error.h"
#include "windassay/text.h"
#include "windassay/value.h"

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

/** How a terminal shows text. The caller asks the terminal and the environment (NO_COLOR). */
typedef struct wa_terminal {
    int width;    /* columns; below 40 counts as 40                       */
    bool colour;  /* colours beside the words, never instead of them      */
    bool unicode; /* UTF-8 can be shown; otherwise plain ASCII is written */
} wa_terminal;

/** The outcome in words first; then each check: requirements, tables, exclusions, notes. */
wa_status wa_report_terminal(wa_text *out, const wa_value *record, const wa_terminal *how,
                             wa_error *err);

/** What a free script printed and reported: its text, values, tables and notes, without a
 *  decision. Also for what the program itself shows in this form (`look`, `checks`). */
wa_status wa_report_terminal_script(wa_text *out, const wa_value *record, const wa_terminal *how,
                                    wa_error *err);

/** What wa_why (run.h) found about intervals. */
wa_status wa_report_why(wa_text *out, const wa_value *why, const wa_terminal *how, wa_error *err);

/** A table of the record as CSV (RFC 4180 with line feeds, as all of a dossier): header
 *  "name [unit]", numbers as the shortest text that reads back, nothing for null. */
wa_status wa_report_table_csv(wa_text *out, const wa_value *table, wa_error *err);

/** A figure of the record as a standalone SVG: integer coordinates of 1/100 px, selectable text,
 *  tooltips, no script, no reference to anything outside. Where there is nothing to draw, or the
 *  values reach beyond 1e15, the drawing says so. WA_ERR_DATA for what is no figure (an unknown
 *  kind, lists of different lengths). */
wa_status wa_report_svg(wa_text *out, const wa_value *figure, wa_error *err);

/** The report as one HTML file: no script, nothing from outside, figures within. `digest` is the
 *  SHA-256 of result.json in hex, which ties a loose copy to its dossier; NULL: not printed. */
wa_status wa_report_html(wa_text *out, const wa_value *record, const char *digest, wa_error *err);

/** The tables of the checks and a summary of the requirements as a spreadsheet (ISO/IEC 29500): a sheet a
 *  table, numbers as numbers in the digits of the report. For people: result.json and the CSV files
 *  have every digit. WA_ERR_IO when the system gives no memory file. */
wa_status wa_report_workbook(wa_text *out, const wa_value *record, const char *digest,
                             wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
