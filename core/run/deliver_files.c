/* The files of a copy for one customer. */
#include "run/crate.h"
#include "run/cut.h"
#include "run/deliver_parts.h"
#include "run/evidence.h"
#include "windassay/digest.h"
#include "windassay/run.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static bool begins(const char *path, const char *with)
{
    return strncmp(path, with, strlen(with)) == 0;
}

wa_status wa_deliver_note(wa_delivery *d, const char *path, const char *sha256, const char *what,
                          wa_error *err)
{
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "path", wa_string(path)) &&
                wa_map_set(v, "sha256", wa_string(sha256)) &&
                wa_map_set(v, "what", wa_string(what));
    if (!good) {
        wa_value_free(v);
        v = NULL;
    }
    return wa_list_add(d->files, v) ? WA_OK : wa_no_memory(err);
}

/* Bytes of a file of the bag as they are: copied when the dossier is written, and not held. */
static wa_status add_as_it_is(wa_delivery *d, const char *path, const char *sha256, wa_error *err)
{
    char full[4200];
    int fd = -1;
    snprintf(full, sizeof full, "data/%s", path);
    wa_status s = wa_bag_open_file(&fd, d->bag, path, err);
    if (s != WA_OK)
        return s;
    off_t size = lseek(fd, 0, SEEK_END);
    close(fd);
    if (size < 0)
        return wa_fail_at(err, WA_ERR_IO, path, 0, 0, "cannot read: %s", strerror(errno));
    d->untouched++;
    return wa_dossier_add_file(d->copy, path, wa_bag_folder(d->bag), full, (uint64_t)size, sha256,
                               err);
}

/* Adds bytes under the path; says what became of the file unless it is as it was. */
static wa_status add_made(wa_delivery *d, const char *path, const char *before, const char *bytes,
                          size_t n, const char *what, wa_error *err)
{
    char digest[WA_SHA256_TEXT_SIZE];
    wa_status s = wa_sha256_of(digest, bytes, n, err);
    if (s != WA_OK)
        return s;
    if (strcmp(digest, before) == 0)
        return add_as_it_is(d, path, before, err);
    s = wa_dossier_add(d->copy, path, bytes, n, err);
    return s == WA_OK ? wa_deliver_note(d, path, before, what, err) : s;
}

/* "tables/site." of every run of the check `site`. */
static bool is_of_site(const wa_delivery *d, const char *path)
{
    static const char *const folders[] = {"tables", "figures"};
    const wa_value *checks = wa_get(d->original, "checks");
    bool found = false;
    for (size_t i = 0; i < wa_count(checks) && !found; i++) {
        const char *name = wa_get_string(wa_at(checks, i), "name");
        const char *id = wa_get_string(wa_at(checks, i), "id");
        if (name == NULL || id == NULL || strcmp(name, "site") != 0)
            continue;
        for (size_t k = 0; k < 2 && !found; k++) {
            wa_text prefix = WA_TEXT_INIT;
            wa_evidence_path(&prefix, folders[k], id, "", "");
            found = begins(path, wa_text_string(&prefix));
            wa_text_release(&prefix);
        }
    }
    return found;
}

/* Whether a file stands by its digest alone. */
static bool is_withheld(const wa_delivery *d, const char *path)
{
    const char *ending = strrchr(path, '.');
    bool json = ending != NULL && strcmp(ending, ".json") == 0;
    if (strcmp(path, WA_CRATE_FILE) == 0)
        return true; /* it describes the files of the original */
    return (wa_withholds(d->w, WA_WITHHOLD_INPUTS) &&
            (begins(path, "inputs/") || strcmp(path, "inputs.csv") == 0)) ||
           (wa_withholds(d->w, WA_WITHHOLD_SCRIPTS) &&
            (begins(path, "scripts/campaign/") || begins(path, "scripts/root/"))) ||
           (wa_withholds(d->w, WA_WITHHOLD_MACHINE) && strcmp(path, WA_DOSSIER_RUN) == 0) ||
           (begins(path, "given/") &&
            wa_withholds(d->w, json ? WA_WITHHOLD_USES : WA_WITHHOLD_GIVEN)) ||
           (wa_withholds(d->w, WA_WITHHOLD_SITE) && is_of_site(d, path));
}

static bool is_presentation(const char *path)
{
    return strcmp(path, "report.html") == 0 || strcmp(path, WA_DOSSIER_WORKBOOK) == 0 ||
           begins(path, "figures/");
}

/* The source of an input of the dossier, by its digest, where it is of the reference; SIZE_MAX. */
static size_t reference_of(const wa_delivery *d, const char *sha256)
{
    const wa_value *inputs = wa_get(d->original, "inputs");
    const wa_campaign *c = d->agenda->campaign;
    for (size_t i = 0; i < wa_count(inputs); i++) {
        const char *digest = wa_get_string(wa_at(inputs, i), "sha256");
        const char *source = wa_get_string(wa_at(inputs, i), "source");
        if (digest == NULL || source == NULL || strcmp(digest, sha256) != 0)
            continue;
        for (size_t k = 0; k < c->n_sources; k++)
            if (strcmp(c->sources[k].name, source) == 0 && c->sources[k].role == WA_ROLE_REFERENCE)
                return k;
    }
    return SIZE_MAX;
}

/* An input: rows of the reference outside of the period go. Where none are, it is as it was. */
static wa_status add_input(wa_delivery *d, const char *path, const char *sha256, wa_error *err)
{
    wa_status s = d->agenda != NULL
                      ? WA_OK
                      : wa_rerun_agenda(&d->agenda, d->bag, d->original, d->engine, err);
    if (s != WA_OK)
        return s;
    size_t source = reference_of(d, sha256);
    if (source == SIZE_MAX)
        return add_as_it_is(d, path, sha256, err);
    int fd = -1;
    uint64_t cut = 0;
    bool changed = false;
    wa_text text = WA_TEXT_INIT;
    s = wa_bag_open_file(&fd, d->bag, path, err);
    if (s == WA_OK)
        s = wa_cut_to_period(&text, &cut, d->agenda->campaign, source, fd, path, err);
    if (s == WA_OK && cut == 0) {
        wa_text_release(&text);
        return add_as_it_is(d, path, sha256, err);
    }
    if (s == WA_OK)
        s = wa_withhold_text(d->w, &text, &changed, err);
    if (s == WA_OK) {
        size_t n = strlen(path); /* what was packed is plain now */
        char plain[4200];
        bool packed = n > 3 && strcmp(path + n - 3, ".gz") == 0;
        snprintf(plain, sizeof plain, "%.*s", (int)(packed ? n - 3 : n), path);
        s = wa_dossier_add(d->copy, plain, text.at, text.length, err);
    }
    if (s == WA_OK)
        s = wa_deliver_note(d, path, sha256, "cut to the period", err);
    wa_text_release(&text);
    return s;
}

/* A table, or what later campaigns may take, as it follows from the record now. */
static wa_status add_table(wa_delivery *d, const char *path, const char *sha256, wa_error *err)
{
    const char *made;
    for (size_t i = 0; (made = wa_dossier_path(d->tables, i)) != NULL; i++) {
        size_t n = 0;
        if (strcmp(made, path) != 0)
            continue;
        const char *bytes = wa_dossier_bytes(d->tables, i, &n);
        return add_made(d, path, sha256, bytes, n, "altered", err);
    }
    return wa_fail_at(err, WA_ERR_DATA, path, 0, 0, "the record has no such table");
}

/* A text: as it was, or with tokens for withheld words. */
static wa_status add_text(wa_delivery *d, const char *path, const char *sha256, wa_error *err)
{
    bool changed = false;
    wa_text text = WA_TEXT_INIT;
    wa_status s = wa_bag_read(&text, d->bag, path, err);
    if (s == WA_OK)
        s = wa_withhold_text(d->w, &text, &changed, err);
    if (s == WA_OK)
        s = add_made(d, path, sha256, wa_text_string(&text), text.length, "altered", err);
    wa_text_release(&text);
    return s;
}

static wa_status add_file(wa_delivery *d, const char *path, const char *sha256, wa_error *err)
{
    if (is_withheld(d, path))
        return wa_deliver_note(d, path, sha256, "withheld", err);
    if (is_presentation(path))
        return WA_OK; /* made again from the record */
    if (strcmp(path, "result.json") == 0)
        return add_made(d, path, sha256, d->json.at, d->json.length, "altered", err);
    if (begins(path, "inputs/"))
        return add_input(d, path, sha256, err);
    if (begins(path, "tables/") || strcmp(path, "calibration.json") == 0)
        return add_table(d, path, sha256, err);
    if (begins(path, "scripts/") && !begins(path, "scripts/campaign/") &&
        !begins(path, "scripts/root/"))
        return add_as_it_is(d, path, sha256, err); /* of the release, the same for everybody */
    return add_text(d, path, sha256, err);
}

/* Report, figures and workbook follow from the record that the customer gets. */
static wa_status add_presentation(wa_delivery *d, wa_error *err)
{
    char digest[WA_SHA256_TEXT_SIZE];
    wa_value *shown = NULL;
    wa_status s = wa_sha256_of(digest, d->json.at, d->json.length, err);
    if (s == WA_OK)
        s = wa_present(&shown, d->record, digest, err);
    for (size_t i = 0; s == WA_OK && i < wa_count(shown); i++) {
        const char *path = wa_get_string(wa_at(shown, i), "path"), *before = "";
        const wa_value *bytes = wa_get(wa_at(shown, i), "bytes");
        for (size_t k = 0; k < wa_bag_count(d->bag); k++)
            if (strcmp(wa_bag_path(d->bag, k), path) == 0)
                before = wa_bag_sha256(d->bag, k);
        if (*before != '\0')
            s = add_made(d, path, before, wa_string_of(bytes), wa_length_of(bytes), "made again",
                         err);
    }
    wa_value_free(shown);
    return s;
}

wa_status wa_deliver_files(wa_delivery *d, wa_error *err)
{
    const wa_value *checks = wa_get(d->record, "checks");
    wa_status s = WA_OK;
    for (size_t i = 0; i < wa_count(checks) && s == WA_OK; i++)
        s = wa_evidence_tables(d->tables, wa_at(checks, i), err);
    if (s == WA_OK)
        s = wa_evidence_calibration(d->tables, d->record, &d->json, err);
    for (size_t i = 0; i < wa_bag_count(d->bag) && s == WA_OK; i++)
        s = add_file(d, wa_bag_path(d->bag, i), wa_bag_sha256(d->bag, i), err);
    return s == WA_OK ? add_presentation(d, err) : s;
}
