/* What an audit does, level by level. What it found is kept in one plain value. */
#include "run/audit_parts.h"

#include "run/signature.h"
#include "windassay/digest.h"
#include "windassay/json.h"
#include "windassay/result.h"

#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

/* ---- what is said --------------------------------------------------------------------------- */

wa_status wa_audit_level(wa_audit_state *a, const char *name, const char *outcome, wa_error *err,
                         const char *format, ...)
{
    char text[1200];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "name", wa_string(name)) &&
                wa_map_set(v, "outcome", wa_string(outcome)) &&
                wa_map_set(v, "text", wa_string(text));
    if (!good) {
        wa_value_free(v);
        v = NULL;
    }
    if (strcmp(outcome, "differs") == 0)
        a->differs = true;
    return wa_list_add(wa_get_mutable(a->out, "levels"), v) ? WA_OK : wa_no_memory(err);
}

wa_status wa_audit_cause(wa_audit_state *a, const char *cause, wa_error *err, const char *format,
                         ...)
{
    char text[600];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "cause", wa_string(cause)) && wa_map_set(v, "text", wa_string(text));
    if (!good) {
        wa_value_free(v);
        v = NULL;
    }
    return wa_list_add(wa_get_mutable(a->out, "causes"), v) ? WA_OK : wa_no_memory(err);
}

WA_PRINTF(3, 4)
static wa_status not_computed(wa_audit_state *a, wa_error *err, const char *format, ...)
{
    char text[300];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return wa_list_add(wa_get_mutable(a->out, "not_computed"), wa_string(text)) ? WA_OK
                                                                                : wa_no_memory(err);
}

/* Whether a fault is one of the dossier, which is a finding, and not one of the program. */
static bool is_finding(wa_status s)
{
    return s != WA_OK && s != WA_ERR_NOMEM && s != WA_ERR_INTERNAL && s != WA_ERR_IO &&
           s != WA_ERR_ARG;
}

/* "FILE:LINE: text" of an error. */
static void tell(char *to, size_t n, const wa_error *e)
{
    char place[WA_ERROR_FILE_SIZE + 32] = "";
    if (e->file[0] != '\0' && e->line > 0)
        snprintf(place, sizeof place, "%s:%zu: ", e->file, e->line);
    else if (e->file[0] != '\0')
        snprintf(place, sizeof place, "%s: ", e->file);
    snprintf(to, n, "%s%s", place, e->text);
}

/* ---- the manifest --------------------------------------------------------------------------- */

/* A folder that holds no manifest is no dossier at all, not a damaged one. */
static bool has_manifest(const char *folder)
{
    char path[4200];
    struct stat st;
    int n = snprintf(path, sizeof path, "%s/manifest-sha256.txt", folder);
    return n > 0 && (size_t)n < sizeof path && lstat(path, &st) == 0;
}

static wa_status open_dossier(wa_audit_state *a, wa_error *err)
{
    wa_error why = {0};
    char text[900];
    wa_status s = wa_bag_open(&a->bag, a->folder, &why);
    if (s == WA_OK)
        return wa_audit_level(a, "manifest", "identical", err,
                              "%zu files, each with the digest that the manifest states",
                              wa_bag_count(a->bag));
    if (!is_finding(s) || s == WA_ERR_MISSING || !has_manifest(a->folder)) {
        if (err != NULL)
            *err = why;
        return s;
    }
    tell(text, sizeof text, &why);
    s = wa_audit_level(a, "manifest", "differs", err, "%s", text);
    return s == WA_OK ? wa_audit_cause(a, "damaged dossier", err, "%s", text) : s;
}

/* ---- versions ------------------------------------------------------------------------------- */

/* What data/run.json says of the program that made the dossier; NULL where it says nothing. */
static wa_value *read_machine(const wa_bag *bag)
{
    enum { MACHINE_MOST = 65536 };
    wa_text json = WA_TEXT_INIT;
    wa_value *v = NULL;
    if (wa_bag_read(&json, bag, WA_DOSSIER_RUN, NULL) == WA_OK && json.length < MACHINE_MOST &&
        wa_json_read(&v, wa_text_string(&json), json.length, WA_DOSSIER_RUN, NULL) != WA_OK)
        v = NULL;
    wa_text_release(&json);
    return v;
}

static wa_status note_versions(wa_audit_state *a, wa_error *err)
{
    wa_value *machine = read_machine(a->bag), *v = wa_map();
    const char *version = wa_get_string(machine, "version");
    const wa_value *arithmetic = wa_get(a->record, "arithmetic");
    double number = 0;
    wa_number_of(arithmetic, &number);
    a->same_version = version != NULL && strcmp(version, WA_VERSION) == 0;
    a->same_arithmetic = number == WA_ARITHMETIC;
    bool good = v != NULL && wa_map_set(v, "interface", wa_number(WA_INTERFACE)) &&
                wa_map_set(v, "arithmetic", wa_number(number)) &&
                wa_map_set(v, "arithmetic_here", wa_number(WA_ARITHMETIC)) &&
                (version == NULL || wa_map_set(v, "program", wa_string(version))) &&
                wa_map_set(v, "program_here", wa_string(WA_VERSION));
    wa_value_free(machine);
    if (good)
        return wa_map_set(a->out, "versions", v) ? WA_OK : wa_no_memory(err);
    wa_value_free(v);
    return wa_no_memory(err);
}

/* ---- the decision --------------------------------------------------------------------------- */

/* A dossier whose scripts cannot be run any more, or whose data cannot be read. */
static wa_status broke(wa_audit_state *a, const char *level, const wa_error *why, wa_error *err)
{
    char text[900];
    tell(text, sizeof text, why);
    wa_status s = wa_audit_level(a, level, "differs", err, "it cannot be computed: %s", text);
    a->broke = true;
    return s;
}

static wa_status decide(wa_audit_state *a, wa_error *err)
{
    wa_error why = {0};
    wa_value *decided = NULL;
    const wa_rerun_options how = {.from_intervals = a->from_intervals,
                                  .same_version = a->same_version};
    wa_status s = wa_rerun_open(&a->rerun, a->bag, a->record, &a->found, &how, a->engine, &why);
    if (s == WA_OK)
        s = wa_rerun_decide(&decided, &a->rerun, &why);
    if (is_finding(s))
        return broke(a, "decision", &why, err);
    if (s != WA_OK) {
        if (err != NULL)
            *err = why;
        return s;
    }
    s = wa_difference_records(&a->differences, a->record, decided, NULL, err);
    wa_value_free(decided);
    size_t n = wa_audit_additions(a) ? 0 : a->differences.n;
    if (s != WA_OK)
        return s;
    return n == 0 ? wa_audit_level(a, "decision", "identical", err, "%zu checks decided again",
                                   wa_count(wa_get(a->record, "checks")))
                  : wa_audit_level(a, "decision", "differs", err,
                                   "%zu fields do not follow from what was measured", n);
}

bool wa_audit_additions(const wa_audit_state *a)
{
    const wa_value *list = a->differences.list;
    bool only = !a->same_version && a->same_arithmetic && a->differences.n <= wa_count(list);
    for (size_t i = 0; i < wa_count(list) && only; i++)
        only = wa_get(wa_at(list, i), "before") == NULL;
    return only;
}

/* ---- everything again ----------------------------------------------------------------------- */

/* How many inputs of sources, or (`beside`) tables and used dossiers, were not found. */
static size_t not_found(const wa_audit_state *a, bool beside)
{
    const wa_value *sources = wa_get(wa_get(a->record, "campaign"), "sources");
    size_t n = 0;
    for (size_t i = 0; i < a->found.n; i++) {
        const wa_found_file *f = &a->found.at[i];
        bool of_source = false;
        for (size_t k = 0; k < wa_count(sources) && f->source != NULL; k++) {
            const char *name = wa_get_string(wa_at(sources, k), "name");
            of_source = of_source || (name != NULL && strcmp(name, f->source) == 0);
        }
        n += f->how == WA_FOUND_NOT && of_source != beside;
    }
    return n;
}

static wa_status compute(wa_audit_state *a, wa_error *err)
{
    const char *level = a->from_intervals ? "from intervals" : "from raw data";
    wa_error why = {0};
    if (not_found(a, true) > 0) {
        a->incomplete = true;
        return wa_audit_level(a, level, "not done", err,
                              "%zu tables or records of earlier dossiers were not found",
                              not_found(a, true));
    }
    wa_status s = wa_rerun_compute(&a->rerun, a->engine, &why);
    if (is_finding(s))
        return broke(a, level, &why, err);
    if (s != WA_OK) {
        if (err != NULL)
            *err = why;
        return s;
    }
    /* what the decision alone showed is among what comes now */
    wa_differences_release(&a->differences);
    s = wa_differences_begin(&a->differences, WA_AUDIT_DIFFERENCES, err);
    if (s == WA_OK)
        s = wa_audit_files(a, level, err);
    if (s == WA_OK && !a->same_version)
        s = not_computed(a, err, "the presentation, which another version of the program made");
    return s;
}

static wa_status compute_again(wa_audit_state *a, wa_error *err)
{
    size_t missing = not_found(a, false);
    wa_status s = WA_OK;
    if (missing > 0 && !a->options->from_intervals) {
        s = a->options->data != NULL
                ? wa_audit_level(a, "from raw data", "not done", err,
                                 "%zu of %zu inputs were not found", missing, a->found.n)
                : wa_audit_level(a, "from raw data", "not done", err,
                                 "%zu of %zu inputs are not in the dossier; --data DIR says where "
                                 "they are",
                                 missing, a->found.n);
        a->incomplete = a->incomplete || a->options->data != NULL;
    }
    if (s == WA_OK && a->from_intervals)
        s = not_computed(a, err, "the statistics of the intervals from the raw data");
    return s == WA_OK ? compute(a, err) : s;
}

/* ---- why it differs ------------------------------------------------------------------------- */

/* True where numbers differ in their last places only, and nothing else does. */
static bool last_places_only(const wa_audit_state *a)
{
    enum { FEW_ULPS = 64 };
    const wa_value *list = a->differences.list;
    bool only = a->differences.n > 0 && a->differences.n <= wa_count(list);
    for (size_t i = 0; i < wa_count(list) && only; i++) {
        double ulps;
        only = wa_number_of(wa_get(wa_at(list, i), "ulps"), &ulps) && ulps <= FEW_ULPS;
    }
    return only;
}

static wa_status changed_data(wa_audit_state *a, wa_error *err)
{
    wa_status s = WA_OK;
    for (size_t i = 0; i < a->found.n && s == WA_OK; i++) {
        const wa_found_file *f = &a->found.at[i];
        if (f->how == WA_FOUND_CHANGED)
            s = wa_audit_cause(a, "changed data", err,
                               "%s: sha256 %.12s..., the record states %.12s...", f->path, f->now,
                               f->sha256);
    }
    return s;
}

/* True where all that differs is how it is shown, and nothing that was found. */
static bool presentation_only(const wa_audit_state *a)
{
    const wa_value *files = wa_get(a->out, "files");
    bool only = wa_count(files) > 0 && a->differences.n == 0;
    for (size_t i = 0; i < wa_count(files) && only; i++)
        only = strcmp(wa_get_string(wa_at(files, i), "kind"), "presentation") == 0;
    return only;
}

/* What explains the differences, the plainest first. */
static wa_status explain(wa_audit_state *a, wa_error *err)
{
    wa_status s = a->from_intervals ? WA_OK : changed_data(a, err);
    if (s != WA_OK || wa_count(wa_get(a->out, "causes")) > 0)
        return s;
    if (!a->same_arithmetic)
        return wa_audit_cause(a, "changed engine version", err,
                              "the dossier's arithmetic is another one than this version's");
    if (last_places_only(a))
        return wa_audit_cause(a, "platform difference", err,
                              "numbers differ in their last places only, by at most 64 units");
    if (!a->same_version)
        return wa_audit_cause(a, "changed engine version", err,
                              "another version of the program made the dossier, or it was damaged");
    if (presentation_only(a))
        return wa_audit_cause(a, "damaged dossier", err,
                              "the evidence is what it should be, the presentation is not: it was "
                              "changed, or another build of this version made it");
    return wa_audit_cause(a, "damaged dossier", err,
                          "what it holds does not follow from its own scripts and %s",
                          a->from_intervals ? "intervals" : "data");
}

/* ---- all of it ------------------------------------------------------------------------------ */

static wa_status begin(wa_audit_state *a, wa_error *err)
{
    a->out = wa_map();
    bool good = wa_map_set(a->out, "dossier", wa_string(a->folder)) &&
                wa_map_set(a->out, "outcome", wa_string("identical")) &&
                wa_map_set(a->out, "levels", wa_list()) &&
                wa_map_set(a->out, "causes", wa_list()) &&
                wa_map_set(a->out, "not_computed", wa_list());
    return good ? wa_differences_begin(&a->differences, WA_AUDIT_DIFFERENCES, err)
                : wa_no_memory(err);
}

static wa_status judge_signature(wa_audit_state *a, wa_error *err)
{
    wa_value *v = NULL;
    char folder[4200]; /* of a copy the original's is judged */
    snprintf(folder, sizeof folder, "%s%s", a->folder,
             wa_audit_is_copy(a->bag) ? "/data/original" : "");
    wa_status s = wa_signature_judge(&v, folder, a->options->allowed_signers, err);
    const char *state = s == WA_OK ? wa_get_string(v, "state") : "";
    if (s == WA_OK && strcmp(state, "does not hold") == 0) {
        a->differs = true;
        s = wa_audit_cause(a, "damaged dossier", err, "its signature does not hold");
    }
    if (s == WA_OK && a->options->allowed_signers != NULL && strcmp(state, "holds") != 0)
        a->incomplete = true;
    if (s != WA_OK)
        wa_value_free(v);
    else if (!wa_map_set(a->out, "signature", v))
        s = wa_no_memory(err);
    return s;
}

static wa_status end(wa_audit_state *a, wa_error *err)
{
    wa_status s = a->differs && a->bag != NULL && !a->copy ? explain(a, err) : WA_OK;
    if (s != WA_OK)
        return s;
    wa_value *list = a->differences.list;
    a->differences.list = NULL;
    bool good = wa_map_set(a->out, "differences", list) &&
                wa_map_set(a->out, "differences_all", wa_number((double)a->differences.n)) &&
                wa_map_set(a->out, "outcome",
                           wa_string(a->differs      ? "differs"
                                     : a->incomplete ? "not all computed again"
                                     : a->copy       ? "identical except withheld"
                                                     : "identical"));
    return good ? WA_OK : wa_no_memory(err);
}

static wa_status look(wa_audit_state *a, wa_error *err)
{
    wa_status s = wa_rerun_record(&a->record, a->bag, err);
    if (s == WA_OK)
        s = note_versions(a, err);
    if (s == WA_OK && wa_audit_is_copy(a->bag)) {
        a->copy = true;
        return wa_audit_copy(a, err);
    }
    if (s == WA_OK)
        s = wa_found_look(&a->found, a->record, a->bag, a->options->data, err);
    if (s == WA_OK)
        s = wa_audit_inputs(a, err);
    if (s == WA_OK)
        s = wa_audit_scripts(a, err);
    a->from_intervals = a->options->from_intervals || (s == WA_OK && not_found(a, false) > 0);
    if (s == WA_OK)
        s = decide(a, err);
    return s == WA_OK && !a->broke ? compute_again(a, err) : s;
}

wa_status wa_audit(wa_value **found, const char *dossier, const wa_engine *engine,
                   const wa_audit_options *options, wa_error *err)
{
    wa_audit_state a = {.folder = dossier, .engine = engine, .options = options};
    wa_status s = begin(&a, err);
    if (s == WA_OK)
        s = open_dossier(&a, err);
    if (s == WA_OK && a.bag != NULL)
        s = judge_signature(&a, err);
    if (s == WA_OK && a.bag != NULL)
        s = look(&a, err);
    if (s == WA_OK)
        s = end(&a, err);
    if (s == WA_OK)
        *found = a.out;
    else
        wa_value_free(a.out);
    wa_rerun_release(&a.rerun);
    wa_differences_release(&a.differences);
    wa_found_release(&a.found);
    wa_value_free(a.record);
    wa_bag_close(a.bag);
    return s;
}

int wa_audit_exit(const wa_value *found)
{
    const char *outcome = wa_get_string(found, "outcome");
    if (outcome != NULL &&
        (strcmp(outcome, "identical") == 0 || strcmp(outcome, "identical except withheld") == 0))
        return 0;
    return outcome != NULL && strcmp(outcome, "differs") == 0 ? 1 : wa_status_exit(WA_ERR_MISSING);
}
