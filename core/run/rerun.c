#include "run/rerun.h"

#include "run/evidence.h"
#include "windassay/json.h"
#include "windassay/result.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { RECORD_MOST = 512 * 1024 * 1024 };

/* ---- the record ----------------------------------------------------------------------------- */

static wa_status check_version(const wa_value *record, wa_error *err)
{
    const char *schema = wa_get_string(record, "schema");
    double interface = 0;
    wa_number_of(wa_get(record, "interface"), &interface);
    if (schema == NULL || strcmp(schema, WA_RECORD_SCHEMA) != 0)
        return wa_fail_at(err, WA_ERR_DATA, "data/result.json", 0, 0,
                          "it has not the form %s, which this version reads", WA_RECORD_SCHEMA);
    if (interface == WA_INTERFACE)
        return WA_OK;
    wa_fail_at(err, WA_ERR_DATA, "data/result.json", 0, 0,
               "its scripts were written for interface %g; this version knows %d", interface,
               WA_INTERFACE);
    return wa_hint(err, WA_ERR_DATA, "a version of windassay with interface %g is needed",
                   interface);
}

static bool has_texts(const wa_value *v, const char *const *keys)
{
    for (; *keys != NULL; keys++)
        if (wa_get_string(v, *keys) == NULL)
            return false;
    return true;
}

/* What deciding again takes for granted of what a check measured. */
static bool sound(const wa_value *entry)
{
    static const char *const of_check[] = {"id", "name", "status", NULL};
    static const char *const of_row[] = {"name", NULL};
    static const char *const of_contract[] = {"name", "criteria", "outcome", NULL};
    const wa_value *rows = wa_get(entry, "requirements");
    bool good = has_texts(entry, of_check);
    for (size_t i = 0; i < wa_count(rows) && good; i++)
        good =
            has_texts(wa_at(rows, i), wa_get(wa_at(rows, i), "use") == NULL ? of_row : of_contract);
    return good;
}

static wa_status check_entries(const wa_value *record, wa_error *err)
{
    const wa_value *checks = wa_get(record, "checks");
    if (wa_value_kind(checks) != WA_LIST)
        return wa_fail_at(err, WA_ERR_DATA, "data/result.json", 0, 0, "it has no list of checks");
    for (size_t i = 0; i < wa_count(checks); i++)
        if (!sound(wa_at(checks, i)))
            return wa_fail_at(err, WA_ERR_DATA, "data/result.json", 0, 0,
                              "check %zu of it is not what a record holds", i + 1);
    return WA_OK;
}

wa_status wa_rerun_record(wa_value **record, const wa_bag *bag, wa_error *err)
{
    wa_text json = WA_TEXT_INIT;
    wa_value *v = NULL;
    wa_status s = wa_bag_read(&json, bag, "result.json", err);
    if (s == WA_ERR_MISSING)
        s = wa_fail(err, WA_ERR_DATA, "the dossier has no data/result.json");
    if (s == WA_OK)
        s = wa_json_read(&v, wa_text_string(&json), json.length, "data/result.json", err);
    if (s == WA_OK)
        s = check_version(v, err);
    if (s == WA_OK)
        s = check_entries(v, err);
    if (s == WA_OK)
        *record = v;
    else
        wa_value_free(v);
    wa_text_release(&json);
    return s;
}

/* ---- scripts -------------------------------------------------------------------------------- */

/* "scripts/checks/clock.lua" lies so below data/; "campaign/x.lua" and "root/x.lua" lie in
 * scripts/. */
static wa_status read_script(wa_text *out, void *context, const char *path, wa_error *err)
{
    const wa_rerun *r = context;
    char full[600], own[200] = "";
    const char *scripts = strncmp(path, "scripts/", 8) == 0 ? "" : "scripts/";
    int n = snprintf(full, sizeof full, "%s%s", scripts, path);
    if (r->options.criteria != NULL)
        snprintf(own, sizeof own, "campaign/criteria/%s.lua", r->options.criteria->name);
    if (strcmp(path, own) == 0) {
        wa_text_add(out, r->options.criteria->text);
        return WA_OK;
    }
    if (n < 0 || (size_t)n >= sizeof full)
        return wa_fail_at(err, WA_ERR_MISSING, path, 0, 0, "there is no such file");
    return wa_bag_read(out, r->bag, full, err);
}

/* A set of that name may not be there already with another text: which one ran would be unclear. */
static wa_status no_other_of_that_name(const wa_rerun *r, wa_error *err)
{
    static const char *const places[] = {"scripts", "scripts/campaign"};
    wa_status s = WA_OK;
    for (size_t i = 0; i < 2 && s == WA_OK && r->options.criteria != NULL; i++) {
        char path[200];
        wa_text there = WA_TEXT_INIT;
        snprintf(path, sizeof path, "%s/criteria/%s.lua", places[i], r->options.criteria->name);
        if (wa_bag_read(&there, r->bag, path, NULL) == WA_OK &&
            (i == 0 || strcmp(wa_text_string(&there), r->options.criteria->text) != 0)) {
            wa_fail(err, WA_ERR_DATA, "the dossier has criteria '%s' already",
                    r->options.criteria->name);
            s = wa_hint(err, WA_ERR_DATA, "give the file of the other criteria another name");
        }
        wa_text_release(&there);
    }
    return s;
}

static const wa_campaign *campaign_of(const wa_rerun *r)
{
    return r->computed.agenda->campaign;
}

/* ---- data ----------------------------------------------------------------------------------- */

static int by_bytes(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* The inputs of a source; tables and calibrations stand behind them in the record. */
static wa_status list_files(wa_paths *out, void *context, size_t source, wa_error *err)
{
    const wa_rerun *r = context;
    const char *name = campaign_of(r)->sources[source].name;
    size_t n = 0;
    while (n < r->found->n && r->found->at[n].source != NULL)
        n++;
    const size_t behind = campaign_of(r)->n_tables + campaign_of(r)->n_calibrations;
    n = n > behind ? n - behind : 0;
    wa_paths p = {calloc(n + 1, sizeof *p.at), 0};
    if (p.at == NULL)
        return wa_no_memory(err);
    for (size_t i = 0; i < n; i++) {
        const wa_found_file *f = &r->found->at[i];
        if (strcmp(f->source, name) != 0)
            continue;
        if ((p.at[p.n] = strdup(f->path)) == NULL) {
            wa_paths_release(&p);
            return wa_no_memory(err);
        }
        p.n++;
    }
    qsort(p.at, p.n, sizeof *p.at, by_bytes);
    *out = p;
    return WA_OK;
}

static wa_status open_file(int *fd, void *context, const char *path, wa_error *err)
{
    const wa_rerun *r = context;
    const wa_found_file *f = wa_found_path(r->found, path);
    if (f == NULL)
        return wa_fail_at(err, WA_ERR_DATA, path, 0, 0,
                          "the campaign reads it, but the record has no such input");
    return wa_found_open(fd, f, err);
}

static wa_status open_intervals(wa_records_files *out, void *context, wa_error *err)
{
    static const char *const names[] = {"intervals.csv", "samples.csv", "inputs.csv"};
    const wa_rerun *r = context;
    int fd[3] = {-1, -1, -1};
    wa_status s = WA_OK;
    for (size_t i = 0; i < 3 && s == WA_OK; i++)
        s = wa_bag_open_file(&fd[i], r->bag, names[i], err);
    if (s == WA_OK)
        *out = (wa_records_files){fd[0], fd[1], fd[2]};
    for (size_t i = 0; i < 3 && s != WA_OK; i++)
        if (fd[i] >= 0)
            close(fd[i]);
    return s == WA_ERR_MISSING ? wa_fail(err, WA_ERR_DATA, "the dossier has no interval statistics")
                               : s;
}

/* The digest of the dossier's record. */
static const char *own_digest(const wa_rerun *r)
{
    const char *path;
    for (size_t i = 0; (path = wa_bag_path(r->bag, i)) != NULL; i++)
        if (strcmp(path, "result.json") == 0)
            return wa_bag_sha256(r->bag, i);
    return "";
}

/* The record of an earlier dossier; its digest is proven by whoever asked. */
static wa_status read_used(wa_text *out, void *context, const wa_use *u, wa_error *err)
{
    const wa_rerun *r = context;
    if (strcmp(own_digest(r), u->sha256) == 0) /* it is what this one replaces */
        return wa_bag_read(out, r->bag, "result.json", err);
    const wa_found_file *f = wa_found_digest(r->found, u->sha256);
    char block[65536];
    int fd = -1;
    wa_status s = f == NULL ? wa_fail_at(err, WA_ERR_DATA, u->dossier, 0, 0,
                                         "the campaign uses it, but the record does not list it")
                            : wa_found_open(&fd, f, err);
    while (s == WA_OK) {
        ssize_t got = read(fd, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            s = wa_fail_at(err, WA_ERR_IO, f->path, 0, 0, "cannot read: %s", strerror(errno));
        if (got <= 0)
            break;
        wa_text_add_bytes(out, block, (size_t)got);
        if (out->length > RECORD_MOST)
            s = wa_fail_at(err, WA_ERR_LIMIT, f->path, 0, 0, "it is too large for a record");
    }
    if (fd >= 0)
        close(fd);
    return s;
}

/* The agreement, where the record speaks of one: it lies in the dossier. */
static wa_status read_agreement(wa_text *out, void *context, wa_error *err)
{
    const wa_rerun *r = context;
    const char *sha256 = wa_get_string(wa_get(r->record, "agreement"), "sha256");
    wa_text path = WA_TEXT_INIT;
    if (sha256 == NULL)
        return WA_OK;
    wa_evidence_given(&path, WA_GIVEN_AGREEMENT, sha256, ".json");
    wa_status s = wa_text_failed(&path) ? wa_no_memory(err)
                                        : wa_bag_read(out, r->bag, wa_text_string(&path), err);
    wa_text_release(&path);
    return s == WA_ERR_MISSING ? wa_fail(err, WA_ERR_DATA, "the dossier has no agreement") : s;
}

/* ---- all of it ------------------------------------------------------------------------------ */

/* The name of the campaign file, as the record says: one clean component. */
static const char *campaign_file(const wa_value *record)
{
    const char *file = wa_get_string(wa_get(record, "campaign"), "file");
    return file == NULL || strchr(file, '/') != NULL || wa_path_check(file, NULL) != WA_OK ? NULL
                                                                                           : file;
}

/* By which other criteria the dossier is decided: those that are given now, or those by which it was
 * decided before; then their file is among its scripts. */
static void choose_criteria(wa_rerun *r)
{
    const wa_value *before = wa_get(r->record, "revision");
    const char *reason = wa_get_string(before, "reason"), *name = wa_get_string(before, "criteria");
    const char *sha256 = wa_get_string(before, "supersedes");
    if (r->options.criteria != NULL)
        r->revising = (wa_revising){r->options.criteria->name, r->options.reason, own_digest(r)};
    else if (name != NULL && reason != NULL && sha256 != NULL)
        r->revising = (wa_revising){name, reason, sha256};
}

wa_status wa_rerun_open(wa_rerun *r, const wa_bag *bag, const wa_value *record,
                        const wa_found *found, const wa_rerun_options *options,
                        const wa_engine *engine, wa_error *err)
{
    const char *file = campaign_file(record);
    wa_modules *modules = NULL;
    *r = (wa_rerun){.bag = bag, .record = record, .found = found, .options = *options};
    r->supply = (wa_supply){list_files, open_file, r};
    choose_criteria(r);
    wa_status s = file == NULL ? wa_fail_at(err, WA_ERR_DATA, "data/result.json", 0, 0,
                                            "it does not say which file the campaign is")
                               : no_other_of_that_name(r, err);
    if (s == WA_OK)
        s = wa_modules_of(&modules, read_script, r, err);
    if (s == WA_OK)
        s = wa_agenda_of(&r->computed.agenda, modules, file, r->revising.criteria, engine, err);
    if (s == WA_OK)
        r->computed.agenda->campaign->supply = &r->supply;
    return s;
}

wa_status wa_rerun_agenda(wa_agenda **out, const wa_bag *bag, const wa_value *record,
                          const wa_engine *engine, wa_error *err)
{
    wa_rerun r = {.made = {.json = WA_TEXT_INIT}};
    const wa_rerun_options as_it_is = {.criteria = NULL};
    wa_status s = wa_rerun_open(&r, bag, record, NULL, &as_it_is, engine, err);
    if (s == WA_OK) {
        *out = r.computed.agenda;
        (*out)->campaign->supply = NULL;
        r.computed.agenda = NULL;
    }
    wa_rerun_release(&r);
    return s;
}

static wa_value *entry_of(wa_value *record, const char *id)
{
    wa_value *checks = wa_get_mutable(record, "checks");
    for (size_t i = 0; i < wa_count(checks); i++) {
        const char *its = wa_get_string(wa_at(checks, i), "id");
        if (its != NULL && strcmp(its, id) == 0)
            return wa_at_mutable(checks, i);
    }
    return NULL;
}

wa_status wa_rerun_decide(wa_value **decided, const wa_rerun *r, wa_error *err)
{
    const wa_agenda *agenda = r->computed.agenda;
    wa_value *record = wa_value_copy(r->record);
    wa_status s = record == NULL ? wa_no_memory(err) : WA_OK;
    for (size_t i = 0; i < agenda->n_checks && s == WA_OK; i++) {
        const wa_planned *p = &agenda->checks[i];
        const char *id = wa_get_string(p->entry, "id");
        wa_value *entry = entry_of(record, id);
        s = entry == NULL
                ? wa_fail_at(err, WA_ERR_DATA, "data/result.json", 0, 0,
                             "the campaign asks for the check '%s', which is not in it", id)
                : wa_record_decide(entry, p->run, p->sets, p->n_sets, err);
    }
    if (s == WA_OK)
        s = wa_compute_close(record, agenda, err);
    if (s == WA_OK)
        *decided = record;
    else
        wa_value_free(record);
    return s;
}

wa_status wa_rerun_compute(wa_rerun *r, const wa_engine *engine, wa_error *err)
{
    const wa_origin origin = {.intervals = r->options.from_intervals ? open_intervals : NULL,
                              .used = read_used,
                              .agreement = read_agreement,
                              .context = r,
                              .record = r->record,
                              .same_version = r->options.same_version,
                              .revising = r->revising.criteria == NULL ? NULL : &r->revising};
    wa_computed *c = &r->computed;
    double arithmetic;
    wa_status s = wa_compute_opened(c, c->agenda, &origin, err);
    if (s == WA_OK)
        s = wa_compute_read(c, engine, err);
    if (s == WA_OK)
        s = wa_compute_checks(c, engine, err);
    if (s == WA_OK && wa_number_of(wa_get(r->record, "arithmetic"), &arithmetic) &&
        !wa_map_set(c->record, "arithmetic", wa_number(arithmetic)))
        s = wa_no_memory(err);
    return s == WA_OK ? wa_contents_make(&r->made, c, err) : s;
}

void wa_rerun_release(wa_rerun *r)
{
    wa_contents_release(&r->made);
    wa_computed_release(&r->computed);
}
