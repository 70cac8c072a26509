/* The table of requirements: value, uncertainty, limits, where it lies, outcome. What many rows
 * share stands once below it, as numbered notes. */
#include "report/page.h"

#include "report/digits.h"
#include "report/facts.h"
#include "report/markup.h"
#include "report/words.h"

#include <string.h>

void wa_page_requirements_begin(wa_page *p)
{
    wa_page_add(p, "<div class=wide><table class=requirements>\n<thead><tr>"
                   "<th scope=col>Requirement</th><th scope=col class=\"n w1\">Value</th>"
                   "<th scope=col class=\"n w1\">U</th><th scope=col class=w2>Limits</th>"
                   "<th scope=col class=w3>Where it lies</th><th scope=col class=w2>Outcome</th>"
                   "</tr></thead>\n");
}

void wa_page_requirements_end(wa_page *p)
{
    wa_page_add(p, "</table></div>\n");
    wa_page_notes(p);
}

/* U with its k; the source of u, or what u leaves out, is a note. */
static void cell_expanded(wa_page *p, const wa_value *r)
{
    double u, k = 1; /* a rule without a guard band asks for no coverage factor */
    const char *scatter = wa_get_string(r, "scatter_only"), *source = wa_get_string(r, "source");
    bool has_u = wa_number_of(wa_get(r, "u"), &u);
    wa_page_add(p, "<td class=n>");
    wa_facts_expanded(&p->scratch, r);
    wa_page_flush(p);
    wa_page_add(p, "<small>");
    if (has_u && u > 0) {
        wa_number_of(wa_get(r, "k"), &k);
        wa_page_add(p, "k = ");
        wa_digits_shortest(&p->scratch, k);
        wa_page_flush(p);
    } else if (has_u) {
        wa_page_add(p, "as stated");
    } else if ((scatter != NULL || wa_facts_decides(r))) {
        wa_page_add(p, "not\u00a0given");
    }
    if (scatter != NULL) {
        wa_facts_scatter(&p->scratch, r);
        wa_page_mark(p, "\u00a0", wa_text_string(&p->scratch));
        wa_text_clear(&p->scratch);
    } else if (has_u && source != NULL) {
        wa_text_printf(&p->scratch, "u: %s", source);
        wa_page_mark(p, "\u00a0", wa_text_string(&p->scratch));
        wa_text_clear(&p->scratch);
    }
    wa_page_add(p, "</small></td>");
}

/* The limits; how well they are known in a word, the source as a note; the rule. */
static void cell_limits(wa_page *p, const wa_value *r)
{
    const char *source = wa_get_string(r, "limit_source"), *rule = wa_get_string(r, "rule");
    wa_page_add(p, "<td>");
    wa_words_limits(&p->scratch, wa_get(r, "limits"));
    bool any = p->scratch.length > 0;
    wa_page_flush(p);
    if (!any) {
        wa_page_add(p, "<small>no limit</small></td>");
        return;
    }
    wa_page_add(p, "<small>");
    wa_markup_add(p->out, wa_words_known(r));
    wa_words_source(&p->scratch, source, r);
    wa_page_mark(p, "\u00a0", wa_text_string(&p->scratch));
    wa_text_clear(&p->scratch);
    if (rule != NULL) {
        wa_page_add(p, ", rule ");
        wa_markup_add(p->out, rule);
    }
    wa_page_add(p, "</small>");
    wa_facts_guard(&p->scratch, r);
    wa_page_small(p, "guard band ", wa_text_string(&p->scratch));
    wa_text_clear(&p->scratch);
    wa_page_add(p, "</td>");
}

/* A reason that the whole check has is not said again in each row. */
static void cell_outcome(wa_page *p, const wa_value *check, const wa_value *r)
{
    double probability, u;
    wa_page_add(p, "<td>");
    wa_page_outcome(p, wa_get_string(r, "outcome"));
    /* Without an uncertainty there is nothing that could be probable. */
    if (wa_number_of(wa_get(r, "probability_of_conformity"), &probability) &&
        wa_number_of(wa_get(r, "u"), &u) && u > 0) {
        wa_facts_probability(&p->scratch, probability);
        wa_page_small(p, "P(conform) ", wa_text_string(&p->scratch));
        wa_text_clear(&p->scratch);
    }
    if (!wa_value_equal(wa_get(r, "reason"), wa_get(check, "reason")))
        wa_page_small(p, "", wa_get_string(r, "reason"));
    wa_page_add(p, "</td>");
}

static void row(wa_page *p, const wa_value *check, const wa_value *r, bool contract)
{
    double x;
    const char *set = wa_get_string(r, "criteria");
    wa_page_add(p, "<tr><th scope=row>");
    wa_markup_head(p->out, wa_get_string(r, "name"), wa_get_string(r, "unit"));
    if (set != NULL) {
        wa_page_add(p, contract              ? "<small>"
                       : wa_facts_decides(r) ? "<small>contract: "
                                             : "<small>information: ");
        wa_markup_id(p->out, set);
        wa_page_add(p, "</small>");
    }
    wa_page_add(p, "</th>");
    wa_facts_value(&p->scratch, r);
    wa_page_element_scratch(p,
                            wa_number_of(wa_get(r, "value"), &x) ? "td class=n" : "td class=none");
    cell_expanded(p, r);
    cell_limits(p, r);
    wa_page_add(p, "<td>");
    wa_page_gauge(p, r);
    wa_page_add(p, "</td>");
    cell_outcome(p, check, r);
    wa_page_add(p, "</tr>\n");
}

static void group(wa_page *p, const wa_value *check, size_t number)
{
    wa_text_printf(p->out,
                   "<tr class=group><th colspan=6 scope=rowgroup><a href=\"#check-%zu\">%zu\u2002",
                   number, number);
    wa_page_title(p, check);
    wa_page_add(p, "</a> <code>");
    wa_markup_id(p->out, wa_get_string(check, "id"));
    wa_page_add(p, "</code>");
    wa_page_small(p, "", wa_get_string(check, "reason"));
    wa_page_add(p, "</th></tr>\n");
}

void wa_page_requirements_rows(wa_page *p, const wa_value *check, size_t number, bool contract)
{
    const wa_value *list = wa_get(check, "requirements");
    bool any = false;
    for (size_t i = 0; i < wa_count(list); i++) {
        if (contract && !wa_facts_decides(wa_at(list, i)))
            continue;
        if (!any)
            wa_page_add(p, "<tbody>");
        if (!any && number > 0)
            group(p, check, number);
        any = true;
        row(p, check, wa_at(list, i), contract);
    }
    if (any)
        wa_page_add(p, "</tbody>\n");
}
