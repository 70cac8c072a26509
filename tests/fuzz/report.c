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

static void pages(const wa_value *v)
{
    wa_error err = {0};
    wa_text t = WA_TEXT_INIT;
    wa_status s = wa_report_html(&t, v, NULL, &err);
    is_text(s, &t, &err);
    if (s == WA_OK) {
        FUZZ_HOLDS(strlen(wa_text_string(&t)) == t.length);
        FUZZ_HOLDS(strcasestr(t.at, "<script") == NULL && strcasestr(t.at, "<img") == NULL);
        FUZZ_HOLDS(strcasestr(t.at, "<iframe") == NULL && strcasestr(t.at, " src=") == NULL);
        for (const char *a = t.at; (a = strcasestr(a, "<a ")) != NULL; a++)
            FUZZ_HOLDS(strncmp(a, "<a href=\"#", 10) == 0); /* to places in the page alone */
    }
    wa_text_release(&t);
    s = wa_report_svg(&t, v, &err);
    is_text(s, &t, &err);
    FUZZ_HOLDS(s != WA_OK || strcasestr(t.at, "<script") == NULL);
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
