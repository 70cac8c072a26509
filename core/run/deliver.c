/* A copy of a dossier for one customer. docs/design/0007 says what it proves and what it cannot. */
#include "windassay/deliver.h"
#include "data/files.h"
#include "run/deliver_parts.h"
#include "windassay/digest.h"
#include "windassay/json.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char *const TAGS[] = {"bag-info.txt", "bagit.txt", "manifest-sha256.txt",
                                   "tagmanifest-sha256.txt", "tagmanifest-sha256.txt.sig"};
enum { N_TAGS = sizeof TAGS / sizeof *TAGS, SIGNATURE = N_TAGS - 1 };

/* ---- the original's tag files -------------------------------------------------------------------- */

static wa_status read_tag(wa_text *out, const wa_delivery *d, const char *name, wa_error *err)
{
    char block[65536];
    int fd = -1;
    wa_status s = wa_open_beneath(&fd, wa_bag_folder(d->bag), name, err);
    while (s == WA_OK) {
        ssize_t got = read(fd, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            s = wa_fail_at(err, WA_ERR_IO, name, 0, 0, "cannot read: %s", strerror(errno));
        if (got <= 0)
            break;
        wa_text_add_bytes(out, block, (size_t)got);
    }
    if (fd >= 0)
        close(fd);
    return s == WA_OK && wa_text_failed(out) ? wa_no_memory(err) : s;
}

/* Manifests and signature stay as they are: what they prove hangs on every byte. So no withheld words
 * may stand in them; the names of files do. */
static wa_status add_tags(wa_delivery *d, wa_error *err)
{
    wa_status s = WA_OK;
    for (size_t i = 0; i < N_TAGS && s == WA_OK; i++) {
        char path[64], digest[WA_SHA256_TEXT_SIZE];
        bool changed = false;
        wa_text text = WA_TEXT_INIT, copy = WA_TEXT_INIT;
        snprintf(path, sizeof path, "original/%s", TAGS[i]);
        s = read_tag(&text, d, TAGS[i], err);
        if (s == WA_ERR_MISSING && i == SIGNATURE) {
            s = WA_OK; /* it is not signed */
        } else if (s == WA_OK) {
            wa_text_add_bytes(&copy, text.at, text.length);
            s = wa_withhold_text(d->w, &copy, &changed, err);
            if (s == WA_OK && !changed)
                s = wa_dossier_add(d->copy, path, text.at, text.length, err);
            else if (s == WA_OK && strcmp(TAGS[i], "bag-info.txt") != 0) {
                s = wa_fail_at(err, WA_ERR_DATA, TAGS[i], 0, 0,
                               "names of files in it are to be withheld");
                wa_hint(err, s,
                        "the manifest must stay as it is. Deliver a dossier that was made "
                        "without --with-data, or give the files other names");
            } else if (s == WA_OK && (s = wa_sha256_of(digest, text.at, text.length, err)) == WA_OK)
                s = wa_deliver_note(d, path, digest, "withheld", err);
        }
        wa_text_release(&text);
        wa_text_release(&copy);
    }
    return s;
}

/* ---- the copy ------------------------------------------------------------------------------------ */

static wa_status add_list(wa_delivery *d, wa_error *err)
{
    wa_text t = WA_TEXT_INIT;
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "schema", wa_string(WA_WITHHELD_SCHEMA)) &&
                wa_map_set(v, "program", wa_string(WA_VERSION)) &&
                wa_map_set(v, "fields", wa_value_copy(wa_withheld_fields(d->w))) &&
                wa_map_set(v, "files", wa_value_copy(d->files));
    wa_status s = good ? wa_json_write(&t, v, WA_JSON_READABLE, err) : wa_no_memory(err);
    if (s == WA_OK)
        s = wa_dossier_add(d->copy, WA_WITHHELD_LIST, t.at, t.length, err);
    wa_value_free(v);
    wa_text_release(&t);
    return s;
}

static wa_status add_notes(wa_delivery *d, wa_error *err)
{
    const wa_value *campaign = wa_get(d->record, "campaign");
    const char *to = wa_get_string(wa_get(campaign, "period"), "to");
    const char *title = wa_get_string(campaign, "title");
    char day[11] = "";
    wa_text shown = WA_TEXT_INIT;
    snprintf(day, sizeof day, "%s", to == NULL ? "" : to);
    wa_text_add(&shown, "A copy, in part withheld: ");
    wa_text_add_shown(&shown, title == NULL ? "" : title, title == NULL ? 0 : strlen(title));
    wa_status s = wa_text_failed(&shown) ? wa_no_memory(err) : WA_OK;
    if (s == WA_OK && *day != '\0')
        s = wa_dossier_note(d->copy, "Bagging-Date", day, err);
    if (s == WA_OK)
        s = wa_dossier_note(d->copy, "External-Description", wa_text_string(&shown), err);
    wa_text_release(&shown);
    return s;
}

static wa_status fill(wa_delivery *d, wa_error *err)
{
    wa_status s = wa_json_write(&d->json, d->record, WA_JSON_READABLE, err);
    if (s == WA_OK)
        s = wa_deliver_files(d, err);
    if (s == WA_OK)
        s = add_tags(d, err);
    if (s == WA_OK)
        s = add_list(d, err);
    return s == WA_OK ? add_notes(d, err) : s;
}

/* ---- what stays with the maker ------------------------------------------------------------------- */

/* FOLDER.salts, which only its owner may read; never over another one. */
static wa_status write_salts(const wa_delivery *d, const char *path, wa_error *err)
{
    wa_text t = WA_TEXT_INIT;
    wa_status s = wa_json_write(&t, wa_withheld_salts(d->w), WA_JSON_READABLE, err);
    int fd =
        s == WA_OK ? open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600) : -1;
    if (s == WA_OK && fd < 0)
        s = errno == EEXIST
                ? wa_fail_at(err, WA_ERR_ARG, path, 0, 0, "salts of another copy are there")
                : wa_fail_at(err, WA_ERR_IO, path, 0, 0, "cannot write: %s", strerror(errno));
    size_t done = 0;
    while (s == WA_OK && done < t.length) {
        ssize_t n = write(fd, t.at + done, t.length - done);
        if (n < 0 && errno != EINTR)
            s = wa_fail_at(err, WA_ERR_IO, path, 0, 0, "cannot write: %s", strerror(errno));
        done += n > 0 ? (size_t)n : 0;
    }
    if (fd >= 0 && (fsync(fd) != 0 || close(fd) != 0) && s == WA_OK)
        s = wa_fail_at(err, WA_ERR_IO, path, 0, 0, "cannot write: %s", strerror(errno));
    if (s != WA_OK && fd >= 0)
        unlink(path);
    wa_text_release(&t);
    return s;
}

static wa_status keep(wa_value **told, wa_delivery *d, const char *into, wa_error *err)
{
    wa_written how;
    char salts[4200];
    size_t n = strlen(into);
    while (n > 1 && into[n - 1] == '/')
        n--;
    if (n + 7 > sizeof salts)
        return wa_fail(err, WA_ERR_ARG, "the path of the copy is too long");
    snprintf(salts, sizeof salts, "%.*s.salts", (int)n, into);
    wa_status s = write_salts(d, salts, err);
    if (s != WA_OK)
        return s;
    s = wa_dossier_write(d->copy, into, false, &how, err);
    if (s != WA_OK) {
        unlink(salts);
        /* the hint of a dossier that may be replaced is not one for a copy */
        return err != NULL && err->hint[0] != '\0'
                   ? wa_hint(err, s, "a copy takes the place of nothing: choose another folder")
                   : s;
    }
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "copy", wa_string(into)) &&
                wa_map_set(v, "salts", wa_string(salts)) &&
                wa_map_set(v, "untouched", wa_number((double)d->untouched)) &&
                wa_map_set(v, "fields", wa_value_copy(wa_withheld_fields(d->w))) &&
                wa_map_set(v, "files", wa_value_copy(d->files)) &&
                wa_map_set(v, "too_short", wa_value_copy(wa_withheld_short(d->w)));
    if (!good) {
        wa_value_free(v);
        return wa_no_memory(err);
    }
    *told = v;
    return WA_OK;
}

static wa_status refuse_a_copy(const wa_bag *bag, wa_error *err)
{
    for (size_t i = 0; i < wa_bag_count(bag); i++)
        if (strcmp(wa_bag_path(bag, i), WA_WITHHELD_LIST) == 0)
            return wa_fail(err, WA_ERR_ARG, "this is such a copy itself: deliver the original");
    return WA_OK;
}

wa_status wa_deliver(wa_value **told, const char *dossier, const wa_deliver_options *o,
                     const wa_engine *engine, wa_error *err)
{
    wa_delivery d = {.engine = engine,
                     .copy = wa_dossier_new(),
                     .tables = wa_dossier_new(),
                     .json = WA_TEXT_INIT,
                     .files = wa_list()};
    wa_status s = d.copy == NULL || d.tables == NULL || d.files == NULL ? wa_no_memory(err) : WA_OK;
    if (s == WA_OK)
        s = wa_withholding_new(&d.w, o->withhold, o->key, err);
    if (s == WA_OK)
        s = wa_bag_open(&d.bag, dossier, err);
    if (s == WA_OK)
        s = refuse_a_copy(d.bag, err);
    if (s == WA_OK)
        s = wa_rerun_record(&d.original, d.bag, err);
    if (s == WA_OK && (d.record = wa_value_copy(d.original)) == NULL)
        s = wa_no_memory(err);
    if (s == WA_OK)
        s = wa_withhold_record(d.w, d.record, err);
    if (s == WA_OK)
        s = fill(&d, err);
    if (s == WA_OK)
        s = keep(told, &d, o->into, err);
    wa_text_release(&d.json);
    wa_value_free(d.files);
    wa_value_free(d.record);
    wa_value_free(d.original);
    wa_agenda_free(d.agenda);
    wa_dossier_free(d.copy);
    wa_dossier_free(d.tables);
    wa_bag_close(d.bag);
    wa_withholding_free(d.w);
    return s;
}
