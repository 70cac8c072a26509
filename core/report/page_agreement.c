/* What was agreed before the data and is no more so, and scripts that are not the release's: for
 * page one of the report and for the terminal. */
#include "report/agreement.h"

#include "report/markup.h"

static void files_there(wa_page *p, const wa_value *there)
{
    double all = 0, n = 0;
    for (size_t i = 0; i < wa_count(there); i++)
        all += wa_number_of(wa_at(there, i), &n) ? n : 0;
    if (wa_count(there) == 0)
        return;
    wa_page_add(p, all > 0 ? " When it was written, input files were there already:"
                           : " When it was written, no input file was there.");
    for (size_t i = 0; all > 0 && i < wa_count(there); i++) {
        wa_page_add(p, i > 0 ? ", " : " ");
        wa_markup_add(p->out, wa_key(there, i));
        wa_page_add(p, " ");
        wa_markup_value(p->out, wa_at(there, i));
    }
    wa_page_add(p, all > 0 ? "." : "");
}

static void departures(wa_page *p, const wa_value *list)
{
    static const char *const heads[] = {"What", "Agreed", "Now", NULL};
    static const char *const keys[] = {"agreed", "now"};
    if (wa_count(list) == 0) {
        wa_page_add(p, "<p>Nothing departs from it.</p>\n");
        return;
    }
    wa_page_table(p, "departures", "Departures from what was agreed", heads);
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *d = wa_at(list, i);
        wa_page_add(p, "<tr>");
        wa_page_element_value(p, "th scope=row", wa_get(d, "what"));
        for (size_t k = 0; k < sizeof keys / sizeof *keys; k++)
            if (wa_get(d, keys[k]) != NULL)
                wa_page_element_value(p, "td class=hash", wa_get(d, keys[k]));
            else
                wa_page_element(p, "td", "not said");
        wa_page_add(p, "</tr>\n");
    }
    wa_page_table_end(p);
}

static void agreement(wa_page *p, const wa_value *a)
{
    wa_page_add(p, "<h3>What was agreed before</h3>\n<p>Agreed");
    if (wa_get(a, "by") != NULL) {
        wa_page_add(p, " by ");
        wa_markup_value(p->out, wa_get(a, "by"));
    }
    if (wa_get(a, "on") != NULL) {
        wa_page_add(p, " on ");
        wa_markup_value(p->out, wa_get(a, "on"));
    }
    wa_page_add(p, ", as declared: ");
    wa_markup_value(p->out, wa_get(a, "file"));
    wa_page_add(p, ", SHA-256 <span class=hash>");
    wa_markup_value(p->out, wa_get(a, "sha256"));
    wa_page_add(p, "</span>.");
    files_there(p, wa_get(a, "files_there"));
    wa_page_add(p, "</p>\n");
    departures(p, wa_get(a, "departures"));
}

static void release(wa_page *p, const wa_value *r)
{
    const wa_value *scripts = wa_get(r, "scripts");
    wa_page_add(p, "<h3>Scripts that are not those of the release</h3>\n"
                   "<p>What ran in their place, against windassay ");
    wa_markup_value(p->out, wa_get(r, "version"));
    wa_page_add(p, ":</p>\n");
    for (size_t i = 0; i < wa_count(scripts); i++) {
        const wa_value *s = wa_at(scripts, i);
        wa_page_add(p, "<details open><summary>");
        wa_markup_value(p->out, wa_get(s, "path"));
        wa_page_add(p, "</summary>\n");
        if (wa_get(s, "diff") == NULL) {
            wa_page_add(p, "<p>The release has no such script.</p>\n");
        } else {
            wa_page_add(p, "<pre>");
            wa_markup_lines(p->out, wa_get(s, "diff"));
            wa_page_add(p, "</pre>\n");
        }
        wa_page_add(p, "</details>\n");
    }
}

void wa_page_agreement(wa_page *p, const wa_value *record)
{
    const wa_value *a = wa_get(record, "agreement"), *r = wa_get(record, "release");
    if (a != NULL)
        agreement(p, a);
    if (r != NULL)
        release(p, r);
}

/* ---- the terminal --------------------------------------------------------------------------- */

static void say_departures(wa_screen *s, const wa_value *list)
{
    wa_text_printf(s->out, ": %zu departure%s\n", wa_count(list), wa_count(list) == 1 ? "" : "s");
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *d = wa_at(list, i), *agreed = wa_get(d, "agreed"), *now = wa_get(d, "now");
        wa_text_add(s->out, "  ");
        wa_screen_say_value(s, wa_get(d, "what"));
        wa_text_add(s->out, agreed != NULL ? ": agreed " : now != NULL ? ": now " : "");
        wa_screen_say_value(s, agreed != NULL ? agreed : now);
        if (agreed != NULL && now != NULL) {
            wa_text_add(s->out, ", now ");
            wa_screen_say_value(s, now);
        }
        wa_text_add(s->out, agreed != NULL && now == NULL ? ", not said any more\n" : "\n");
    }
}

void wa_screen_agreement(wa_screen *s, const wa_value *record)
{
    const wa_value *a = wa_get(record, "agreement"), *r = wa_get(record, "release");
    if (a != NULL) {
        wa_text_add(s->out, "agreed before, ");
        wa_screen_say_value(s, wa_get(a, "file"));
        say_departures(s, wa_get(a, "departures"));
    }
    const wa_value *scripts = wa_get(r, "scripts");
    if (r == NULL)
        return;
    wa_text_add(s->out, "not the scripts of release ");
    wa_screen_say_value(s, wa_get(r, "version"));
    wa_text_add(s->out, " (the report shows the difference):\n");
    for (size_t i = 0; i < wa_count(scripts); i++) {
        wa_text_add(s->out, "  ");
        wa_screen_say_value(s, wa_get(wa_at(scripts, i), "path"));
        wa_text_add(s->out, "\n");
    }
}
