/* cmd_audit.c - windassay audit: is a dossier what its own scripts and data give? */
#include "cli/commands.h"
#include "cli/talk.h"

#include "windassay/audit.h"

enum { DATA = WA_OPTION_OWN, FROM_INTERVALS, SIGNERS, JOBS };

static const wa_option OPTIONS[] = {
    WA_OPTION_HELP,
    WA_OPTION_JSON,
    {"data", "DIR", "a folder in which the inputs are looked for, by their digests", false},
    {"from-intervals", NULL, "from the dossier's intervals.csv, even where all inputs are there",
     false},
    {"allowed-signers", "FILE", "the signature must hold, for one of these (see ssh-keygen)",
     false},
    {"jobs", "N", "threads, and checks at a time (else one a processor)", false},
};

static int run(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    bool json = a->counts[WA_JSON] > 0;
    wa_engine engine;
    wa_error err;
    wa_value *found = NULL;
    const wa_audit_options options = {.data = wa_options_value(a, DATA),
                                      .from_intervals = a->counts[FROM_INTERVALS] > 0,
                                      .allowed_signers = wa_options_value(a, SIGNERS)};
    wa_status s = wa_talk_engine(&engine, wa_options_value(a, JOBS), &err);
    if (s == WA_OK)
        s = wa_audit(&found, a->words[0], &engine, &options, &err);
    wa_talk_progress_end();
    if (s != WA_OK)
        return wa_talk_error(&err, json);
    int code = wa_audit_exit(found);
    code = json ? wa_talk_value(found, code) : wa_talk_report(wa_audit_print, found, code);
    wa_value_free(found);
    return code;
}

const wa_command wa_command_audit = {
    .name = "audit",
    .words = "DOSSIER",
    .summary = "compute a dossier again, compare byte for byte",
    .more = "Runs the dossier's own copies of campaign and scripts, in the sandbox, on the inputs\n"
            "(found by digest in the dossier and below --data) or, where some are missing, on its\n"
            "interval statistics. Writes nothing. Exit codes: 0 identical, 1 differs, 66 what was\n"
            "asked for is not there, 65 no dossier, or one of an interface that is not known.",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
