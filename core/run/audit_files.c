/* The files of a dossier beside those that were computed again; its inputs and scripts. */
#include "run/audit_parts.h"
#include "run/crate.h"
#include "windassay/digest.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

static bool begins(const char *path, const char *with)
{
    return strncmp(path, with, strlen(with)) == 0;
}

/* A map { path, state } for one of the lists; more by the caller. */
static wa_value *entry_of(const char *path, const char *state)
{
    wa_value *v = wa_map();
    if (!wa_map_set(v, "path", wa_string(path)) || !wa_map_set(v, "state", wa_string(state))) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

/* ---- inputs --------------------------------------------------------------------------------- */

wa_status wa_audit_inputs(wa_audit_state *a, wa_error *err)
{
    static const char *const states[] = {"not found", "found", "changed"};
    const char *missing = a->options->data == NULL ? "not in the dossier" : states[WA_FOUND_NOT];
    wa_value *list = wa_list();
    bool good = list != NULL;
    for (size_t i = 0; i < a->found.n && good; i++) {
        const wa_found_file *f = &a->found.at[i];
        wa_value *v = entry_of(f->path, f->how == WA_FOUND_NOT ? missing : states[f->how]);
        good = v != NULL && wa_map_set(v, "sha256", wa_string(f->sha256)) &&
               (f->how != WA_FOUND_CHANGED || wa_map_set(v, "sha256_now", wa_string(f->now))) &&
               (f->file == NULL || wa_map_set(v, "file", wa_string(f->file)));
        if (!good) {
            wa_value_free(v);
            v = NULL;
        }
        good = wa_list_add(list, v);
    }
    if (!good) {
        wa_value_free(list);
        return wa_no_memory(err);
    }
    return wa_map_set(a->out, "inputs", list) ? WA_OK : wa_no_memory(err);
}

/* ---- scripts -------------------------------------------------------------------------------- */

/* What a script is beside the release that audits. */
static const char *state_of(const wa_audit_state *a, const char *path, const char *sha256)
{
    char digest[WA_SHA256_TEXT_SIZE];
    if (begins(path, "scripts/campaign/") || begins(path, "scripts/root/"))
        return "the campaign's own";
    if (wa_found_sha256(digest, a->engine->scripts, path + strlen("scripts/"), NULL) != WA_OK)
        return "not in this release";
    return strcmp(digest, sha256) == 0 ? "as in this release" : "differs from this release";
}

static const char *digest_in_record(const wa_value *record, const char *path)
{
    const wa_value *list = wa_get(record, "scripts");
    for (size_t i = 0; i < wa_count(list); i++) {
        const char *its = wa_get_string(wa_at(list, i), "path");
        if (its != NULL && strcmp(its, path) == 0)
            return wa_get_string(wa_at(list, i), "sha256");
    }
    return NULL;
}

wa_status wa_audit_scripts(wa_audit_state *a, wa_error *err)
{
    wa_value *list = wa_list();
    const char *path;
    wa_status s = list == NULL ? wa_no_memory(err) : WA_OK;
    for (size_t i = 0; (path = wa_bag_path(a->bag, i)) != NULL && s == WA_OK; i++) {
        if (!begins(path, "scripts/"))
            continue;
        const char *sha256 = wa_bag_sha256(a->bag, i), *stated = digest_in_record(a->record, path);
        if (!wa_list_add(list, entry_of(path, state_of(a, path, sha256))))
            s = wa_no_memory(err);
        if (s == WA_OK && (stated == NULL || strcmp(stated, sha256) != 0)) {
            a->differs = true;
            s = stated == NULL ? wa_audit_cause(a, "changed script", err,
                                                "%s: the record does not list it", path)
                               : wa_audit_cause(a, "changed script", err,
                                                "%s: sha256 %.12s..., the record states %.12s...",
                                                path, sha256, stated);
        }
    }
    if (s != WA_OK) {
        wa_value_free(list);
        return s;
    }
    return wa_map_set(a->out, "scripts", list) ? WA_OK : wa_no_memory(err);
}

/* ---- files ---------------------------------------------------------------------------------- */

typedef enum kind { EVIDENCE, PRESENTATION, INPUT, LISTED, KINDS } kind;

static kind kind_of(const char *path)
{
    if (strcmp(path, WA_DOSSIER_RUN) == 0 || strcmp(path, "tables.xlsx") == 0)
        return LISTED;
    if (begins(path, "inputs/"))
        return INPUT;
    return strcmp(path, "report.html") == 0 || strcmp(path, WA_CRATE_FILE) == 0 ||
                   begins(path, "figures/")
               ? PRESENTATION
               : EVIDENCE;
}

typedef struct tally {
    size_t all[KINDS], same[KINDS];
    size_t added; /* that only this version of the program writes */
} tally;

static wa_status note_file(wa_audit_state *a, const char *path, const char *state, wa_error *err)
{
    wa_value *v = entry_of(path, state);
    if (v != NULL &&
        !wa_map_set(v, "kind",
                    wa_string(kind_of(path) == PRESENTATION ? "presentation" : "evidence"))) {
        wa_value_free(v);
        v = NULL;
    }
    a->differs = true;
    return wa_list_add(wa_get_mutable(a->out, "files"), v) ? WA_OK : wa_no_memory(err);
}

/* Whether the k-th file that was made is the i-th of the dossier. */
static wa_status same_file(bool *same, const wa_audit_state *a, size_t i, size_t k, wa_error *err)
{
    const char *made = NULL;
    wa_status s = wa_dossier_sha256(&made, a->rerun.made.dossier, k, err);
    if (s == WA_OK)
        *same = strcmp(made, wa_bag_sha256(a->bag, i)) == 0;
    return s;
}

static wa_status same_record(bool *same, const wa_audit_state *a, wa_error *err)
{
    const char *own, *made;
    size_t i = 0, k = 0;
    while ((own = wa_bag_path(a->bag, i)) != NULL && strcmp(own, "result.json") != 0)
        i++;
    while ((made = wa_dossier_path(a->rerun.made.dossier, k)) != NULL &&
           strcmp(made, "result.json") != 0)
        k++;
    *same = false;
    return own != NULL && made != NULL ? same_file(same, a, i, k, err) : WA_OK;
}

/* The record, field by field, before all else: it says most. Where only its writing differs, there
 * is no such field. */
static wa_status compare_record(wa_audit_state *a, wa_error *err)
{
    bool same = false;
    wa_status s = same_record(&same, a, err);
    if (s != WA_OK || same)
        return s;
    s = wa_difference_records(&a->differences, a->record, a->rerun.computed.record, NULL, err);
    if (s == WA_OK && wa_audit_additions(a)) {
        a->additions = true;
        a->added = a->differences.n;
        wa_differences_release(&a->differences);
        return wa_differences_begin(&a->differences, WA_AUDIT_DIFFERENCES, err);
    }
    if (s != WA_OK || a->differences.n > 0)
        return s;
    return wa_audit_cause(a, "damaged dossier", err,
                          "data/result.json says the same in another writing");
}

static wa_status compare_csv(wa_audit_state *a, const char *path, size_t made, wa_error *err)
{
    const wa_dossier *d = a->rerun.made.dossier;
    wa_csv_side before = {.fd = -1}, after = {.listing = wa_dossier_listing(d, made)};
    after.bytes = wa_dossier_bytes(d, made, &after.n);
    wa_status s = wa_bag_open_file(&before.fd, a->bag, path, err);
    if (s != WA_OK)
        return s;
    s = wa_difference_csv(&a->differences, path, &before, &after, err);
    wa_csv_side_release(&before);
    wa_csv_side_release(&after);
    close(before.fd);
    return s;
}

static wa_status compare_differing(wa_audit_state *a, const char *path, size_t made, wa_error *err)
{
    size_t length = strlen(path);
    wa_status s = note_file(a, path, "differs", err);
    if (s != WA_OK || kind_of(path) != EVIDENCE)
        return s;
    /* the record was compared before; tables/ only repeats what it has */
    bool csv = length > 4 && strcmp(path + length - 4, ".csv") == 0;
    return csv && !begins(path, "tables/") ? compare_csv(a, path, made, err) : WA_OK;
}

/* A file of the inputs must be one that the record names. */
static wa_status compare_input(wa_audit_state *a, const char *path, const char *sha256, tally *t,
                               wa_error *err)
{
    t->all[INPUT]++;
    if (wa_found_digest(&a->found, sha256) == NULL)
        return note_file(a, path, "is none of the inputs that the record names", err);
    t->same[INPUT]++;
    return WA_OK;
}

/* Both lists in order of their paths. */
static wa_status walk(wa_audit_state *a, tally *t, wa_error *err)
{
    const wa_dossier *d = a->rerun.made.dossier;
    size_t i = 0, k = 0;
    wa_status s = WA_OK;
    while (s == WA_OK) {
        bool same = false;
        const char *own = wa_bag_path(a->bag, i), *made = wa_dossier_path(d, k);
        if (own == NULL && made == NULL)
            break;
        int order = own == NULL ? 1 : made == NULL ? -1 : strcmp(own, made);
        const char *path = order <= 0 ? own : made;
        kind what = kind_of(path);
        bool compared = what == EVIDENCE || (what == PRESENTATION && a->same_version);
        if (what == INPUT && order < 0)
            s = compare_input(a, path, wa_bag_sha256(a->bag, i), t, err);
        t->all[what] += compared && order <= 0;
        if (compared && order < 0)
            s = note_file(a, path, "was not computed again", err);
        else if (compared && order > 0 && !a->same_version && a->same_arithmetic)
            t->added++;
        else if (compared && order > 0)
            s = note_file(a, path, "is not in the dossier", err);
        else if (compared && strcmp(path, "result.json") == 0 && a->additions)
            t->same[what]++; /* all that it says is the same; this version says more */
        else if (compared && (s = same_file(&same, a, i, k, err)) == WA_OK && !same)
            s = compare_differing(a, path, k, err);
        else
            t->same[what] += same;
        i += order <= 0;
        k += order >= 0;
    }
    return s;
}

/* What bag-info.txt says beside its count of bytes must be what the campaign gives. */
static wa_status compare_info(wa_audit_state *a, wa_error *err)
{
    const char *made = wa_dossier_notes(a->rerun.made.dossier), *own = wa_bag_info(a->bag);
    size_t n = strlen(made);
    const char *rest = strncmp(own, made, n) == 0 ? own + n : "";
    if (begins(rest, "Payload-Oxum: ") && strchr(rest, '\n') == rest + strlen(rest) - 1)
        return WA_OK;
    return note_file(a, "bag-info.txt", "differs", err);
}

wa_status wa_audit_files(wa_audit_state *a, const char *level, wa_error *err)
{
    tally t = {.added = 0};
    char presentation[80] = "", added[100] = "";
    if (!wa_map_set(a->out, "level", wa_string(level)) || !wa_map_set(a->out, "files", wa_list()))
        return wa_no_memory(err);
    wa_status s = compare_record(a, err);
    if (s == WA_OK)
        s = walk(a, &t, err);
    if (s == WA_OK)
        s = compare_info(a, err);
    if (s != WA_OK)
        return s;
    if (a->same_version)
        snprintf(presentation, sizeof presentation, ", %zu of %zu of the presentation",
                 t.same[PRESENTATION], t.all[PRESENTATION]);
    if (a->added > 0 || t.added > 0)
        snprintf(added, sizeof added, "; this version adds %zu fields and %zu files", a->added,
                 t.added);
    bool same = wa_count(wa_get(a->out, "files")) == 0;
    return wa_audit_level(a, level, same ? "identical" : "differs", err,
                          "%zu of %zu files of evidence are the same%s%s", t.same[EVIDENCE],
                          t.all[EVIDENCE], presentation, added);
}
