/* main.c - the program: finds the command and runs it. */
#include "cli/commands.h"
#include "cli/talk.h"

#include "windassay/text.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>

/* clang-format off */
static const wa_command *const COMMANDS[] = {
    &wa_command_run,
    &wa_command_look,
    &wa_command_progress,
    &wa_command_agree,
    &wa_command_why,
    &wa_command_audit,
    &wa_command_decide,
    &wa_command_compare,
    &wa_command_deliver,
    &wa_command_script,
    &wa_command_checks,
    &wa_command_criteria,
};
/* clang-format on */
enum { N_COMMANDS = sizeof COMMANDS / sizeof *COMMANDS };

static void print_commands(FILE *to)
{
    fputs("windassay: acceptance analyses of wind data that anyone can compute again\n\n", to);
    for (size_t i = 0; i < N_COMMANDS; i++) {
        char left[64];
        snprintf(left, sizeof left, "windassay %s %s", COMMANDS[i]->name, COMMANDS[i]->words);
        fprintf(to, "  %-42s %s\n", left, COMMANDS[i]->summary);
    }
    fputs("\n'windassay COMMAND --help' says more. Exit codes: 0 pass or conditional pass, 1 fail "
          "or\n"
          "conditional fail, 2 inconclusive, 64 misuse, 65 bad data or campaign, 66 file missing,\n"
          "69 script error or limit, 70 our fault, 74 input or output.\n",
          to);
}

static int unknown_command(const char *name)
{
    const char *names[N_COMMANDS];
    char shown[64];
    wa_error err;
    for (size_t i = 0; i < N_COMMANDS; i++)
        names[i] = COMMANDS[i]->name;
    wa_shown(shown, sizeof shown, name, strlen(name));
    wa_status s = wa_fail(&err, WA_ERR_ARG, "there is no command '%s'", shown);
    const char *near = wa_nearest(name, names, N_COMMANDS);
    if (near != NULL)
        wa_hint(&err, s, "did you mean '%s'?", near);
    else
        wa_hint(&err, s, "'windassay --help' lists the commands");
    return wa_talk_error(&err, false);
}

static int run_command(const wa_command *command, int argc, char **argv)
{
    wa_arguments arguments;
    wa_error err;
    if (wa_options_parse(&arguments, command, argc, argv, &err) != WA_OK)
        return wa_talk_error(&err, false);
    if (arguments.counts[WA_HELP] > 0) {
        wa_options_help(stdout, command);
        return wa_talk_result("", 0, 0);
    }
    return command->run(command, &arguments);
}

int main(int argc, char **argv)
{
    /* A reader that goes away is an error of writing, not a sudden death. */
    signal(SIGPIPE, SIG_IGN);
    if (argc < 2) {
        print_commands(stderr);
        return wa_status_exit(WA_ERR_ARG);
    }
    const char *name = argv[1];
    if (strcmp(name, "--help") == 0 || strcmp(name, "help") == 0) {
        print_commands(stdout);
        return wa_talk_result("", 0, 0);
    }
    if (strcmp(name, "--version") == 0) {
        fputs("windassay " WA_VERSION "\n", stdout);
        return wa_talk_result("", 0, 0);
    }
    for (size_t i = 0; i < N_COMMANDS; i++)
        if (strcmp(name, COMMANDS[i]->name) == 0)
            return run_command(COMMANDS[i], argc - 1, argv + 1);
    return unknown_command(name);
}
