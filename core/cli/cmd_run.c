/* cmd_run.c - windassay run: compute, print the tables, leave a dossier. */
#include "cli/commands.h"
#include "cli/kept.h"
#include "cli/talk.h"

enum { INTO = WA_OPTION_OWN, JOBS, WITH_DATA, REPLACE };

static const wa_option OPTIONS[] = {
    WA_OPTION_HELP,
    WA_OPTION_JSON,
    {"into", "DIR", "the dossier's folder (else the campaign's name and .dossier, beside it)",
     false},
    {"jobs", "N", "threads, and checks at a time (else one a processor)", false},
    {"with-data", NULL, "copy the input files into the dossier", false},
    {"replace", NULL, "replace a different dossier that is there, unless it was issued", false},
};

static int run(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    bool json = a->counts[WA_JSON] > 0;
    wa_engine engine;
    wa_error err;
    wa_run result;
    wa_run_options options = {.into = wa_options_value(a, INTO),
                              .replace = a->counts[REPLACE] > 0,
                              .with_data = a->counts[WITH_DATA] > 0};
    wa_kept_machine(&options);
    wa_status s = wa_talk_engine(&engine, wa_options_value(a, JOBS), &err);
    if (s == WA_OK)
        s = wa_run_campaign(&result, a->words[0], &engine, &options, &err);
    if (s != WA_OK) {
        wa_talk_place(&err, a->words[0]);
        return wa_talk_error(&err, json);
    }
    wa_talk_progress_end();
    int code = wa_kept_show(&result, json);
    wa_run_release(&result);
    return code;
}

const wa_command wa_command_run = {
    .name = "run",
    .words = "CAMPAIGN.lua",
    .summary = "compute, print the tables, leave a dossier",
    .more = "Results go to stdout, talk and progress to stderr. An existing dossier with the same\n"
            "evidence is left as it is; a different one is left alone without --replace.",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
