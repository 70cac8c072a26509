#include "run/keep.h"

#include "run/evidence.h"
#include "windassay/json.h"

#include <stdlib.h>
#include <string.h>

static wa_value *machine(const wa_run_options *o, const wa_engine *engine)
{
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "program", wa_string("windassay")) &&
                wa_map_set(v, "version", wa_string(WA_VERSION)) &&
                wa_map_set(v, "compiler", wa_string(o->compiler)) &&
                wa_map_set(v, "host", wa_string(o->host)) &&
                wa_map_set(v, "clock", wa_string(o->now)) &&
                wa_map_set(v, "jobs", wa_number((double)engine->jobs));
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

static wa_status add_machine(wa_dossier *d, const wa_run_options *o, const wa_engine *engine,
                             wa_error *err)
{
    wa_text t = WA_TEXT_INIT;
    wa_value *v = machine(o, engine);
    wa_status s = v == NULL ? wa_no_memory(err) : wa_json_write(&t, v, WA_JSON_READABLE, err);
    if (s == WA_OK)
        s = wa_evidence_add(d, WA_DOSSIER_RUN, &t, err);
    wa_value_free(v);
    wa_text_release(&t);
    return s;
}

static wa_status write_dossier(wa_run *run, wa_dossier *d, const wa_run_options *o,
                               const char *beside, wa_error *err)
{
    wa_written how;
    char *folder = strdup(o->into == NULL ? beside : o->into);
    if (folder == NULL)
        return wa_no_memory(err);
    wa_status s = wa_dossier_write(d, folder, o->replace, &how, err);
    if (s != WA_OK) {
        free(folder);
        return s;
    }
    run->was_there = how == WA_EQUAL;
    run->dossier = folder;
    return WA_OK;
}

wa_status wa_keep(wa_run *out, wa_contents *made, wa_computed *computed, const wa_engine *engine,
                  const wa_run_options *options, const char *beside, wa_error *err)
{
    wa_run run = {.json = WA_TEXT_INIT};
    wa_dossier_use(made->dossier, engine->jobs);
    wa_status s = add_machine(made->dossier, options, engine, err);
    if (s == WA_OK)
        s = write_dossier(&run, made->dossier, options, beside, err);
    if (s != WA_OK)
        return s;
    run.record = computed->record;
    run.json = made->json;
    run.exit_code = wa_record_exit(run.record);
    computed->record = NULL;
    made->json = (wa_text)WA_TEXT_INIT;
    *out = run;
    return WA_OK;
}
