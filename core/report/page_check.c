/* One check on the page: decisions, figures, tables, values, exclusions, parameters, notes. */
#include "report/page.h"

#include "report/digits.h"
#include "report/facts.h"
#include "report/markup.h"
#include "report/words.h"

#include "windassay/report.h"

#include <string.h>

enum { ROWS_IN_VIEW = 80 }; /* a longer table is folded */

static void broke(wa_page *p, const wa_value *error)
{
    double line;
    if (wa_value_kind(error) != WA_MAP)
        return;
    wa_page_add(p, "<div class=broke>");
    if (wa_get_string(error, "file") != NULL) {
        wa_markup_value(p->out, wa_get(error, "file"));
        if (wa_number_of(wa_get(error, "line"), &line)) {
            wa_page_add(p, ":");
            wa_markup_value(p->out, wa_get(error, "line"));
        }
        wa_page_add(p, ": ");
    }
    wa_markup_lines(p->out, wa_get(error, "message"));
    if (wa_get_string(error, "source") != NULL) {
        wa_page_add(p, "\n<code>");
        wa_markup_lines(p->out, wa_get(error, "source"));
        wa_page_add(p, "</code>");
    }
    if (wa_get_string(error, "hint") != NULL) {
        wa_page_add(p, "\n");
        wa_markup_lines(p->out, wa_get(error, "hint"));
    }
    wa_page_add(p, "</div>\n");
}

static void requirements(wa_page *p, const wa_value *check)
{
    if (wa_count(wa_get(check, "requirements")) == 0)
        return;
    wa_page_add(p, "<h3>Requirements</h3>\n");
    wa_page_requirements_begin(p);
    wa_page_requirements_rows(p, check, 0, false);
    wa_page_requirements_end(p);
}

/* A figure that cannot be drawn says so in its place; only memory ends the report. */
static wa_status figure(wa_page *p, const wa_value *spec, wa_error *err)
{
    wa_error why = {0};
    wa_text drawing = WA_TEXT_INIT;
    wa_status status = wa_report_svg(&drawing, spec, &why);
    if (status == WA_ERR_NOMEM) {
        wa_text_release(&drawing);
        return wa_fail(err, status, "%s", why.text);
    }
    wa_page_add(p, "<figure>\n");
    if (status == WA_OK) {
        wa_text_add_bytes(p->out, wa_text_string(&drawing), drawing.length);
    } else {
        wa_page_add(p, "<p>This figure cannot be drawn: ");
        wa_markup_add(p->out, why.text);
        wa_page_add(p, ".</p>");
    }
    wa_text_printf(p->out, "<figcaption>Figure %d: ", ++p->figures);
    wa_markup_value(p->out, wa_get(spec, "name"));
    wa_page_add(p, "</figcaption></figure>\n");
    wa_text_release(&drawing);
    return WA_OK;
}

static void table_rows(wa_page *p, const wa_value *columns, const wa_value *rows)
{
    size_t n = wa_count(columns);
    wa_page_add(p, "<thead><tr>");
    for (size_t c = 0; c < n; c++) {
        wa_page_add(p, wa_facts_numeric(rows, c) ? "<th scope=col class=n>" : "<th scope=col>");
        wa_markup_head(p->out, wa_get_string(wa_at(columns, c), "name"),
                       wa_get_string(wa_at(columns, c), "unit"));
        wa_page_add(p, "</th>");
    }
    wa_page_add(p, "</tr></thead>\n<tbody>\n");
    int decimals[64];
    for (size_t c = 0; c < n && c < 64; c++)
        decimals[c] = wa_digits_column(rows, c, wa_get_string(wa_at(columns, c), "unit"));
    for (size_t i = 0; i < wa_count(rows); i++) {
        wa_page_add(p, "<tr>");
        for (size_t c = 0; c < n; c++) {
            const wa_value *cell = wa_at(wa_at(rows, i), c);
            const char *class = wa_value_kind(cell) == WA_NUMBER ? " class=n"
                                : wa_value_kind(cell) == WA_NULL ? " class=none"
                                                                 : "";
            wa_facts_cell(&p->scratch, cell, c < 64 ? decimals[c] : 6);
            if (wa_value_kind(cell) == WA_NULL && wa_facts_numeric(rows, c)) /* no number here */
                wa_text_add(&p->scratch, "\u2013");
            wa_text_printf(p->out, c == 0 ? "<th scope=row%s>" : "<td%s>", class);
            wa_page_flush(p);
            wa_page_add(p, c == 0 ? "</th>" : "</td>");
        }
        wa_page_add(p, "</tr>\n");
    }
    wa_page_add(p, "</tbody>");
}

static void table(wa_page *p, const wa_value *t)
{
    const wa_value *rows = wa_get(t, "rows"), *title = wa_get(t, "title");
    size_t n = wa_count(rows);
    bool folded = n > ROWS_IN_VIEW;
    p->tables++;
    if (folded)
        wa_text_printf(p->out, "<details><summary>Table %d, %zu rows</summary>\n", p->tables, n);
    wa_text_printf(p->out, "<div class=wide><table class=grid><caption>Table %d: ", p->tables);
    wa_markup_value(p->out, wa_string_of(title) ? title : wa_get(t, "name"));
    if (n == 0)
        wa_page_add(p, " (no rows)");
    wa_page_add(p, "</caption>\n");
    table_rows(p, wa_get(t, "columns"), rows);
    wa_page_add(p, folded ? "</table></div></details>\n" : "</table></div>\n");
}

static void values(wa_page *p, const wa_value *list)
{
    static const char *const heads[] = {"Quantity", "#Value", "#u", "Unit", "Remark", NULL};
    double u;
    if (wa_count(list) == 0)
        return;
    wa_page_add(p, "<h3>Values</h3>\n");
    wa_page_table(p, "values", NULL, heads);
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *v = wa_at(list, i);
        const char *unit = wa_get_string(v, "unit");
        wa_page_add(p, "<tr>");
        wa_page_element_value(p, "th scope=row", wa_get(v, "name"));
        wa_facts_number(&p->scratch, v);
        wa_page_element_scratch(p, "td class=n");
        if (wa_number_of(wa_get(v, "u"), &u))
            wa_digits_fixed(&p->scratch, u, wa_digits_of_u(u));
        wa_page_element_scratch(p, "td class=n");
        wa_page_add(p, "<td>");
        wa_markup_unit(p->out, unit);
        wa_page_add(p, "</td>");
        wa_page_element_value(p, "td", wa_get(v, "text"));
        wa_page_add(p, "</tr>\n");
    }
    wa_page_table_end(p);
}

static void exclusion_row(wa_page *p, const wa_value *e, bool with_account)
{
    static const char *const counts[] = {"intervals", "only", "unknown", "left"};
    wa_page_add(p, "<tr>");
    if (with_account)
        wa_page_element_value(p, "td", wa_get(e, "account"));
    wa_page_element_value(p, "td", wa_get(e, "code"));
    wa_page_add(p, "<th scope=row>");
    wa_markup_value(p->out, wa_get(e, "reason"));
    if (wa_true(wa_get(e, "both_sides")))
        wa_page_add(p, "<small>uses both compared quantities</small>");
    if (wa_true(wa_get(e, "keeps_unknown")))
        wa_page_add(p, "<small>intervals that cannot be judged are kept</small>");
    if (wa_true(wa_get(e, "event")))
        wa_page_add(p, "<small>declared by the campaign</small>");
    wa_page_add(p, "</th>");
    for (int k = 0; k < 4; k++)
        wa_page_element_value(p, "td class=n", wa_get(e, counts[k]));
    wa_page_add(p, "</tr>\n");
}

static void accounts(wa_page *p, const wa_value *list)
{
    for (size_t i = 0; i < wa_count(list); i++) {
        wa_page_add(p, "<p>");
        if (wa_count(list) > 1) {
            wa_markup_value(p->out, wa_get(wa_at(list, i), "name"));
            wa_page_add(p, ": ");
        }
        wa_facts_account(&p->scratch, wa_at(list, i));
        wa_page_flush(p);
        wa_page_add(p, " intervals.</p>\n");
    }
}

static void exclusions(wa_page *p, const wa_value *check)
{
    static const char *const heads[] = {"Account",        "Code",       "Reason",
                                        "#Intervals",     "#Only this", "#Cannot be judged",
                                        "#Left after it", NULL};
    const wa_value *list = wa_get(check, "exclusions"), *kept = wa_get(check, "accounts");
    bool many = wa_count(kept) > 1;
    if (wa_count(list) == 0 && wa_count(kept) == 0)
        return;
    wa_page_add(p, "<h3>What was used, and what was left out</h3>\n");
    if (wa_count(list) > 0) {
        wa_page_table(p, "exclusions", NULL, heads + (many ? 0 : 1));
        for (size_t i = 0; i < wa_count(list); i++)
            exclusion_row(p, wa_at(list, i), many);
        wa_page_table_end(p);
    }
}

static void notes(wa_page *p, const wa_value *check)
{
    const wa_value *list = wa_get(check, "notes"), *printed = wa_get(check, "printed");
    if (wa_count(list) > 0) {
        wa_page_add(p, "<h3>Notes</h3>\n<ul>\n");
        for (size_t i = 0; i < wa_count(list); i++)
            wa_page_element_value(p, "li", wa_at(list, i));
        wa_page_add(p, "</ul>\n");
    }
    if (wa_string_of(printed) != NULL && wa_length_of(printed) > 0) {
        wa_page_add(p, "<details><summary>What the check printed</summary><pre>");
        wa_markup_lines(p->out, printed);
        wa_page_add(p, "</pre></details>\n");
    }
}

static wa_status figures(wa_page *p, const wa_value *check, wa_error *err)
{
    const wa_value *list = wa_get(check, "figures");
    wa_status status = WA_OK;
    for (size_t i = 0; status == WA_OK && i < wa_count(list); i++)
        status = figure(p, wa_at(list, i), err);
    return status;
}

static void tables(wa_page *p, const wa_value *check)
{
    const wa_value *list = wa_get(check, "tables");
    for (size_t i = 0; i < wa_count(list); i++)
        table(p, wa_at(list, i));
}

/* The whole of a check as the campaign asks for it. */
static wa_status whole(wa_page *p, const wa_value *check, wa_error *err)
{
    wa_page_stability(p, check);
    wa_status status = figures(p, check, err);
    if (status != WA_OK)
        return status;
    tables(p, check);
    values(p, wa_get(check, "values"));
    exclusions(p, check);
    accounts(p, wa_get(check, "accounts"));
    wa_page_parameters(p, wa_get(check, "parameters"));
    notes(p, check);
    return WA_OK;
}

/* A run that criteria ask for beside the check as asked for: what differs is in view, the rest is
 * folded on a screen and open on paper. */
static wa_status run(wa_page *p, const wa_value *check, const wa_value *asked, wa_error *err)
{
    const wa_value *list = wa_get(check, "exclusions");
    bool same = wa_value_equal(list, wa_get(asked, "exclusions"));
    wa_page_differences(p, wa_get(check, "parameters"), wa_get(asked, "parameters"));
    wa_page_add(p, "<h3>What was used</h3>\n");
    accounts(p, wa_get(check, "accounts"));
    if (same && wa_count(list) > 0)
        wa_page_add(p, "<p>The exclusions are those of the check as asked for.</p>\n");
    wa_page_stability(p, check);
    wa_page_add(p, "<details><summary>Figures, tables and values of this run</summary>\n");
    wa_status status = figures(p, check, err);
    if (status != WA_OK)
        return status;
    tables(p, check);
    values(p, wa_get(check, "values"));
    if (!same)
        exclusions(p, check);
    notes(p, check);
    wa_page_add(p, "</details>\n");
    return WA_OK;
}

wa_status wa_page_check(wa_page *p, const wa_value *checks, size_t i, wa_error *err)
{
    const wa_value *check = wa_at(checks, i), *asked = wa_facts_asked(checks, check);
    wa_text_printf(p->out, "<section id=\"check-%zu\">\n<h2>", i + 1);
    wa_page_title(p, check);
    wa_page_add(p, "</h2>\n<p>");
    wa_page_outcome(p, wa_get_string(check, "outcome"));
    wa_page_add(p, "</p>\n");
    if (wa_get_string(check, "reason") != NULL)
        wa_page_element_value(p, "p class=why", wa_get(check, "reason"));
    wa_page_add(p, "<p>Check <code>");
    wa_markup_id(p->out, wa_get_string(check, "id"));
    wa_page_add(p, "</code>");
    if (wa_get_string(check, "practice") != NULL) {
        wa_page_add(p, ", practice: ");
        wa_markup_value(p->out, wa_get(check, "practice"));
    }
    wa_page_add(p, "</p>\n");
    broke(p, wa_get(check, "error"));
    requirements(p, check);
    wa_status status = asked == NULL ? whole(p, check, err) : run(p, check, asked, err);
    wa_page_add(p, "</section>\n");
    return status;
}
