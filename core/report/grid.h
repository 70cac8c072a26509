/* grid.h - a table of texts on a terminal. Only grid.c knows libsmartcols. */
#ifndef WA_REPORT_GRID_H
#define WA_REPORT_GRID_H

#include "windassay/report.h"

#include <stddef.h>

typedef struct wa_grid wa_grid;

typedef enum wa_grid_column {
    WA_GRID_LEFT = 0,
    WA_GRID_RIGHT = 1,
    WA_GRID_WRAP = 2
} wa_grid_column;

/* NULL when memory runs out; every other call accepts NULL and remembers what failed. */
wa_grid *wa_grid_new(const wa_terminal *how);
void wa_grid_free(wa_grid *g);

/* Columns first, then rows; cells of a row from left to right. Texts are already safe to show. */
void wa_grid_head(wa_grid *g, const char *name, wa_grid_column how);
void wa_grid_row(wa_grid *g);
void wa_grid_cell(wa_grid *g, const char *text);
/* The last cell's colour sequence, where the terminal has colours. */
void wa_grid_colour(wa_grid *g, const char *sequence);

/* Columns that all this takes on a terminal, the two blanks before it not counted. */
size_t wa_grid_width(const wa_grid *g);

/* Adds the table, each line behind two blanks. WA_ERR_NOMEM where anything failed. */
wa_status wa_grid_print(wa_grid *g, wa_text *out, wa_error *err);

#endif
