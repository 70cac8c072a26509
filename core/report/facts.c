#include "report/facts.h"

#include "report/digits.h"
#include "report/markup.h"

#include <math.h>
#include <string.h>

void wa_facts_value(wa_text *t, const wa_value *requirement)
{
    double x;
    if (wa_number_of(wa_get(requirement, "value"), &x))
        wa_digits_fixed(t, x, wa_digits_requirement(requirement));
    else
        wa_text_add(t, "undefined");
}

/* A width beside a value: two significant digits, whatever the value needs. */
static void width(wa_text *t, double w)
{
    if (w != 0 && fabs(w) < 1e-10)
        wa_digits_shortest(t, w);
    else
        wa_digits_fixed(t, w, wa_digits_of_u(w));
}

void wa_facts_expanded(wa_text *t, const wa_value *requirement)
{
    double u, k = 1;
    if (!wa_number_of(wa_get(requirement, "u"), &u))
        return;
    wa_number_of(wa_get(requirement, "k"), &k);
    width(t, u * k);
}

void wa_facts_guard(wa_text *t, const wa_value *requirement)
{
    double guard;
    if (wa_number_of(wa_get(requirement, "guard_band"), &guard) && guard != 0)
        width(t, guard);
}

void wa_facts_scatter(wa_text *t, const wa_value *requirement)
{
    const char *why = wa_get_string(requirement, "scatter_only");
    if (why == NULL)
        return;
    if (strncmp(why, "scatter", 7) != 0) /* most begin so of themselves */
        wa_text_add(t, "scatter only: ");
    wa_text_add(t, why);
}

bool wa_facts_decides(const wa_value *requirement)
{
    const char *use = wa_get_string(requirement, "use");
    return use != NULL && strcmp(use, "contract") == 0;
}

const char *wa_facts_run(const wa_value *check)
{
    const char *id = wa_get_string(check, "id");
    const char *colon = id == NULL ? NULL : strchr(id, ':');
    return colon == NULL ? NULL : colon + 1;
}

const char *wa_facts_phase(const wa_value *check)
{
    const char *id = wa_get_string(check, "id"), *name = wa_get_string(check, "name");
    size_t n = name == NULL ? 0 : strlen(name);
    return id != NULL && name != NULL && strncmp(id, name, n) == 0 && id[n] == '.' ? id + n + 1
                                                                                   : NULL;
}

const wa_value *wa_facts_asked(const wa_value *checks, const wa_value *check)
{
    const char *id = wa_get_string(check, "id"), *run = wa_facts_run(check);
    for (size_t i = 0; run != NULL && i < wa_count(checks); i++) {
        const char *other = wa_get_string(wa_at(checks, i), "id");
        size_t n = other == NULL ? 0 : strlen(other);
        if (other != NULL && n == (size_t)(run - 1 - id) && strncmp(other, id, n) == 0)
            return wa_at(checks, i);
    }
    return NULL;
}

void wa_facts_probability(wa_text *t, double p)
{
    double percent = 100 * p;
    /* neither is certain: 1 and 0 are a probability that rounds there */
    if (percent > 99.99)
        wa_text_add(t, ">\u00a099.99\u00a0%");
    else if (percent < 0.01)
        wa_text_add(t, "<\u00a00.01\u00a0%");
    else {
        wa_digits_fixed(t, percent, 2);
        wa_text_add(t, "\u00a0%");
    }
}

/* One value alone is a column of one cell. */
void wa_facts_number(wa_text *t, const wa_value *entry)
{
    double x, u;
    const char *text = wa_get_string(entry, "text");
    if (wa_number_of(wa_get(entry, "value"), &x)) {
        int d = wa_digits_single(x, wa_get_string(entry, "unit"));
        if (wa_number_of(wa_get(entry, "u"), &u) && u > 0) {
            int least = wa_digits_of_u(u);
            d = least > d ? least : d;
        } else {
            d = wa_digits_unround(x, d);
        }
        wa_digits_fixed(t, x, d);
    } else if (wa_string_of(wa_get(entry, "value")) != NULL) {
        wa_text_add(t, wa_get_string(entry, "value"));
    } else if (text == NULL) {
        wa_text_add(t, "undefined");
    }
}

void wa_facts_cell(wa_text *t, const wa_value *cell, int decimals)
{
    double x;
    if (wa_number_of(cell, &x))
        wa_digits_fixed(t, x, decimals);
    else if (wa_string_of(cell) != NULL)
        wa_text_add_bytes(t, wa_string_of(cell), wa_length_of(cell));
    else
        wa_shown_value(t, cell);
}

bool wa_facts_numeric(const wa_value *rows, size_t c)
{
    for (size_t i = 0; i < wa_count(rows); i++)
        if (wa_value_kind(wa_at(wa_at(rows, i), c)) == WA_NUMBER)
            return true;
    return false;
}

void wa_facts_head(wa_text *t, const wa_value *column)
{
    const char *name = wa_get_string(column, "name"), *unit = wa_get_string(column, "unit");
    wa_text_add(t, name == NULL ? "" : name);
    if (unit == NULL || *unit == '\0' || strcmp(unit, "1") == 0)
        return;
    wa_text_add(t, " [");
    wa_plain_unit(t, unit);
    wa_text_add(t, "]");
}

void wa_facts_account(wa_text *t, const wa_value *account)
{
    static const struct {
        const char *key, *words;
    } parts[] = {{"used", "used"},
                 {"records_only", " + used in records, not in bin means"},
                 {"outside", " + outside the bins"},
                 {"excluded", " + excluded"}};
    double sum = 0, grid = 0, n;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        n = 0;
        wa_number_of(wa_get(account, parts[i].key), &n);
        sum += n;
        wa_text_printf(t, "%s ", parts[i].words);
        wa_digits_shortest(t, n);
    }
    wa_number_of(wa_get(account, "grid"), &grid);
    wa_text_add(t, sum == grid ? " = grid " : ", which is not the grid ");
    wa_digits_shortest(t, grid);
    if (sum != grid)
        wa_text_add(t, " (the account does not close)");
}
