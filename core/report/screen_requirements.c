/* The requirements of a check on a terminal. Columns that would say nothing are left out. Where
 * the terminal is too narrow, names are broken, units stand behind names, rules below limits, and
 * the sets of limits are numbered. */
#include "report/markup.h"
#include "report/screen.h"

#include "report/digits.h"
#include "report/facts.h"
#include "report/words.h"

#include <string.h>

enum { MOST_CELLS = 8, NARROW_NAME = 22 };

typedef struct wa_shape {
    const wa_value *list;
    bool narrow, units, limits, rules, sets;
    bool one_k; /* the same k everywhere: it stands in the head */
    double k;
} wa_shape;

static double k_of(const wa_value *r)
{
    double k = 1; /* a rule without a guard band asks for no coverage factor */
    wa_number_of(wa_get(r, "k"), &k);
    return k;
}

static void put_unit(wa_text *t, const char *unit)
{
    wa_text_add(t, " [");
    wa_plain_unit(t, unit);
    wa_text_add(t, "]");
}

static const char *unit_of(const wa_value *r)
{
    const char *unit = wa_get_string(r, "unit");
    return unit != NULL && strcmp(unit, "1") != 0 ? unit : "";
}

static bool is_simple(const wa_value *r)
{
    const char *rule = wa_get_string(r, "rule");
    return rule == NULL || strcmp(rule, "simple") == 0;
}

static wa_shape shape_of(const wa_value *list)
{
    wa_shape h = {.list = list, .one_k = true};
    bool any = false;
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *r = wa_at(list, i);
        h.units |= *unit_of(r) != '\0';
        h.limits |= wa_count(wa_get(r, "limits")) > 0;
        h.rules |= !is_simple(r);
        h.sets |= wa_get_string(r, "criteria") != NULL;
        if (wa_value_kind(wa_get(r, "u")) != WA_NUMBER)
            continue;
        h.one_k &= !any || k_of(r) == h.k;
        h.k = any ? h.k : k_of(r);
        any = true;
    }
    h.one_k &= any;
    return h;
}

/* Which of the sets of limits, counted from 1 in order of appearance. */
static size_t set_number(const wa_value *list, size_t i)
{
    size_t number = 1;
    for (size_t k = 0; k < wa_count(list); k++) {
        const wa_value *set = wa_get(wa_at(list, k), "criteria");
        bool before = false;
        for (size_t j = 0; j < k; j++)
            before |= wa_value_equal(wa_get(wa_at(list, j), "criteria"), set);
        if (before || wa_string_of(set) == NULL)
            continue;
        if (wa_value_equal(set, wa_get(wa_at(list, i), "criteria")))
            return number;
        number++;
    }
    return 0;
}

/* ---- cells: several lines are kept apart by line feeds, of which safe text has none ---- */

/* The scratch text into the next cell, or as a further line of the last one. */
static void cell(wa_screen *s, wa_text *cells, size_t *n)
{
    wa_screen_make_safe(s, &cells[(*n)++]);
}

static void line_below(wa_screen *s, wa_text *at)
{
    wa_text_add_char(at, '\n');
    wa_screen_make_safe(s, at);
}

/* Line feeds behind '_', ':' and blanks so that lines stay within `width` where they can. */
static void break_name(wa_text *name, size_t width)
{
    wa_text to = WA_TEXT_INIT;
    size_t used = 0;
    for (const char *s = wa_text_string(name); *s != '\0';) {
        size_t n = strcspn(s, "_: ");
        n += s[n] != '\0';
        if (used > 0 && used + n > width) {
            wa_text_add_char(&to, '\n');
            used = 0;
        }
        wa_text_add_bytes(&to, s, n);
        used += n;
        s += n;
    }
    wa_text_spend(name, &to);
    *name = to;
}

static void expanded(wa_screen *s, const wa_shape *h, const wa_value *r)
{
    wa_facts_expanded(&s->cell, r);
    if (s->cell.length == 0 || h->one_k)
        return;
    wa_text_add(&s->cell, " (k = ");
    wa_digits_shortest(&s->cell, k_of(r));
    wa_text_add(&s->cell, ")");
}

static void rule(wa_screen *s, const wa_shape *h, const wa_value *r, wa_text *cells, size_t *n)
{
    const char *word = wa_get_string(r, "rule");
    if (!h->rules)
        return;
    wa_text_add(&s->cell, word == NULL ? "" : word);
    wa_text_add(&s->cell, !h->narrow && wa_get(r, "guard_band") != NULL ? ", w " : "");
    if (!h->narrow) {
        wa_facts_guard(&s->cell, r);
        cell(s, cells, n);
        return;
    }
    line_below(s, &cells[*n - 1]);
    if (wa_get(r, "guard_band") == NULL)
        return;
    wa_text_add(&s->cell, "w ");
    wa_facts_guard(&s->cell, r);
    line_below(s, &cells[*n - 1]);
}

static void set(wa_screen *s, const wa_shape *h, size_t i, wa_text *cells, size_t *n)
{
    const wa_value *r = wa_at(h->list, i);
    const char *name = wa_get_string(r, "criteria");
    if (!h->sets)
        return;
    if (name != NULL && h->narrow)
        wa_text_printf(&s->cell, "%zu", set_number(h->list, i));
    else if (name != NULL)
        wa_text_add(&s->cell, name);
    wa_text_add(&s->cell, name != NULL && !wa_facts_decides(r) ? " *" : "");
    cell(s, cells, n);
}

/* Writes the lines of the cells; the outcome has its colour. */
static void put_lines(wa_text *out, wa_grid *g, const wa_text *cells, size_t n, size_t outcome,
                      const char *colour)
{
    const char *at[MOST_CELLS];
    bool more = true;
    for (size_t c = 0; c < n; c++)
        at[c] = wa_text_string(&cells[c]);
    for (bool first = true; more; first = false) {
        more = false;
        wa_grid_row(g);
        for (size_t c = 0; c < n; c++) {
            wa_text line = WA_TEXT_INIT;
            size_t length = strcspn(at[c], "\n");
            wa_text_add_bytes(&line, at[c], length);
            wa_grid_cell(g, wa_text_string(&line));
            if (first && c == outcome)
                wa_grid_colour(g, colour);
            at[c] += length + (at[c][length] == '\n');
            more |= *at[c] != '\0';
            wa_text_spend(&line, out);
        }
    }
}

static void row(wa_screen *s, wa_grid *g, const wa_shape *h, size_t i)
{
    const wa_value *r = wa_at(h->list, i);
    const char *name = wa_get_string(r, "name"), *outcome = wa_get_string(r, "outcome");
    wa_text cells[MOST_CELLS] = {WA_TEXT_INIT};
    size_t n = 0;
    wa_text_add(&s->cell, name == NULL ? "" : name);
    if (h->narrow && *unit_of(r) != '\0')
        put_unit(&s->cell, unit_of(r));
    cell(s, cells, &n);
    if (h->narrow)
        break_name(&cells[0], NARROW_NAME);
    wa_facts_value(&s->cell, r);
    cell(s, cells, &n);
    expanded(s, h, r);
    cell(s, cells, &n);
    if (h->units && !h->narrow) {
        wa_plain_unit(&s->cell, unit_of(r));
        cell(s, cells, &n);
    }
    if (h->limits) {
        wa_words_limits(&s->cell, wa_get(r, "limits"));
        cell(s, cells, &n);
    }
    rule(s, h, r, cells, &n);
    size_t at = n;
    wa_text_add(&s->cell, outcome == NULL ? "" : outcome);
    cell(s, cells, &n);
    set(s, h, i, cells, &n);
    put_lines(s->out, g, cells, n, at, wa_word_of(outcome)->terminal);
    for (size_t c = 0; c < n; c++)
        wa_text_spend(&cells[c], s->out);
}

static wa_grid *grid_of(wa_screen *s, const wa_shape *h)
{
    wa_grid *g = wa_grid_new(s->how);
    wa_grid_head(g, "requirement", WA_GRID_LEFT);
    wa_grid_head(g, "value", WA_GRID_RIGHT);
    if (h->one_k) {
        wa_text_add(&s->cell, h->k == 1 ? "u (k = " : "U (k = ");
        wa_digits_shortest(&s->cell, h->k);
        wa_text_add(&s->cell, ")");
        wa_grid_head(g, wa_text_string(&s->cell), WA_GRID_RIGHT);
        wa_text_clear(&s->cell);
    } else {
        wa_grid_head(g, "U", WA_GRID_RIGHT);
    }
    if (h->units && !h->narrow)
        wa_grid_head(g, "unit", WA_GRID_LEFT);
    if (h->limits)
        wa_grid_head(g, "limits", WA_GRID_LEFT);
    if (h->rules && !h->narrow)
        wa_grid_head(g, "rule", WA_GRID_LEFT);
    wa_grid_head(g, "outcome", WA_GRID_LEFT);
    if (h->sets)
        wa_grid_head(g, h->narrow ? "of" : "limits of", WA_GRID_LEFT);
    for (size_t i = 0; i < wa_count(h->list); i++)
        row(s, g, h, i);
    return g;
}

/* What the numbers in the last column of a narrow table stand for. */
static void name_sets(wa_screen *s, const wa_value *list)
{
    size_t said = 0;
    for (size_t i = 0; i < wa_count(list); i++)
        if (set_number(list, i) == said + 1) {
            wa_text_printf(s->out, "  limits of %zu: ", ++said);
            wa_screen_say_value(s, wa_get(wa_at(list, i), "criteria"));
            wa_text_add(s->out, "\n");
        }
}

wa_status wa_screen_requirements(wa_screen *s, const wa_value *list, wa_error *err)
{
    wa_shape h = shape_of(list);
    size_t room = (size_t)(s->how->width < 40 ? 40 : s->how->width) - 2;
    if (!h.limits) /* a rule without a limit says nothing, and has no cell to stand below */
        h.rules = false;
    wa_text_clear(&s->cell);
    wa_grid *g = grid_of(s, &h);
    if (wa_grid_width(g) > room) {
        wa_grid_free(g);
        h.narrow = true;
        g = grid_of(s, &h);
    }
    wa_status status = wa_screen_finish(s, g, err);
    if (status == WA_OK && h.narrow)
        name_sets(s, list);
    return status;
}
