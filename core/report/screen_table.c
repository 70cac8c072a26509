/* A table on a terminal: heads on one line where they fit, else broken at blanks; a table that is
 * still too wide is printed in blocks of like width, each with the columns again that tell the
 * rows apart. */
#include "report/markup.h"
#include "report/screen.h"

#include "report/digits.h"
#include "report/facts.h"

#include <string.h>

enum {
    MOST_ROWS = 60, /* the dossier has all of them */
    MOST_COLUMNS = 64,
    MOST_KEYS = 3,
    GAP = 2 /* between columns */
};

typedef struct wa_layout {
    const wa_value *rows;
    size_t n, shown; /* columns, and rows that are printed */
    size_t keys;     /* first columns that are repeated in each block */
    wa_text head[MOST_COLUMNS];
    int decimals[MOST_COLUMNS];
    size_t width[MOST_COLUMNS], room;
    bool broken; /* heads take several lines */
} wa_layout;

/* ---- heads, broken at blanks; a unit in brackets stays whole ---- */

static size_t word_length(const char *s)
{
    return *s == '[' ? strlen(s) : strcspn(s, " ");
}

static size_t line_length(const char *s, size_t width)
{
    size_t n = word_length(s);
    while (s[n] == ' ') {
        size_t longer = n + 1 + word_length(s + n + 1);
        if (longer > width)
            break;
        n = longer;
    }
    return n;
}

static size_t longest_word(const char *s)
{
    size_t most = 0;
    while (*s != '\0') {
        size_t n = word_length(s);
        most = n > most ? n : most;
        s += n + (s[n] == ' ');
    }
    return most;
}

/* Lines of the head of column c; `line` (from 0, may be NULL) is set to line `wanted`. */
static size_t head_lines(const wa_layout *l, size_t c, size_t wanted, wa_text *line)
{
    const char *s = wa_text_string(&l->head[c]);
    size_t lines = 0;
    while (*s != '\0') {
        size_t n = l->broken ? line_length(s, l->width[c]) : strlen(s);
        if (lines++ == wanted && line != NULL)
            wa_text_add_bytes(line, s, n);
        s += n + (s[n] == ' ');
    }
    return lines;
}

/* A cell's text; what stands below "unit" is spelled as units are. */
static void put_cell(wa_screen *s, const wa_layout *l, size_t i, size_t c)
{
    const wa_value *cell = wa_at(wa_at(l->rows, i), c);
    if (strcmp(wa_text_string(&l->head[c]), "unit") == 0 && wa_string_of(cell) != NULL)
        wa_plain_unit(&s->cell, wa_string_of(cell));
    else
        wa_facts_cell(&s->cell, cell, l->decimals[c]);
}

/* ---- how wide, and where the blocks end ---- */

static void measure(wa_screen *s, wa_layout *l, const wa_value *columns)
{
    size_t sum = 0;
    for (size_t c = 0; c < l->n; c++) {
        l->decimals[c] = wa_digits_column(l->rows, c, wa_get_string(wa_at(columns, c), "unit"));
        wa_facts_head(&s->cell, wa_at(columns, c));
        wa_screen_make_safe(s, &l->head[c]);
        for (size_t i = 0; i < l->shown; i++) {
            put_cell(s, l, i, c);
            l->width[c] = s->cell.length > l->width[c] ? s->cell.length : l->width[c];
            wa_text_clear(&s->cell);
        }
        size_t head = l->head[c].length;
        sum += GAP + (head > l->width[c] ? head : l->width[c]);
    }
    l->broken = sum > l->room + GAP;
    for (size_t c = 0; c < l->n; c++) {
        size_t head = l->broken ? longest_word(wa_text_string(&l->head[c])) : l->head[c].length;
        l->width[c] = head > l->width[c] ? head : l->width[c];
    }
}

static bool rows_equal(const wa_layout *l, size_t i, size_t k, size_t keys)
{
    for (size_t c = 0; c < keys; c++)
        if (!wa_value_equal(wa_at(wa_at(l->rows, i), c), wa_at(wa_at(l->rows, k), c)))
            return false;
    return true;
}

/* How many of the first columns tell the rows apart; 1 where no few do. */
static size_t keys_of(const wa_layout *l)
{
    for (size_t keys = 1; keys <= MOST_KEYS && keys < l->n; keys++) {
        bool apart = true;
        for (size_t i = 0; apart && i < l->shown; i++)
            for (size_t k = 0; apart && k < i; k++)
                apart = !rows_equal(l, i, k, keys);
        if (apart)
            return keys;
    }
    return 1;
}

/* The end of the block that begins with column `first`, no wider than `room` if it can be. */
static size_t block_end(const wa_layout *l, size_t first, size_t room)
{
    size_t last = first, sum = 0;
    for (size_t c = 0; c < l->keys; c++)
        sum += (c > 0 ? GAP : 0) + l->width[c];
    while (last < l->n && (last == first || sum + GAP + l->width[last] <= room))
        sum += GAP + l->width[last++];
    return last;
}

static size_t blocks(const wa_layout *l, size_t room)
{
    size_t count = 0;
    for (size_t first = l->keys; first < l->n; count++)
        first = block_end(l, first, room);
    return count;
}

/* The narrowest room that does with as few blocks as the whole room: blocks of like width. */
static size_t even_room(const wa_layout *l)
{
    size_t room = l->room, count = blocks(l, room);
    while (room > 1 && blocks(l, room - 1) == count)
        room--;
    return room;
}

/* ---- printing ---- */

/* The column behind c in a block that begins with `first`. */
static size_t after(const wa_layout *l, size_t c, size_t first)
{
    return c + 1 == l->keys ? first : c + 1;
}

static void heads(wa_screen *s, const wa_layout *l, wa_grid *g, size_t first, size_t last)
{
    size_t lines = 1;
    for (size_t c = 0; c < last; c = after(l, c, first)) {
        size_t n = head_lines(l, c, 0, NULL);
        lines = n > lines ? n : lines;
    }
    for (size_t i = 0; i < lines; i++) {
        if (i > 0)
            wa_grid_row(g);
        for (size_t c = 0; c < last; c = after(l, c, first)) {
            size_t above = lines - head_lines(l, c, 0, NULL); /* heads stand on their last line */
            wa_text line = WA_TEXT_INIT;
            if (i >= above)
                head_lines(l, c, i - above, &line);
            if (i == 0)
                wa_grid_head(g, wa_text_string(&line),
                             wa_facts_numeric(l->rows, c) ? WA_GRID_RIGHT : WA_GRID_LEFT);
            else
                wa_grid_cell(g, wa_text_string(&line));
            if (i > 0)
                wa_grid_colour(g, "\033[2m");
            wa_text_spend(&line, s->out);
        }
    }
}

/* The keys, then [first, last). */
static wa_status block(wa_screen *s, const wa_layout *l, size_t first, size_t last, wa_error *err)
{
    wa_grid *g = wa_grid_new(s->how);
    heads(s, l, g, first, last);
    for (size_t i = 0; i < l->shown; i++) {
        wa_grid_row(g);
        for (size_t c = 0; c < last; c = after(l, c, first)) {
            const wa_value *cell = wa_at(wa_at(l->rows, i), c);
            if (wa_value_kind(cell) == WA_NULL && wa_facts_numeric(l->rows, c)) /* no number here */
                wa_text_add(&s->cell, "-");
            put_cell(s, l, i, c);
            wa_screen_put(s, g);
        }
    }
    return wa_screen_finish(s, g, err);
}

static wa_status in_blocks(wa_screen *s, const wa_layout *l, wa_error *err)
{
    size_t room = even_room(l);
    wa_status status = WA_OK;
    if (l->n == l->keys)
        return block(s, l, l->n, l->n, err);
    for (size_t first = l->keys, last; status == WA_OK && first < l->n; first = last) {
        last = block_end(l, first, room);
        wa_text_add(s->out, first > l->keys ? "\n" : "");
        status = block(s, l, first, last, err);
    }
    return status;
}

wa_status wa_screen_table(wa_screen *s, const wa_value *t, wa_error *err)
{
    const wa_value *columns = wa_get(t, "columns"), *title = wa_get(t, "title");
    wa_layout l = {.rows = wa_get(t, "rows"), .n = wa_count(columns)};
    size_t all = wa_count(l.rows);
    l.shown = all < MOST_ROWS ? all : MOST_ROWS;
    l.room = (size_t)(s->how->width < 40 ? 40 : s->how->width) - 2;
    wa_text_add(s->out, "\n  ");
    wa_screen_say_value(s, wa_string_of(title) ? title : wa_get(t, "name"));
    wa_text_add(s->out, "\n");
    if (l.n == 0 || l.n > MOST_COLUMNS || all == 0) {
        wa_text_add(s->out, l.n > MOST_COLUMNS ? "  too wide to print: see tables/ of the dossier\n"
                                               : "  no rows\n");
        return WA_OK;
    }
    l.keys = keys_of(&l);
    measure(s, &l, columns);
    wa_status status = in_blocks(s, &l, err);
    for (size_t c = 0; c < l.n; c++)
        wa_text_spend(&l.head[c], s->out);
    if (all > MOST_ROWS)
        wa_text_printf(s->out, "  the first %d of %zu rows: see tables/ of the dossier\n",
                       MOST_ROWS, all);
    return status;
}
