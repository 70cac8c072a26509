#include "data/files.h"

#include "windassay/text.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* One character of UTF-8. */
static const char *next_char(const char *s)
{
    s++;
    while ((*s & 0xc0) == 0x80)
        s++;
    return s;
}

/* The set at `p` (behind its '['): whether it has `c`, and where it ends; NULL: it does not. */
static const char *match_set(const char *p, unsigned char c, bool *found)
{
    bool negated = *p == '!';
    p += negated;
    bool in = false;
    const char *from = p;
    for (; *p != '\0' && (*p != ']' || p == from); p++) {
        unsigned char low = (unsigned char)*p, high = low;
        if (p[1] == '-' && p[2] != ']' && p[2] != '\0') {
            high = (unsigned char)p[2];
            p += 2;
        }
        in = in || (c >= low && c <= high);
    }
    *found = in != negated;
    return *p == ']' ? p + 1 : NULL;
}

bool wa_name_matches(const char *pattern, const char *name)
{
    if (name[0] == '.' && pattern[0] != '.')
        return false;
    const char *p = pattern, *s = name, *star = NULL, *again = NULL;
    while (*s != '\0') {
        bool found = false;
        const char *after = *p == '[' ? match_set(p + 1, (unsigned char)*s, &found) : NULL;
        if (*p == '*') {
            star = ++p;
            again = s;
        } else if (*p == '?' || (after != NULL && found)) {
            p = *p == '?' ? p + 1 : after;
            s = next_char(s);
        } else if (*p == *s && after == NULL) {
            p++;
            s++;
        } else if (star != NULL) { /* let the last star take one more */
            p = star;
            s = again = next_char(again);
        } else {
            return false;
        }
    }
    while (*p == '*')
        p++;
    return *p == '\0';
}

/* A file found; its identity shows one file under two names. */
typedef struct entry {
    char *path;
    dev_t device;
    ino_t inode;
} entry;

typedef struct finder {
    entry *at;
    size_t n, room;
    const char *pattern;
    wa_error *err;
} finder;

static wa_status no_memory(finder *f)
{
    return wa_fail(f->err, WA_ERR_NOMEM, "out of memory");
}

static wa_status keep(finder *f, const char *path, const struct stat *st)
{
    if (f->n == f->room) {
        size_t room = f->room == 0 ? 64 : 2 * f->room;
        entry *at = realloc(f->at, room * sizeof *at);
        if (at == NULL)
            return no_memory(f);
        f->at = at;
        f->room = room;
    }
    char *copy = strdup(path);
    if (copy == NULL)
        return no_memory(f);
    f->at[f->n++] = (entry){copy, st->st_dev, st->st_ino};
    return WA_OK;
}

static int by_path(const void *a, const void *b)
{
    return strcmp(((const entry *)a)->path, ((const entry *)b)->path);
}

static int by_bytes(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* The names in a folder, sorted. */
static wa_status list_folder(wa_paths *out, int folder, finder *f)
{
    wa_paths names = {NULL, 0};
    size_t room = 0;
    wa_status status = WA_OK;
    int copy = openat(folder, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    DIR *dir = copy < 0 ? NULL : fdopendir(copy);
    if (dir == NULL) {
        status = wa_fail(f->err, WA_ERR_IO, "'%s': cannot list the folder: %s", f->pattern,
                         strerror(errno));
        if (copy >= 0)
            close(copy);
        return status;
    }
    for (struct dirent *e; (e = readdir(dir)) != NULL;) {
        if (strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0)
            continue;
        if (names.n == room) {
            room = room == 0 ? 64 : 2 * room;
            char **at = realloc(names.at, room * sizeof *at);
            if (at == NULL) {
                status = no_memory(f);
                break;
            }
            names.at = at;
        }
        if ((names.at[names.n] = strdup(e->d_name)) == NULL) {
            status = no_memory(f);
            break;
        }
        names.n++;
    }
    closedir(dir);
    if (status == WA_OK && names.n > 0)
        qsort(names.at, names.n, sizeof *names.at, by_bytes);
    if (status == WA_OK)
        *out = names;
    else
        wa_paths_release(&names);
    return status;
}

static wa_status descend(finder *f, int folder, const char *so_far, const char *rest,
                         size_t *matches);

/* One entry that matches the component: a file to keep or a folder to enter. */
static wa_status visit(finder *f, int folder, const char *so_far, const char *name,
                       const char *rest, size_t *matches)
{
    wa_text path = WA_TEXT_INIT;
    wa_text_printf(&path, "%s%s", so_far, name);
    char shown[200];
    wa_shown(shown, sizeof shown, wa_text_string(&path), path.length);
    wa_status status = WA_OK;
    struct stat st;
    const char *plain = strncmp(wa_text_string(&path), "root:", 5) == 0 ? path.at + 5 : path.at;
    if (wa_text_failed(&path)) {
        status = no_memory(f);
    } else if (fstatat(folder, name, &st, AT_SYMLINK_NOFOLLOW) != 0) {
        status = WA_OK; /* a literal component that is not there */
    } else if ((S_ISDIR(st.st_mode) && *rest == '\0') || (S_ISREG(st.st_mode) && *rest != '\0')) {
        status = WA_OK; /* a folder where a file is meant, or the other way round */
    } else if (S_ISLNK(st.st_mode)) {
        wa_fail(f->err, WA_ERR_DATA, "'%s' is a link", shown);
        status = wa_hint(f->err, WA_ERR_DATA, "put the file itself there");
    } else if (S_ISREG(st.st_mode)) {
        status = wa_path_check(plain, f->err);
        if (status == WA_OK)
            status = keep(f, path.at, &st);
        (*matches)++;
    } else if (!S_ISDIR(st.st_mode)) {
        if (*rest == '\0')
            status = wa_fail(f->err, WA_ERR_DATA, "'%s' is not a regular file", shown);
    } else {
        int inner = openat(folder, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
        if (inner < 0) {
            status = wa_fail(f->err, WA_ERR_IO, "'%s': cannot open the folder: %s", shown,
                             strerror(errno));
        } else {
            wa_text_add_char(&path, '/');
            status =
                wa_text_failed(&path) ? no_memory(f) : descend(f, inner, path.at, rest, matches);
            close(inner);
        }
    }
    wa_text_release(&path);
    return status;
}

static wa_status descend(finder *f, int folder, const char *so_far, const char *rest,
                         size_t *matches)
{
    char component[256];
    size_t n = strcspn(rest, "/");
    if (n >= sizeof component)
        return wa_fail(f->err, WA_ERR_DATA, "'%.100s': a component is too long", f->pattern);
    memcpy(component, rest, n);
    component[n] = '\0';
    rest += n + (rest[n] == '/');
    if (strpbrk(component, "*?[") == NULL)
        return visit(f, folder, so_far, component, rest, matches);
    wa_paths names;
    wa_status status = list_folder(&names, folder, f);
    if (status != WA_OK)
        return status;
    for (size_t i = 0; i < names.n && status == WA_OK; i++)
        if (wa_name_matches(component, names.at[i]))
            status = visit(f, folder, so_far, names.at[i], rest, matches);
    wa_paths_release(&names);
    return status;
}

static void list_few(wa_text *t, const wa_paths *names)
{
    size_t shown = 0, all = 0;
    for (size_t i = 0; i < names->n; i++) {
        if (names->at[i][0] == '.')
            continue;
        if (++all > 3)
            continue;
        wa_text_add(t, shown++ == 0 ? "" : ", ");
        wa_text_add_shown(t, names->at[i], strlen(names->at[i]));
    }
    if (all > 3)
        wa_text_printf(t, " and %zu more", all - 3);
    if (all == 0)
        wa_text_add(t, "nothing");
}

/* Nothing matched: walks as far as literal components lead and tells what is there. */
static wa_status missing(finder *f, const char *base, const char *plain)
{
    wa_error *err = f->err;
    wa_fail(err, WA_ERR_MISSING, "no file matches '%s'", f->pattern);
    int folder = open(base, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    wa_text walked = WA_TEXT_INIT, hint = WA_TEXT_INIT;
    while (folder >= 0) {
        char component[256];
        size_t n = strcspn(plain, "/");
        if (n >= sizeof component)
            break;
        memcpy(component, plain, n);
        component[n] = '\0';
        bool literal = strpbrk(component, "*?[") == NULL;
        int inner = plain[n] == '/' && literal
                        ? openat(folder, component, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC)
                        : -1;
        if (inner < 0) {
            wa_paths names = {NULL, 0};
            finder quiet = *f;
            quiet.err = NULL;
            if (list_folder(&names, folder, &quiet) == WA_OK) {
                const char *near = wa_nearest(component, (const char *const *)names.at, names.n);
                if (near != NULL)
                    wa_text_printf(&hint, "'%s%s' is there", wa_text_string(&walked), near);
                else {
                    if (walked.length == 0)
                        wa_text_add(&hint, "the folder holds ");
                    else
                        wa_text_printf(&hint, "'%s' holds ", walked.at);
                    list_few(&hint, &names);
                }
            }
            wa_paths_release(&names);
            break;
        }
        wa_text_printf(&walked, "%s/", component);
        close(folder);
        folder = inner;
        plain += n + 1;
    }
    if (folder >= 0)
        close(folder);
    char shown[WA_ERROR_HINT_SIZE];
    wa_hint(err, WA_ERR_MISSING, "%s",
            wa_shown(shown, sizeof shown, wa_text_string(&hint), hint.length));
    wa_text_release(&walked);
    wa_text_release(&hint);
    return WA_ERR_MISSING;
}

static wa_status find_pattern(finder *f, const char *folder, const char *root, const char *pattern)
{
    bool in_root = strncmp(pattern, "root:", 5) == 0;
    const char *plain = in_root ? pattern + 5 : pattern;
    const char *base = in_root ? root : folder;
    f->pattern = pattern;
    wa_status status = wa_path_check(plain, f->err);
    if (status != WA_OK)
        return status;
    if (strstr(plain, "**") != NULL)
        return wa_fail(f->err, WA_ERR_DATA, "'%.200s': '**' is not known; name each folder",
                       pattern);
    if (base == NULL) {
        wa_fail(f->err, WA_ERR_MISSING, "'%.200s': there is no root", pattern);
        return wa_hint(f->err, WA_ERR_MISSING, "a file fleet.lua in a folder above marks the root");
    }
    int dir = open(base, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (dir < 0)
        return wa_fail_at(f->err, errno == ENOENT ? WA_ERR_MISSING : WA_ERR_IO, base, 0, 0,
                          "cannot open the folder: %s", strerror(errno));
    size_t matches = 0;
    status = descend(f, dir, in_root ? "root:" : "", plain, &matches);
    close(dir);
    if (status == WA_OK && matches == 0)
        status = missing(f, base, plain);
    return status;
}

static bool below_root(const char *path)
{
    return strncmp(path, "root:", 5) == 0;
}

/* The campaign's folder may lie below the root: one file, found under both names, is one. */
static bool known_below_folder(const finder *f, const entry *e)
{
    if (!below_root(e->path))
        return false;
    for (size_t i = 0; i < f->n; i++)
        if (!below_root(f->at[i].path) && f->at[i].inode == e->inode &&
            f->at[i].device == e->device)
            return true;
    return false;
}

/* Hands the paths over in order, each once. */
static wa_status hand_over(wa_paths *out, finder *f)
{
    if (f->n > 0)
        qsort(f->at, f->n, sizeof *f->at, by_path);
    wa_paths p = {calloc(f->n + 1, sizeof *p.at), 0};
    if (p.at == NULL)
        return no_memory(f);
    for (size_t i = 0; i < f->n; i++) {
        bool again = i > 0 && strcmp(f->at[i].path, f->at[i - 1].path) == 0;
        if (!again && !known_below_folder(f, &f->at[i]) &&
            (p.at[p.n] = strdup(f->at[i].path)) == NULL) {
            wa_paths_release(&p);
            return no_memory(f);
        }
        p.n += p.at[p.n] != NULL;
    }
    *out = p;
    return WA_OK;
}

wa_status wa_files_find(wa_paths *out, const char *folder, const char *root,
                        const char *const *patterns, size_t n, wa_error *err)
{
    finder f = {.err = err};
    wa_status status = WA_OK;
    for (size_t i = 0; i < n && status == WA_OK; i++)
        status = find_pattern(&f, folder, root, patterns[i]);
    if (status == WA_OK)
        status = hand_over(out, &f);
    for (size_t i = 0; i < f.n; i++)
        free(f.at[i].path);
    free(f.at);
    return status;
}

void wa_paths_release(wa_paths *p)
{
    if (p == NULL)
        return;
    for (size_t i = 0; i < p->n; i++)
        free(p->at[i]);
    free(p->at);
    *p = (wa_paths){NULL, 0};
}
