#include "report/grid.h"

#include <libsmartcols.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>

enum { GAP = 2 }; /* blanks between columns */

struct wa_grid {
    struct libscols_table *table;
    struct libscols_line *line;
    size_t cell;                /* next one of the row */
    size_t columns, widest[64]; /* bytes: not less than what is seen */
    bool colour, failed;
    locale_t utf8, before; /* widths of characters, whatever the caller's locale is */
};

wa_grid *wa_grid_new(const wa_terminal *how)
{
    wa_grid *g = calloc(1, sizeof *g);
    if (g == NULL)
        return NULL;
    g->utf8 = newlocale(LC_CTYPE_MASK, "C.UTF-8", (locale_t)0);
    g->table = scols_new_table();
    g->colour = how->colour;
    if (g->utf8 == (locale_t)0 || g->table == NULL) {
        wa_grid_free(g);
        return NULL;
    }
    scols_table_set_termforce(g->table, SCOLS_TERMFORCE_ALWAYS);
    scols_table_set_termwidth(g->table, (size_t)(how->width < 40 ? 38 : how->width - 2));
    scols_table_enable_colors(g->table, how->colour);
    scols_table_enable_ascii(g->table, !how->unicode);
    scols_table_set_column_separator(g->table, "  ");
    scols_table_enable_noencoding(g->table, 1); /* cells are safe already */
    return g;
}

void wa_grid_free(wa_grid *g)
{
    if (g == NULL)
        return;
    scols_unref_table(g->table);
    if (g->utf8 != (locale_t)0)
        freelocale(g->utf8);
    free(g);
}

static void widen(wa_grid *g, size_t column, const char *text)
{
    size_t n = strlen(text), most = sizeof g->widest / sizeof g->widest[0];
    if (column < most && n > g->widest[column])
        g->widest[column] = n;
}

size_t wa_grid_width(const wa_grid *g)
{
    size_t sum = 0;
    for (size_t c = 0; g != NULL && c < g->columns; c++)
        sum += g->widest[c < 64 ? c : 63] + (c > 0 ? GAP : 0);
    return sum;
}

void wa_grid_head(wa_grid *g, const char *name, wa_grid_column how)
{
    if (g == NULL)
        return;
    widen(g, g->columns++, name);
    int flags = how == WA_GRID_RIGHT ? SCOLS_FL_RIGHT : how == WA_GRID_WRAP ? SCOLS_FL_WRAP : 0;
    struct libscols_column *column = scols_table_new_column(g->table, name, 0, flags);
    g->failed |= column == NULL;
    if (column != NULL && g->colour)
        scols_cell_set_color(scols_column_get_header(column), "\033[2m");
}

void wa_grid_row(wa_grid *g)
{
    if (g == NULL)
        return;
    g->line = scols_table_new_line(g->table, NULL);
    g->cell = 0;
    g->failed |= g->line == NULL;
}

void wa_grid_cell(wa_grid *g, const char *text)
{
    if (g == NULL || g->line == NULL)
        return;
    widen(g, g->cell, text);
    g->failed |= scols_line_set_data(g->line, g->cell++, text) != 0;
}

void wa_grid_colour(wa_grid *g, const char *sequence)
{
    if (g == NULL || g->line == NULL || !g->colour)
        return;
    g->failed |= scols_cell_set_color(scols_line_get_cell(g->line, g->cell - 1), sequence) != 0;
}

/* Lines behind two blanks, without the blanks that pad a last column. */
static void add_lines(wa_text *out, const char *s)
{
    while (*s != '\0') {
        size_t n = strcspn(s, "\n"), kept = n;
        while (kept > 0 && s[kept - 1] == ' ')
            kept--;
        if (kept > 0)
            wa_text_add(out, "  ");
        wa_text_add_bytes(out, s, kept);
        wa_text_add_char(out, '\n');
        s += n + (s[n] == '\n');
    }
}

wa_status wa_grid_print(wa_grid *g, wa_text *out, wa_error *err)
{
    char *lines = NULL;
    if (g == NULL || g->failed)
        return wa_fail(err, WA_ERR_NOMEM, "memory ran out");
    g->before = uselocale(g->utf8);
    int failed = scols_print_table_to_string(g->table, &lines);
    uselocale(g->before);
    if (failed != 0 || lines == NULL) {
        free(lines);
        return wa_fail(err, WA_ERR_NOMEM, "the table could not be laid out");
    }
    add_lines(out, lines);
    free(lines);
    return WA_OK;
}
