/* cmd_decide.c - windassay decide: other criteria, as a new revision. */
#include "cli/commands.h"
#include "cli/kept.h"
#include "cli/talk.h"

enum { CRITERIA = WA_OPTION_OWN, REASON, INTO, JOBS, REPLACE };

static const wa_option OPTIONS[] = {
    WA_OPTION_HELP,
    WA_OPTION_JSON,
    {"criteria", "FILE", "the set that decides in place of the contract's: NAME.lua", false},
    {"reason", "TEXT", "why, for the report", false},
    {"into", "DIR", "the new dossier's folder (else beside the other, with the set's name)", false},
    {"jobs", "N", "threads, and checks at a time (else one a processor)", false},
    {"replace", NULL, "replace a different dossier that is there, unless it was issued", false},
};

static int run(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    bool json = a->counts[WA_JSON] > 0;
    const char *criteria = wa_options_value(a, CRITERIA);
    wa_engine engine;
    wa_error err;
    wa_run result;
    wa_run_options options = {.into = wa_options_value(a, INTO), .replace = a->counts[REPLACE] > 0};
    wa_kept_machine(&options);
    wa_status s = criteria == NULL ? wa_fail(&err, WA_ERR_ARG, "--criteria FILE is needed")
                                   : wa_talk_engine(&engine, wa_options_value(a, JOBS), &err);
    if (s == WA_OK)
        s = wa_decide(&result, a->words[0], criteria, wa_options_value(a, REASON), &engine,
                      &options, &err);
    if (s != WA_OK)
        return wa_talk_error(&err, json);
    wa_talk_progress_end();
    int code = wa_kept_show(&result, json);
    wa_run_release(&result);
    return code;
}

const wa_command wa_command_decide = {
    .name = "decide",
    .words = "DOSSIER",
    .summary = "decide again by other criteria, without the data",
    .more =
        "Computes the checks again from the dossier's intervals.csv, for criteria may set ranges,\n"
        "bins and coverage, too, and leaves a new revision, which says what it replaces and what\n"
        "changed. The dossier stays as it is.",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
