/* talk.h - what the program says to a person: errors, progress; and what it knows of its place. */
#ifndef WINDASSAY_CLI_TALK_H
#define WINDASSAY_CLI_TALK_H

#include "windassay/report.h"
#include "windassay/run.h"

#include <stdbool.h>

/** Prints an error to stderr ("windassay: FILE:LINE:COLUMN: text" and the hint below it), or as
 *  JSON to stdout, and returns the exit code that belongs to it. */
int wa_talk_error(const wa_error *err, bool json);

/** Errors name files as the record does, from the campaign's folder on. Makes the place one that
 *  the caller can open: `argument` is the campaign or script of the command line. */
void wa_talk_place(wa_error *err, const char *argument);

/** Writes bytes to stdout and closes it; a full disk is an error of the program. Returns
 *  `exit_code`, or 74 when the output could not be written. */
int wa_talk_result(const char *bytes, size_t n, int exit_code);
int wa_talk_value(const wa_value *v, int exit_code);

/** Prints a value by one of the report's functions, as wide and coloured as the terminal is. */
typedef wa_status wa_printer(wa_text *out, const wa_value *v, const wa_terminal *how,
                             wa_error *err);
int wa_talk_report(wa_printer *print, const wa_value *v, int exit_code);

/** Progress on stderr where it is a terminal, else NULL. */
const wa_progress *wa_talk_progress(void);
void wa_talk_progress_end(void);

/** Finds cell and scripts beside the program, in its build or installed folder. */
wa_status wa_talk_engine(wa_engine *out, const char *jobs, wa_error *err);

#endif
