/* What a report replaces: which, why, and old and new values. And what it should declare. */
#include "report/revision.h"

#include "report/markup.h"

enum { SCREEN_CHANGES = 12 };

/* ---- the page ------------------------------------------------------------------------------- */

static void say(wa_page *p, const char *before, const wa_value *v, const char *after)
{
    if (v == NULL)
        return;
    wa_page_add(p, before);
    wa_markup_value(p->out, v);
    wa_page_add(p, after);
}

/* "table 'by bin', row 3, column 'n'" or where else in the record. */
static void add_place(wa_text *t, const wa_value *change)
{
    double row;
    const char *place = wa_get_string(change, "place"), *table = wa_get_string(change, "table");
    const char *column = wa_get_string(change, "column");
    if (place != NULL)
        wa_text_add(t, place);
    if (table != NULL)
        wa_text_printf(t, "%stable '%s'", t->length > 0 ? ", " : "", table);
    if (wa_number_of(wa_get(change, "row"), &row))
        wa_text_printf(t, ", row %.0f", row);
    if (column != NULL)
        wa_text_printf(t, ", column '%s'", column);
}

static void side(wa_page *p, const wa_value *v)
{
    if (v == NULL)
        wa_page_element(p, "td", "not there");
    else {
        wa_page_plain(&p->scratch, v);
        wa_page_element_scratch(p, "td");
    }
}

static void changes(wa_page *p, const wa_value *v)
{
    static const char *const heads[] = {"Check", "What", "Before", "Now", NULL};
    const wa_value *list = wa_get(v, "changes");
    double all = 0;
    wa_number_of(wa_get(v, "changes_all"), &all);
    if (list == NULL) {
        wa_page_add(p, "<p>The earlier record is not at hand: old values are not shown.</p>\n");
        return;
    }
    if (wa_count(list) == 0) {
        wa_page_add(p, "<p>No outcome, requirement, value or parameter is another one.</p>\n");
        return;
    }
    wa_page_table(p, "departures", "What is another one now", heads);
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *c = wa_at(list, i);
        wa_page_add(p, "<tr>");
        if (wa_get(c, "check") != NULL)
            wa_page_element_value(p, "th scope=row", wa_get(c, "check"));
        else
            wa_page_element(p, "th scope=row", "the campaign");
        add_place(&p->scratch, c);
        wa_page_element_scratch(p, "td");
        side(p, wa_get(c, "before"));
        side(p, wa_get(c, "after"));
        wa_page_add(p, "</tr>\n");
    }
    wa_page_table_end(p);
    if (all > (double)wa_count(list))
        wa_text_printf(p->out, "<p>And %.0f more.</p>\n", all - (double)wa_count(list));
}

void wa_page_revision(wa_page *p, const wa_value *record)
{
    const wa_value *v = wa_get(record, "revision");
    if (v == NULL)
        return;
    wa_page_add(p, "<h3>What this report replaces</h3>\n<p>This report replaces ");
    say(p, "report ", wa_get(v, "number"), ", ");
    say(p, "revision ", wa_get(v, "revision"), ", ");
    say(p, "SHA-256 of its record <span class=hash>", wa_get(v, "supersedes"), "</span>. Reason: ");
    wa_markup_value(p->out, wa_get(v, "reason"));
    wa_page_add(p, ".</p>\n");
    say(p, "<p>The criteria ", wa_get(v, "criteria"),
        " decide in place of the contract\u2019s, by the statistics of the intervals that the "
        "earlier "
        "dossier holds.</p>\n");
    say(p, "<p>Outcome before: ", wa_get(v, "outcome"), ". ");
    if (wa_get(v, "outcome") != NULL)
        say(p, "", wa_get(v, "sentence"), "</p>\n");
    changes(p, v);
}

void wa_page_undeclared(wa_page *p, const wa_value *record)
{
    static const struct {
        const char *key, *what;
    } wanted[] = {{"number", "the number of the report"},
                  {"laboratory", "the laboratory"},
                  {"address", "its address"},
                  {"place", "where it was done"},
                  {"customer", "the customer"},
                  {"customer_contact", "how to reach the customer"},
                  {"item_condition", "the condition of the unit"},
                  {"received", "when the unit was received"},
                  {"issued", "when the report was issued"},
                  {"sampling", "the plan of sampling"},
                  {"deviations", "deviations from the method (\"none\" is an answer)"},
                  {"external", "results of external providers (\"none\" is an answer)"},
                  {"approved_by", "who authorises the report"}};
    const wa_value *report = wa_get(wa_get(record, "campaign"), "report");
    size_t n = 0;
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        if (wa_get(report, wanted[i].key) == NULL)
            wa_text_printf(p->out, "%s%s",
                           n++ == 0 ? "<p>Not declared, of what ISO/IEC 17025:2017, 7.8, lists for "
                                      "reports (the list is recalled): "
                                    : ", ",
                           wanted[i].what);
    if (n > 0)
        wa_page_add(p, ".</p>\n");
}

/* ---- the terminal --------------------------------------------------------------------------- */

static void say_side(wa_screen *s, const wa_value *v)
{
    if (v == NULL) {
        wa_text_add(s->out, "not there");
        return;
    }
    wa_page_plain(&s->cell, v);
    wa_screen_make_safe(s, s->out);
}

void wa_screen_revision(wa_screen *s, const wa_value *record)
{
    const wa_value *v = wa_get(record, "revision"), *list = wa_get(v, "changes");
    double all = 0;
    if (v == NULL)
        return;
    wa_text_add(s->out, "replaces ");
    if (wa_get(v, "number") != NULL) {
        wa_screen_say_value(s, wa_get(v, "number"));
        wa_text_add(s->out, ", ");
    }
    if (wa_get(v, "revision") != NULL) {
        wa_text_add(s->out, "revision ");
        wa_screen_say_value(s, wa_get(v, "revision"));
        wa_text_add(s->out, ", ");
    }
    wa_text_printf(s->out, "sha256 %.12s...: ", wa_get_string(v, "supersedes"));
    wa_screen_say_value(s, wa_get(v, "reason"));
    wa_text_add(s->out, "\n");
    for (size_t i = 0; i < wa_count(list) && i < SCREEN_CHANGES; i++) {
        const wa_value *c = wa_at(list, i);
        wa_text_add(s->out, "  ");
        if (wa_get(c, "check") != NULL) {
            wa_screen_say_value(s, wa_get(c, "check"));
            wa_text_add(s->out, ", ");
        }
        add_place(&s->cell, c);
        wa_screen_make_safe(s, s->out);
        wa_text_add(s->out, ": ");
        say_side(s, wa_get(c, "before"));
        wa_text_add(s->out, ", now ");
        say_side(s, wa_get(c, "after"));
        wa_text_add(s->out, "\n");
    }
    wa_number_of(wa_get(v, "changes_all"), &all);
    if (all > SCREEN_CHANGES)
        wa_text_printf(s->out, "  and %.0f more, in the report\n", all - SCREEN_CHANGES);
}
