#include "data/files.h"

#include "windassay/text.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

wa_status wa_path_check(const char *path, wa_error *err)
{
    char shown[200];
    size_t length = strlen(path);
    const char *why = NULL;
    if (length == 0)
        why = "is empty";
    else if (length >= 4096)
        why = "is too long";
    else if (path[0] == '/')
        why = "is absolute";
    else if (!wa_is_clean(path, length))
        why = "has control characters or is not UTF-8";
    for (const char *at = path; why == NULL && *at != '\0';) {
        size_t n = strcspn(at, "/");
        if (n == 0)
            why = "has an empty component";
        else if ((n == 1 && at[0] == '.') || (n == 2 && at[0] == '.' && at[1] == '.'))
            why = "has a component '.' or '..'";
        at += n;
        if (*at == '/' && *++at == '\0')
            why = "ends with '/'";
    }
    if (why == NULL)
        return WA_OK;
    wa_fail(err, WA_ERR_DATA, "the path '%s' %s", wa_shown(shown, sizeof shown, path, length), why);
    return wa_hint(err, WA_ERR_DATA,
                   "paths are relative to the campaign's folder, or begin with root:");
}

/* Opens one component, a file or a folder, without following a link; ELOOP where it is one. */
static int open_component(int dir, const char *path, size_t n, bool file)
{
    char name[256];
    if (n >= sizeof name) {
        errno = ENAMETOOLONG;
        return -1;
    }
    memcpy(name, path, n);
    name[n] = '\0';
    int flags = O_NOFOLLOW | O_CLOEXEC;
    flags |= file ? O_RDONLY | O_NONBLOCK | O_NOCTTY : O_PATH | O_DIRECTORY;
    int fd = openat(dir, name, flags);
    int code = errno;
    struct stat st;
    if (fd < 0 && fstatat(dir, name, &st, AT_SYMLINK_NOFOLLOW) == 0 && S_ISLNK(st.st_mode))
        code = ELOOP;
    errno = code;
    return fd;
}

/* Component by component: without links and "..", no step can leave the folder. */
static int open_below(int folder, const char *path, bool file)
{
    int dir = folder;
    for (;;) {
        size_t n = strcspn(path, "/");
        bool last = path[n] == '\0';
        int found = open_component(dir, path, n, last && file);
        int code = errno;
        if (dir != folder)
            close(dir);
        errno = code;
        if (found < 0 || last)
            return found;
        dir = found;
        path += n + 1;
    }
}

static wa_status refuse(const char *path, const char *what, int code, wa_error *err)
{
    if (code == ENOENT || code == ENOTDIR)
        return wa_fail_at(err, WA_ERR_MISSING, path, 0, 0, "there is no such %s", what);
    if (code == ELOOP) {
        wa_fail_at(err, WA_ERR_DATA, path, 0, 0, "it is a link, or lies behind one");
        return wa_hint(err, WA_ERR_DATA, "put the %s itself there", what);
    }
    return wa_fail_at(err, WA_ERR_IO, path, 0, 0, "cannot open: %s", strerror(code));
}

/* A file or a folder beneath another. */
static wa_status find_beneath(int *fd, const char *folder, const char *path, bool file,
                              wa_error *err)
{
    wa_status s = wa_path_check(path, err);
    if (s != WA_OK)
        return s;
    int dir = open(folder, O_PATH | O_DIRECTORY | O_CLOEXEC);
    if (dir < 0)
        return wa_fail_at(err, errno == ENOENT ? WA_ERR_MISSING : WA_ERR_IO, folder, 0, 0,
                          "cannot open the folder: %s", strerror(errno));
    int found = open_below(dir, path, file);
    int code = errno;
    close(dir);
    if (found < 0)
        return refuse(path, file ? "file" : "folder", code, err);
    *fd = found;
    return WA_OK;
}

wa_status wa_open_beneath(int *fd, const char *folder, const char *path, wa_error *err)
{
    int file = -1;
    wa_status s = find_beneath(&file, folder, path, true, err);
    if (s != WA_OK)
        return s;
    struct stat st;
    if (fstat(file, &st) != 0 || !S_ISREG(st.st_mode)) {
        close(file);
        return wa_fail_at(err, WA_ERR_DATA, path, 0, 0, "it is not a regular file");
    }
    *fd = file;
    return WA_OK;
}

/* "root:DOSSIERS/x" lies below the root, the rest below the campaign's folder. */
static wa_status choose_folder(const char **below, const char **rest, const char *folder,
                               const char *root, const char *path, wa_error *err)
{
    bool in_root = strncmp(path, "root:", 5) == 0;
    if (in_root && root == NULL) {
        wa_fail(err, WA_ERR_MISSING, "'%.200s': there is no root", path);
        return wa_hint(err, WA_ERR_MISSING, "a file fleet.lua in a folder above marks the root");
    }
    *below = in_root ? root : folder;
    *rest = in_root ? path + 5 : path;
    return WA_OK;
}

wa_status wa_file_open(int *fd, const char *folder, const char *root, const char *path,
                       wa_error *err)
{
    const char *below = NULL, *rest = NULL;
    wa_status s = choose_folder(&below, &rest, folder, root, path, err);
    return s == WA_OK ? wa_open_beneath(fd, below, rest, err) : s;
}

wa_status wa_folder_find(char **out, const char *folder, const char *root, const char *path,
                         wa_error *err)
{
    const char *below = NULL, *rest = NULL;
    int fd = -1;
    wa_text t = WA_TEXT_INIT;
    wa_status s = choose_folder(&below, &rest, folder, root, path, err);
    if (s == WA_OK)
        s = find_beneath(&fd, below, rest, false, err);
    if (s != WA_OK)
        return s;
    close(fd);
    wa_text_printf(&t, "%s/%s", below, rest);
    if (wa_text_failed(&t)) {
        wa_text_release(&t);
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    *out = t.at;
    return WA_OK;
}
