/* cmd_compare.c - windassay compare: two dossiers side by side. */
#include "cli/commands.h"
#include "cli/talk.h"

#include "windassay/report.h"

enum { ALL = WA_OPTION_OWN };

static const wa_option OPTIONS[] = {
    WA_OPTION_HELP,
    WA_OPTION_JSON,
    {"all", NULL, "what is the same, too", false},
};

static int run(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    bool json = a->counts[WA_JSON] > 0;
    wa_error err;
    wa_compared c = {0};
    wa_status s = wa_compare_dossiers(&c, a->words[0], a->words[1], a->counts[ALL] > 0, &err);
    if (s != WA_OK)
        return wa_talk_error(&err, json);
    int code = c.same ? 0 : 1;
    code = json ? wa_talk_value(c.value, code)
                : wa_talk_report(wa_report_terminal_script, c.sheet, code);
    wa_compared_release(&c);
    return code;
}

const wa_command wa_command_compare = {
    .name = "compare",
    .words = "DOSSIER DOSSIER",
    .summary = "two dossiers side by side: parameters, exclusions, results",
    .more =
        "Checks, parameters, reasons and requirements are matched by name. Only what differs is\n"
        "shown without --all; --json also lists every single difference of the records. Exit\n"
        "code 0: the records are the same, byte for byte; 1: they differ.",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .least_words = 2,
    .most_words = 2,
    .run = run,
};
