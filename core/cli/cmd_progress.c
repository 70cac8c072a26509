/* cmd_progress.c - windassay progress: what is missing before a campaign can be decided. */
#include "cli/commands.h"
#include "cli/talk.h"

#include "windassay/report.h"

enum { JOBS = WA_OPTION_OWN, SHOW_OUTCOME };

static const wa_option OPTIONS[] = {
    WA_OPTION_HELP,
    WA_OPTION_JSON,
    {"jobs", "N", "threads, and checks at a time (else one a processor)", false},
    {"show-outcome", NULL, "deviations and outcomes so far, too", false},
};

static int show(const wa_progress_report *r)
{
    int code = wa_talk_report(wa_report_terminal_script, r->sheet, r->exit_code);
    if (code != r->exit_code || r->record == NULL)
        return code;
    return wa_talk_report(wa_report_terminal, r->record, code);
}

static int run(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    bool json = a->counts[WA_JSON] > 0, outcome = a->counts[SHOW_OUTCOME] > 0;
    wa_engine engine;
    wa_error err;
    wa_progress_report r = {0};
    wa_status s = wa_talk_engine(&engine, wa_options_value(a, JOBS), &err);
    if (s == WA_OK)
        s = wa_run_progress(&r, a->words[0], outcome, &engine, &err);
    if (s != WA_OK) {
        wa_talk_place(&err, a->words[0]);
        return wa_talk_error(&err, json);
    }
    wa_talk_progress_end();
    int code = json ? wa_talk_value(r.value, r.exit_code) : show(&r);
    wa_progress_report_release(&r);
    return code;
}

const wa_command wa_command_progress = {
    .name = "progress",
    .words = "CAMPAIGN.lua",
    .summary = "what is missing before a running campaign can be decided",
    .more =
        "Bins, hours and availability so far, and a forecast in days. It reads the files as they\n"
        "are being written: a torn last row is left out, and said. Exit code 2 while something is\n"
        "missing, 0 when everything is there, whatever the outcome will be.",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
