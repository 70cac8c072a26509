#include "run/evidence.h"
#include "windassay/dossier.h"
#include "windassay/report.h"
#include "windassay/run.h"

/* One file { path, bytes } of the presentation; takes nothing. */
static wa_status add_file(wa_value *files, const wa_text *path, const wa_text *bytes, wa_error *err)
{
    wa_value *f = wa_map();
    bool good = !wa_text_failed(path) && !wa_text_failed(bytes) &&
                wa_map_set(f, "path", wa_string(wa_text_string(path))) &&
                wa_map_set(f, "bytes", wa_bytes(wa_text_string(bytes), bytes->length));
    if (!good) {
        wa_value_free(f);
        f = NULL;
    }
    return wa_list_add(files, f) ? WA_OK : wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

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
        if (s == WA_OK)
            s = add_file(files, &path, &svg, err);
        wa_text_release(&path);
        wa_text_release(&svg);
    }
    return s;
}

wa_status wa_present(wa_value **files, const wa_value *record, const char *digest, wa_error *err)
{
    wa_value *list = wa_list();
    wa_text html = WA_TEXT_INIT, book = WA_TEXT_INIT, path = WA_TEXT_INIT;
    const wa_value *checks = wa_get(record, "checks");
    wa_status s = wa_report_html(&html, record, digest, err);
    wa_text_add(&path, "report.html");
    if (s == WA_OK)
        s = add_file(list, &path, &html, err);
    for (size_t i = 0; i < wa_count(checks) && s == WA_OK; i++)
        s = present_figures(list, wa_at(checks, i), err);
    if (s == WA_OK)
        s = wa_report_workbook(&book, record, digest, err);
    wa_text_clear(&path);
    wa_text_add(&path, WA_DOSSIER_WORKBOOK);
    if (s == WA_OK)
        s = add_file(list, &path, &book, err);
    wa_text_release(&html);
    wa_text_release(&book);
    wa_text_release(&path);
    if (s == WA_OK)
        *files = list;
    else
        wa_value_free(list);
    return s;
}
