#include "dossier/tree.h"

#include "windassay/text.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { DEPTH_MAX = 32 };

typedef struct listing {
    char **paths;
    size_t n, room;
    wa_text path; /* of the folder that is being walked, with '/' at its end */
    int depth;
    wa_error *err;
} listing;

static int open_folder(int parent, const char *name)
{
    return openat(parent, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
}

static bool dots(const char *name)
{
    return strcmp(name, ".") == 0 || strcmp(name, "..") == 0;
}

static wa_status keep(listing *l)
{
    if (l->n == l->room) {
        size_t room = l->room == 0 ? 64 : 2 * l->room;
        char **paths = realloc(l->paths, room * sizeof *paths);
        if (paths == NULL)
            return wa_no_memory(l->err);
        l->paths = paths;
        l->room = room;
    }
    char *path = wa_text_failed(&l->path) ? NULL : strdup(wa_text_string(&l->path));
    if (path == NULL)
        return wa_no_memory(l->err);
    l->paths[l->n] = path;
    l->n++;
    return WA_OK;
}

static wa_status refuse(const listing *l, const char *what)
{
    char shown[WA_ERROR_FILE_SIZE];
    return wa_fail_at(l->err, WA_ERR_DATA,
                      wa_shown(shown, sizeof shown, wa_text_string(&l->path), l->path.length), 0, 0,
                      "%s", what);
}

static wa_status list_folder(listing *l, int parent, const char *name);

static wa_status list_entry(listing *l, int folder, const char *name)
{
    struct stat st;
    size_t before = l->path.length;
    wa_text_add(&l->path, name);
    wa_status s;
    if (fstatat(folder, name, &st, AT_SYMLINK_NOFOLLOW) != 0) {
        s = refuse(l, "it vanished while the folder was read");
    } else if (S_ISREG(st.st_mode)) {
        s = keep(l);
    } else if (S_ISDIR(st.st_mode)) {
        wa_text_add(&l->path, "/");
        s = list_folder(l, folder, name);
    } else {
        s = refuse(l, S_ISLNK(st.st_mode) ? "a dossier holds no links"
                                          : "a dossier holds files and folders only");
    }
    if (!wa_text_failed(&l->path)) {
        l->path.length = before;
        l->path.at[before] = '\0';
    }
    return s;
}

static wa_status list_folder(listing *l, int parent, const char *name)
{
    if (l->depth >= DEPTH_MAX)
        return refuse(l, "its folders are nested too deeply");
    int fd = l->depth > 0
                 ? open_folder(parent, name) /* the first may be a link: the user named it */
                 : openat(parent, name, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    DIR *d = fd < 0 ? NULL : fdopendir(fd);
    if (d == NULL) {
        int code = errno;
        if (fd >= 0)
            close(fd);
        return wa_fail_at(l->err, code == ENOENT ? WA_ERR_MISSING : WA_ERR_IO, name, 0, 0,
                          "cannot open the folder: %s", strerror(code));
    }
    wa_status s = WA_OK;
    size_t entries = 0;
    l->depth++;
    for (struct dirent *e; s == WA_OK && (e = readdir(d)) != NULL;)
        if (!dots(e->d_name)) {
            entries++;
            s = list_entry(l, dirfd(d), e->d_name);
        }
    l->depth--;
    closedir(d);
    if (s == WA_OK && entries == 0)
        s = refuse(l, "it is an empty folder");
    return s;
}

static int by_bytes(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

wa_status tree_list(char ***paths, size_t *n, int parent, const char *name, wa_error *err)
{
    listing l = {.err = err, .path = WA_TEXT_INIT};
    wa_text_add(&l.path, "");
    wa_status s = list_folder(&l, parent, name);
    wa_text_release(&l.path);
    if (s != WA_OK) {
        tree_free(l.paths, l.n);
        return s;
    }
    qsort(l.paths, l.n, sizeof *l.paths, by_bytes);
    *paths = l.paths;
    *n = l.n;
    return WA_OK;
}

void tree_free(char **paths, size_t n)
{
    for (size_t i = 0; i < n; i++)
        free(paths[i]);
    free(paths);
}

static int remove_below(int parent, const char *name, int depth)
{
    if (unlinkat(parent, name, 0) == 0)
        return 0;
    if ((errno != EISDIR && errno != EPERM) || depth >= 2 * DEPTH_MAX)
        return -1;
    int fd = open_folder(parent, name);
    DIR *d = fd < 0 ? NULL : fdopendir(fd);
    if (d == NULL) {
        if (fd >= 0)
            close(fd);
        return -1;
    }
    for (struct dirent *e; (e = readdir(d)) != NULL;)
        if (!dots(e->d_name))
            remove_below(dirfd(d), e->d_name, depth + 1);
    closedir(d);
    return unlinkat(parent, name, AT_REMOVEDIR);
}

int tree_remove(int parent, const char *name)
{
    return remove_below(parent, name, 0);
}
