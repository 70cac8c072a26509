/* seal.c - the second wall: whatever a script might break out of Lua with, the process behind it
 * can read and write its socket, ask for memory, and end. Closed before any script text arrives.
 */
#include "script/cell/state.h"

#include <errno.h>
#include <seccomp.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static _Noreturn void give_up(const char *what)
{
    fprintf(stderr, "windassay-cell: cannot seal itself: %s\n", what);
    _exit(70);
}

void cell_map_records(cell_state *cell)
{
    struct stat st;
    if (fstat(CELL_RECORDS_FD, &st) != 0 || st.st_size <= 0)
        return; /* no records in this job */
    size_t bytes = (size_t)st.st_size;
    void *at = mmap(NULL, bytes, PROT_READ, MAP_SHARED, CELL_RECORDS_FD, 0);
    if (at == MAP_FAILED)
        give_up("mmap of the records");
    cell->doubles = at;
    cell->n_doubles = bytes / sizeof(double);
    close(CELL_RECORDS_FD);
}

#if CELL_SEALED
static void limit(int what, rlim_t most)
{
    const struct rlimit l = {most, most};
    if (setrlimit((__rlimit_resource_t)what, &l) != 0)
        give_up("setrlimit");
}

static void allow(scmp_filter_ctx filter, int call)
{
    if (seccomp_rule_add(filter, SCMP_ACT_ALLOW, call, 0) != 0)
        give_up("seccomp rule");
}

/* Reading and writing on the socket alone. */
static void allow_on_socket(scmp_filter_ctx filter, int call)
{
    if (seccomp_rule_add(filter, SCMP_ACT_ALLOW, call, 1, SCMP_A0(SCMP_CMP_EQ, CELL_FD, 0)) != 0)
        give_up("seccomp rule");
}

void cell_seal(const cell_state *cell, unsigned wall_s)
{
    /* Beside what Lua may hold: the job and the reply as plain values, the program, the map. */
    const rlim_t beside = (rlim_t)1 << 30;
    limit(RLIMIT_AS, (rlim_t)cell->memory + beside + cell->n_doubles * sizeof(double));
    limit(RLIMIT_CPU, wall_s + 5);
    limit(RLIMIT_FSIZE, 0);
    limit(RLIMIT_NOFILE, 0);
    limit(RLIMIT_NPROC, 0);
    limit(RLIMIT_CORE, 0);
    if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0 || prctl(PR_SET_DUMPABLE, 0, 0, 0, 0) != 0)
        give_up("prctl");
    scmp_filter_ctx filter = seccomp_init(SCMP_ACT_KILL_PROCESS);
    if (filter == NULL)
        give_up("seccomp");
    allow_on_socket(filter, SCMP_SYS(read));
    allow_on_socket(filter, SCMP_SYS(write));
    /* Memory, but never to run it. */
    if (seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(mmap), 1,
                         SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0)) != 0)
        give_up("seccomp rule");
    static const int calls[] = {SCMP_SYS(brk),       SCMP_SYS(munmap),     SCMP_SYS(mremap),
                                SCMP_SYS(futex),     SCMP_SYS(newfstatat), SCMP_SYS(rt_sigreturn),
                                SCMP_SYS(getrandom), SCMP_SYS(exit_group)};
    for (size_t i = 0; i < sizeof calls / sizeof *calls; i++)
        allow(filter, calls[i]);
    /* glibc's qsort asks how much memory there is; without an answer it takes the same way. */
    if (seccomp_rule_add(filter, SCMP_ACT_ERRNO(ENOSYS), SCMP_SYS(sysinfo), 0) != 0)
        give_up("seccomp rule");
    if (seccomp_load(filter) != 0)
        give_up("seccomp filter");
    seccomp_release(filter);
}
#else
void cell_seal(const cell_state *cell, unsigned wall_s)
{
    (void)cell;
    (void)wall_s;
}
#endif
