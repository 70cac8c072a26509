#include "script/modules.h"

#include "windassay/digest.h"
#include "windassay/lock.h"
#include "windassay/text.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef enum place { SCRIPTS, CAMPAIGN, ROOT, PLACES } place;

static const char *const place_name[PLACES] = {"scripts", "campaign", "root"};

typedef struct kept {
    wa_module *module;
} kept;

struct wa_modules {
    char *folder[PLACES];
    wa_module_texts *texts; /* instead of the folders */
    void *context;
    wa_lock *lock;
    kept *at; /* in order of path */
    size_t count, room;
};

wa_status wa_modules_new(wa_modules **out, const char *scripts, const char *campaign,
                         const char *root, wa_error *err)
{
    const char *const folder[PLACES] = {scripts, campaign, root};
    wa_modules *m = calloc(1, sizeof *m);
    if (m == NULL || (m->lock = wa_lock_new()) == NULL) {
        free(m);
        return wa_fail(err, WA_ERR_NOMEM, "no memory for the list of scripts");
    }
    for (int i = 0; i < PLACES; i++) {
        if (folder[i] == NULL)
            continue;
        m->folder[i] = strdup(folder[i]);
        if (m->folder[i] == NULL) {
            wa_modules_free(m);
            return wa_fail(err, WA_ERR_NOMEM, "no memory for the list of scripts");
        }
    }
    *out = m;
    return WA_OK;
}

wa_status wa_modules_of(wa_modules **out, wa_module_texts *texts, void *context, wa_error *err)
{
    wa_status status = wa_modules_new(out, NULL, NULL, NULL, err);
    if (status == WA_OK) {
        (*out)->texts = texts;
        (*out)->context = context;
    }
    return status;
}

static void free_module(wa_module *module)
{
    if (module == NULL)
        return;
    free(module->name);
    free(module->path);
    free(module->text);
    free(module);
}

void wa_modules_free(wa_modules *m)
{
    if (m == NULL)
        return;
    for (size_t i = 0; i < m->count; i++)
        free_module(m->at[i].module);
    for (int i = 0; i < PLACES; i++)
        free(m->folder[i]);
    free(m->at);
    wa_lock_free(m->lock);
    free(m);
}

size_t wa_modules_count(const wa_modules *m)
{
    return m->count;
}

const wa_module *wa_modules_at(const wa_modules *m, size_t i)
{
    return i < m->count ? m->at[i].module : NULL;
}

/* ---- opening beneath a folder ---------------------------------------------------------------- */

/* Opens `path` (parts joined by '/') beneath `folder`; no part may be a link. The folder itself
 * may: where it lies is the caller's choice. */
static int open_beneath(const char *folder, const char *path)
{
    int at = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    while (at >= 0) {
        char part[256];
        size_t n = strcspn(path, "/");
        bool last = path[n] == '\0';
        if (n == 0 || n >= sizeof part || path[0] == '.') {
            close(at);
            errno = ENOENT;
            return -1;
        }
        memcpy(part, path, n);
        part[n] = '\0';
        int flags = O_RDONLY | O_NOFOLLOW | O_CLOEXEC | O_NONBLOCK | (last ? 0 : O_DIRECTORY);
        int next = openat(at, part, flags);
        int saved = errno;
        close(at);
        errno = saved;
        if (last || next < 0)
            return next;
        at = next;
        path += n + 1;
    }
    return -1;
}

/* Whether these bytes may be a script. */
static wa_status check_text(const char *bytes, size_t n, const char *shown, wa_error *err)
{
    if (n > WA_MODULE_MOST)
        return wa_fail_at(err, WA_ERR_SCRIPT, shown, 0, 0,
                          "has more than %d bytes, which is the most for a script", WA_MODULE_MOST);
    if (n > 0 && (bytes[0] == '\033' || memchr(bytes, '\0', n) != NULL))
        return wa_fail_at(err, WA_ERR_SCRIPT, shown, 0, 0, "is not text (compiled Lua?)");
    if (n >= 3 && memcmp(bytes, "\xef\xbb\xbf", 3) == 0)
        return wa_fail_at(err, WA_ERR_SCRIPT, shown, 1, 1,
                          "begins with a byte order mark; save it as UTF-8 without one");
    if (!wa_utf8_valid(bytes, n))
        return wa_fail_at(err, WA_ERR_SCRIPT, shown, 0, 0, "is not UTF-8 text");
    return WA_OK;
}

/* Reads a whole file of at most WA_MODULE_MOST bytes, or the first byte beyond. */
static wa_status read_text(wa_text *text, int fd, const char *shown, wa_error *err)
{
    struct stat st;
    char block[4096];
    if (fstat(fd, &st) != 0)
        return wa_fail_at(err, WA_ERR_IO, shown, 0, 0, "%s", strerror(errno));
    if (!S_ISREG(st.st_mode))
        return wa_fail_at(err, WA_ERR_SCRIPT, shown, 0, 0, "is not a regular file");
    while (text->length <= WA_MODULE_MOST) {
        ssize_t got = read(fd, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return wa_fail_at(err, WA_ERR_IO, shown, 0, 0, "%s", strerror(errno));
        if (got == 0)
            break;
        wa_text_add_bytes(text, block, (size_t)got);
    }
    return WA_OK;
}

/* Loads PLACE/`relative` of a folder. */
static wa_status load_file(wa_text *text, const wa_modules *m, place where, const char *relative,
                           const char *shown, wa_error *err)
{
    int fd = m->folder[where] != NULL ? open_beneath(m->folder[where], relative) : -1;
    if (fd < 0 && (m->folder[where] == NULL || errno == ENOENT))
        return wa_fail_at(err, WA_ERR_MISSING, shown, 0, 0, "there is no such file");
    if (fd < 0 && (errno == ELOOP || errno == ENOTDIR))
        return wa_fail_at(err, WA_ERR_SCRIPT, shown, 0, 0,
                          "a link, or a file where a folder must be: scripts are not followed "
                          "out of their folder");
    if (fd < 0)
        return wa_fail_at(err, WA_ERR_IO, shown, 0, 0, "%s", strerror(errno));
    wa_status status = read_text(text, fd, shown, err);
    close(fd);
    return status;
}

/* ---- finding --------------------------------------------------------------------------------- */

static const wa_module *find(const wa_modules *m, const char *path, size_t *position)
{
    size_t i = 0;
    while (i < m->count && strcmp(m->at[i].module->path, path) < 0)
        i++;
    *position = i;
    return i < m->count && strcmp(m->at[i].module->path, path) == 0 ? m->at[i].module : NULL;
}

static wa_status keep(const wa_module **out, wa_modules *m, size_t position, const char *name,
                      const char *path, const wa_text *text, wa_error *err)
{
    wa_module *module = calloc(1, sizeof *module);
    if (m->count == m->room) {
        size_t room = m->room * 2 + 16;
        kept *at = realloc(m->at, room * sizeof *at);
        if (at != NULL) {
            m->at = at;
            m->room = room;
        }
    }
    if (module != NULL) {
        module->name = strdup(name);
        module->path = strdup(path);
        module->text = strdup(wa_text_string(text));
        module->length = text->length;
    }
    if (module == NULL || m->count == m->room || module->name == NULL || module->path == NULL ||
        module->text == NULL) {
        free_module(module);
        return wa_fail(err, WA_ERR_NOMEM, "no memory for a script");
    }
    wa_status status = wa_sha256_of(module->sha256, module->text, module->length, err);
    if (status != WA_OK) {
        free_module(module);
        return status;
    }
    memmove(m->at + position + 1, m->at + position, (m->count - position) * sizeof *m->at);
    m->at[position].module = module;
    m->count++;
    *out = module;
    return WA_OK;
}

/* Serves PLACE/`relative`; WA_ERR_MISSING when it is not there. The lock is held. */
static wa_status serve(const wa_module **out, wa_modules *m, place where, const char *name,
                       const char *relative, wa_error *err)
{
    wa_text path = WA_TEXT_INIT, text = WA_TEXT_INIT;
    size_t position;
    wa_text_printf(&path, "%s/%s", place_name[where], relative);
    if (wa_text_failed(&path))
        return wa_fail(err, WA_ERR_NOMEM, "no memory for a script");
    const wa_module *served = find(m, path.at, &position);
    wa_status status = WA_OK;
    if (served != NULL)
        *out = served;
    else if (m->texts != NULL)
        status = m->texts(&text, m->context, path.at, err);
    else
        status = load_file(&text, m, where, relative, path.at, err);
    if (served == NULL && status == WA_OK && wa_text_failed(&text))
        status = wa_fail(err, WA_ERR_NOMEM, "no memory for a script");
    if (served == NULL && status == WA_OK)
        status = check_text(wa_text_string(&text), text.length, path.at, err);
    if (served == NULL && status == WA_OK)
        status = keep(out, m, position, name, path.at, &text, err);
    wa_text_release(&text);
    wa_text_release(&path);
    return status;
}

/* Words of [A-Za-z0-9_] joined by single points. */
static bool is_name(const char *name)
{
    size_t length = strlen(name), word = 0;
    if (length == 0 || length > 200)
        return false;
    for (size_t i = 0; i <= length; i++) {
        char c = name[i];
        if (c == '.' || c == '\0') {
            if (word == 0)
                return false;
            word = 0;
        } else if (c == '_' || (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') ||
                   (c >= 'a' && c <= 'z')) {
            word++;
        } else {
            return false;
        }
    }
    return true;
}

/* Whether the campaign's folder holds another file by the name of one of the program's. It would
 * never be read, while whoever wrote it believes that it decides. */
static bool hidden(const wa_modules *m, const char *relative)
{
    if (m->folder[SCRIPTS] == NULL || m->folder[CAMPAIGN] == NULL)
        return false;
    struct stat ours, theirs;
    int a = open_beneath(m->folder[SCRIPTS], relative);
    int b = open_beneath(m->folder[CAMPAIGN], relative);
    bool there = a >= 0 && b >= 0 && fstat(a, &ours) == 0 && fstat(b, &theirs) == 0 &&
                 (ours.st_dev != theirs.st_dev || ours.st_ino != theirs.st_ino);
    if (a >= 0)
        close(a);
    if (b >= 0)
        close(b);
    return there;
}

/* Whether the place can hold anything. */
static bool there_is(const wa_modules *m, place where)
{
    return m->texts != NULL || m->folder[where] != NULL;
}

static bool begins(const char *name, const char *with)
{
    return strncmp(name, with, strlen(with)) == 0;
}

wa_status wa_modules_get(const wa_module **out, wa_modules *m, const char *name, wa_error *err)
{
    char relative[256], shown[256];
    if (!is_name(name)) {
        wa_fail(err, WA_ERR_SCRIPT, "'%s' cannot be the name of a script",
                wa_shown(shown, sizeof shown, name, strlen(name)));
        return wa_hint(err, WA_ERR_SCRIPT,
                       "letters, digits and underscores joined by points: practice.sectors");
    }
    size_t n = strlen(name);
    for (size_t i = 0; i < n; i++)
        relative[i] = name[i] == '.' ? '/' : name[i];
    memcpy(relative + n, ".lua", 5);

    bool ours = begins(name, "practice."),
         either = begins(name, "checks.") || begins(name, "criteria.");
    place first = ours || either ? SCRIPTS : begins(name, "shared.") ? ROOT : CAMPAIGN;
    if (first == SCRIPTS && hidden(m, relative)) {
        wa_fail(err, WA_ERR_SCRIPT, "'%s' is in the program's scripts and in the campaign's folder",
                name);
        return wa_hint(err, WA_ERR_SCRIPT, "give the campaign's %s another name", relative);
    }
    wa_lock_take(m->lock);
    wa_status status = serve(out, m, first, name, relative, err);
    if (status == WA_ERR_MISSING && either && there_is(m, CAMPAIGN))
        status = serve(out, m, CAMPAIGN, name, relative, err);
    wa_lock_leave(m->lock);
    if (status != WA_ERR_MISSING)
        return status;
    wa_fail(err, WA_ERR_MISSING, "there is no script '%s'", name);
    if (first == ROOT && !there_is(m, ROOT))
        return wa_hint(err, WA_ERR_MISSING,
                       "no folder above the campaign holds a fleet.lua, so "
                       "there is no shared/");
    return wa_hint(err, WA_ERR_MISSING, "looked for %s in %s%s", relative,
                   first == SCRIPTS ? "the program's scripts"
                   : first == ROOT  ? "the root"
                                    : "the campaign's folder",
                   either && there_is(m, CAMPAIGN) ? " and the campaign's folder" : "");
}

wa_status wa_modules_file(const wa_module **out, wa_modules *m, const char *file, wa_error *err)
{
    if (!there_is(m, CAMPAIGN))
        return wa_fail(err, WA_ERR_ARG, "no campaign's folder is known");
    wa_lock_take(m->lock);
    wa_status status = serve(out, m, CAMPAIGN, file, file, err);
    wa_lock_leave(m->lock);
    return status;
}
