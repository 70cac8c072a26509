/* measure.c - runs a command and tells on file descriptor 3: seconds by the clock, of processors (user
 * and system, children included), and the largest resident set of a process in KB. A program of
 * its own, since a forked child begins with the size of its parent. */
#include <stdio.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static double seconds(struct timeval t)
{
    return (double)t.tv_sec + (double)t.tv_usec / 1e6;
}

int main(int argc, char **argv)
{
    struct timespec a, b;
    struct rusage u;
    int status;
    if (argc < 2)
        return 64;
    clock_gettime(CLOCK_MONOTONIC, &a);
    pid_t child = fork();
    if (child == 0) {
        close(3);
        execvp(argv[1], argv + 1);
        _exit(127);
    }
    if (child < 0 || wait4(child, &status, 0, &u) != child)
        return 71;
    clock_gettime(CLOCK_MONOTONIC, &b);
    dprintf(3, "%.6f %.6f %ld\n",
            (double)(b.tv_sec - a.tv_sec) + (double)(b.tv_nsec - a.tv_nsec) / 1e9,
            seconds(u.ru_utime) + seconds(u.ru_stime), u.ru_maxrss);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 70;
}
