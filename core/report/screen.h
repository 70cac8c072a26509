/* screen.h - what every part of the terminal's report writes with. */
#ifndef WA_REPORT_SCREEN_H
#define WA_REPORT_SCREEN_H

#include "report/grid.h"

#include "windassay/report.h"

typedef struct wa_screen {
    wa_text *out;
    const wa_terminal *how;
    wa_text cell; /* scratch: one cell */
} wa_screen;

/* Adds text; without UTF-8 every character beyond ASCII is shown as \xHH. */
void wa_screen_say(wa_screen *s, const char *text);
void wa_screen_say_value(wa_screen *s, const wa_value *v);
void wa_screen_say_word(wa_screen *s, const char *outcome); /* an outcome, in its colour */

/* The scratch text, made safe to show, onto the end of `to`; the scratch is empty then. */
void wa_screen_make_safe(wa_screen *s, wa_text *to);

/* The scratch text, or `text`, as a cell. */
void wa_screen_put(wa_screen *s, wa_grid *g);
void wa_screen_put_text(wa_screen *s, wa_grid *g, const char *text);
void wa_screen_put_outcome(wa_screen *s, wa_grid *g, const char *outcome);

/* Prints the grid and frees it. */
wa_status wa_screen_finish(wa_screen *s, wa_grid *g, wa_error *err);

/* The table of a check's requirements. */
wa_status wa_screen_requirements(wa_screen *s, const wa_value *list, wa_error *err);

/* A table of the record, in blocks where it is wider than the terminal. */
wa_status wa_screen_table(wa_screen *s, const wa_value *table, wa_error *err);

#endif
