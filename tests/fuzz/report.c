/* Reports of any plain value, as a dossier may hold it: whatever it is, what is written is text,
 * and the page holds no script and nothing from outside. */
#include "fuzz.h"

#include "windassay/report.h"

#include <string.h>

static void is_text(wa_status s, wa_text *t, const wa_error *err)
{
    if (s == WA_OK)
        FUZZ_HOLDS(wa_utf8_valid(wa_text_string(t), t->length));
    else
        fuzz_error_is_clean(s, err);
}

static void no_controls(const wa_text *t, bool colour)
{
    for (size_t i = 0; i < t->length; i++) {
        unsigned char c = (unsigned char)t->at[i];
        FUZZ_HOLDS(c >= ' ' || c == '\n' || c == '\t' || (c == 0x1b && colour));
        FUZZ_HOLDS(c != 127);
    }
}

static bool begins(const char *at, const char *word)
{
    return strncasecmp(at, word, strlen(word)) == 0;
}

/* One tag, behind its '<': no script, nothing that loads, links to places in the page alone. Foreign
 * text is escaped, so that every tag is ours. Returns the place behind its '>'. */
static const char *tag(const char *at)
{
    static const char *const never[] = {"script", "img",  "iframe", "object", "embed",  "link",
                                        "form",   "base", "use",    "image",  "foreign"};
    for (size_t i = 0; i < sizeof never / sizeof *never; i++)
        FUZZ_HOLDS(!begins(at, never[i]));
    while (*at != '>') {
        FUZZ_HOLDS(*at != '\0' && *at != '<');
        if (*at == ' ') {
            FUZZ_HOLDS(!begins(at, " on") && !begins(at, " src"));
            FUZZ_HOLDS(!begins(at, " href") || begins(at, " href=\"#"));
        }
        if (*at == '"') {
            at = strchr(at + 1, '"');
            FUZZ_HOLDS(at != NULL);
        }
        at++;
    }
    return at + 1;
}

static void pages(const wa_value *v)
{
    wa_error err = {0};
    wa_text t = WA_TEXT_INIT;
    wa_status s = wa_report_html(&t, v, NULL, &err);
    is_text(s, &t, &err);
    if (s == WA_OK) {
        FUZZ_HOLDS(strlen(wa_text_string(&t)) == t.length);
        for (const char *at = t.at; (at = strchr(at, '<')) != NULL;)
            at = tag(at + 1);
    }
    wa_text_release(&t);
    s = wa_report_svg(&t, v, &err);
    is_text(s, &t, &err);
    for (const char *at = wa_text_string(&t); s == WA_OK && (at = strchr(at, '<')) != NULL;)
        at = tag(at + 1);
    wa_text_release(&t);
    s = wa_report_table_csv(&t, v, &err);
    is_text(s, &t, &err);
    wa_text_release(&t);
}

static void terminals(const wa_value *v)
{
    static const wa_terminal HOW[] = {{80, false, true}, {0, true, false}, {132, true, true}};
    for (size_t i = 0; i < sizeof HOW / sizeof *HOW; i++) {
        wa_error err = {0};
        wa_text t = WA_TEXT_INIT;
        wa_status s = wa_report_terminal(&t, v, &HOW[i], &err);
        is_text(s, &t, &err);
        no_controls(&t, HOW[i].colour);
        wa_text_clear(&t);
        s = wa_report_terminal_script(&t, v, &HOW[i], &err);
        is_text(s, &t, &err);
        no_controls(&t, HOW[i].colour);
        wa_text_release(&t);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    wa_value *v = fuzz_value(data, size);
    if (v == NULL)
        return 0;
    pages(v);
    terminals(v);
    const wa_value *checks = wa_get(v, "checks");
    for (size_t i = 0; i < wa_count(checks) && i < 4; i++) {
        const wa_value *figures = wa_get(wa_at(checks, i), "figures");
        for (size_t k = 0; k < wa_count(figures) && k < 4; k++)
            pages(wa_at(figures, k));
    }
    wa_value_free(v);
    return 0;
}
