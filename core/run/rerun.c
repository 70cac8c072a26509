#include "run/rerun.h"

#include "data/supply.h"
#include "run/evidence.h"
#include "windassay/json.h"
#include "windassay/result.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { RECORD_MOST = 512 * 1024 * 1024 };

/* What the callbacks of a rerun look into. */
typedef struct rerun {
    const wa_bag *bag;
    const wa_found *found;
    const wa_other_criteria *criteria;
    const wa_campaign *campaign;
    const wa_value *record;
} rerun;

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

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
    const rerun *r = context;
    char full[600], own[200] = "";
    const char *scripts = strncmp(path, "scripts/", 8) == 0 ? "" : "scripts/";
    int n = snprintf(full, sizeof full, "%s%s", scripts, path);
    if (r->criteria != NULL)
        snprintf(own, sizeof own, "campaign/criteria/%s.lua", r->criteria->name);
    if (strcmp(path, own) == 0) {
        wa_text_add(out, r->criteria->text);
        return WA_OK;
    }
    if (n < 0 || (size_t)n >= sizeof full)
        return wa_fail_at(err, WA_ERR_MISSING, path, 0, 0, "there is no such file");
    return wa_bag_read(out, r->bag, full, err);
}

/* A set of that name may not be there already with another text: which one ran would be unclear. */
static wa_status no_other_of_that_name(const rerun *r, wa_error *err)
{
    static const char *const places[] = {"scripts", "scripts/campaign"};
    wa_status s = WA_OK;
    for (size_t i = 0; i < 2 && s == WA_OK && r->criteria != NULL; i++) {
        char path[200];
        wa_text there = WA_TEXT_INIT;
        snprintf(path, sizeof path, "%s/criteria/%s.lua", places[i], r->criteria->name);
        if (wa_bag_read(&there, r->bag, path, NULL) == WA_OK &&
            (i == 0 || strcmp(wa_text_string(&there), r->criteria->text) != 0)) {
            wa_fail(err, WA_ERR_DATA, "the dossier has criteria '%s' already", r->criteria->name);
            s = wa_hint(err, WA_ERR_DATA, "give the file of the other criteria another name");
        }
        wa_text_release(&there);
    }
    return s;
}

/* ---- data ----------------------------------------------------------------------------------- */

static int by_bytes(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* The inputs of a source; those of tables stand behind them in the record. */
static wa_status list_files(wa_paths *out, void *context, size_t source, wa_error *err)
{
    const rerun *r = context;
    const char *name = r->campaign->sources[source].name;
    size_t n = 0;
    while (n < r->found->n && r->found->at[n].source != NULL)
        n++;
    n = n > r->campaign->n_tables ? n - r->campaign->n_tables : 0;
    wa_paths p = {calloc(n + 1, sizeof *p.at), 0};
    if (p.at == NULL)
        return no_memory(err);
    for (size_t i = 0; i < n; i++) {
        const wa_found_file *f = &r->found->at[i];
        if (strcmp(f->source, name) != 0)
            continue;
        if ((p.at[p.n] = strdup(f->path)) == NULL) {
            wa_paths_release(&p);
            return no_memory(err);
        }
        p.n++;
    }
    qsort(p.at, p.n, sizeof *p.at, by_bytes);
    *out = p;
    return WA_OK;
}

static wa_status open_file(int *fd, void *context, const char *path, wa_error *err)
{
    const rerun *r = context;
    const wa_found_file *f = wa_found_path(r->found, path);
    if (f == NULL)
        return wa_fail_at(err, WA_ERR_DATA, path, 0, 0,
                          "the campaign reads it, but the record has no such input");
    return wa_found_open(fd, f, err);
}

static wa_status open_intervals(wa_records_files *out, void *context, wa_error *err)
{
    static const char *const names[] = {"intervals.csv", "samples.csv", "inputs.csv"};
    const rerun *r = context;
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

/* The record of an earlier dossier; its digest is proven by whoever asked. */
static wa_status read_used(wa_text *out, void *context, const wa_use *u, wa_error *err)
{
    const rerun *r = context;
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
    const rerun *r = context;
    const char *sha256 = wa_get_string(wa_get(r->record, "agreement"), "sha256");
    wa_text path = WA_TEXT_INIT;
    if (sha256 == NULL)
        return WA_OK;
    wa_evidence_given(&path, WA_GIVEN_AGREEMENT, sha256, ".json");
    wa_status s = wa_text_failed(&path) ? no_memory(err)
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

/* From an agenda to the files. */
static wa_status compute(wa_rerun *out, rerun *r, wa_agenda *agenda, const wa_origin *origin,
                         const wa_engine *engine, wa_error *err)
{
    const wa_supply supply = {list_files, open_file, r};
    r->campaign = agenda->campaign;
    agenda->campaign->supply = &supply;
    wa_status s = wa_compute_opened(&out->computed, agenda, origin, err);
    if (s == WA_OK)
        s = wa_compute_read(&out->computed, engine, err);
    if (s == WA_OK)
        s = wa_compute_checks(&out->computed, engine, err);
    if (s == WA_OK)
        s = wa_contents_make(&out->made, &out->computed, err);
    agenda->campaign->supply = NULL;
    return s;
}

static wa_status open_agenda(wa_agenda **out, rerun *r, const wa_value *record,
                             const wa_engine *engine, wa_error *err)
{
    const char *file = campaign_file(record);
    wa_modules *modules = NULL;
    wa_status s = file == NULL ? wa_fail_at(err, WA_ERR_DATA, "data/result.json", 0, 0,
                                            "it does not say which file the campaign is")
                               : no_other_of_that_name(r, err);
    if (s == WA_OK)
        s = wa_modules_of(&modules, read_script, r, err);
    return s == WA_OK ? wa_agenda_of(out, modules, file,
                                     r->criteria == NULL ? NULL : r->criteria->name, engine, err)
                      : s;
}

wa_status wa_rerun_agenda(wa_agenda **out, const wa_bag *bag, const wa_value *record,
                          const wa_engine *engine, wa_error *err)
{
    rerun r = {.bag = bag};
    return open_agenda(out, &r, record, engine, err);
}

wa_status wa_rerun_make(wa_rerun *out, const wa_bag *bag, const wa_value *record,
                        const wa_found *found, const wa_rerun_options *options,
                        const wa_engine *engine, wa_error *err)
{
    rerun r = {.bag = bag, .found = found, .criteria = options->criteria, .record = record};
    const wa_origin origin = {.intervals = options->from_intervals ? open_intervals : NULL,
                              .used = read_used,
                              .agreement = read_agreement,
                              .context = &r,
                              .record = record};
    wa_rerun made = {.made = {.json = WA_TEXT_INIT}};
    wa_agenda *agenda = NULL;
    wa_status s = open_agenda(&agenda, &r, record, engine, err);
    if (s == WA_OK)
        s = compute(&made, &r, agenda, &origin, engine, err);
    if (s == WA_OK)
        *out = made;
    else
        wa_rerun_release(&made);
    return s;
}

void wa_rerun_release(wa_rerun *r)
{
    wa_contents_release(&r->made);
    wa_computed_release(&r->computed);
}
