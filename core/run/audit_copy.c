/* Auditing a copy in which some of the dossier is withheld (deliver.h): what still hangs together. */
#include "run/audit_parts.h"
#include "run/evidence.h"
#include "windassay/deliver.h"
#include "windassay/digest.h"
#include "windassay/json.h"

#include <stdlib.h>
#include <string.h>

static const char MANIFEST[] = "original/manifest-sha256.txt";
static const char TAGMANIFEST[] = "original/tagmanifest-sha256.txt";

static bool begins(const char *path, const char *with)
{
    return strncmp(path, with, strlen(with)) == 0;
}

static const char *digest_in_bag(const wa_bag *bag, const char *path, size_t n)
{
    for (size_t i = 0; i < wa_bag_count(bag); i++)
        if (strlen(wa_bag_path(bag, i)) == n && strncmp(wa_bag_path(bag, i), path, n) == 0)
            return wa_bag_sha256(bag, i);
    return NULL;
}

bool wa_audit_is_copy(const wa_bag *bag)
{
    return digest_in_bag(bag, WA_WITHHELD_LIST, strlen(WA_WITHHELD_LIST)) != NULL;
}

static wa_status damaged(wa_audit_state *a, const char *level, const char *what, const char *path,
                         wa_error *err)
{
    wa_status s = wa_audit_level(a, level, "differs", err, "%s: %s", path, what);
    return s == WA_OK ? wa_audit_cause(a, "damaged dossier", err, "%s: %s", path, what) : s;
}

/* ---- the original's manifests -------------------------------------------------------------------- */

/* What the list says of a file; NULL: nothing. */
static const wa_value *listed(const wa_value *list, const char *path, size_t n)
{
    const wa_value *files = wa_get(list, "files");
    for (size_t i = 0; i < wa_count(files); i++) {
        const char *other = wa_get_string(wa_at(files, i), "path");
        if (other != NULL && strlen(other) == n && strncmp(other, path, n) == 0)
            return wa_at(files, i);
    }
    return NULL;
}

/* One line of a manifest: "DIGEST  PATH\n"; false at the end, or where it is none. */
static bool take_line(const char **at, char digest[WA_SHA256_TEXT_SIZE], const char **path,
                      size_t *n)
{
    const size_t hex = WA_SHA256_TEXT_SIZE - 1;
    const char *end = strchr(*at, '\n');
    if (end == NULL || strspn(*at, "0123456789abcdef") != hex || strncmp(*at + hex, "  ", 2) != 0 ||
        (size_t)(end - *at) <= hex + 2)
        return false;
    memcpy(digest, *at, hex);
    digest[hex] = '\0';
    *path = *at + hex + 2;
    *n = (size_t)(end - *path);
    *at = end + 1;
    return true;
}

/* The tag manifest that was signed names the manifest by its digest. */
static bool is_tied(const wa_bag *bag, const wa_text *tags)
{
    const char *at = wa_text_string(tags), *path;
    const char *manifest = digest_in_bag(bag, MANIFEST, strlen(MANIFEST));
    char digest[WA_SHA256_TEXT_SIZE];
    size_t n;
    while (manifest != NULL && take_line(&at, digest, &path, &n))
        if (n == strlen("manifest-sha256.txt") && strncmp(path, "manifest-sha256.txt", n) == 0)
            return strcmp(digest, manifest) == 0;
    return false;
}

typedef struct copy_tally {
    size_t all, untouched, withheld;
} copy_tally;

/* The first file of the copy that neither the original's manifest names nor a copy has; NULL: none. */
static const char *stranger(const wa_audit_state *a, const wa_value *list, const wa_text *manifest)
{
    const char *path;
    for (size_t i = 0; (path = wa_bag_path(a->bag, i)) != NULL; i++) {
        wa_text line = WA_TEXT_INIT, packed = WA_TEXT_INIT;
        wa_text_printf(&line, "  data/%s\n", path);
        wa_text_printf(&packed, "%s.gz", path); /* cut, and then plain */
        bool known = begins(path, "original/") || strcmp(path, WA_WITHHELD_LIST) == 0 ||
                     strstr(wa_text_string(manifest), wa_text_string(&line)) != NULL ||
                     listed(list, wa_text_string(&packed), packed.length) != NULL;
        wa_text_release(&line);
        wa_text_release(&packed);
        if (!known)
            return path;
    }
    return NULL;
}

/* Each file of the original is here as it was, or stands in the list with its digest. */
static wa_status check_original(wa_audit_state *a, const wa_value *list, copy_tally *t, bool *good,
                                wa_error *err)
{
    wa_text tags = WA_TEXT_INIT, manifest = WA_TEXT_INIT;
    char digest[WA_SHA256_TEXT_SIZE];
    const char *path;
    size_t n;
    wa_status s = wa_bag_read(&tags, a->bag, TAGMANIFEST, err);
    if (s == WA_OK)
        s = wa_bag_read(&manifest, a->bag, MANIFEST, err);
    *good = s == WA_OK && is_tied(a->bag, &tags);
    if (s == WA_OK && !*good)
        s = damaged(a, "original", "its tag manifest does not name this manifest", MANIFEST, err);
    const char *at = wa_text_string(&manifest);
    while (s == WA_OK && *good && take_line(&at, digest, &path, &n)) {
        size_t skip = begins(path, "data/") ? strlen("data/") : 0;
        char shown[200];
        const char *here = digest_in_bag(a->bag, path + skip, n - skip);
        const wa_value *said = listed(list, path + skip, n - skip);
        const char *stated = wa_get_string(said, "sha256"), *what = wa_get_string(said, "what");
        bool same = here != NULL && strcmp(here, digest) == 0;
        *good = same ? said == NULL
                     : stated != NULL && what != NULL && strcmp(stated, digest) == 0 &&
                           (here != NULL) ==
                               (strcmp(what, "altered") == 0 || strcmp(what, "made again") == 0);
        if (!*good && said != NULL && what != NULL && strcmp(what, "cut to the period") == 0)
            *good = stated != NULL && strcmp(stated, digest) == 0 && !same;
        t->all++;
        t->untouched += same;
        t->withheld += !same && here == NULL && *good && strcmp(what, "withheld") == 0;
        if (!*good)
            s = damaged(a, "original", "it is neither as it was nor listed as withheld",
                        wa_shown(shown, sizeof shown, path + skip, n - skip), err);
    }
    if (s == WA_OK && *good && *at != '\0') {
        *good = false;
        s = damaged(a, "original", "this is no manifest", MANIFEST, err);
    }
    const char *other = s == WA_OK && *good ? stranger(a, list, &manifest) : NULL;
    if (other != NULL) {
        *good = false;
        s = damaged(a, "original", "the original has no such file", other, err);
    }
    wa_text_release(&tags);
    wa_text_release(&manifest);
    return s;
}

/* ---- the record ---------------------------------------------------------------------------------- */

/* How many fields the list names, each of which must stand in the record as its digest. */
static wa_status check_fields(wa_audit_state *a, const wa_value *list, wa_error *err)
{
    const wa_value *fields = wa_get(list, "fields");
    wa_text json = WA_TEXT_INIT;
    wa_status s = wa_json_write(&json, a->record, WA_JSON_COMPACT, err);
    for (size_t i = 0; i < wa_count(fields) && s == WA_OK; i++) {
        const char *digest = wa_get_string(wa_at(fields, i), "digest");
        const char *path = wa_get_string(wa_at(fields, i), "path");
        bool left_out = path != NULL && begins(path, "/checks/") &&
                        (strstr(path, "/tables") != NULL || strstr(path, "/values") != NULL ||
                         strstr(path, "/figures") != NULL || strstr(path, "/notes") != NULL);
        if (digest == NULL || path == NULL ||
            (!left_out && strstr(wa_text_string(&json), digest) == NULL))
            s = damaged(a, "record", "a field that is listed as withheld does not stand so",
                        path == NULL ? "?" : path, err);
    }
    wa_text_release(&json);
    return s;
}

/* Tables of the record say what the untouched CSV files say, which the original's manifest proves. */
static wa_status check_tables(wa_audit_state *a, const wa_value *list, wa_error *err)
{
    const wa_value *checks = wa_get(a->record, "checks");
    wa_dossier *d = wa_dossier_new();
    size_t same = 0;
    wa_status s = d == NULL ? wa_no_memory(err) : WA_OK;
    for (size_t i = 0; i < wa_count(checks) && s == WA_OK; i++)
        s = wa_evidence_tables(d, wa_at(checks, i), err);
    const char *path, *wrong = NULL;
    for (size_t i = 0; s == WA_OK && wrong == NULL && (path = wa_dossier_path(d, i)) != NULL; i++) {
        const char *here = digest_in_bag(a->bag, path, strlen(path)), *made = "";
        s = wa_dossier_sha256(&made, d, i, err);
        if (s == WA_OK && (here == NULL || strcmp(here, made) != 0))
            wrong = path;
        same += wrong == NULL && listed(list, path, strlen(path)) == NULL;
    }
    if (s == WA_OK)
        s = wrong != NULL ? damaged(a, "record", "it is not what the record says", wrong, err)
                          : wa_audit_level(a, "record", "identical", err,
                                           "its tables are those of %zu untouched CSV files", same);
    wa_dossier_free(d);
    return s;
}

/* Report and figures follow from the record, where this version made them. */
static wa_status check_presentation(wa_audit_state *a, wa_error *err)
{
    wa_value *shown = NULL;
    const char *digest = digest_in_bag(a->bag, "result.json", strlen("result.json"));
    wa_status s = wa_present(&shown, a->record, digest, err);
    const char *wrong = NULL;
    for (size_t i = 0; i < wa_count(shown) && s == WA_OK && wrong == NULL; i++) {
        char made[WA_SHA256_TEXT_SIZE];
        const char *path = wa_get_string(wa_at(shown, i), "path");
        const wa_value *bytes = wa_get(wa_at(shown, i), "bytes");
        const char *here = digest_in_bag(a->bag, path, strlen(path));
        s = wa_sha256_of(made, wa_string_of(bytes), wa_length_of(bytes), err);
        if (s == WA_OK && here != NULL && strcmp(here, made) != 0 &&
            strcmp(path, WA_DOSSIER_WORKBOOK) != 0)
            wrong = path;
    }
    if (s == WA_OK)
        s = wrong != NULL
                ? damaged(a, "presentation", "it does not follow from the record", wrong, err)
                : wa_audit_level(a, "presentation", "identical", err,
                                 "report and figures follow from the record");
    wa_value_free(shown);
    return s;
}

/* ---- all of it ----------------------------------------------------------------------------------- */

static wa_status read_list(wa_value **list, const wa_bag *bag, wa_error *err)
{
    wa_text json = WA_TEXT_INIT;
    wa_value *v = NULL;
    wa_status s = wa_bag_read(&json, bag, WA_WITHHELD_LIST, err);
    if (s == WA_OK)
        s = wa_json_read(&v, wa_text_string(&json), json.length, "data/" WA_WITHHELD_LIST, err);
    const char *schema = wa_get_string(v, "schema");
    if (s == WA_OK && (schema == NULL || strcmp(schema, WA_WITHHELD_SCHEMA) != 0))
        s = wa_fail_at(err, WA_ERR_DATA, "data/" WA_WITHHELD_LIST, 0, 0,
                       "it has not the form %s, which this version reads", WA_WITHHELD_SCHEMA);
    wa_text_release(&json);
    if (s == WA_OK)
        *list = v;
    else
        wa_value_free(v);
    return s;
}

wa_status wa_audit_copy(wa_audit_state *a, wa_error *err)
{
    wa_value *list = NULL;
    copy_tally t = {0, 0, 0};
    bool good = false;
    wa_status s = read_list(&list, a->bag, err);
    if (s == WA_OK)
        s = check_original(a, list, &t, &good, err);
    if (s == WA_OK && good)
        s = wa_audit_level(a, "original", "identical", err,
                           "%zu of %zu files are those of the original's manifest; %zu are "
                           "withheld, %zu altered",
                           t.untouched, t.all, t.withheld, t.all - t.untouched - t.withheld);
    if (s == WA_OK)
        s = check_fields(a, list, err);
    if (s == WA_OK)
        s = check_tables(a, list, err);
    const char *made_by = wa_get_string(list, "program"); /* of this copy, not of the original */
    if (s == WA_OK && made_by != NULL && strcmp(made_by, WA_VERSION) == 0)
        s = check_presentation(a, err);
    else if (s == WA_OK)
        s = wa_audit_level(a, "presentation", "not done", err,
                           "another version of the program made the copy");
    if (s == WA_OK)
        s = wa_audit_level(a, "decision", "not done", err,
                           "what was agreed and asked is withheld with the campaign's scripts");
    a->withheld = wa_count(wa_get(list, "fields")) + t.withheld;
    if (s == WA_OK && !wa_map_set(a->out, "withheld", wa_number((double)a->withheld)))
        s = wa_no_memory(err);
    wa_value_free(list);
    return s;
}
