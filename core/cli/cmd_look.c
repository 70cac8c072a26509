/* cmd_look.c - windassay look: what is there, before weeks are lost. */
#include "cli/commands.h"
#include "cli/talk.h"

#include "windassay/report.h"

enum { JOBS = WA_OPTION_OWN };

static const wa_option OPTIONS[] = {
    WA_OPTION_HELP,
    WA_OPTION_JSON,
    {"jobs", "N", "threads (else one a processor)", false},
};

static int run(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    bool json = a->counts[WA_JSON] > 0;
    wa_engine engine;
    wa_error err;
    wa_value *record = NULL;
    wa_status s = wa_talk_engine(&engine, wa_options_value(a, JOBS), &err);
    if (s == WA_OK)
        s = wa_look(&record, a->words[0], &engine, &err);
    if (s != WA_OK) {
        wa_talk_place(&err, a->words[0]);
        return wa_talk_error(&err, json);
    }
    wa_talk_progress_end();
    int code =
        json ? wa_talk_value(record, 0) : wa_talk_report(wa_report_terminal_script, record, 0);
    wa_value_free(record);
    return code;
}

const wa_command wa_command_look = {
    .name = "look",
    .words = "CAMPAIGN.lua",
    .summary = "files, rows, rates, gaps, units, heights, lag: before weeks are lost",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
