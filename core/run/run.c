#include "windassay/run.h"

#include "run/compute.h"
#include "run/contents.h"
#include "run/keep.h"
#include "windassay/result.h"

#include <stdlib.h>
#include <string.h>

static int exit_code_of(wa_outcome outcome)
{
    switch (outcome) {
    case WA_OUTCOME_ERROR:
        return wa_status_exit(WA_ERR_SCRIPT);
    case WA_OUTCOME_FAIL:
    case WA_OUTCOME_CONDITIONAL_FAIL:
        return 1;
    case WA_OUTCOME_INCONCLUSIVE:
        return 2;
    default:
        return 0;
    }
}

/* A check that broke shows in the exit code also where it decides nothing. */
int wa_record_exit(const wa_value *record)
{
    const wa_value *checks = wa_get(record, "checks");
    for (size_t i = 0; i < wa_count(checks); i++) {
        const char *status = wa_get_string(wa_at(checks, i), "status");
        if (status != NULL && strcmp(status, "error") == 0)
            return wa_status_exit(WA_ERR_SCRIPT);
    }
    return exit_code_of(wa_record_outcome(record));
}

/* ---- the dossier ---------------------------------------------------------------------------- */

/* One input as it is stored; it is copied from the disk when the dossier is written. */
static wa_status add_input(wa_dossier *d, const wa_campaign *c, const char *path, uint64_t bytes,
                           const char *sha256, wa_error *err)
{
    bool root = strncmp(path, "root:", 5) == 0;
    const char *file = root ? path + 5 : path;
    wa_text name = WA_TEXT_INIT;
    wa_text_printf(&name, "inputs/%s/%s", root ? "root" : "campaign", file);
    wa_status s = wa_text_failed(&name)
                      ? wa_no_memory(err)
                      : wa_dossier_add_file(d, wa_text_string(&name), root ? c->root : c->folder,
                                            file, bytes, sha256, err);
    wa_text_release(&name);
    return s;
}

/* The record of a dossier that was used. */
static wa_status add_used(wa_dossier *d, const wa_campaign *c, const wa_use *u,
                          const wa_value *listed, wa_error *err)
{
    double bytes = 0;
    wa_text path = WA_TEXT_INIT;
    wa_number_of(wa_get(listed, "bytes"), &bytes);
    wa_text_printf(&path, "%s/data/result.json", u->dossier);
    wa_status s = wa_text_failed(&path)
                      ? wa_no_memory(err)
                      : add_input(d, c, wa_text_string(&path), (uint64_t)bytes, u->sha256, err);
    wa_text_release(&path);
    return s;
}

static wa_status add_inputs(wa_dossier *d, const wa_computed *computed, wa_error *err)
{
    const wa_campaign *c = computed->agenda->campaign;
    wa_status s = WA_OK;
    for (size_t i = 0; i < computed->records->n_inputs && s == WA_OK; i++) {
        const wa_input *in = &computed->records->inputs[i];
        s = add_input(d, c, in->path, in->bytes, in->sha256, err);
    }
    for (size_t i = 0; i < computed->tables.n && s == WA_OK; i++) {
        const wa_named_table *t = &computed->tables.at[i];
        s = add_input(d, c, t->path, t->table->stored, t->table->sha256, err);
    }
    for (size_t i = 0; i < c->n_uses && s == WA_OK; i++)
        s = add_used(d, c, &c->uses[i], wa_at(computed->uses.listed, i), err);
    for (size_t i = 0; i < c->n_calibrations && s == WA_OK; i++)
        s = add_input(d, c, c->calibrations[i].file, computed->calibrations.bytes[i].length,
                      c->calibrations[i].sha256, err);
    return s;
}

/* "campaign.lua" in "NL-0417/" becomes "NL-0417/campaign.dossier". */
static char *default_folder(const char *campaign)
{
    wa_text t = WA_TEXT_INIT;
    size_t n = strlen(campaign);
    if (n > 4 && strcmp(campaign + n - 4, ".lua") == 0)
        n -= 4;
    wa_text_add_bytes(&t, campaign, n);
    wa_text_add(&t, ".dossier");
    if (wa_text_failed(&t)) {
        wa_text_release(&t);
        return NULL;
    }
    return t.at;
}

/* ---- the run -------------------------------------------------------------------------------- */

wa_status wa_run_campaign(wa_run *out, const char *campaign, const wa_engine *engine,
                          const wa_run_options *options, wa_error *err)
{
    wa_computed c = {0};
    wa_contents made = {.json = WA_TEXT_INIT};
    wa_status s = wa_compute_open(&c, campaign, engine, err);
    if (s == WA_OK)
        s = wa_compute_read(&c, engine, err);
    if (s == WA_OK)
        s = wa_compute_checks(&c, engine, err);
    if (s == WA_OK)
        s = wa_contents_make(&made, &c, err);
    if (s == WA_OK && options->with_data)
        s = add_inputs(made.dossier, &c, err);
    if (s == WA_OK) {
        char *beside = default_folder(campaign);
        s = beside == NULL ? wa_no_memory(err)
                           : wa_keep(out, &made, &c, engine, options, beside, err);
        free(beside);
    }
    wa_contents_release(&made);
    wa_computed_release(&c);
    return s;
}

void wa_run_release(wa_run *run)
{
    if (run == NULL)
        return;
    wa_value_free(run->record);
    wa_text_release(&run->json);
    free(run->dossier);
    *run = (wa_run){.json = WA_TEXT_INIT};
}
