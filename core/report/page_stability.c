/* How far the outcome of a check hangs on choices: the sentence, what was tried, the resamples. */
#include "report/digits.h"
#include "report/markup.h"
#include "report/page.h"

#include <string.h>

/* What is other than in the check itself. */
static void change(wa_page *p, const wa_value *row)
{
    const char *kind = wa_get_string(row, "variant"), *account = wa_get_string(row, "account");
    if (kind != NULL && strcmp(kind, "day") == 0)
        wa_page_add(p, "without ");
    if (kind != NULL && strcmp(kind, "planned end") == 0)
        wa_page_add(p, "the period ends as planned, at ");
    wa_markup_value(p->out, wa_get(row, "name"));
    if (kind != NULL && strcmp(kind, "exclusion") == 0) {
        wa_page_add(p, ": not excluded");
        if (account != NULL && strcmp(account, "intervals") != 0) {
            wa_page_add(p, " from ");
            wa_markup_add(p->out, account);
        }
    }
    if (kind != NULL && strcmp(kind, "parameter") == 0) {
        wa_page_add(p, " = ");
        wa_markup_value(p->out, wa_get(row, "value"));
        wa_page_add(p, " ");
        wa_markup_unit(p->out, wa_get_string(row, "unit"));
    }
    if (wa_get_string(row, "check") != NULL) {
        wa_page_add(p, ", in ");
        wa_markup_id(p->out, wa_get_string(row, "check"));
    }
}

/* "slope 1.0073, r2 0.9986": the requirements of a variant. */
static void requirements(wa_page *p, const wa_value *list)
{
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *r = wa_at(list, i);
        const char *unit = wa_get_string(r, "unit");
        double x;
        wa_page_add(p, i == 0 ? "" : ", ");
        wa_markup_id(p->out, wa_get_string(r, "name"));
        wa_page_add(p, " ");
        if (wa_number_of(wa_get(r, "value"), &x))
            wa_digits_at_most(p->out, x, wa_digits_usual(unit));
        wa_page_add(p, " ");
        wa_markup_unit(p->out, unit);
        if (wa_number_of(wa_get(r, "u"), &x) && x > 0) {
            wa_page_add(p, " (u ");
            wa_digits_at_most(p->out, x, wa_digits_of_u(x));
            wa_page_add(p, ")");
        }
    }
}

static void rows(wa_page *p, const wa_value *list)
{
    static const char *const heads[] = {"What is other", "Outcome", "Requirements, u (k = 1)",
                                        NULL};
    if (wa_count(list) == 0)
        return;
    wa_text_printf(p->out, "<details><summary>What was tried: %zu variants</summary>\n",
                   wa_count(list));
    wa_page_table(p, "values", NULL, heads);
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *row = wa_at(list, i);
        wa_page_add(p, "<tr><th scope=row>");
        change(p, row);
        wa_page_add(p, "</th><td>");
        wa_page_outcome(p, wa_get_string(row, "outcome"));
        if (wa_get_string(row, "reason") != NULL) {
            wa_page_add(p, "<small>");
            wa_markup_value(p->out, wa_get(row, "reason"));
            wa_page_add(p, "</small>");
        }
        wa_page_add(p, "</td><td>");
        requirements(p, wa_get(row, "requirements"));
        wa_page_add(p, "</td></tr>\n");
    }
    wa_page_table_end(p);
    wa_page_add(p, "</details>\n");
}

static void number(wa_page *p, const wa_value *spread, const char *key, int decimals)
{
    double x;
    if (wa_number_of(wa_get(spread, key), &x))
        wa_digits_fixed(&p->scratch, x, decimals);
    wa_page_element_scratch(p, "td class=n");
}

static void resamples(wa_page *p, const wa_value *r)
{
    static const char *const heads[] = {
        "Requirement", "#Resamples", "#Standard error", "#2.5 % below", "#97.5 % below",
        "Unit",        NULL};
    const wa_value *list = wa_get(r, "requirements"), *length = wa_get(r, "length");
    if (r == NULL)
        return;
    wa_page_add(p, "<p>Records drawn anew in blocks of neighbours");
    if (length != NULL) {
        wa_page_add(p, " of ");
        wa_markup_value(p->out, length);
    }
    wa_page_add(p, ", ");
    wa_markup_value(p->out, wa_get(r, "times"));
    wa_page_add(p, " times, generator ");
    wa_markup_value(p->out, wa_get(r, "generator"));
    wa_page_add(p, ", first seed ");
    wa_markup_value(p->out, wa_get(r, "seed"));
    wa_page_add(p, ".</p>\n");
    wa_page_table(p, "values", NULL, heads);
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *s = wa_at(list, i);
        double u = 0;
        bool has = wa_number_of(wa_get(s, "standard_error"), &u);
        int decimals = has && u > 0 ? wa_digits_of_u(u) : wa_digits_usual(wa_get_string(s, "unit"));
        wa_page_add(p, "<tr>");
        wa_page_element_value(p, "th scope=row", wa_get(s, "name"));
        wa_page_element_value(p, "td class=n", wa_get(s, "times"));
        number(p, s, "standard_error", decimals);
        number(p, s, "low", decimals);
        number(p, s, "high", decimals);
        wa_page_add(p, "<td>");
        wa_markup_unit(p->out, wa_get_string(s, "unit"));
        wa_page_add(p, "</td></tr>\n");
    }
    wa_page_table_end(p);
}

void wa_page_stability(wa_page *p, const wa_value *check)
{
    const wa_value *s = wa_get(check, "stability");
    if (s == NULL)
        return;
    wa_page_add(p, "<h3>How far the outcome hangs on choices</h3>\n");
    wa_page_element_value(p, "p", wa_get(s, "sentence"));
    wa_page_add(p, "\n");
    resamples(p, wa_get(s, "resamples"));
    rows(p, wa_get(s, "rows"));
}
