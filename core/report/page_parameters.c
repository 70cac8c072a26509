/* The parameters of a check: all of them, or those that a run changes. */
#include "report/page.h"

#include "report/markup.h"
#include "report/words.h"

/* The value of the same parameter in another run; NULL where that run has none. */
static const wa_value *as_asked(const wa_value *list, const wa_value *parameter)
{
    for (size_t i = 0; i < wa_count(list); i++)
        if (wa_value_equal(wa_get(wa_at(list, i), "name"), wa_get(parameter, "name")))
            return wa_get(wa_at(list, i), "value");
    return NULL;
}

static void cell_value(wa_page *p, const wa_value *v)
{
    wa_page_plain(&p->scratch, v);
    if (p->scratch.length == 0)
        wa_text_add(&p->scratch, "none");
    wa_page_element_scratch(p, "td class=n");
}

/* How well it is known in a word; where from, as a note. */
static void cell_source(wa_page *p, const wa_value *v)
{
    const char *source = wa_get_string(v, "source");
    wa_page_add(p, "<td class=whole>");
    if (source != NULL || wa_get_string(v, "evidence") != NULL) {
        wa_markup_add(p->out, wa_words_known(v));
        wa_words_source(&p->scratch, source, v);
        wa_page_mark(p, "\u00a0", wa_text_string(&p->scratch));
        wa_text_clear(&p->scratch);
    }
    wa_page_add(p, "</td>");
}

static void row(wa_page *p, const wa_value *v, const wa_value *asked, bool with_asked)
{
    wa_page_add(p, "<tr><th scope=row>");
    wa_markup_id(p->out, wa_get_string(v, "name"));
    wa_page_add(p, "</th>");
    cell_value(p, wa_get(v, "value"));
    if (with_asked)
        cell_value(p, asked);
    wa_page_add(p, "<td class=whole>");
    wa_markup_unit(p->out, wa_get_string(v, "unit"));
    wa_page_add(p, "</td>");
    if (!with_asked)
        wa_page_element(p, "td", wa_true(wa_get(v, "set")) ? "campaign" : "default");
    wa_page_element_value(p, "td", wa_get(v, "text"));
    cell_source(p, v);
    wa_page_add(p, "</tr>\n");
}

void wa_page_parameters(wa_page *p, const wa_value *list)
{
    static const char *const heads[] = {"Parameter", "#Value", "Unit", "Set by",
                                        "Meaning",   "Source", NULL};
    if (wa_count(list) == 0)
        return;
    wa_page_add(p, "<h3>Parameters</h3>\n");
    wa_page_table(p, "parameters", NULL, heads);
    for (size_t i = 0; i < wa_count(list); i++)
        row(p, wa_at(list, i), NULL, false);
    wa_page_table_end(p);
    wa_page_notes(p);
}

void wa_page_differences(wa_page *p, const wa_value *list, const wa_value *asked)
{
    static const char *const heads[] = {
        "Parameter", "#In this run", "#As asked for", "Unit", "Meaning", "Source", NULL};
    bool any = false;
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *v = wa_at(list, i), *other = as_asked(asked, v);
        if (wa_value_equal(other, wa_get(v, "value")))
            continue;
        if (!any) {
            wa_page_add(p, "<h3>Parameters that the criteria ask for</h3>\n");
            wa_page_table(p, "parameters", NULL, heads);
        }
        any = true;
        row(p, v, other, true);
    }
    if (any) {
        wa_page_table_end(p);
        wa_page_notes(p);
    }
    wa_page_add(p, any ? "<p>All other parameters are those of the check as asked for.</p>\n"
                       : "<p>All parameters are those of the check as asked for.</p>\n");
}
