#include "run/signature.h"

#include "data/files.h"
#include "windassay/audit.h"

#include <errno.h>
#include <fcntl.h>
#include <spawn.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { OUTPUT_MOST = 4096 };

static const char SIGNED[] = "tagmanifest-sha256.txt", SIGNATURE[] = "tagmanifest-sha256.txt.sig";

/* ---- running ssh-keygen --------------------------------------------------------------------- */

/* What it printed, cut at OUTPUT_MOST; reads to the end, so that it never waits for us. */
static void read_output(wa_text *out, int fd)
{
    char block[512];
    for (;;) {
        ssize_t got = read(fd, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            return;
        if (out->length < OUTPUT_MOST)
            wa_text_add_bytes(out, block, (size_t)got);
    }
}

/* Starts it with the signed file as its input and our pipe as its output. */
static int start(pid_t *pid, char *const *argv, int input, int output)
{
    static char path[] = "PATH=/usr/local/bin:/usr/bin:/bin", locale[] = "LC_ALL=C";
    char *const plain[] = {path, locale, NULL};
    posix_spawn_file_actions_t files;
    int failed = posix_spawn_file_actions_init(&files);
    if (failed != 0)
        return failed;
    failed |= posix_spawn_file_actions_adddup2(&files, input, 0);
    failed |= posix_spawn_file_actions_adddup2(&files, output, 1);
    failed |= posix_spawn_file_actions_adddup2(&files, output, 2);
    failed |= posix_spawn_file_actions_addclosefrom_np(&files, 3);
    if (failed == 0)
        failed = posix_spawnp(pid, argv[0], &files, NULL, argv, plain);
    posix_spawn_file_actions_destroy(&files);
    return failed;
}

/* *code is its exit code, or 127 where there is no such program. */
static wa_status run_tool(wa_text *out, int *code, char *const *argv, const char *folder,
                          wa_error *err)
{
    int pipes[2], input = -1, status = 0;
    pid_t pid;
    wa_status s = wa_open_beneath(&input, folder, SIGNED, err);
    if (s != WA_OK)
        return s;
    if (pipe2(pipes, O_CLOEXEC) != 0) {
        close(input);
        return wa_fail(err, WA_ERR_IO, "cannot make a pipe: %s", strerror(errno));
    }
    int failed = start(&pid, argv, input, pipes[1]);
    close(pipes[1]);
    close(input);
    if (failed == 0) {
        read_output(out, pipes[0]);
        while (waitpid(pid, &status, 0) < 0 && errno == EINTR)
            continue;
    }
    close(pipes[0]);
    if (failed != 0 && failed != ENOENT)
        return wa_fail(err, WA_ERR_IO, "cannot start %s: %s", argv[0], strerror(failed));
    *code = failed == ENOENT ? 127 : WIFEXITED(status) ? WEXITSTATUS(status) : 126;
    return wa_text_failed(out) ? wa_no_memory(err) : WA_OK;
}

/* ---- judging -------------------------------------------------------------------------------- */

static wa_status say(wa_value **out, const char *state, const char *by, const char *text,
                     wa_error *err)
{
    wa_value *v = wa_map();
    wa_text clean = WA_TEXT_INIT;
    wa_text_add_shown(&clean, text, strcspn(text, "\r\n"));
    bool good = v != NULL && wa_map_set(v, "state", wa_string(state)) &&
                (by == NULL || wa_map_set(v, "by", wa_string(by))) && !wa_text_failed(&clean) &&
                (clean.length == 0 || wa_map_set(v, "text", wa_string(wa_text_string(&clean))));
    wa_text_release(&clean);
    if (!good) {
        wa_value_free(v);
        return wa_no_memory(err);
    }
    *out = v;
    return WA_OK;
}

/* The first line of what it printed: who signed. */
static char *first_line(const wa_text *t)
{
    wa_text clean = WA_TEXT_INIT;
    wa_text_add_shown(&clean, wa_text_string(t), strcspn(wa_text_string(t), "\n"));
    if (!wa_text_failed(&clean))
        return clean.at;
    wa_text_release(&clean);
    return NULL;
}

static wa_status verify(wa_value **out, const char *folder, char *signature, char *allowed,
                        wa_error *err)
{
    static char tool[] = "ssh-keygen", y[] = "-Y", find[] = "find-principals", check[] = "verify";
    static char s_[] = "-s", f_[] = "-f", i_[] = "-I", n_[] = "-n",
                space[] = WA_SIGNATURE_NAMESPACE;
    char *const finding[] = {tool, y, find, s_, signature, f_, allowed, NULL};
    wa_text who = WA_TEXT_INIT, what = WA_TEXT_INIT;
    char *by = NULL;
    int code = 0;
    wa_status s = run_tool(&who, &code, finding, folder, err);
    if (s == WA_OK && code == 127)
        s = say(out, "not verified", NULL, "the program ssh-keygen is not there", err);
    else if (s == WA_OK && code != 0)
        s = say(out, "does not hold", NULL, "none of the allowed signers made it", err);
    else if (s == WA_OK && (by = first_line(&who)) == NULL)
        s = wa_no_memory(err);
    if (s == WA_OK && by != NULL) {
        char *const verifying[] = {tool, y,  check, f_, allowed,   i_,
                                   by,   n_, space, s_, signature, NULL};
        s = run_tool(&what, &code, verifying, folder, err);
        if (s == WA_OK)
            s = say(out, code == 0 ? "holds" : "does not hold", by,
                    code == 0 ? "" : wa_text_string(&what), err);
    }
    free(by);
    wa_text_release(&who);
    wa_text_release(&what);
    return s;
}

wa_status wa_signature_judge(wa_value **out, const char *folder, const char *allowed_signers,
                             wa_error *err)
{
    int fd = -1;
    wa_error missing;
    if (wa_open_beneath(&fd, folder, SIGNATURE, &missing) != WA_OK)
        return say(out, "none", NULL, "", err);
    close(fd);
    if (allowed_signers == NULL)
        return say(out, "not verified", NULL, "no allowed signers were given", err);
    if (access(allowed_signers, R_OK) != 0)
        return wa_fail_at(err, errno == ENOENT ? WA_ERR_MISSING : WA_ERR_IO, allowed_signers, 0, 0,
                          "cannot open the allowed signers: %s", strerror(errno));
    wa_text path = WA_TEXT_INIT;
    wa_text_printf(&path, "%s/%s", folder, SIGNATURE);
    char *allowed = strdup(allowed_signers);
    wa_status s = wa_text_failed(&path) || allowed == NULL
                      ? wa_no_memory(err)
                      : verify(out, folder, path.at, allowed, err);
    free(allowed);
    wa_text_release(&path);
    return s;
}
