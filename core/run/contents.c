#include "run/contents.h"

#include "run/crate.h"
#include "run/evidence.h"
#include "windassay/digest.h"
#include "windassay/json.h"
#include "windassay/result.h"
#include "windassay/run.h"
#include "windassay/time.h"

#include <string.h>

/* A final report may not hang on what nobody has confirmed. */
static wa_status may_be_final(const wa_agenda *agenda, const wa_value *record, wa_error *err)
{
    const wa_value *report = wa_get(agenda->campaign->described, "report");
    const char *status = wa_get_string(report, "status");
    size_t open = wa_record_recalled(record);
    if (status == NULL || strcmp(status, "final") != 0 || open == 0)
        return WA_OK;
    wa_status s = wa_fail_at(err, WA_ERR_DATA, agenda->campaign->file, 0, 0,
                             "report.status is 'final', but %zu defaults or limits are recalled "
                             "and not confirmed",
                             open);
    wa_text names = WA_TEXT_INIT;
    wa_status named = wa_record_recalled_names(&names, record, WA_ERROR_HINT_SIZE - 200, NULL);
    if (named == WA_OK)
        wa_hint(err, s,
                "%sconfirm them in the criteria or the checks (confirmed = { NAME = { clause =, "
                "edition =, by = } }), or keep the report 'preliminary'",
                wa_text_string(&names));
    wa_text_release(&names);
    return named == WA_OK ? s : wa_no_memory(err);
}

static wa_status add_presentation(wa_dossier *d, const wa_contents *made, const wa_value *record,
                                  wa_error *err)
{
    char digest[WA_SHA256_TEXT_SIZE];
    wa_value *shown = NULL;
    wa_status s = wa_sha256_of(digest, made->json.at, made->json.length, err);
    if (s == WA_OK)
        s = wa_present(&shown, record, digest, err);
    for (size_t i = 0; s == WA_OK && i < wa_count(shown); i++) {
        const wa_value *bytes = wa_get(wa_at(shown, i), "bytes");
        s = wa_dossier_add(d, wa_get_string(wa_at(shown, i), "path"), wa_string_of(bytes),
                           wa_length_of(bytes), err);
    }
    wa_value_free(shown);
    return s;
}

/* After all other files, which it lists. */
static wa_status add_crate(wa_dossier *d, const wa_value *record, wa_error *err)
{
    wa_text t = WA_TEXT_INIT;
    wa_status s = wa_crate_write(&t, record, d, err);
    if (s == WA_OK)
        s = wa_evidence_add(d, WA_CRATE_FILE, &t, err);
    wa_text_release(&t);
    return s;
}

/* What bag-info.txt says: dates of the campaign, never today's. */
static wa_status add_notes(wa_dossier *d, const wa_agenda *agenda, wa_error *err)
{
    char day[WA_TIME_TEXT_SIZE];
    wa_time_print(day, agenda->campaign->to);
    day[10] = '\0';
    wa_text title = WA_TEXT_INIT; /* one clean line, whatever stands in the campaign */
    wa_text_add_shown(&title, agenda->campaign->title, strlen(agenda->campaign->title));
    wa_status s =
        wa_text_failed(&title) ? wa_no_memory(err) : wa_dossier_note(d, "Bagging-Date", day, err);
    if (s == WA_OK)
        s = wa_dossier_note(d, "External-Description", wa_text_string(&title), err);
    wa_text_release(&title);
    return s;
}

wa_status wa_contents_make(wa_contents *out, const wa_computed *c, wa_error *err)
{
    wa_contents made = {.json = WA_TEXT_INIT, .dossier = wa_dossier_new()};
    wa_status s =
        made.dossier == NULL ? wa_no_memory(err) : may_be_final(c->agenda, c->record, err);
    if (s == WA_OK)
        s = wa_json_write(&made.json, c->record, WA_JSON_READABLE, err);
    if (s == WA_OK)
        s = wa_evidence_add(made.dossier, "result.json", &made.json, err);
    if (s == WA_OK)
        s = wa_evidence_calibration(made.dossier, c->record, &made.json, err);
    if (s == WA_OK)
        s = wa_evidence_collect(made.dossier, c, err);
    if (s == WA_OK)
        s = add_presentation(made.dossier, &made, c->record, err);
    if (s == WA_OK)
        s = add_crate(made.dossier, c->record, err);
    if (s == WA_OK)
        s = add_notes(made.dossier, c->agenda, err);
    if (s == WA_OK)
        *out = made;
    else
        wa_contents_release(&made);
    return s;
}

void wa_contents_release(wa_contents *c)
{
    wa_text_release(&c->json);
    wa_dossier_free(c->dossier);
    *c = (wa_contents){.json = WA_TEXT_INIT};
}
