#include "dossier/place.h"

#include "data/files.h"
#include "dossier/tree.h"

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

wa_status place_io(const place *p, const char *path, const char *what)
{
    return wa_fail_at(p->err, WA_ERR_IO, path, 0, 0, "%s: %s", what, strerror(errno));
}

/* A dossier holds what its manifest lists: another one, or anything else, inside would damage it. */
static bool inside_a_dossier(int parent)
{
    enum { DEEPEST = 64 };
    char up[3 * DEEPEST + 64] = "";
    for (size_t i = 0; i < DEEPEST; i++) {
        snprintf(up + 3 * i, 64, "tagmanifest-sha256.txt");
        bool bag = faccessat(parent, up, F_OK, 0) == 0;
        snprintf(up + 3 * i, 64, "data/result.json");
        if (bag && faccessat(parent, up, F_OK, 0) == 0)
            return true;
        snprintf(up + 3 * i, 64, "../");
    }
    return false;
}

wa_status place_open(place *p, const char *folder, wa_error *err)
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
        return wa_no_memory(err);
    if (p->name[0] == '\0' || strcmp(p->name, ".") == 0 || strcmp(p->name, "..") == 0 ||
        strlen(p->name) > 200)
        return wa_fail(err, WA_ERR_ARG, "'%.200s' cannot be the name of a dossier", folder);
    p->parent = open(p->parent_path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (p->parent < 0)
        return wa_fail_at(err, errno == ENOENT ? WA_ERR_MISSING : WA_ERR_IO, p->parent_path, 0, 0,
                          "cannot open the folder for the dossier: %s", strerror(errno));
    if (inside_a_dossier(p->parent))
        return wa_fail_at(err, WA_ERR_ARG, folder, 0, 0,
                          "it lies inside a dossier, which would be damaged");
    return WA_OK;
}

void place_close(place *p)
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

wa_status place_make_temporary(place *p)
{
    sweep(p);
    for (int i = 0; i < TRIES; i++) {
        wa_text t = WA_TEXT_INIT;
        wa_text_printf(&t, "%s/.%s.tmp.XXXXXX", p->parent_path, p->name);
        if (wa_text_failed(&t))
            return wa_no_memory(p->err);
        bool made = mkdtemp(t.at) != NULL;
        char *name = made ? strdup(strrchr(t.at, '/') + 1) : NULL;
        if (made && name == NULL)
            rmdir(t.at);
        wa_text_release(&t);
        if (!made)
            return place_io(p, p->parent_path, "cannot make a folder here");
        if (name == NULL)
            return wa_no_memory(p->err);
        int fd = openat(p->parent, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
        if (fd >= 0 && flock(fd, LOCK_EX | LOCK_NB) == 0 && still_there(p, fd, name)) {
            p->temporary = name;
            p->fd = fd;
            return fchmod(fd, FOLDER_MODE) == 0 ? WA_OK
                                                : place_io(p, p->folder, "cannot set its mode");
        }
        if (fd >= 0)
            close(fd);
        unlinkat(p->parent, name, AT_REMOVEDIR); /* where no neighbour did */
        free(name);
    }
    return wa_fail_at(p->err, WA_ERR_IO, p->parent_path, 0, 0,
                      "cannot make a folder here that stays");
}

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
            return place_io(p, path, "cannot make its folder");
    }
    return WA_OK;
}

static wa_status make_file(int *fd, const place *p, const char *path)
{
    wa_status s = make_folders(p, path);
    if (s != WA_OK)
        return s;
    *fd = openat(p->fd, path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, FILE_MODE);
    return *fd >= 0 ? WA_OK : place_io(p, path, "cannot make the file");
}

/* Closes a written file and makes it safe; `s` says how writing went. */
static wa_status end_file(const place *p, const char *path, int fd, wa_status s)
{
    if (s == WA_OK && fsync(fd) != 0)
        s = place_io(p, path, "cannot write the file");
    if (close(fd) != 0 && s == WA_OK)
        s = place_io(p, path, "cannot write the file");
    return s;
}

wa_status place_write(const place *p, const char *path, const void *bytes, size_t n)
{
    int fd;
    wa_status s = make_file(&fd, p, path);
    if (s != WA_OK)
        return s;
    return end_file(p, path, fd,
                    write_all(fd, bytes, n) ? WA_OK : place_io(p, path, "cannot write the file"));
}

/* ---- files that come piece by piece ------------------------------------------------------------ */

/* A file while it is written. */
typedef struct pouring {
    const place *p;
    const char *path;
    int fd;
    wa_sha256 h;
    uint64_t n;
} pouring;

static wa_status pour(void *to, const char *bytes, size_t n, wa_error *err)
{
    pouring *w = to;
    wa_status s = wa_sha256_add(&w->h, bytes, n, err);
    if (s == WA_OK && !write_all(w->fd, bytes, n))
        s = place_io(w->p, w->path, "cannot write the file");
    w->n += n;
    return s;
}

/* Begins one; ended by pour_end where this went well. */
static wa_status pour_begin(pouring *w, const place *p, const char *path)
{
    *w = (pouring){.p = p, .path = path};
    wa_status s = wa_sha256_init(&w->h, p->err);
    if (s == WA_OK && (s = make_file(&w->fd, p, path)) != WA_OK)
        wa_sha256_release(&w->h);
    return s;
}

/* Makes it safe; `s` says how it went so far. */
static wa_status pour_end(char digest[WA_SHA256_TEXT_SIZE], pouring *w, wa_status s)
{
    if (s == WA_OK)
        s = wa_sha256_end(digest, &w->h, w->p->err);
    else
        wa_sha256_release(&w->h);
    return end_file(w->p, w->path, w->fd, s);
}

static wa_status pour_file(pouring *w, int from, const char *name)
{
    char block[65536];
    for (;;) {
        ssize_t got = read(from, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return place_io(w->p, name, "cannot read");
        if (got == 0)
            return WA_OK;
        wa_status s = pour(w, block, (size_t)got, w->p->err);
        if (s != WA_OK)
            return s;
    }
}

wa_status place_copy(const place *p, const char *path, const dossier_file *f)
{
    int from;
    char digest[WA_SHA256_TEXT_SIZE];
    pouring w;
    wa_status s = wa_open_beneath(&from, f->folder, f->file, p->err);
    if (s != WA_OK)
        return s;
    s = pour_begin(&w, p, path);
    if (s == WA_OK)
        s = pour_end(digest, &w, pour_file(&w, from, f->file));
    close(from);
    if (s == WA_OK && (w.n != f->n || strcmp(digest, f->sha256) != 0))
        s = wa_fail_at(p->err, WA_ERR_DATA, f->file, 0, 0, "it has changed since it was read");
    return s;
}

wa_status place_list(const place *p, const char *path, dossier_file *f, size_t jobs)
{
    char digest[WA_SHA256_TEXT_SIZE];
    pouring w;
    wa_status s = pour_begin(&w, p, path);
    if (s == WA_OK)
        s = pour_end(digest, &w, wa_listing_make(f->listing, jobs, pour, &w, p->err));
    if (s != WA_OK)
        return s;
    memcpy(f->sha256, digest, sizeof digest);
    f->n = w.n;
    return WA_OK;
}

/* ---- what the disk has ---------------------------------------------------------------------- */

wa_status place_prove(const place *p, const char *path, const char *digest)
{
    char block[65536], found[WA_SHA256_TEXT_SIZE];
    wa_sha256 h = {0};
    int fd = openat(p->fd, path, O_RDONLY | O_NOFOLLOW | O_CLOEXEC);
    if (fd < 0)
        return place_io(p, path, "cannot read the file again");
    wa_status s = wa_sha256_init(&h, p->err);
    for (ssize_t got = 1; s == WA_OK && got != 0;) {
        got = read(fd, block, sizeof block);
        if (got < 0 && errno != EINTR)
            s = place_io(p, path, "cannot read the file again");
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

wa_status place_sync(const place *p, const char *path)
{
    int fd = openat(p->fd, path, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    bool ok = fd >= 0 && fsync(fd) == 0;
    wa_status s = ok ? WA_OK : place_io(p, path, "cannot make the folder safe");
    if (fd >= 0)
        close(fd);
    return s;
}
