#include "run/compute.h"

#include "data/supply.h"
#include "run/facts.h"
#include "run/release.h"
#include "windassay/result.h"
#include "windassay/time.h"

#include <stdlib.h>
#include <string.h>

enum { FILES_NAMED = 3 }; /* of those without a row */

/* The record that this one replaces, where it is known: a campaign may state its digest alone. */
static wa_status read_superseded(wa_computed *c, wa_error *err)
{
    const wa_use u = wa_revision_use(c->agenda->campaign, c->from.revising);
    const wa_value *revision = wa_get(c->from.record, "revision");
    bool known = c->from.used == NULL
                     ? u.dossier != NULL
                     : c->from.revising != NULL || wa_get(revision, "bytes") != NULL;
    if (u.sha256 == NULL || !known)
        return WA_OK;
    return wa_use_read(&c->superseded, &u, c->agenda->campaign, c->from.used, c->from.context, err);
}

wa_status wa_compute_open(wa_computed *c, const char *campaign, const wa_engine *engine,
                          wa_error *err)
{
    wa_status s = wa_agenda_open(&c->agenda, campaign, engine, err);
    if (s == WA_OK)
        s = wa_agreement_read(&c->agreement, c->agenda->campaign, err);
    if (s == WA_OK)
        s = wa_uses_read(&c->uses, c->agenda->campaign, NULL, NULL, err);
    if (s == WA_OK)
        s = wa_calibrations_read(&c->calibrations, c->agenda->campaign, err);
    return s == WA_OK ? read_superseded(c, err) : s;
}

wa_status wa_compute_opened(wa_computed *c, wa_agenda *agenda, const wa_origin *from, wa_error *err)
{
    c->agenda = agenda;
    c->from = *from;
    wa_text json = WA_TEXT_INIT;
    wa_status s = from->agreement == NULL ? wa_agreement_read(&c->agreement, agenda->campaign, err)
                                          : from->agreement(&json, from->context, err);
    if (s == WA_OK && json.length > 0) {
        char *file = wa_agreement_file(agenda->campaign);
        s = file == NULL ? wa_no_memory(err) : wa_agreement_parse(&c->agreement, file, &json, err);
        free(file);
    }
    wa_text_release(&json);
    if (s == WA_OK)
        s = wa_uses_read(&c->uses, agenda->campaign, from->used, from->context, err);
    if (s == WA_OK)
        s = wa_calibrations_read(&c->calibrations, agenda->campaign, err);
    return s == WA_OK ? read_superseded(c, err) : s;
}

/* ---- what lies on no time grid --------------------------------------------------------------- */

static wa_status read_tables(wa_tables *out, const wa_campaign *c, wa_error *err)
{
    wa_status s = WA_OK;
    for (size_t i = 0; i < c->n_tables && s == WA_OK; i++) {
        int fd = -1;
        s = wa_campaign_open_file(&fd, c, c->tables[i].file, err);
        if (s == WA_OK)
            s = wa_tables_add(out, c->tables[i].name, c->tables[i].file, fd, err);
    }
    return s;
}

/* Files of headers only: a logger that wrote nothing, a comment sign or a first_row too far down. */
static wa_status no_rows(const wa_campaign *c, const wa_records *r, size_t source, wa_error *err)
{
    wa_text names = WA_TEXT_INIT;
    size_t n = 0;
    for (size_t i = 0; i < r->n_inputs; i++) {
        if (r->inputs[i].source != source || n++ >= FILES_NAMED)
            continue;
        wa_text_add(&names, n == 1 ? "" : ", ");
        wa_text_add_shown(&names, r->inputs[i].path, strlen(r->inputs[i].path));
    }
    if (n > FILES_NAMED)
        wa_text_printf(&names, " and %zu more", n - FILES_NAMED);
    wa_status s = wa_text_failed(&names) ? wa_no_memory(err)
                                         : wa_fail(err, WA_ERR_DATA, "source '%s': no row in %s",
                                                   c->sources[source].name, wa_text_string(&names));
    wa_text_release(&names);
    return s == WA_ERR_DATA ? wa_hint(err, s, "look at 'files' and 'header'") : s;
}

/* A source of which no row lies in the period: the wrong year, the wrong folder, the wrong date
 * format. That is no measured lack of data, and nothing may be decided by it. */
static wa_status reach_the_period(const wa_campaign *c, const wa_records *r, wa_error *err)
{
    for (size_t i = 0; i < c->n_sources; i++) {
        size_t files;
        char first[WA_TIME_TEXT_SIZE], last[WA_TIME_TEXT_SIZE];
        wa_input all = wa_facts_total(r, i, &files);
        if (all.rows == 0 && files > 0)
            return no_rows(c, r, i, err);
        if (all.outside < all.rows || files == 0)
            continue;
        wa_time_print(first, all.first);
        wa_time_print(last, all.last);
        wa_fail(err, WA_ERR_DATA, "source '%s': none of its %llu rows lies in the period",
                c->sources[i].name, (unsigned long long)all.rows);
        return wa_hint(err, WA_ERR_DATA,
                       "its stamps reach from %s to %s; look at 'period', 'files', 'time'", first,
                       last);
    }
    return WA_OK;
}

static wa_status read_records(wa_computed *c, const wa_engine *engine, wa_error *err)
{
    const wa_campaign *campaign = c->agenda->campaign;
    wa_records_files files;
    if (c->from.intervals == NULL) {
        wa_reading how = engine->reading != NULL ? *engine->reading : (wa_reading){0};
        how.jobs = engine->jobs;
        how.progress = engine->progress;
        return wa_records_read_as(&c->records, campaign, &how, err);
    }
    wa_status s = c->from.intervals(&files, c->from.context, err);
    return s == WA_OK ? wa_records_read_intervals(&c->records, campaign, &files, err) : s;
}

wa_status wa_compute_read(wa_computed *c, const wa_engine *engine, wa_error *err)
{
    const wa_campaign *campaign = c->agenda->campaign;
    wa_status s = read_records(c, engine, err);
    if (s == WA_OK)
        s = reach_the_period(campaign, c->records, err);
    return s == WA_OK ? read_tables(&c->tables, campaign, err) : s;
}

/* ---- the record ----------------------------------------------------------------------------- */

wa_status wa_compute_close(wa_value *record, const wa_agenda *agenda, wa_error *err)
{
    const wa_criteria **contracts = calloc(agenda->n_criteria + 1, sizeof *contracts);
    size_t n = 0;
    if (contracts == NULL)
        return wa_no_memory(err);
    for (size_t i = 0; i < agenda->n_criteria; i++) {
        bool contract = false;
        for (size_t k = 0; k < agenda->campaign->n_checks; k++) {
            const char *name = agenda->campaign->checks[k].contract;
            contract = contract || (name != NULL && strcmp(name, agenda->criteria[i]->name) == 0);
        }
        if (contract)
            contracts[n++] = agenda->criteria[i];
    }
    wa_status s = wa_record_close(record, contracts, n, err);
    free(contracts);
    return s;
}

/* What was agreed before and is no more so; which scripts are not those of the release. */
static wa_status add_departures(wa_value *record, const wa_computed *c, const wa_engine *engine,
                                wa_error *err)
{
    wa_value *agreement = NULL, *release = NULL;
    wa_status s = WA_OK;
    if (c->agreement.value != NULL)
        s = wa_agreement_record(&agreement, &c->agreement, c->agenda, engine, err);
    if (s == WA_OK && agreement != NULL && !wa_map_set(record, "agreement", agreement))
        s = wa_no_memory(err);
    if (s == WA_OK && c->from.record != NULL && !c->from.same_version)
        release = wa_value_copy(wa_get(c->from.record, "release"));
    else if (s == WA_OK)
        s = wa_release_departures(&release, c->agenda->modules, err);
    if (s == WA_OK && release != NULL && !wa_map_set(record, "release", release))
        s = wa_no_memory(err);
    return s;
}

/* Everything that was computed, as result.json holds it. */
static wa_status make_record(wa_computed *c, const wa_engine *engine, wa_error *err)
{
    const wa_campaign *campaign = c->agenda->campaign;
    wa_value *record = wa_record_new(wa_facts_campaign(campaign, c->records));
    bool good =
        wa_map_set(record, "inputs", wa_facts_inputs(campaign, c->records)) &&
        wa_map_set(record, "scripts", wa_facts_scripts(c->agenda->modules)) &&
        wa_map_set(record, "samples", wa_facts_samples(campaign, c->records)) &&
        wa_tables_inputs(wa_get_mutable(record, "inputs"), &c->tables) &&
        wa_calibrations_inputs(wa_get_mutable(record, "inputs"), campaign, &c->calibrations);
    if (good && campaign->n_uses > 0)
        good = wa_map_set(record, "uses", wa_value_copy(c->uses.listed));
    if (good && campaign->n_calibrations > 0)
        good = wa_map_set(record, "calibrations", wa_value_copy(c->calibrations.listed));
    wa_value *checks = wa_get_mutable(record, "checks");
    for (size_t i = 0; i < c->agenda->n_checks && good; i++)
        good = wa_list_add(checks, wa_value_copy(c->agenda->checks[i].entry));
    wa_status s = good ? add_departures(record, c, engine, err) : wa_no_memory(err);
    if (s == WA_OK)
        s = wa_compute_close(record, c->agenda, err);
    if (s == WA_OK)
        s = wa_revision_add(record, campaign, c->from.revising, &c->superseded, err);
    if (s == WA_OK)
        c->record = record;
    else
        wa_value_free(record);
    return s;
}

wa_status wa_compute_checks(wa_computed *c, const wa_engine *engine, wa_error *err)
{
    c->ledgers = calloc(c->agenda->n_checks + 1, sizeof *c->ledgers);
    if (c->ledgers == NULL)
        return wa_no_memory(err);
    wa_status s = wa_execute(c->agenda, c->records, &c->tables, c->uses.shown,
                             c->calibrations.shown, engine, c->ledgers, err);
    return s == WA_OK ? make_record(c, engine, err) : s;
}

void wa_computed_release(wa_computed *c)
{
    for (size_t i = 0; c->ledgers != NULL && i < c->agenda->n_checks; i++)
        wa_ledger_release(&c->ledgers[i]);
    free(c->ledgers);
    wa_value_free(c->record);
    wa_tables_release(&c->tables);
    wa_uses_release(&c->uses);
    wa_text_release(&c->superseded);
    wa_agreement_release(&c->agreement);
    wa_calibrations_release(&c->calibrations);
    wa_records_free(c->records);
    wa_agenda_free(c->agenda);
    *c = (wa_computed){0};
}
