/* What the campaign declared, what was read, and which files and scripts it came from. */
#include "report/page.h"

#include "report/digits.h"
#include "report/markup.h"
#include "report/revision.h"

#include <string.h>

static void sources_table(wa_page *p, const wa_value *sources)
{
    static const char *const heads[] = {"Source", "Role",  "Files are",     "Zone", "Stamp names",
                                        "#Files", "#Rows", "sd divides by", NULL};
    wa_page_table(p, "sources", NULL, heads);
    for (size_t i = 0; i < wa_count(sources); i++) {
        const wa_value *s = wa_at(sources, i);
        wa_page_add(p, "<tr>");
        wa_page_element_value(p, "th scope=row", wa_get(s, "name"));
        wa_page_element_value(p, "td", wa_get(s, "role"));
        wa_page_element(p, "td", wa_true(wa_get(s, "raw")) ? "raw samples" : "averaged intervals");
        wa_page_plain(&p->scratch, wa_get(s, "zone"));
        wa_page_element_scratch(p, "td");
        wa_page_element_value(p, "td", wa_get(s, "stamp"));
        wa_page_element_value(p, "td class=n", wa_get(s, "files"));
        wa_page_element_value(p, "td class=n", wa_get(s, "rows"));
        wa_page_element_value(p, "td", wa_get(s, "divisor"));
        wa_page_add(p, "</tr>\n");
    }
    wa_page_table_end(p);
}

static void clock(wa_page *p, const wa_value *source)
{
    const wa_value *list = wa_get(source, "clock");
    if (wa_count(list) == 0)
        return;
    wa_page_add(p, "<p>Clock of source ");
    wa_markup_value(p->out, wa_get(source, "name"));
    wa_page_add(p,
                wa_true(wa_get(source, "raw"))
                    ? ", corrected as the campaign declares:</p>\n<ul>\n"
                    : ", as the campaign declares. Rows of averages move by whole intervals "
                      "only, the nearest number of them; the rest is not corrected:</p>\n<ul>\n");
    for (size_t i = 0; i < wa_count(list); i++) {
        static const struct {
            const char *key, *before, *after;
        } parts[] = {{"from", "from ", " "},      {"to", "to ", ": "},
                     {"shift_s", "shift ", " s"}, {"drift_s_per_day", ", drift ", " s a day"},
                     {"u_s", ", u ", " s"},       {"reason", ", reason: ", ""}};
        wa_page_add(p, "<li>");
        for (size_t k = 0; k < sizeof parts / sizeof parts[0]; k++) {
            const wa_value *v = wa_get(wa_at(list, i), parts[k].key);
            if (wa_value_kind(v) == WA_NULL)
                continue;
            wa_page_add(p, parts[k].before);
            wa_markup_value(p->out, v);
            wa_page_add(p, parts[k].after);
        }
        wa_page_add(p, "</li>\n");
    }
    wa_page_add(p, "</ul>\n");
}

void wa_page_clocks(wa_page *p, const wa_value *record)
{
    const wa_value *sources = wa_get(wa_get(record, "campaign"), "sources");
    for (size_t i = 0; i < wa_count(sources); i++)
        clock(p, wa_at(sources, i));
}

static void channels(wa_page *p, const wa_value *list)
{
    static const char *const heads[] = {"Channel",          "Quantity",    "Unit",
                                        "Unit in the file", "#Height [m]", "Use",
                                        "Column",           "Instrument",  NULL};
    if (wa_count(list) == 0)
        return;
    wa_page_table(p, "channels", NULL, heads);
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *c = wa_at(list, i);
        wa_page_add(p, "<tr>");
        wa_page_element_value(p, "th scope=row", wa_get(c, "name"));
        wa_page_add(p, "<td>");
        wa_markup_value(p->out, wa_get(c, "quantity"));
        if (wa_get_string(c, "positive") != NULL) {
            wa_page_add(p, "<small>positive ");
            wa_markup_value(p->out, wa_get(c, "positive"));
            wa_page_add(p, "</small>");
        }
        wa_page_add(p, "</td><td>");
        wa_markup_unit(p->out, wa_get_string(c, "unit"));
        wa_page_add(p, "</td>");
        wa_page_element_value(p, "td", wa_get(c, "unit_in_file"));
        wa_page_element_value(p, "td class=n", wa_get(c, "height"));
        wa_page_element_value(p, "td", wa_get(c, "use"));
        wa_page_element_value(p, "td", wa_get(c, "column"));
        wa_page_add(p, "<td>");
        wa_markup_value(p->out, wa_get(c, "instrument"));
        if (wa_get(c, "outside_calibrated_range") != NULL) {
            wa_page_add(p, "<small>");
            wa_markup_value(p->out, wa_get(c, "outside_calibrated_range"));
            wa_page_add(p, " interval means outside its calibrated range</small>");
        }
        wa_page_add(p, "</td></tr>\n");
    }
    wa_page_table_end(p);
}

static void source_details(wa_page *p, const wa_value *s)
{
    const wa_value *prepare = wa_get(s, "prepare"), *logger = wa_get(s, "done_by_logger");
    wa_page_add(p, "<h3>Source ");
    wa_markup_value(p->out, wa_get(s, "name"));
    wa_page_add(p, "</h3>\n");
    if (wa_value_kind(wa_get(s, "duration_s")) == WA_NUMBER) {
        wa_page_add(p, "<p>A sample lasts ");
        wa_markup_value(p->out, wa_get(s, "duration_s"));
        wa_page_add(p, " s and belongs to the interval of its middle.</p>\n");
    }
    if (wa_count(logger) > 0) {
        wa_page_add(p, "<p>Done by the logger before: ");
        wa_page_plain(&p->scratch, logger);
        wa_page_flush(p);
        wa_page_add(p, ".</p>\n");
    }
    channels(p, wa_get(s, "channels"));
    if (wa_count(prepare) > 0) {
        wa_page_add(p, "<p>Formulas applied to the samples before averaging:</p>\n<pre>");
        for (size_t i = 0; i < wa_count(prepare); i++) {
            wa_page_plain(&p->scratch, wa_at(prepare, i));
            wa_page_flush(p);
            wa_page_add(p, "\n");
        }
        wa_page_add(p, "</pre>\n");
    }
}

static void samples(wa_page *p, const wa_value *list)
{
    static const char *const heads[] = {"Source",    "#Beam", "#Range [m]",
                                        "#Expected", "#Read", "#Availability [%]",
                                        "Dropped",   NULL};
    double expected, read;
    if (wa_count(list) == 0)
        return;
    wa_page_add(p, "<h3>Samples</h3>\n");
    wa_page_table(p, "samples", NULL, heads);
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *s = wa_at(list, i), *dropped = wa_get(s, "dropped");
        wa_page_add(p, "<tr>");
        wa_page_element_value(p, "th scope=row", wa_get(s, "source"));
        static const char *const counts[] = {"beam", "range", "expected", "read"};
        for (int k = 0; k < 4; k++)
            wa_page_element_value(p, "td class=n", wa_get(s, counts[k]));
        if (wa_number_of(wa_get(s, "expected"), &expected) && expected > 0 &&
            wa_number_of(wa_get(s, "read"), &read))
            wa_digits_fixed(&p->scratch, 100 * read / expected, 2);
        wa_page_element_scratch(p, "td class=n");
        wa_page_add(p, "<td>");
        for (size_t k = 0; k < wa_count(dropped); k++) {
            wa_page_add(p, k > 0 ? "<br>" : "");
            wa_markup_value(p->out, wa_get(wa_at(dropped, k), "reason"));
            wa_page_add(p, ": ");
            wa_markup_value(p->out, wa_get(wa_at(dropped, k), "samples"));
        }
        wa_page_add(p, "</td></tr>\n");
    }
    wa_page_table_end(p);
}

void wa_page_campaign(wa_page *p, const wa_value *record)
{
    const wa_value *campaign = wa_get(record, "campaign"), *lidar = wa_get(campaign, "lidar");
    const wa_value *sources = wa_get(campaign, "sources");
    wa_page_add(p, "<section id=campaign>\n<h2>What was measured, and how it was read</h2>\n");
    wa_page_add(p, "<dl class=plate>");
    for (size_t i = 0; i < wa_count(lidar); i++) {
        wa_page_add(p, "<div>");
        wa_page_element(p, "dt", wa_key(lidar, i));
        wa_page_plain(&p->scratch, wa_at(lidar, i));
        wa_page_element_scratch(p, "dd");
        wa_page_add(p, "</div>");
    }
    wa_page_add(p, "</dl>\n");
    wa_page_undeclared(p, record);
    if (wa_get_string(campaign, "sd_divisor") != NULL) {
        wa_page_add(p, "<p>Standard deviations of raw samples divide by ");
        wa_markup_value(p->out, wa_get(campaign, "sd_divisor"));
        wa_page_add(p, ". Times are UTC; an interval is named by its start.</p>\n");
    }
    if (wa_count(sources) > 0)
        sources_table(p, sources);
    for (size_t i = 0; i < wa_count(sources); i++)
        source_details(p, wa_at(sources, i));
    samples(p, wa_get(record, "samples"));
    wa_page_add(p, "</section>\n");
}

/* The earlier dossiers whose results the checks read. */
static void dossiers(wa_page *p, const wa_value *uses)
{
    static const char *const heads[] = {"Used as", "Dossier", "Unit",
                                        "Title",   "Report",  "From",
                                        "To",      "Outcome", "SHA-256 of its record",
                                        NULL};
    static const char *const keys[] = {"path", "serial", "title",  "number",
                                       "from", "to",     "outcome"};
    if (wa_count(uses) == 0)
        return;
    wa_text_printf(p->out, "<details open><summary>Earlier dossiers, found whole: %zu</summary>\n",
                   wa_count(uses));
    wa_page_table(p, "files", NULL, heads);
    for (size_t i = 0; i < wa_count(uses); i++) {
        const wa_value *u = wa_at(uses, i);
        wa_page_add(p, "<tr>");
        wa_page_element_value(p, "th scope=row", wa_get(u, "as"));
        for (size_t k = 0; k < sizeof keys / sizeof *keys; k++)
            wa_page_element_value(p, "td", wa_get(u, keys[k]));
        wa_page_element_value(p, "td class=hash", wa_get(u, "sha256"));
        wa_page_add(p, "</tr>\n");
    }
    wa_page_table_end(p);
    wa_page_add(p, "</details>\n");
}

/* The calibrations from earlier dossiers that the checks applied. */
static void calibrations(wa_page *p, const wa_value *taken)
{
    static const char *const heads[] = {"Calibration of", "File",    "From",    "To", "Report",
                                        "Outcome",        "Despite", "SHA-256", NULL};
    static const char *const keys[] = {"file", "from", "to", "number", "outcome", "despite"};
    if (wa_count(taken) == 0)
        return;
    wa_text_printf(p->out, "<details open><summary>Calibrations applied: %zu</summary>\n",
                   wa_count(taken));
    wa_page_table(p, "files", NULL, heads);
    for (size_t i = 0; i < wa_count(taken); i++) {
        const wa_value *c = wa_at(taken, i);
        wa_page_add(p, "<tr>");
        wa_page_element_value(p, "th scope=row", wa_get(c, "serial"));
        for (size_t k = 0; k < sizeof keys / sizeof *keys; k++)
            wa_page_element_value(p, "td", wa_get(c, keys[k]));
        wa_page_element_value(p, "td class=hash", wa_get(c, "sha256"));
        wa_page_add(p, "</tr>\n");
    }
    wa_page_table_end(p);
    wa_page_add(p, "</details>\n");
}

void wa_page_files(wa_page *p, const wa_value *record)
{
    static const char *const inputs_heads[] = {"File",  "Source", "#Bytes",  "#Rows",
                                               "First", "Last",   "SHA-256", NULL};
    static const char *const scripts_heads[] = {"Script", "SHA-256", NULL};
    static const char *const keys[] = {"source", "bytes", "rows", "first", "last"};
    const wa_value *inputs = wa_get(record, "inputs"), *scripts = wa_get(record, "scripts");
    wa_text_printf(p->out,
                   "<section id=files>\n<h2>Files and scripts</h2>\n<details><summary>%zu input "
                   "files and their digests</summary>\n",
                   wa_count(inputs));
    wa_page_table(p, "files", NULL, inputs_heads);
    for (size_t i = 0; i < wa_count(inputs); i++) {
        const wa_value *f = wa_at(inputs, i);
        wa_page_add(p, "<tr>");
        wa_page_element_value(p, "th scope=row", wa_get(f, "path"));
        for (int k = 0; k < 5; k++)
            wa_page_element_value(p, k == 1 || k == 2 ? "td class=n" : "td class=whole",
                                  wa_get(f, keys[k]));
        wa_page_element_value(p, "td class=hash", wa_get(f, "sha256"));
        wa_page_add(p, "</tr>\n");
    }
    wa_page_table_end(p);
    wa_page_add(p, "</details>\n");
    dossiers(p, wa_get(record, "uses"));
    calibrations(p, wa_get(record, "calibrations"));
    wa_text_printf(p->out, "<details><summary>%zu scripts and their digests</summary>\n",
                   wa_count(scripts));
    wa_page_table(p, "files", NULL, scripts_heads);
    for (size_t i = 0; i < wa_count(scripts); i++) {
        wa_page_add(p, "<tr>");
        wa_page_element_value(p, "th scope=row", wa_get(wa_at(scripts, i), "path"));
        wa_page_element_value(p, "td class=hash", wa_get(wa_at(scripts, i), "sha256"));
        wa_page_add(p, "</tr>\n");
    }
    wa_page_table_end(p);
    wa_page_add(p, "</details>\n</section>\n");
}
