/* The second wall: what a sealed process can still do when Lua's walls have fallen. */
#include "script/cell/state.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

/* Runs f in a sealed child whose descriptor 0 is a socket; gives its wait status. */
static int sealed(void (*f)(void))
{
    int pair[2], how = 0;
    assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM, 0, pair), 0);
    pid_t pid = fork();
    if (pid == 0) {
        cell_state cell = {.memory = (size_t)64 << 20};
        dup2(pair[1], 0);
        cell_seal(&cell, 10);
        f();
        _exit(42);
    }
    assert_true(pid > 0);
    close(pair[1]);
    assert_int_equal(waitpid(pid, &how, 0), pid);
    close(pair[0]);
    return how;
}

static void does_nothing(void)
{
}

static void opens(void)
{
    open("/etc/passwd", O_RDONLY);
}

static void creates(void)
{
    open("/tmp/wa_seal_test", O_WRONLY | O_CREAT, 0600);
}

static void connects(void)
{
    socket(AF_INET, SOCK_STREAM, 0);
}

static void forks(void)
{
    fork();
}

static void executes(void)
{
    char *const argv[] = {NULL};
    execve("/bin/true", argv, argv);
}

static void kills(void)
{
    kill(getppid(), 0);
}

static void waits(void)
{
    usleep(1);
}

static void asks_the_time(void)
{
    syscall(SYS_clock_gettime, 0, NULL);
}

static void writes_elsewhere(void)
{
    write(2, "x", 1);
}

static void maps_code(void)
{
    mmap(NULL, 4096, PROT_READ | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
}

static void makes_code(void)
{
    void *at = mmap(NULL, 4096, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    mprotect(at, 4096, PROT_READ | PROT_EXEC);
}

static void what_is_not_allowed_ends_it(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        void (*f)(void);
    } cases[] = {
        {"opens", opens},
        {"creates", creates},
        {"connects", connects},
        {"forks", forks},
        {"executes", executes},
        {"kills", kills},
        {"waits", waits},
        {"asks the time", asks_the_time},
        {"writes elsewhere", writes_elsewhere},
        {"maps code", maps_code},
        {"makes code", makes_code},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        int how = sealed(cases[i].f);
        if (!WIFSIGNALED(how) || WTERMSIG(how) != SIGSYS)
            fail_msg("a sealed process that %s ended with %#x", cases[i].name, (unsigned)how);
    }
}

static void answers(void)
{
    if (write(0, "x", 1) != 1)
        _exit(1);
    for (int i = 0; i < 40; i++) {
        char *at = malloc((size_t)1 << 20);
        if (at == NULL)
            _exit(2);
        memset(at, 1, (size_t)1 << 20);
        free(at);
    }
}

/* More than what Lua may hold and the room beside it. */
static void takes_too_much(void)
{
    if (malloc((size_t)3 << 30) != NULL)
        _exit(1);
}

static void what_is_needed_works(void **state)
{
    (void)state;
    void (*const cases[])(void) = {does_nothing, answers, takes_too_much};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        int how = sealed(cases[i]);
        assert_true(WIFEXITED(how));
        assert_int_equal(WEXITSTATUS(how), 42);
    }
}

static int status_of(pid_t pid, const char *key)
{
    char path[64], line[256];
    int value = -1;
    snprintf(path, sizeof path, "/proc/%d/status", (int)pid);
    FILE *f = fopen(path, "r");
    while (f != NULL && fgets(line, sizeof line, f) != NULL)
        if (strncmp(line, key, strlen(key)) == 0)
            value = atoi(line + strlen(key));
    if (f != NULL)
        fclose(f);
    return value;
}

/* The cell is sealed while it waits for its job: no script text has reached it yet. */
static void sealed_before_any_script_arrives(void **state)
{
    (void)state;
    int pair[2];
    assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, pair), 0);
    pid_t pid = fork();
    if (pid == 0) {
        dup2(pair[1], 0);
        closefrom(3); /* what lies on 3 would be taken for the records */
        execl(WA_CELL, "windassay-cell", "1000000", "67108864", "10", (char *)NULL);
        _exit(127);
    }
    close(pair[1]);
    int seccomp = -1;
    for (int i = 0; i < 2000 && seccomp != 2; i++) {
        usleep(10000);
        seccomp = status_of(pid, "Seccomp:");
    }
    assert_int_equal(seccomp, 2);
    assert_int_equal(status_of(pid, "NoNewPrivs:"), 1);
    close(pair[0]);
    assert_int_equal(waitpid(pid, NULL, 0), pid);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_not_allowed_ends_it),
        cmocka_unit_test(what_is_needed_works),
        cmocka_unit_test(sealed_before_any_script_arrives),
    };
    if (!CELL_SEALED) /* the sanitizers need what the seal forbids */
        return 0;
    return cmocka_run_group_tests_name("seal", tests, NULL, NULL);
}
