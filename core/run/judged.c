#include "run/judged.h"

#include "windassay/csv_field.h"
#include "windassay/number.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- a table of columns over the grid ---------------------------------------------------------- */

typedef struct column {
    char *head;         /* without the unit                          */
    const char *unit;   /* NULL or "1": none is written              */
    const wa_value *at; /* doubles as bytes, one an interval         */
} column;

typedef struct sheet {
    column *columns;
    size_t n;
    bool failed;
} sheet;

static void release(void *context)
{
    sheet *s = context;
    for (size_t i = 0; i < s->n; i++)
        free(s->columns[i].head);
    free(s->columns);
    free(s);
}

static void add(sheet *s, const char *before, const char *between, const char *name,
                const char *unit, const wa_value *at)
{
    column *more = realloc(s->columns, (s->n + 1) * sizeof *more);
    wa_text head = WA_TEXT_INIT;
    wa_text_printf(&head, "%s%s%s", before, between, name);
    if (more != NULL)
        s->columns = more;
    if (more == NULL || wa_text_failed(&head)) {
        wa_text_release(&head);
        s->failed = true;
        return;
    }
    s->columns[s->n++] = (column){head.at, unit, at};
}

static void add_name(wa_text *names, const column *c)
{
    wa_text head = WA_TEXT_INIT;
    wa_text_add(&head, c->head);
    if (c->unit != NULL && strcmp(c->unit, "1") != 0)
        wa_text_printf(&head, " [%s]", c->unit);
    wa_text_add_char(names, ',');
    wa_csv_add_bytes(names, wa_text_string(&head), head.length);
    wa_text_spend(&head, names);
}

static void add_cells(const void *context, size_t row, wa_text *out)
{
    const sheet *s = context;
    for (size_t k = 0; k < s->n; k++) {
        char number[WA_NUMBER_SIZE];
        double x;
        memcpy(&x, wa_string_of(s->columns[k].at) + row * sizeof x, sizeof x);
        wa_text_add_char(out, ',');
        if (!isnan(x))
            wa_text_add_bytes(out, number, wa_number_print(number, x));
    }
}

/* The listing takes the sheet. */
static bool list_sheet(wa_listing *out, const wa_records *r, sheet *s)
{
    wa_text names = WA_TEXT_INIT;
    for (size_t k = 0; k < s->n; k++)
        add_name(&names, &s->columns[k]);
    if (s->failed || wa_text_failed(&names)) {
        wa_text_release(&names);
        release(s);
        return false;
    }
    *out = (wa_listing){r->from, r->interval_ns, r->n, names, add_cells, release, s};
    return true;
}

/* ---- what exclusions looked at ----------------------------------------------------------------- */

static bool same(const column *c, const wa_value *judged)
{
    const wa_value *at = wa_get(judged, "at");
    return strcmp(c->unit, wa_get_string(judged, "unit")) == 0 &&
           memcmp(wa_string_of(c->at), wa_string_of(at), wa_length_of(at)) == 0;
}

static void add_judged(sheet *s, const char *id, const wa_value *judged)
{
    const char *name = wa_get_string(judged, "name"), *unit = wa_get_string(judged, "unit");
    size_t i = 0;
    while (i < s->n && strcmp(s->columns[i].head, name) != 0)
        i++;
    if (i == s->n)
        add(s, "", "", name, unit, wa_get(judged, "at"));
    else if (!same(&s->columns[i], judged))
        add(s, id, ": ", name, unit, wa_get(judged, "at"));
}

bool wa_judged_list(wa_listing *out, const wa_records *r, const wa_agenda *agenda,
                    const wa_ledger *ledgers)
{
    sheet *s = calloc(1, sizeof *s);
    if (s == NULL)
        return false;
    for (size_t i = 0; i < agenda->n_checks; i++) {
        const wa_value *list = ledgers[i].accounts.judged;
        for (size_t k = 0; k < wa_count(list); k++)
            add_judged(s, wa_get_string(agenda->checks[i].entry, "id"), wa_at(list, k));
    }
    return list_sheet(out, r, s);
}

/* ---- what was compared ------------------------------------------------------------------------- */

/* True where the words of a column are the name of one of intervals.csv. */
static bool is_there(const char *words, const wa_records *r, const wa_campaign *c)
{
    bool found = false;
    wa_text name = WA_TEXT_INIT;
    for (size_t i = 0; i < r->n_series && !found; i++) {
        wa_text_clear(&name);
        wa_series_name(&name, &r->series[i], c);
        wa_text_add_char(&name, '.');
        found = strncmp(words, wa_text_string(&name), name.length) == 0;
    }
    wa_text_release(&name);
    return found;
}

static void add_compared(sheet *s, const char *title, const wa_value *compared, const wa_records *r,
                         const wa_campaign *c)
{
    static const struct {
        const char *key, *name, *unit;
    } parts[] = {{"reference_at", "reference", "unit"},
                 {"measured_at", "measured", "unit"},
                 {"deviation_at", "deviation", "deviation_unit"},
                 {"bin_at", "bin", "bin_unit"}};
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        const wa_value *at = wa_get(compared, parts[i].key);
        const char *words = wa_get_string(compared, parts[i].name);
        if (at != NULL && (words == NULL || !is_there(words, r, c)))
            add(s, title, ".", parts[i].name, wa_get_string(compared, parts[i].unit), at);
    }
}

bool wa_compared_list(wa_listing *out, const wa_records *r, const wa_agenda *agenda,
                      const wa_ledger *ledgers)
{
    sheet *s = calloc(1, sizeof *s);
    if (s == NULL)
        return false;
    for (size_t i = 0; i < agenda->n_checks; i++)
        for (size_t k = 0; k < ledgers[i].accounts.n; k++)
            add_compared(s, ledgers[i].titles[k], wa_at(ledgers[i].accounts.compared, k), r,
                         agenda->campaign);
    return list_sheet(out, r, s);
}
