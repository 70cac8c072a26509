#include "script/cell.h"

#include "script/frames.h"
#include "windassay/text.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { ASKS_MOST = 1000, FD_RECORDS = 3, FD_HIGH = 10 };

wa_limits wa_limits_default(const char *cell)
{
    return (wa_limits){cell, 1000 * 1000 * 1000, (uint64_t)512 << 20, 120};
}

/* What happened to a child, beside its frames. */
typedef enum outcome { GOING, ENDED, LATE, BABBLES, ASKS } outcome;

typedef struct child {
    pid_t pid;
    int fd;
    int64_t deadline_ms;
    outcome outcome;
} child;

static int64_t now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

/* ---- starting and ending ----------------------------------------------------------------------- */

static wa_status spawn(child *c, int socket, int records_fd, const wa_limits *limits, wa_error *err)
{
    char instructions[24], memory[24], wall[24];
    snprintf(instructions, sizeof instructions, "%" PRIu64, limits->instructions);
    snprintf(memory, sizeof memory, "%" PRIu64, limits->memory);
    snprintf(wall, sizeof wall, "%u", limits->wall_s);
    char program[] = "windassay-cell";
    char *const argv[] = {program, instructions, memory, wall, NULL};
    char *const nothing[] = {NULL};
    sigset_t none, all;
    posix_spawnattr_t attr;
    posix_spawn_file_actions_t files;
    int failed = posix_spawnattr_init(&attr);
    if (failed == 0 && (failed = posix_spawn_file_actions_init(&files)) != 0)
        posix_spawnattr_destroy(&attr);
    if (failed != 0)
        return wa_fail(err, WA_ERR_NOMEM, "cannot prepare a cell: %s", strerror(failed));
    sigemptyset(&none);
    sigfillset(&all);
    failed |= posix_spawnattr_setsigmask(&attr, &none);
    failed |= posix_spawnattr_setsigdefault(&attr, &all);
    failed |= posix_spawnattr_setflags(&attr, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF);
    failed |= posix_spawn_file_actions_adddup2(&files, socket, 0);
    failed |= posix_spawn_file_actions_addopen(&files, 1, "/dev/null", O_WRONLY, 0);
    if (records_fd >= 0)
        failed |= posix_spawn_file_actions_adddup2(&files, records_fd, FD_RECORDS);
    failed |= posix_spawn_file_actions_addclosefrom_np(&files, FD_RECORDS + (records_fd >= 0));
    if (failed == 0)
        failed = posix_spawn(&c->pid, limits->cell, &files, &attr, argv, nothing);
    posix_spawn_file_actions_destroy(&files);
    posix_spawnattr_destroy(&attr);
    if (failed != 0) {
        wa_fail(err, WA_ERR_INTERNAL, "cannot start '%s': %s", limits->cell, strerror(failed));
        return wa_hint(err, WA_ERR_INTERNAL, "is windassay installed with its windassay-cell?");
    }
    return WA_OK;
}

/* Starts the child; c->fd is our end of the socket. */
static wa_status start(child *c, int records_fd, const wa_limits *limits, wa_error *err)
{
    int pair[2] = {-1, -1}, socket = -1, records = -1;
    wa_status status = WA_OK;
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, pair) != 0)
        return wa_fail(err, WA_ERR_IO, "cannot make a socket: %s", strerror(errno));
    /* Above the numbers that the child's descriptors get, so that no dup2 hits another. */
    socket = fcntl(pair[1], F_DUPFD_CLOEXEC, FD_HIGH);
    if (records_fd >= 0)
        records = fcntl(records_fd, F_DUPFD_CLOEXEC, FD_HIGH);
    close(pair[1]);
    if (socket < 0 || (records_fd >= 0 && records < 0))
        status = wa_fail(err, WA_ERR_IO, "cannot copy a descriptor: %s", strerror(errno));
    else
        status = spawn(c, socket, records, limits, err);
    if (socket >= 0)
        close(socket);
    if (records >= 0)
        close(records);
    if (status != WA_OK) {
        close(pair[0]);
        return status;
    }
    c->fd = pair[0];
    c->deadline_ms = now_ms() + (int64_t)limits->wall_s * 1000;
    return WA_OK;
}

/* Ends the child if it is still there, and gives its wait status. */
static int finish(child *c)
{
    int how = 0;
    kill(c->pid, SIGKILL); /* a child that has ended keeps its own status */
    while (waitpid(c->pid, &how, 0) < 0 && errno == EINTR)
        ;
    close(c->fd);
    return how;
}

/* ---- frames -------------------------------------------------------------------------------- */

/* Waits until the socket is ready. */
static bool wait_for(child *c, short events)
{
    for (;;) {
        int64_t left = c->deadline_ms - now_ms();
        struct pollfd p = {c->fd, events, 0};
        if (left <= 0) {
            c->outcome = LATE;
            return false;
        }
        int n = poll(&p, 1, left > 1000 ? 1000 : (int)left);
        if (n > 0)
            return true;
        if (n < 0 && errno != EINTR) {
            c->outcome = ENDED;
            return false;
        }
    }
}

static bool send_all(child *c, const char *at, size_t n)
{
    while (n > 0) {
        if (!wait_for(c, POLLOUT))
            return false;
        ssize_t put = send(c->fd, at, n, MSG_NOSIGNAL | MSG_DONTWAIT);
        if (put < 0 && (errno == EAGAIN || errno == EINTR))
            continue;
        if (put <= 0) {
            c->outcome = ENDED;
            return false;
        }
        at += put;
        n -= (size_t)put;
    }
    return true;
}

static bool receive_all(child *c, wa_text *to, size_t n)
{
    char piece[65536];
    while (n > 0) {
        if (!wait_for(c, POLLIN))
            return false;
        ssize_t got = recv(c->fd, piece, n < sizeof piece ? n : sizeof piece, MSG_DONTWAIT);
        if (got < 0 && (errno == EAGAIN || errno == EINTR))
            continue;
        if (got <= 0) {
            c->outcome = ENDED;
            return false;
        }
        wa_text_add_bytes(to, piece, (size_t)got); /* grows by what came, not by what was said */
        n -= (size_t)got;
    }
    return true;
}

/* WA_OK with *out NULL: the child ended, is late or babbles; c->outcome says which. */
static wa_status receive(wa_value **out, child *c, wa_error *err)
{
    wa_text bytes = WA_TEXT_INIT;
    size_t n;
    wa_status status = WA_OK;
    wa_error why;
    *out = NULL;
    if (!receive_all(c, &bytes, WA_FRAME_HEAD))
        goto out;
    if (wa_text_failed(&bytes)) {
        status = wa_fail(err, WA_ERR_NOMEM, "no memory for a cell's answer");
        goto out;
    }
    if (wa_frame_length(&n, (const unsigned char *)bytes.at, NULL) != WA_OK) {
        c->outcome = BABBLES;
        goto out;
    }
    wa_text_clear(&bytes);
    if (!receive_all(c, &bytes, n))
        goto out;
    if (wa_text_failed(&bytes))
        status = wa_fail(err, WA_ERR_NOMEM, "no memory for a cell's answer");
    else if (wa_value_decode(out, bytes.at, n, &why) == WA_ERR_NOMEM)
        status = wa_fail(err, WA_ERR_NOMEM, "no memory for a cell's answer");
    else if (*out == NULL)
        c->outcome = BABBLES;
out:
    wa_text_release(&bytes);
    return status;
}

static wa_status send_value(child *c, const wa_value *v, wa_error *err)
{
    wa_text frame = WA_TEXT_INIT;
    wa_status status = WA_OK;
    if (!wa_frame_encode(v, &frame))
        status = frame.failed
                     ? wa_fail(err, WA_ERR_NOMEM, "no memory for a job")
                     : wa_fail(err, WA_ERR_DATA, "a job of more than %d bytes", WA_FRAME_MOST);
    else
        send_all(c, frame.at, frame.length);
    wa_text_release(&frame);
    return status;
}

/* ---- one job ----------------------------------------------------------------------------------- */

/* Answers { ask = NAME }. */
static wa_status answer(child *c, const char *name, wa_modules *modules, wa_error *err)
{
    wa_error why = {0};
    const wa_module *module;
    wa_value *v = wa_map();
    wa_status status = wa_modules_get(&module, modules, name, &why);
    if (status != WA_OK && status != WA_ERR_SCRIPT && status != WA_ERR_MISSING) {
        wa_value_free(v);
        if (err != NULL)
            *err = why;
        return status;
    }
    if (status == WA_OK) {
        wa_map_set(v, "path", wa_string(module->path));
        wa_map_set(v, "text", wa_bytes(module->text, module->length));
    } else {
        char text[WA_ERROR_FILE_SIZE + WA_ERROR_TEXT_SIZE + 4];
        snprintf(text, sizeof text, "%s%s%s", why.file, *why.file != '\0' ? ": " : "", why.text);
        wa_map_set(v, "error", wa_string(text));
        wa_map_set(v, "hint", wa_string(why.hint));
    }
    status = wa_count(v) == 2 ? send_value(c, v, err)
                              : wa_fail(err, WA_ERR_NOMEM, "no memory for a script");
    wa_value_free(v);
    return status;
}

/* Serves the child until it replies or c->outcome is set. */
static wa_status serve(wa_value **reply, child *c, const wa_value *job, wa_modules *modules,
                       wa_error *err)
{
    wa_status status = send_value(c, job, err);
    *reply = NULL;
    for (int asks = 0; status == WA_OK && *reply == NULL && c->outcome == GOING;) {
        wa_value *message;
        status = receive(&message, c, err);
        if (status != WA_OK || message == NULL)
            break;
        const char *name = wa_get_string(message, "ask");
        if (name != NULL && ++asks > ASKS_MOST) {
            c->outcome = ASKS;
        } else if (name != NULL) {
            status = answer(c, name, modules, err);
        } else if (wa_value_kind(wa_get(message, "reply")) == WA_MAP) {
            *reply = wa_map_take(message, "reply");
        } else {
            c->outcome = BABBLES;
        }
        wa_value_free(message);
    }
    return status;
}

/* The reply in place of one that did not come. */
static wa_value *failure(const child *c, int how, const wa_limits *limits)
{
    char message[200];
    const char *kind = "crash", *hint = NULL;
    if (c->outcome == LATE) {
        kind = "limit";
        snprintf(message, sizeof message, "the script ran for more than its %u s", limits->wall_s);
        hint = "a pattern with many wildcards on a long text can take for ever";
    } else if (c->outcome == ASKS) {
        kind = "limit";
        snprintf(message, sizeof message, "the script required files more than %d times",
                 ASKS_MOST);
    } else if (c->outcome == BABBLES) {
        snprintf(message, sizeof message, "the cell answered with what is no answer");
    } else if (WIFSIGNALED(how) && WTERMSIG(how) == SIGSYS) {
        snprintf(message, sizeof message,
                 "the cell asked the system for what a sealed cell may not, and was ended");
    } else if (WIFSIGNALED(how) && WTERMSIG(how) == SIGXCPU) {
        kind = "limit";
        snprintf(message, sizeof message, "the script ran for more than its %u s", limits->wall_s);
    } else if (WIFSIGNALED(how)) {
        snprintf(message, sizeof message, "the cell broke down (signal %d, %s)", WTERMSIG(how),
                 sigdescr_np(WTERMSIG(how)));
        hint = WTERMSIG(how) == SIGSEGV ? "is an expression or a table nested thousands of levels "
                                          "deep?"
                                        : NULL;
    } else if (WIFEXITED(how) && WEXITSTATUS(how) == WA_FRAMES_MEMORY) {
        kind = "limit";
        snprintf(message, sizeof message,
                 "what the script reports needs more memory than there is");
    } else {
        snprintf(message, sizeof message, "the cell ended without an answer (code %d)",
                 WIFEXITED(how) ? WEXITSTATUS(how) : -1);
    }
    wa_value *error = wa_map(), *reply = wa_map();
    bool ok = wa_map_set(error, "kind", wa_string(kind)) &&
              wa_map_set(error, "message", wa_string(message)) &&
              (hint == NULL || wa_map_set(error, "hint", wa_string(hint)));
    if (!wa_map_set(reply, "error", error) || !ok) {
        wa_value_free(reply);
        return NULL;
    }
    return reply;
}

/* A job that names a file of the campaign's folder gets its text. */
static wa_status with_text(wa_value **out, const wa_value *job, wa_modules *modules, wa_error *err)
{
    const char *file = wa_get_string(job, "file");
    *out = NULL;
    if (file == NULL || wa_get(job, "text") != NULL)
        return WA_OK;
    const wa_module *module;
    wa_status status = wa_modules_file(&module, modules, file, err);
    if (status != WA_OK)
        return status;
    wa_value *copy = wa_value_copy(job);
    if (copy == NULL || !wa_map_set(copy, "file", wa_string(module->path)) ||
        !wa_map_set(copy, "text", wa_bytes(module->text, module->length))) {
        wa_value_free(copy);
        return wa_fail(err, WA_ERR_NOMEM, "no memory for a job");
    }
    *out = copy;
    return WA_OK;
}

wa_status wa_cell_run(wa_value **reply, const wa_value *job, int records_fd, wa_modules *modules,
                      const wa_limits *limits, wa_error *err)
{
    assert(reply != NULL && job != NULL && modules != NULL && limits != NULL);
    wa_value *completed = NULL, *got = NULL;
    child c = {-1, -1, 0, GOING};
    wa_status status = start(&c, records_fd, limits, err);
    if (status == WA_OK) {
        status = with_text(&completed, job, modules, err); /* while the child gets ready */
        if (status == WA_OK)
            status = serve(&got, &c, completed != NULL ? completed : job, modules, err);
        int how = finish(&c);
        if (status == WA_OK && got == NULL) {
            got = failure(&c, how, limits);
            if (got == NULL)
                status = wa_fail(err, WA_ERR_NOMEM, "no memory for a cell's answer");
        }
    }
    wa_value_free(completed);
    if (status != WA_OK) {
        wa_value_free(got);
        return status;
    }
    *reply = got;
    return WA_OK;
}
