/* A folder that is whole or absent: written beside its place, made safe, renamed. */
#include "windassay/dossier.h"

#include "dossier/dossier_files.h"
#include "dossier/tree.h"
#include "windassay/json.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

enum { TRIES = 100, FOLDER_MODE = 0755, FILE_MODE = 0644, PATH_SIZE = 4200 };

/* The place of a dossier, and the folder beside it that is being filled. */
typedef struct place {
    const char *folder; /* as the caller named it, for messages */
    char *parent_path;
    char *name;      /* the last component */
    char *temporary; /* ".NAME.tmp.XXXXXX" inside the parent; NULL: none */
    int parent, fd;  /* of the parent, of the temporary folder (with its lock); -1: none */
    wa_error *err;
} place;

static wa_status io(const place *p, const char *path, const char *what)
{
    return wa_fail_at(p->err, WA_ERR_IO, path, 0, 0, "%s: %s", what, strerror(errno));
}

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

/* ---- the place ------------------------------------------------------------------------ */

static wa_status open_place(place *p, const char *folder, wa_error *err)
{
    *p = (place){.folder = folder, .parent = -1, .fd = -1, .err = err};
    size_t n = strlen(folder);
    while (n > 1 && folder[n - 1] == '/')
        n--;
    size_t slash = n;
    while (slash > 0 && folder[slash - 1] != '/')
        slash--;
    p->name = strndup(folder + slash, n - slash);
    p->parent_path = slash == 0 ? strdup(".") : strndup(folder, slash);
    if (p->name == NULL || p->parent_path == NULL)
        return no_memory(err);
    if (p->name[0] == '\0' || strcmp(p->name, ".") == 0 || strcmp(p->name, "..") == 0 ||
        strlen(p->name) > 200)
        return wa_fail(err, WA_ERR_ARG, "'%.200s' cannot be the name of a dossier", folder);
    p->parent = open(p->parent_path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (p->parent < 0)
        return wa_fail_at(err, errno == ENOENT ? WA_ERR_MISSING : WA_ERR_IO, p->parent_path, 0, 0,
                          "cannot open the folder for the dossier: %s", strerror(errno));
    return WA_OK;
}

static void close_place(place *p)
{
    if (p->fd >= 0)
        close(p->fd);
    if (p->temporary != NULL && p->parent >= 0)
        tree_remove(p->parent, p->temporary);
    if (p->parent >= 0)
        close(p->parent);
    free(p->temporary);
    free(p->parent_path);
    free(p->name);
}

/* Removes what killed runs left: whoever still writes holds the lock. */
static void sweep(const place *p)
{
    char prefix[256];
    int n = snprintf(prefix, sizeof prefix, ".%s.tmp.", p->name);
    int copy = openat(p->parent, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    DIR *d = copy < 0 ? NULL : fdopendir(copy);
    if (d == NULL) {
        if (copy >= 0)
            close(copy);
        return; /* nothing depends on the sweeping */
    }
    for (struct dirent *e; (e = readdir(d)) != NULL;) {
        if (strncmp(e->d_name, prefix, (size_t)n) != 0 || strlen(e->d_name) != (size_t)n + 6)
            continue;
        int fd = openat(p->parent, e->d_name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
        if (fd >= 0 && flock(fd, LOCK_EX | LOCK_NB) == 0)
            tree_remove(p->parent, e->d_name);
        if (fd >= 0)
            close(fd);
    }
    closedir(d);
}

/* True where the locked folder is still the one of that name: between its making and its lock, a
 * sweeping neighbour may have taken it for a left-over. */
static bool still_there(const place *p, int fd, const char *name)
{
    struct stat a, b;
    return fstat(fd, &a) == 0 && fstatat(p->parent, name, &b, AT_SYMLINK_NOFOLLOW) == 0 &&
           a.st_dev == b.st_dev && a.st_ino == b.st_ino;
}

static wa_status make_temporary(place *p)
{
    for (int i = 0; i < TRIES; i++) {
        wa_text t = WA_TEXT_INIT;
        wa_text_printf(&t, "%s/.%s.tmp.XXXXXX", p->parent_path, p->name);
        if (wa_text_failed(&t))
            return no_memory(p->err);
        bool made = mkdtemp(t.at) != NULL;
        char *name = made ? strdup(strrchr(t.at, '/') + 1) : NULL;
        wa_text_release(&t);
        if (!made)
            return io(p, p->parent_path, "cannot make a folder here");
        if (name == NULL)
            return no_memory(p->err);
        int fd = openat(p->parent, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
        if (fd >= 0 && flock(fd, LOCK_EX | LOCK_NB) == 0 && still_there(p, fd, name)) {
            p->temporary = name;
            p->fd = fd;
            return fchmod(fd, FOLDER_MODE) == 0 ? WA_OK : io(p, p->folder, "cannot set its mode");
        }
        if (fd >= 0)
            close(fd);
        free(name);
    }
    return wa_fail_at(p->err, WA_ERR_IO, p->parent_path, 0, 0,
                      "cannot make a folder here that stays");
}

/* ---- files ---------------------------------------------------------------------------- */

static bool write_all(int fd, const void *bytes, size_t n)
{
    const char *at = bytes;
    while (n > 0) {
        ssize_t done = write(fd, at, n);
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            return false;
        at += done;
        n -= (size_t)done;
    }
    return true;
}

/* Makes the folders of `path` (relative to the temporary folder) that are not there yet. */
static wa_status make_folders(const place *p, const char *path)
{
    char part[PATH_SIZE];
    for (const char *slash = strchr(path, '/'); slash != NULL; slash = strchr(slash + 1, '/')) {
        int n = snprintf(part, sizeof part, "%.*s", (int)(slash - path), path);
        if (n < 0 || n >= PATH_SIZE)
            return wa_fail_at(p->err, WA_ERR_ARG, path, 0, 0, "the path is too long");
        if (mkdirat(p->fd, part, FOLDER_MODE) != 0 && errno != EEXIST)
            return io(p, path, "cannot make its folder");
    }
    return WA_OK;
}

static wa_status write_file(const place *p, const char *path, const void *bytes, size_t n)
{
    wa_status s = make_folders(p, path);
    if (s != WA_OK)
        return s;
    int fd = openat(p->fd, path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, FILE_MODE);
    if (fd < 0)
        return io(p, path, "cannot make the file");
    if (!write_all(fd, bytes, n) || fsync(fd) != 0)
        s = io(p, path, "cannot write the file");
    if (close(fd) != 0 && s == WA_OK)
        s = io(p, path, "cannot write the file");
    return s;
}

/* Reads a written file again: what the disk gives must be what was meant. */
static wa_status prove_file(const place *p, const char *path, const char *digest)
{
    char block[65536], found[WA_SHA256_TEXT_SIZE];
    wa_sha256 h = {0};
    int fd = openat(p->fd, path, O_RDONLY | O_NOFOLLOW | O_CLOEXEC);
    if (fd < 0)
        return io(p, path, "cannot read the file again");
    wa_status s = wa_sha256_init(&h, p->err);
    for (ssize_t got = 1; s == WA_OK && got != 0;) {
        got = read(fd, block, sizeof block);
        if (got < 0 && errno != EINTR)
            s = io(p, path, "cannot read the file again");
        if (got > 0)
            s = wa_sha256_add(&h, block, (size_t)got, p->err);
    }
    if (s == WA_OK)
        s = wa_sha256_end(found, &h, p->err);
    else
        wa_sha256_release(&h);
    close(fd);
    if (s == WA_OK && strcmp(found, digest) != 0)
        s = wa_fail_at(p->err, WA_ERR_IO, path, 0, 0,
                       "the disk gives other bytes than were written");
    return s;
}

static wa_status sync_folder(const place *p, const char *path)
{
    int fd = openat(p->fd, path, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    bool ok = fd >= 0 && fsync(fd) == 0;
    wa_status s = ok ? WA_OK : io(p, path, "cannot make the folder safe");
    if (fd >= 0)
        close(fd);
    return s;
}

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
            s = sync_folder(p, part);
        }
        snprintf(last, sizeof last, "data/%s", d->files[i].path);
        *strrchr(last, '/') = '\0';
    }
    return s == WA_OK ? sync_folder(p, ".") : s;
}

static wa_status fill(const place *p, const wa_dossier *d)
{
    wa_text tags[TAG_FILES];
    char path[PATH_SIZE], digest[WA_SHA256_TEXT_SIZE];
    wa_status s = dossier_tags(tags, d, p->err);
    if (s != WA_OK)
        return s;
    for (size_t i = 0; s == WA_OK && i < d->n_files; i++) {
        snprintf(path, sizeof path, "data/%s", d->files[i].path);
        s = write_file(p, path, d->files[i].bytes, d->files[i].n);
    }
    for (size_t i = 0; s == WA_OK && i < TAG_FILES; i++)
        s = write_file(p, tag_names[i], wa_text_string(&tags[i]), tags[i].length);
    if (s == WA_OK)
        s = sync_folders(p, d);
    for (size_t i = 0; s == WA_OK && i < d->n_files; i++) {
        snprintf(path, sizeof path, "data/%s", d->files[i].path);
        s = prove_file(p, path, d->files[i].sha256);
    }
    for (size_t i = 0; s == WA_OK && i < TAG_FILES; i++) {
        s = wa_sha256_of(digest, wa_text_string(&tags[i]), tags[i].length, p->err);
        if (s == WA_OK)
            s = prove_file(p, tag_names[i], digest);
    }
    for (size_t i = 0; i < TAG_FILES; i++)
        wa_text_release(&tags[i]);
    return s;
}

/* ---- what is there already --------------------------------------------------------------- */

/* Every file but run.json has the digest that ours has, and there is no other. */
static bool equal(const wa_dossier *d, const wa_bag *there)
{
    size_t ours = 0, theirs = 0;
    for (size_t i = 0; i < d->n_files; i++)
        ours += strcmp(d->files[i].path, WA_DOSSIER_RUN) != 0;
    for (size_t i = 0; i < wa_bag_count(there); i++) {
        const char *path = wa_bag_path(there, i);
        if (strcmp(path, WA_DOSSIER_RUN) == 0)
            continue;
        theirs++;
        const dossier_file *f = dossier_find(d, path);
        if (f == NULL || strcmp(f->sha256, wa_bag_sha256(there, i)) != 0)
            return false;
    }
    return ours == theirs;
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
    if (s != WA_OK)
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
    if (fstatat(p->parent, p->name, &st, AT_SYMLINK_NOFOLLOW) != 0) {
        if (errno != ENOENT)
            return io(p, p->folder, "cannot look at it");
        *out = ABSENT;
        return WA_OK;
    }
    if (!S_ISDIR(st.st_mode) || wa_bag_open(&there, p->folder, &e) != WA_OK)
        return wa_fail_at(p->err, WA_ERR_ARG, p->folder, 0, 0,
                          "what is there is no whole dossier, and stays%s%s", e.text[0] ? ": " : "",
                          e.text);
    wa_status s = WA_OK;
    if (equal(d, there))
        *out = SAME;
    else if (!replace)
        s = wa_hint(
            p->err,
            wa_fail_at(p->err, WA_ERR_ARG, p->folder, 0, 0, "another dossier is there, and stays"),
            "--replace puts the new one in its place");
    else if ((s = may_replace(p, there)) == WA_OK)
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
        return fsync(p->parent) == 0 ? WA_OK : io(p, p->parent_path, "cannot make the folder safe");
    }
    if (errno != EEXIST)
        return io(p, p->folder, "cannot put the dossier in its place");
    wa_status s = look(&now, p, d, false); /* someone else was here meanwhile */
    if (s == WA_OK && now == SAME)
        *how = WA_EQUAL;
    else if (s == WA_OK)
        s = wa_fail_at(p->err, WA_ERR_IO, p->folder, 0, 0, "it comes and goes while we write");
    return s;
}

wa_status wa_dossier_write(const wa_dossier *d, const char *folder, bool replace, wa_written *how,
                           wa_error *err)
{
    place p;
    standing before = ABSENT;
    wa_status s = open_place(&p, folder, err);
    if (s == WA_OK)
        s = look(&before, &p, d, replace);
    if (s == WA_OK && before == SAME) {
        *how = WA_EQUAL;
        goto out;
    }
    if (s == WA_OK) {
        sweep(&p);
        s = make_temporary(&p);
    }
    if (s == WA_OK)
        s = fill(&p, d);
    if (s == WA_OK)
        s = move(&p, d, before, how);
out:
    close_place(&p);
    return s;
}
