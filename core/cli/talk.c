#include "cli/talk.h"

#include "windassay/json.h"
#include "windassay/text.h"

#include <errno.h>
#include <sched.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <time.h>
#include <unistd.h>

/* ---- errors and results --------------------------------------------------------------------- */

static wa_value *error_value(const wa_error *err)
{
    wa_value *all = wa_map(), *e = wa_map();
    bool good = wa_map_set(e, "kind", wa_string(wa_status_name(err->code)));
    if (err->file[0] != '\0')
        good = wa_map_set(e, "file", wa_string(err->file)) && good;
    if (err->line > 0)
        good = wa_map_set(e, "line", wa_number((double)err->line)) && good;
    if (err->column > 0)
        good = wa_map_set(e, "column", wa_number((double)err->column)) && good;
    good = wa_map_set(e, "text", wa_string(err->text)) && good;
    if (err->hint[0] != '\0')
        good = wa_map_set(e, "hint", wa_string(err->hint)) && good;
    if (!good) {
        wa_value_free(e);
        e = NULL;
    }
    if (!wa_map_set(all, "error", e)) {
        wa_value_free(all);
        return NULL;
    }
    return all;
}

/* One write, so that lines of several programs do not mix. */
static void print_error(const wa_error *err)
{
    wa_text t = WA_TEXT_INIT;
    wa_text_add(&t, "windassay: ");
    if (err->code == WA_ERR_INTERNAL)
        wa_text_add(&t, "our fault: ");
    if (err->file[0] != '\0') {
        wa_text_add_shown(&t, err->file, strlen(err->file));
        if (err->line > 0)
            wa_text_printf(&t, ":%zu", err->line);
        if (err->line > 0 && err->column > 0)
            wa_text_printf(&t, ":%zu", err->column);
        wa_text_add(&t, ": ");
    }
    wa_text_add_shown(&t, err->text, strlen(err->text));
    wa_text_add(&t, "\n");
    for (const char *at = err->hint; *at != '\0';) {
        size_t n = strcspn(at, "\n");
        wa_text_add(&t, "  ");
        wa_text_add_shown(&t, at, n);
        wa_text_add(&t, "\n");
        at += n + (at[n] == '\n');
    }
    fflush(stdout);
    fputs(wa_text_failed(&t) ? "windassay: out of memory\n" : wa_text_string(&t), stderr);
    wa_text_release(&t);
}

int wa_talk_error(const wa_error *err, bool json)
{
    wa_talk_progress_end();
    int code = wa_status_exit(err->code);
    if (json) {
        wa_value *v = error_value(err);
        if (v != NULL)
            code = wa_talk_value(v, code);
        wa_value_free(v);
    } else {
        print_error(err);
    }
    return code;
}

void wa_talk_place(wa_error *err, const char *argument)
{
    static const char OWN[] = "campaign/"; /* where modules.h puts the campaign's folder */
    const char *slash = strrchr(argument, '/');
    int folder = slash == NULL ? 0 : (int)(slash - argument) + 1;
    char path[WA_ERROR_FILE_SIZE * 2];
    snprintf(path, sizeof path, "%.*s%s", folder, argument, err->file);
    if (access(path, F_OK) != 0 && strncmp(err->file, OWN, strlen(OWN)) == 0)
        snprintf(path, sizeof path, "%.*s%s", folder, argument, err->file + strlen(OWN));
    else if (err->file[0] == '\0' || access(path, F_OK) != 0)
        return;
    if (strlen(path) < sizeof err->file)
        memcpy(err->file, path, strlen(path) + 1);
}

int wa_talk_result(const char *bytes, size_t n, int exit_code)
{
    bool good = n == 0 || fwrite(bytes, 1, n, stdout) == n;
    good = fflush(stdout) == 0 && good;
    if (!good) {
        fprintf(stderr, "windassay: cannot write the result: %s\n", strerror(errno));
        return wa_status_exit(WA_ERR_IO);
    }
    return exit_code;
}

int wa_talk_value(const wa_value *v, int exit_code)
{
    wa_text t = WA_TEXT_INIT;
    wa_error err;
    wa_status s = wa_json_write(&t, v, WA_JSON_READABLE, &err);
    if (s != WA_OK)
        print_error(&err);
    int code = s == WA_OK ? wa_talk_result(t.at, t.length, exit_code) : wa_status_exit(s);
    wa_text_release(&t);
    return code;
}

/* ---- progress ------------------------------------------------------------------------------- */

static struct timespec last_told;
static bool told;

static double seconds_since(const struct timespec *then)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - then->tv_sec) + (double)(now.tv_nsec - then->tv_nsec) / 1e9;
}

static void tell(void *ctx, uint64_t done, uint64_t all)
{
    (void)ctx;
    if (told && seconds_since(&last_told) < 0.1)
        return;
    clock_gettime(CLOCK_MONOTONIC, &last_told);
    told = true;
    double mega = 1e-6;
    fprintf(stderr, "\rreading %.0f of %.0f MB   ", (double)done * mega, (double)all * mega);
    fflush(stderr);
}

const wa_progress *wa_talk_progress(void)
{
    static const wa_progress progress = {tell, NULL};
    return isatty(STDERR_FILENO) ? &progress : NULL;
}

void wa_talk_progress_end(void)
{
    if (told)
        fprintf(stderr, "\r%40s\r", "");
    told = false;
}

/* ---- the terminal --------------------------------------------------------------------------- */

static int width(void)
{
    struct winsize size;
    if (isatty(STDOUT_FILENO) && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col >= 40)
        return size.ws_col;
    return 120; /* a file or a pipe */
}

/* Colour only on a terminal that is not dumb, and where NO_COLOR is not set. */
static bool colour(void)
{
    const char *none = getenv("NO_COLOR"), *terminal = getenv("TERM");
    return isatty(STDOUT_FILENO) && (none == NULL || none[0] == '\0') &&
           (terminal == NULL || strcmp(terminal, "dumb") != 0);
}

/* Whether the environment names UTF-8 as the encoding of text. */
static bool unicode(void)
{
    static const char *const NAMES[] = {"LC_ALL", "LC_CTYPE", "LANG"};
    for (size_t i = 0; i < 3; i++) {
        const char *value = getenv(NAMES[i]);
        if (value != NULL && value[0] != '\0')
            return strcasestr(value, "utf-8") != NULL || strcasestr(value, "utf8") != NULL;
    }
    return false;
}

int wa_talk_report(wa_printer *print, const wa_value *v, int exit_code)
{
    wa_text t = WA_TEXT_INIT;
    wa_error err;
    const wa_terminal how = {.width = width(), .colour = colour(), .unicode = unicode()};
    wa_status s = print(&t, v, &how, &err);
    int code = s == WA_OK ? wa_talk_result(t.at, t.length, exit_code) : wa_talk_error(&err, false);
    wa_text_release(&t);
    return code;
}

/* ---- where the program lies ----------------------------------------------------------------- */

enum { PATH_SIZE = 4096 };

static wa_status own_folder(char to[PATH_SIZE], wa_error *err)
{
    ssize_t n = readlink("/proc/self/exe", to, PATH_SIZE - 1);
    if (n <= 0)
        return wa_fail(err, WA_ERR_IO, "cannot find the program's own place: %s", strerror(errno));
    to[n] = '\0';
    char *slash = strrchr(to, '/');
    *slash = '\0';
    return WA_OK;
}

enum { JOBS_MOST = 256 };

/* Processors that this process may use. */
static size_t processors(void)
{
    cpu_set_t set;
    int n = sched_getaffinity(0, sizeof set, &set) == 0 ? CPU_COUNT(&set) : 1;
    return n > JOBS_MOST ? JOBS_MOST : (size_t)n;
}

static wa_status jobs_of(size_t *out, const char *text, wa_error *err)
{
    char *end;
    *out = processors();
    if (text == NULL)
        return WA_OK;
    unsigned long n = strtoul(text, &end, 10);
    if (*end != '\0' || end == text || n < 1 || n > JOBS_MOST || text[0] == '-')
        return wa_fail(err, WA_ERR_ARG, "'--jobs %s' is not a number from 1 to 256", text);
    *out = n;
    return WA_OK;
}

wa_status wa_talk_engine(wa_engine *out, const char *jobs, wa_error *err)
{
    static char cell[PATH_SIZE + 64], scripts[PATH_SIZE + 64];
    char folder[PATH_SIZE];
    size_t n_jobs;
    wa_status s = own_folder(folder, err);
    if (s == WA_OK)
        s = jobs_of(&n_jobs, jobs, err);
    if (s != WA_OK)
        return s;
    snprintf(cell, sizeof cell, "%s/windassay-cell", folder);
    if (access(cell, X_OK) == 0) { /* the build folder */
        snprintf(scripts, sizeof scripts, "%s", WA_SOURCE_SCRIPTS);
    } else {
        snprintf(cell, sizeof cell, "%s/../libexec/windassay/windassay-cell", folder);
        snprintf(scripts, sizeof scripts, "%s/../share/windassay/scripts", folder);
        if (access(cell, X_OK) != 0) {
            snprintf(cell, sizeof cell, "%s", WA_INSTALLED_CELL);
            snprintf(scripts, sizeof scripts, "%s", WA_INSTALLED_SCRIPTS);
        }
    }
    if (access(cell, X_OK) != 0)
        return wa_fail(err, WA_ERR_MISSING, "the program 'windassay-cell' is not beside this one");
    *out = (wa_engine){
        .cell = cell, .scripts = scripts, .jobs = n_jobs, .progress = wa_talk_progress()};
    return WA_OK;
}
