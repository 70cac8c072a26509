#include "run/evidence.h"
#include "windassay/report.h"
#include "windassay/run.h"

static wa_status present_figures(wa_value *files, const wa_value *entry, wa_error *err)
{
    const wa_value *figures = wa_get(entry, "figures");
    wa_status s = WA_OK;
    for (size_t i = 0; i < wa_count(figures) && s == WA_OK; i++) {
        wa_text path = WA_TEXT_INIT, svg = WA_TEXT_INIT;
        const wa_value *figure = wa_at(figures, i);
        wa_evidence_path(&path, "figures", wa_get_string(entry, "id"),
                         wa_get_string(figure, "name"), ".svg");
        s = wa_report_svg(&svg, figure, err);
        if (s == WA_OK && (wa_text_failed(&svg) || wa_text_failed(&path) ||
                           !wa_evidence_add(files, wa_text_string(&path), &svg)))
            s = wa_fail(err, WA_ERR_NOMEM, "out of memory");
        wa_text_release(&path);
        wa_text_release(&svg);
    }
    return s;
}

wa_status wa_present(wa_value **files, const wa_value *record, const char *digest, wa_error *err)
{
    wa_value *list = wa_list();
    wa_text html = WA_TEXT_INIT;
    const wa_value *checks = wa_get(record, "checks");
    wa_status s = wa_report_html(&html, record, digest, err);
    if (s == WA_OK && (wa_text_failed(&html) || !wa_evidence_add(list, "report.html", &html)))
        s = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    for (size_t i = 0; i < wa_count(checks) && s == WA_OK; i++)
        s = present_figures(list, wa_at(checks, i), err);
    wa_text_release(&html);
    if (s == WA_OK)
        *files = list;
    else
        wa_value_free(list);
    return s;
}
