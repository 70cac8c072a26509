#include "run/found.h"

#include "data/files.h"
#include "windassay/digest.h"

#include <errno.h>
#include <fts.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { FILES_MOST = 1000000, DEPTH_MOST = 64 };

/* ---- what is wanted ------------------------------------------------------------------------- */

static wa_status want(wa_found *f, const wa_value *v, bool used, wa_error *err)
{
    const char *path = wa_get_string(v, "path"), *sha256 = wa_get_string(v, "sha256");
    const char *source = wa_get_string(v, "source");
    double bytes = -1;
    wa_number_of(wa_get(v, "bytes"), &bytes);
    if (path == NULL || sha256 == NULL || (source == NULL && !used) || strlen(sha256) != 64 ||
        strspn(sha256, "0123456789abcdef") != 64 || !(bytes >= 0 && bytes < 0x1p53) ||
        bytes != floor(bytes))
        return wa_fail_at(err, WA_ERR_DATA, "data/result.json", 0, 0,
                          "entry %zu of its inputs is not sound", f->n + 1);
    wa_found_file *to = &f->at[f->n++];
    *to = (wa_found_file){.bytes = (uint64_t)bytes};
    memcpy(to->sha256, sha256, sizeof to->sha256);
    wa_text t = WA_TEXT_INIT;
    wa_text_printf(&t, "%s%s", path, used ? "/data/result.json" : "");
    to->path = wa_text_failed(&t) ? NULL : strdup(wa_text_string(&t));
    wa_text_release(&t);
    to->source = used ? NULL : strdup(source);
    return to->path == NULL || (!used && to->source == NULL) ? wa_no_memory(err) : WA_OK;
}

/* The record that this one replaces, where the dossier has it. */
static wa_status want_superseded(wa_found *f, const wa_value *record, wa_error *err)
{
    const wa_value *revision = wa_get(record, "revision");
    const char *path = wa_get_string(revision, "path");
    const char *sha256 = wa_get_string(revision, "supersedes");
    if (wa_get(revision, "bytes") == NULL)
        return WA_OK;
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "path", wa_string(path == NULL ? "superseded" : path)) &&
                wa_map_set(v, "bytes", wa_value_copy(wa_get(revision, "bytes"))) &&
                wa_map_set(v, "sha256", wa_string(sha256 == NULL ? "" : sha256));
    wa_status s = good ? want(f, v, true, err) : wa_no_memory(err);
    wa_value_free(v);
    return s;
}

static wa_status want_all(wa_found *f, const wa_value *record, wa_error *err)
{
    const wa_value *inputs = wa_get(record, "inputs"), *uses = wa_get(record, "uses");
    size_t n = wa_count(inputs), all = n + wa_count(uses);
    wa_status s = WA_OK;
    f->at = calloc(all + 2, sizeof *f->at);
    if (f->at == NULL)
        return wa_no_memory(err);
    for (size_t i = 0; i < all && s == WA_OK; i++)
        s = want(f, i < n ? wa_at(inputs, i) : wa_at(uses, i - n), i >= n, err);
    return s == WA_OK ? want_superseded(f, record, err) : s;
}

/* ---- where it may be ------------------------------------------------------------------------ */

static wa_status place(wa_found_file *f, const char *folder, const char *file, const char *now,
                       wa_error *err)
{
    free(f->folder);
    free(f->file);
    f->folder = strdup(folder);
    f->file = strdup(file);
    memcpy(f->now, now, sizeof f->now);
    f->how = strcmp(now, f->sha256) == 0 ? WA_FOUND_SAME : WA_FOUND_CHANGED;
    return f->folder == NULL || f->file == NULL ? wa_no_memory(err) : WA_OK;
}

/* Whether `path` of the dossier is its own copy of the input: inputs/campaign/..., inputs/root/... */
static bool own_copy(const wa_found_file *f, const char *path)
{
    bool root = strncmp(f->path, "root:", 5) == 0;
    const char *folder = root ? "inputs/root/" : "inputs/campaign/";
    size_t n = strlen(folder);
    return strncmp(path, folder, n) == 0 && strcmp(path + n, f->path + (root ? 5 : 0)) == 0;
}

/* The dossier's own copies. Its manifest says their digests, which were proven. */
static wa_status look_in_bag(wa_found *f, const wa_bag *bag, wa_error *err)
{
    wa_status s = WA_OK;
    const char *path;
    for (size_t i = 0; s == WA_OK && (path = wa_bag_path(bag, i)) != NULL; i++) {
        char file[4200] = "data/";
        if ((strncmp(path, "inputs/", 7) != 0 && strncmp(path, "given/", 6) != 0) ||
            strlen(path) > 4096)
            continue;
        memcpy(file + 5, path, strlen(path) + 1);
        for (size_t k = 0; k < f->n && s == WA_OK; k++)
            if (f->at[k].how != WA_FOUND_SAME &&
                (strcmp(f->at[k].sha256, wa_bag_sha256(bag, i)) == 0 || own_copy(&f->at[k], path)))
                s = place(&f->at[k], wa_bag_folder(bag), file, wa_bag_sha256(bag, i), err);
    }
    return s;
}

wa_status wa_found_sha256(char to[WA_SHA256_TEXT_SIZE], const char *folder, const char *file,
                          wa_error *err)
{
    int fd;
    char block[65536];
    wa_sha256 h = {0};
    wa_status s = wa_open_beneath(&fd, folder, file, err);
    if (s != WA_OK)
        return s;
    s = wa_sha256_init(&h, err);
    while (s == WA_OK) {
        ssize_t got = read(fd, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            s = wa_fail_at(err, WA_ERR_IO, file, 0, 0, "cannot read: %s", strerror(errno));
        if (got <= 0)
            break;
        s = wa_sha256_add(&h, block, (size_t)got, err);
    }
    close(fd);
    if (s == WA_OK)
        return wa_sha256_end(to, &h, err);
    wa_sha256_release(&h);
    return s;
}

static const char *last_part(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

/* True where the file has the name that the input had: the same last part. */
static bool same_name(const char *wanted, const char *file)
{
    const char *name = last_part(wanted);
    if (name == wanted && strncmp(name, "root:", 5) == 0)
        name += 5;
    return strcmp(name, last_part(file)) == 0;
}

/* How many of the last parts of two paths are equal. */
static size_t likeness(const char *a, const char *b)
{
    size_t i = strlen(a), k = strlen(b), parts = 0;
    while (i > 0 && k > 0 && a[i - 1] == b[k - 1]) {
        i--;
        k--;
        parts += a[i] == '/';
    }
    return parts;
}

/* Looks at one file of the folder: is it one that is wanted? */
static wa_status look_at(wa_found *f, const char *folder, const char *file, uint64_t size,
                         wa_error *err)
{
    char now[WA_SHA256_TEXT_SIZE] = "";
    wa_status s = WA_OK;
    for (size_t k = 0; k < f->n && s == WA_OK; k++) {
        wa_found_file *w = &f->at[k];
        bool name = same_name(w->path, file);
        if (w->how == WA_FOUND_SAME || (w->bytes != size && !name))
            continue;
        if (now[0] == '\0')
            s = wa_found_sha256(now, folder, file, err);
        if (s != WA_OK)
            break;
        if (strcmp(now, w->sha256) == 0 ||
            (name && (w->file == NULL || likeness(w->path, file) > likeness(w->path, w->file))))
            s = place(w, folder, file, now, err);
    }
    return s;
}

static int by_name(const FTSENT **a, const FTSENT **b)
{
    return strcmp((*a)->fts_name, (*b)->fts_name);
}

static wa_status walk(wa_found *f, FTS *tree, const char *folder, wa_error *err)
{
    size_t files = 0;
    wa_status s = WA_OK;
    FTSENT *e;
    while (s == WA_OK && (e = fts_read(tree)) != NULL) {
        if (e->fts_level == 0 && e->fts_info == FTS_F)
            s = wa_fail_at(err, WA_ERR_MISSING, folder, 0, 0, "it is not a folder");
        if (e->fts_level == 0 && (e->fts_info == FTS_NS || e->fts_info == FTS_DNR))
            s = wa_fail_at(err, e->fts_errno == ENOENT ? WA_ERR_MISSING : WA_ERR_IO, folder, 0, 0,
                           "cannot open the folder: %s", strerror(e->fts_errno));
        if (e->fts_info == FTS_D && e->fts_level >= DEPTH_MOST)
            fts_set(tree, e, FTS_SKIP);
        if (e->fts_info != FTS_F || e->fts_level == 0)
            continue;
        if (++files > FILES_MOST)
            s = wa_fail_at(err, WA_ERR_LIMIT, folder, 0, 0, "it has more than %d files",
                           FILES_MOST);
        const char *relative = e->fts_path + strlen(folder);
        relative += strspn(relative, "/");
        if (s == WA_OK && wa_path_check(relative, NULL) == WA_OK)
            s = look_at(f, folder, relative, (uint64_t)e->fts_statp->st_size, err);
    }
    return s;
}

static wa_status look_in_folder(wa_found *f, const char *folder, wa_error *err)
{
    char *copy = strdup(folder);
    char *const paths[] = {copy, NULL};
    FTS *tree =
        copy == NULL ? NULL : fts_open(paths, FTS_PHYSICAL | FTS_COMFOLLOW | FTS_NOCHDIR, by_name);
    wa_status s = tree == NULL ? wa_fail_at(err, WA_ERR_IO, folder, 0, 0, "cannot open the folder")
                               : walk(f, tree, folder, err);
    if (tree != NULL)
        fts_close(tree);
    free(copy);
    return s;
}

wa_status wa_found_look(wa_found *out, const wa_value *record, const wa_bag *bag, const char *data,
                        wa_error *err)
{
    wa_found f = {0};
    wa_status s = want_all(&f, record, err);
    if (s == WA_OK)
        s = look_in_bag(&f, bag, err);
    if (s == WA_OK && data != NULL)
        s = look_in_folder(&f, data, err);
    if (s == WA_OK)
        *out = f;
    else
        wa_found_release(&f);
    return s;
}

void wa_found_release(wa_found *f)
{
    for (size_t i = 0; i < f->n; i++) {
        free(f->at[i].path);
        free(f->at[i].source);
        free(f->at[i].folder);
        free(f->at[i].file);
    }
    free(f->at);
    *f = (wa_found){0};
}

size_t wa_found_count(const wa_found *f, wa_found_how how)
{
    size_t n = 0;
    for (size_t i = 0; i < f->n; i++)
        n += f->at[i].how == how;
    return n;
}

wa_status wa_found_open(int *fd, const wa_found_file *f, wa_error *err)
{
    if (f->how != WA_FOUND_NOT)
        return wa_open_beneath(fd, f->folder, f->file, err);
    return wa_fail_at(err, WA_ERR_MISSING, f->path, 0, 0,
                      "no file with its digest was found (sha256 %.12s...)", f->sha256);
}

const wa_found_file *wa_found_path(const wa_found *f, const char *path)
{
    for (size_t i = 0; i < f->n; i++)
        if (f->at[i].source != NULL && strcmp(f->at[i].path, path) == 0)
            return &f->at[i];
    return NULL;
}

const wa_found_file *wa_found_digest(const wa_found *f, const char *sha256)
{
    for (size_t i = 0; i < f->n; i++)
        if (strcmp(f->at[i].sha256, sha256) == 0)
            return &f->at[i];
    return NULL;
}
