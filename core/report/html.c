/* The report as one page: what the reader came for first, what proves it after. */
#include "windassay/report.h"

#include "report/again.h"
#include "report/agreement.h"
#include "report/facts.h"
#include "report/markup.h"
#include "report/page.h"
#include "report/revision.h"
#include "report/words.h"

#include "windassay/time.h"

#include <string.h>

/* Foreign text inside a CSS string: everything but letters and digits as \HHHHHH. */
static void css_string(wa_text *t, const char *s)
{
    for (; *s != '\0'; s++) {
        unsigned char c = (unsigned char)*s;
        bool plain = (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
        if (plain || c == ' ' || c == '-' || c == '.')
            wa_text_add_char(t, (char)c);
        else if (c > 0x20 && c < 0x7f)
            wa_text_printf(t, "\\%06x", c);
        else
            wa_text_add(t, "?");
    }
}

static const char *report_text(const wa_value *record, const char *key)
{
    const char *s = wa_get_string(wa_get(wa_get(record, "campaign"), "report"), key);
    return s == NULL ? "" : s;
}

static void head(wa_page *p, const wa_value *record)
{
    wa_page_add(p, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                   "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                   "style-src 'unsafe-inline'\">\n"
                   "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                   "<title>");
    wa_markup_value(p->out, wa_get(wa_get(record, "campaign"), "title"));
    wa_page_add(p, "</title>\n<style>\n");
    wa_page_add(p, wa_page_style);
    wa_page_add(p, wa_page_style_media);
    wa_page_add(p, "@page{size:A4;margin:16mm 14mm 18mm;@bottom-left{content:\"");
    css_string(p->out, report_text(record, "number"));
    wa_page_add(p, "\";font:8pt sans-serif}@bottom-right{content:counter(page) \" of \" "
                   "counter(pages);font:8pt sans-serif}}\n</style>\n</head>\n<body>\n");
}

static void status(wa_page *p, const wa_value *record)
{
    const char *word = report_text(record, "status");
    if (*word == '\0')
        return;
    wa_page_element(p, strcmp(word, "final") == 0 ? "p class=\"status final\"" : "p class=status",
                    word);
}

static void plate_text(wa_page *p, const char *name, const char *text)
{
    wa_page_add(p, "<div>");
    wa_page_element(p, "dt", name);
    wa_page_element(p, "dd", text);
    wa_page_add(p, "</div>");
}

/* One entry of the plate; nothing where nothing is declared. */
static void plate(wa_page *p, const char *name, const wa_value *v)
{
    if (wa_value_kind(v) == WA_NULL)
        return;
    wa_page_add(p, "<div>");
    wa_page_element(p, "dt", name);
    wa_page_plain(&p->scratch, v);
    wa_page_element_scratch(p, "dd");
    wa_page_add(p, "</div>");
}

static void plates(wa_page *p, const wa_value *record)
{
    const wa_value *campaign = wa_get(record, "campaign"), *report = wa_get(campaign, "report");
    const wa_value *period = wa_get(campaign, "period"), *lidar = wa_get(campaign, "lidar");
    static const char *const known[] = {"number",     "revision", "status",
                                        "supersedes", "reason",   NULL};
    double seconds;
    wa_page_add(p, "<dl class=plate>");
    plate(p, "Unit", wa_get(lidar, "serial"));
    plate(p, "Kind", wa_get(lidar, "kind"));
    plate(p, "Firmware", wa_get(lidar, "firmware"));
    plate(p, "Report", wa_get(report, "number"));
    plate(p, "Revision", wa_get(report, "revision"));
    for (size_t i = 0; i < wa_count(report); i++) {
        const char *key = wa_key(report, i);
        bool shown = false;
        for (size_t k = 0; known[k] != NULL; k++)
            shown |= strcmp(key, known[k]) == 0;
        wa_text words = WA_TEXT_INIT;
        for (const char *s = key; !shown && *s != '\0'; s++)
            wa_text_add_char(&words, *s == '_' ? ' ' : *s);
        if (!shown)
            plate(p, wa_text_string(&words), wa_at(report, i));
        wa_text_spend(&words, p->out);
    }
    plate(p, "From", wa_get(period, "from"));
    plate(p, "To", wa_get(period, "to"));
    plate(p, "Planned end", wa_get(period, "planned_to"));
    if (wa_number_of(wa_get(wa_get(campaign, "grid"), "interval_s"), &seconds) && seconds > 0 &&
        seconds < 1e9) {
        char text[WA_TIME_TEXT_SIZE];
        wa_duration_print(text, (int64_t)(seconds * 1e9 + 0.5));
        plate_text(p, "Averaging interval", text);
    }
    plate(p, "Intervals of the grid", wa_get(wa_get(campaign, "grid"), "intervals"));
    wa_page_add(p, "</dl>\n");
    const wa_value *extended = wa_get(period, "extended");
    for (size_t i = 0; i < wa_count(extended); i++) {
        wa_page_add(p, "<p>The period was extended to ");
        wa_markup_value(p->out, wa_get(wa_at(extended, i), "to"));
        wa_page_add(p, ": ");
        wa_markup_value(p->out, wa_get(wa_at(extended, i), "reason"));
        wa_page_add(p, ".</p>\n");
    }
    wa_page_clocks(p, record);
}

/* "slope_records 1.0247, limits 0.98 to 1.02, fail" */
static void missed(wa_page *p, const wa_value *r)
{
    double x;
    wa_text unit = WA_TEXT_INIT;
    wa_page_add(p, "<strong>");
    wa_markup_id(p->out, wa_get_string(r, "name"));
    wa_page_add(p, "</strong> ");
    wa_facts_value(&p->scratch, r);
    wa_shown_unit(&unit, wa_get_string(r, "unit"));
    if (wa_number_of(wa_get(r, "value"), &x) && unit.length > 0)
        wa_text_printf(&p->scratch, " %s", wa_text_string(&unit));
    wa_text_spend(&unit, &p->scratch);
    wa_page_flush(p);
    wa_words_limits(&p->scratch, wa_get(r, "limits"));
    wa_page_add(p, p->scratch.length > 0 ? ", limits " : "");
    wa_page_flush(p);
    wa_page_add(p, ", ");
    wa_markup_add(p->out, wa_get_string(r, "outcome"));
}

static bool is_met(const wa_value *r)
{
    const char *outcome = wa_get_string(r, "outcome");
    return !wa_facts_decides(r) || (outcome != NULL && strcmp(outcome, "pass") == 0);
}

/* What stands between a check and "pass": its reason once, then each requirement not met. */
static void why(wa_page *p, const wa_value *check, size_t number)
{
    const wa_value *list = wa_get(check, "requirements"), *reason = wa_get(check, "reason");
    bool any = false;
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *r = wa_at(list, i);
        if (is_met(r))
            continue;
        if (!any) {
            wa_text_printf(p->out, "<li><a href=\"#check-%zu\">", number);
            wa_page_title(p, check);
            wa_page_add(p, wa_string_of(reason) == NULL ? "</a>" : "</a>: ");
            wa_markup_value(p->out, reason);
            wa_page_add(p, "<ul>\n");
        }
        any = true;
        wa_page_add(p, "<li>");
        missed(p, r);
        if (wa_get_string(r, "reason") != NULL && !wa_value_equal(wa_get(r, "reason"), reason)) {
            wa_page_add(p, ": ");
            wa_markup_value(p->out, wa_get(r, "reason"));
        }
        wa_page_add(p, "</li>\n");
    }
    wa_page_add(p, any ? "</ul></li>\n" : "");
}

static void verdict(wa_page *p, const wa_value *record)
{
    const char *outcome = wa_get_string(record, "outcome");
    const wa_value *checks = wa_get(record, "checks");
    wa_text_printf(p->out, "<div class=\"verdict %s\">", wa_word_of(outcome)->class);
    wa_page_outcome(p, outcome);
    wa_page_element_value(p, "p", wa_get(record, "sentence"));
    bool all = true, open = false;
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *list = wa_get(wa_at(checks, i), "requirements");
        for (size_t k = 0; k < wa_count(list); k++) {
            const char *word = wa_get_string(wa_at(list, k), "outcome");
            all = all && is_met(wa_at(list, k));
            open = open || (!is_met(wa_at(list, k)) && word != NULL &&
                            (strcmp(word, "inconclusive") == 0 || strcmp(word, "not tested") == 0));
        }
    }
    if (!all) {
        wa_page_add(p, "<ul>\n");
        for (size_t i = 0; i < wa_count(checks); i++)
            why(p, wa_at(checks, i), i + 1);
        wa_page_add(p, "</ul>\n");
    }
    if (open)
        wa_page_add(p, "<p>What could not be decided is not counted as passed.</p>\n");
    wa_page_add(p, "</div>\n");
}

/* Each rule that decided something, once, in words. */
static void rules(wa_page *p, const wa_value *checks)
{
    static const char *const names[] = {"simple", "guarded", "non-binary"};
    for (size_t n = 0; n < sizeof names / sizeof names[0]; n++) {
        bool used = false;
        for (size_t i = 0; i < wa_count(checks); i++) {
            const wa_value *list = wa_get(wa_at(checks, i), "requirements");
            for (size_t k = 0; k < wa_count(list); k++) {
                const char *rule = wa_get_string(wa_at(list, k), "rule");
                used |= wa_facts_decides(wa_at(list, k)) && rule && strcmp(rule, names[n]) == 0;
            }
        }
        if (used)
            wa_text_printf(p->out, "<p>Decision rule \u201c%s\u201d: %s (ILAC-G8:09/2019).</p>\n",
                           names[n], wa_rule_meaning(names[n]));
    }
}

static void decided(wa_page *p, const wa_value *record)
{
    const wa_value *checks = wa_get(record, "checks"), *not_tested = wa_get(record, "not_tested");
    bool any = false;
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *list = wa_get(wa_at(checks, i), "requirements");
        for (size_t k = 0; k < wa_count(list); k++)
            any = any || wa_facts_decides(wa_at(list, k));
    }
    if (any) {
        wa_page_add(p, "<h3>What the contract asks for</h3>\n");
        wa_page_requirements_begin(p);
        for (size_t i = 0; i < wa_count(checks); i++)
            wa_page_requirements_rows(p, wa_at(checks, i), i + 1, true);
        wa_page_requirements_end(p);
        rules(p, checks);
    }
    if (wa_count(not_tested) > 0) {
        wa_page_add(p, "<p>Limits whose check the campaign does not ask for, not tested and not "
                       "counted as passed:</p>\n<ul>\n");
        for (size_t i = 0; i < wa_count(not_tested); i++) {
            static const char *const keys[] = {"criteria", "check", "run", "name"};
            const wa_value *entry = wa_at(not_tested, i);
            wa_page_add(p, "<li>");
            for (int k = 0; k < 4; k++)
                if (wa_get_string(entry, keys[k]) != NULL) {
                    wa_page_add(p, k == 0 ? "" : k == 3 ? ": " : ", ");
                    wa_markup_value(p->out, wa_get(entry, keys[k]));
                }
            wa_page_add(p, "</li>\n");
        }
        wa_page_add(p, "</ul>\n");
    }
}

static void contents(wa_page *p, const wa_value *checks, bool again)
{
    wa_page_add(p, "<nav aria-label=\"Contents\"><h3>Contents</h3>\n<ol>\n");
    for (size_t i = 0; i < wa_count(checks); i++) {
        wa_text_printf(p->out, "<li><a href=\"#check-%zu\">", i + 1);
        wa_page_title(p, wa_at(checks, i));
        wa_page_add(p, "</a> <small>");
        wa_markup_id(p->out, wa_get_string(wa_at(checks, i), "id"));
        wa_page_add(p, ": ");
        wa_markup_value(p->out, wa_get(wa_at(checks, i), "outcome"));
        wa_page_add(p, "</small></li>\n");
    }
    wa_page_add(p, "<li><a href=\"#campaign\">What was measured, and how it was read</a></li>\n"
                   "<li><a href=\"#files\">Files and scripts</a></li>\n"
                   "<li><a href=\"#words\">What the words mean, and what this report is not</a>"
                   "</li>\n");
    if (again)
        wa_page_add(p,
                    "<li><a href=\"#again\">Appendix: the tables by bin computed again</a></li>\n");
    wa_page_add(p, "</ol></nav>\n");
}

static void words(wa_page *p)
{
    wa_page_add(p, "<section id=words>\n<h2>What the words mean, and what this report is not</h2>\n"
                   "<div class=wide><table class=glossary><caption>Outcomes</caption>\n<tbody>\n");
    for (size_t i = 0; i < wa_words_n; i++) {
        wa_page_add(p, "<tr><th scope=row>");
        wa_page_outcome(p, wa_words[i].word);
        wa_page_add(p, "</th>");
        wa_page_element(p, "td", wa_words[i].meaning);
        wa_page_add(p, "</tr>\n");
    }
    wa_page_add(
        p,
        "</tbody></table></div>\n"
        "<p>U is the expanded uncertainty k\u00a0u. In the drawings beside the limits the pale "
        "band is "
        "what the limits allow, broken lines are the guard bands, the diamond is the value and the "
        "line through it spans the value \u00b1\u00a0U. P(conform) is the probability that the "
        "true value meets the limits (JCGM 106:2012); it is printed only beside an uncertainty. "
        "Decisions are made on unrounded values; "
        "tables "
        "print enough digits to show why.</p>\n"
        "<h3>What this report is not</h3>\n<ul>\n"
        "<li>It is not a certificate of an accredited laboratory, and it does not stand for "
        "one.</li>\n"
        "<li>It relates only to the unit, the place and the period that are named.</li>\n"
        "<li>A limit or default that is marked as recalled was not compared with its source: check "
        "your copy of the standard before you rely on it.</li>\n"
        "<li>What the campaign declares (positions, certificates, clocks) is printed as "
        "declared.</li>\n"
        "</ul>\n<h3>Before anybody touches the instruments</h3>\n"
        "<p>A lidar emits laser light, and masts and nacelles mean work at height, electricity and "
        "lightning. This report is no instruction for such work: the codes of the place, the "
        "maker\u2019s instructions and licensed practice come first.</p>\n</section>\n");
}

static void foot(wa_page *p, const wa_value *record, const char *digest)
{
    const char *number = report_text(record, "number");
    wa_page_add(p, "<footer>");
    if (digest != NULL) {
        wa_page_add(p, "Made from result.json with SHA-256 <span class=hash>");
        wa_markup_add(p->out, digest);
        wa_page_add(p, "</span>. ");
    }
    wa_page_add(p, "End of report ");
    wa_markup_add(p->out, number);
    if (wa_value_kind(wa_get(wa_get(wa_get(record, "campaign"), "report"), "revision")) !=
        WA_NULL) {
        wa_page_add(p, ", revision ");
        wa_markup_value(p->out, wa_get(wa_get(wa_get(record, "campaign"), "report"), "revision"));
    }
    wa_page_add(p, ".</footer>\n</body>\n</html>\n");
}

wa_status wa_report_html(wa_text *out, const wa_value *record, const char *digest, wa_error *err)
{
    wa_page p = {.out = out, .scratch = WA_TEXT_INIT, .notes = WA_FOOTNOTES_INIT};
    const wa_value *checks = wa_get(record, "checks");
    head(&p, record);
    status(&p, record);
    wa_page_add(&p, "<header>\n");
    wa_page_element_value(&p, "h1", wa_get(wa_get(record, "campaign"), "title"));
    wa_page_add(&p, "\n</header>\n<main>\n");
    verdict(&p, record);
    plates(&p, record);
    if (digest != NULL) {
        wa_page_add(&p, "<p><small>SHA-256 of result.json: <span class=hash>");
        wa_markup_add(out, digest);
        wa_page_add(&p, "</span></small></p>\n");
    }
    wa_page_revision(&p, record);
    wa_page_agreement(&p, record);
    decided(&p, record);
    wa_text script = WA_TEXT_INIT;
    contents(&p, checks, wa_again_script(&script, record));
    wa_status result = WA_OK;
    for (size_t i = 0; result == WA_OK && i < wa_count(checks); i++)
        result = wa_page_check(&p, checks, i, err);
    wa_page_campaign(&p, record);
    wa_page_files(&p, record);
    words(&p);
    wa_page_again(&p, &script);
    wa_page_add(&p, "</main>\n");
    foot(&p, record, digest);
    wa_text_spend(&script, out);
    wa_text_spend(&p.scratch, out);
    wa_text_spend(&p.notes.said, out);
    if (result == WA_OK && wa_text_failed(out))
        result = wa_fail(err, WA_ERR_NOMEM, "memory ran out");
    return result;
}
