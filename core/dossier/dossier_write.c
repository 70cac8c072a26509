/* A folder that is whole or absent: written beside its place, made safe, renamed. */
#include "windassay/dossier.h"

#include "dossier/dossier_files.h"
#include "dossier/place.h"
#include "windassay/json.h"
#include "windassay/pool.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PATH_SIZE = 4200 };

/* The folders of every file, each before the one that holds it. The files come in order, so those
 * of one folder mostly follow each other, and the folder is made safe once. */
static wa_status sync_folders(const place *p, const wa_dossier *d)
{
    char part[PATH_SIZE], last[PATH_SIZE] = "";
    wa_status s = WA_OK;
    for (size_t i = 0; s == WA_OK && i < d->n_files; i++) {
        snprintf(part, sizeof part, "data/%s", d->files[i].path);
        for (char *slash = strrchr(part, '/'); s == WA_OK && slash != NULL;
             slash = strrchr(part, '/')) {
            *slash = '\0';
            if (strcmp(part, last) == 0) /* the same folder as the file before: done with it */
                break;
            s = place_sync(p, part);
        }
        snprintf(last, sizeof last, "data/%s", d->files[i].path);
        *strrchr(last, '/') = '\0';
    }
    return s == WA_OK ? place_sync(p, ".") : s;
}

static wa_status write_file(const place *p, dossier_file *f, size_t jobs)
{
    char path[PATH_SIZE];
    snprintf(path, sizeof path, "data/%s", f->path);
    return f->listing != NULL ? place_list(p, path, f, jobs)
           : f->bytes != NULL ? place_write(p, path, f->bytes, (size_t)f->n)
                              : place_copy(p, path, f);
}

typedef struct proving {
    const place *p;
    const wa_dossier *d;
    const wa_text *tags;
} proving;

/* A pool task: the files of the run, then those of the bag. */
static wa_status prove_one(void *context, size_t i, wa_error *err)
{
    const proving *c = context;
    char path[PATH_SIZE], digest[WA_SHA256_TEXT_SIZE];
    place mine = *c->p; /* with an error of its own */
    mine.err = err;
    if (i < c->d->n_files) {
        snprintf(path, sizeof path, "data/%s", c->d->files[i].path);
        return place_prove(&mine, path, c->d->files[i].sha256);
    }
    const wa_text *tag = &c->tags[i - c->d->n_files];
    wa_status s = wa_sha256_of(digest, wa_text_string(tag), tag->length, err);
    return s == WA_OK ? place_prove(&mine, tag_names[i - c->d->n_files], digest) : s;
}

/* The files first: the digest of a listing is known when it was written. */
static wa_status fill(const place *p, wa_dossier *d)
{
    wa_text tags[TAG_FILES];
    wa_status s = WA_OK;
    for (size_t i = 0; s == WA_OK && i < d->n_files; i++)
        s = write_file(p, &d->files[i], d->jobs);
    if (s == WA_OK)
        s = dossier_tags(tags, d, p->err);
    if (s != WA_OK)
        return s;
    for (size_t i = 0; s == WA_OK && i < TAG_FILES; i++)
        s = place_write(p, tag_names[i], wa_text_string(&tags[i]), tags[i].length);
    if (s == WA_OK)
        s = sync_folders(p, d);
    if (s == WA_OK)
        s = wa_pool_run(d->jobs, d->n_files + TAG_FILES, prove_one,
                        &(proving){.p = p, .d = d, .tags = tags}, p->err);
    for (size_t i = 0; i < TAG_FILES; i++)
        wa_text_release(&tags[i]);
    return s;
}

/* ---- what is there already --------------------------------------------------------------- */

static bool compared(const char *path)
{
    return strcmp(path, WA_DOSSIER_RUN) != 0 && strcmp(path, WA_DOSSIER_WORKBOOK) != 0;
}

/* Every file that is compared has the digest that ours has, and there is no other. Listings come
 * last: they are made for their digest where all else is equal. */
static wa_status equal(bool *out, const wa_dossier *d, const wa_bag *there, wa_error *err)
{
    size_t ours = 0, theirs = 0;
    wa_status s = WA_OK;
    for (size_t i = 0; i < d->n_files; i++)
        ours += compared(d->files[i].path);
    for (size_t i = 0; i < wa_bag_count(there); i++)
        theirs += compared(wa_bag_path(there, i));
    bool same = ours == theirs;
    for (int last = 0; last < 2; last++)
        for (size_t i = 0; same && i < wa_bag_count(there) && s == WA_OK; i++) {
            const char *path = wa_bag_path(there, i);
            dossier_file *f = dossier_find(d, path);
            if (!compared(path) || (f != NULL && (f->listing != NULL) != (last == 1)))
                continue;
            s = f == NULL ? WA_OK : dossier_digest(f, d->jobs, err);
            same = f != NULL && s == WA_OK && strcmp(f->sha256, wa_bag_sha256(there, i)) == 0;
        }
    if (s == WA_OK)
        *out = same;
    return s;
}

/* What kept us from seeing what is there says nothing about it. */
static wa_status not_seen(const place *p, const wa_error *why)
{
    if (p->err != NULL)
        *p->err = *why;
    return why->code;
}

/* A report that was issued stays; so does one of which we cannot tell. */
static wa_status may_replace(const place *p, const wa_bag *there)
{
    wa_text t = WA_TEXT_INIT;
    wa_value *record = NULL;
    wa_error e = {0};
    wa_status s = wa_bag_read(&t, there, "result.json", &e);
    if (s == WA_OK)
        s = wa_json_read(&record, wa_text_string(&t), t.length, "result.json", &e);
    const char *status = wa_get_string(wa_get(wa_get(record, "campaign"), "report"), "status");
    if (s == WA_ERR_NOMEM || s == WA_ERR_IO)
        s = not_seen(p, &e);
    else if (s != WA_OK)
        s = wa_fail_at(p->err, WA_ERR_ARG, p->folder, 0, 0,
                       "it is not replaced, because its record cannot be read: %s", e.text);
    else if (status != NULL && strcmp(status, "final") == 0)
        s = wa_fail_at(p->err, WA_ERR_ARG, p->folder, 0, 0,
                       "the dossier that is there was issued (status final) and stays");
    wa_value_free(record);
    wa_text_release(&t);
    return s;
}

typedef enum standing { ABSENT, SAME, OTHER } standing;

/* Looks at the place; OTHER only where it may be replaced. */
static wa_status look(standing *out, const place *p, const wa_dossier *d, bool replace)
{
    struct stat st;
    wa_bag *there = NULL;
    wa_error e = {0};
    bool same = false;
    if (fstatat(p->parent, p->name, &st, AT_SYMLINK_NOFOLLOW) != 0) {
        if (errno != ENOENT)
            return place_io(p, p->folder, "cannot look at it");
        *out = ABSENT;
        return WA_OK;
    }
    wa_status s = S_ISDIR(st.st_mode) ? wa_bag_open(&there, p->folder, &e) : WA_ERR_DATA;
    if (s == WA_ERR_NOMEM || s == WA_ERR_IO)
        return not_seen(p, &e);
    if (s != WA_OK)
        return wa_fail_at(p->err, WA_ERR_ARG, p->folder, 0, 0,
                          "what is there is no whole dossier, and stays%s%s", e.text[0] ? ": " : "",
                          e.text);
    s = equal(&same, d, there, p->err);
    if (s == WA_OK && same)
        *out = SAME;
    else if (s == WA_OK && !replace)
        s = wa_hint(
            p->err,
            wa_fail_at(p->err, WA_ERR_ARG, p->folder, 0, 0, "another dossier is there, and stays"),
            "--replace puts the new one in its place");
    else if (s == WA_OK && (s = may_replace(p, there)) == WA_OK)
        *out = OTHER;
    wa_bag_close(there);
    return s;
}

/* Moves the filled folder to its place in one step. */
static wa_status move(place *p, const wa_dossier *d, standing before, wa_written *how)
{
    unsigned flags = before == OTHER ? RENAME_EXCHANGE : RENAME_NOREPLACE;
    standing now = ABSENT;
    if (renameat2(p->parent, p->temporary, p->parent, p->name, flags) == 0) {
        *how = before == OTHER ? WA_REPLACED : WA_WRITTEN;
        if (before == ABSENT) { /* nothing of that name is left to be removed */
            free(p->temporary);
            p->temporary = NULL;
        }
        return fsync(p->parent) == 0 ? WA_OK
                                     : place_io(p, p->parent_path, "cannot make the folder safe");
    }
    if (errno != EEXIST)
        return place_io(p, p->folder, "cannot put the dossier in its place");
    wa_status s = look(&now, p, d, false); /* someone else was here meanwhile */
    if (s == WA_OK && now == SAME)
        *how = WA_EQUAL;
    else if (s == WA_OK)
        s = wa_fail_at(p->err, WA_ERR_IO, p->folder, 0, 0, "it comes and goes while we write");
    return s;
}

wa_status wa_dossier_write(wa_dossier *d, const char *folder, bool replace, wa_written *how,
                           wa_error *err)
{
    place p;
    standing before = ABSENT;
    wa_status s = place_open(&p, folder, err);
    if (s == WA_OK)
        s = look(&before, &p, d, replace);
    if (s == WA_OK && before == SAME) {
        *how = WA_EQUAL;
        goto out;
    }
    if (s == WA_OK) {
        s = place_make_temporary(&p);
    }
    if (s == WA_OK)
        s = fill(&p, d);
    if (s == WA_OK)
        s = move(&p, d, before, how);
out:
    place_close(&p);
    return s;
}
