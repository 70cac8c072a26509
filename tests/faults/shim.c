/* shim.c - goes before the C library (LD_PRELOAD) and lets the n-th call of a kind fail.
 *
 *   WINDASSAY_FAULT=CALL:N[+][:ERRNO]   CALL is malloc, write, fsync, rename or flock; with + every call
 *                                       from the n-th on fails; N of 0 only counts; KILL for ERRNO
 *                                       ends the process there, as a power failure does
 *   WINDASSAY_FAULT_COUNT=FILE          how many calls of that kind there were, written at the end
 *
 * malloc stands for calloc, realloc and all that use them. A write that fails for want of room
 * first writes a part, as a full disk does. The sealed cell starts with an empty environment, so
 * it is not met. */
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#define SHOWN __attribute__((visibility("default")))

extern void *__libc_malloc(size_t n);
extern void *__libc_calloc(size_t n, size_t size);
extern void *__libc_realloc(void *old, size_t n);

typedef enum call { NONE, MALLOC, WRITE, FSYNC, RENAME, FLOCK } call;

static call which;
static long wanted;
static bool onward;
static int code;
static atomic_long seen;

/* True where this call is the one that fails. */
static bool fails(call c)
{
    if (c != which)
        return false;
    long n = atomic_fetch_add(&seen, 1) + 1;
    if (wanted == 0 || n < wanted || (n > wanted && !onward))
        return false;
    if (code == 0)
        raise(SIGKILL);
    errno = code;
    return true;
}

__attribute__((constructor)) static void begin(void)
{
    static const char *const NAMES[] = {"", "malloc", "write", "fsync", "rename", "flock"};
    const char *spec = getenv("WINDASSAY_FAULT");
    if (spec == NULL)
        return;
    size_t n = strcspn(spec, ":");
    call c = NONE;
    for (call i = MALLOC; i <= FLOCK; i++)
        if (strlen(NAMES[i]) == n && strncmp(spec, NAMES[i], n) == 0)
            c = i;
    char *end;
    wanted = strtol(spec + n + (spec[n] == ':'), &end, 10);
    onward = *end == '+';
    const char *name = strrchr(spec, ':');
    code = strcmp(name, ":KILL") == 0     ? 0
           : c == MALLOC                  ? ENOMEM
           : strcmp(name, ":ENOSPC") == 0 ? ENOSPC
                                          : EIO;
    which = c; /* from here on calls count */
}

__attribute__((destructor)) static void end(void)
{
    const char *path = getenv("WINDASSAY_FAULT_COUNT");
    call c = which;
    which = NONE;
    if (path == NULL || c == NONE)
        return;
    int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (fd >= 0) {
        dprintf(fd, "%ld\n", atomic_load(&seen));
        close(fd);
    }
}

SHOWN void *malloc(size_t n);
SHOWN void *calloc(size_t n, size_t size);
SHOWN void *realloc(void *old, size_t n);

void *malloc(size_t n)
{
    return fails(MALLOC) ? NULL : __libc_malloc(n);
}

void *calloc(size_t n, size_t size)
{
    return fails(MALLOC) ? NULL : __libc_calloc(n, size);
}

void *realloc(void *old, size_t n)
{
    return fails(MALLOC) ? NULL : __libc_realloc(old, n);
}

/* Writes to files only: pipes and sockets have no full disk. */
SHOWN ssize_t write(int fd, const void *bytes, size_t n)
{
    struct stat st;
    if (which == WRITE && fstat(fd, &st) == 0 && S_ISREG(st.st_mode) && fails(WRITE)) {
        if (code == ENOSPC && n > 1 && !onward)
            return syscall(SYS_write, fd, bytes, n / 2);
        return -1;
    }
    return syscall(SYS_write, fd, bytes, n);
}

SHOWN int fsync(int fd)
{
    return fails(FSYNC) ? -1 : (int)syscall(SYS_fsync, fd);
}

SHOWN int flock(int fd, int operation);
int flock(int fd, int operation)
{
    return fails(FLOCK) ? -1 : (int)syscall(SYS_flock, fd, operation);
}

SHOWN int renameat2(int from, const char *old, int to, const char *new, unsigned flags);
int renameat2(int from, const char *old, int to, const char *new, unsigned flags)
{
    return fails(RENAME) ? -1 : (int)syscall(SYS_renameat2, from, old, to, new, flags);
}
