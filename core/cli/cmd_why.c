/* cmd_why.c - windassay why: one interval of a dossier, or a range. */
#include "cli/commands.h"
#include "cli/talk.h"

#include "windassay/report.h"

enum { UNTIL = WA_OPTION_OWN, CHECK, DATA };

static const wa_option OPTIONS[] = {
    WA_OPTION_HELP,
    WA_OPTION_JSON,
    {"until", "TIME", "the end of a range that begins at TIME", false},
    {"check", "ID", "only the accounts of this check", false},
    {"data", "DIR", "the rows of the input files, too: found in DIR by their digest", false},
};

static int run(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    bool json = a->counts[WA_JSON] > 0;
    wa_engine engine;
    wa_error err;
    wa_value *why = NULL;
    const wa_why_question q = {.time = a->words[1],
                               .until = wa_options_value(a, UNTIL),
                               .check = wa_options_value(a, CHECK),
                               .data = wa_options_value(a, DATA)};
    wa_status s = wa_talk_engine(&engine, NULL, &err);
    if (s == WA_OK)
        s = wa_why(&why, a->words[0], &q, &engine, &err);
    if (s != WA_OK)
        return wa_talk_error(&err, json);
    int code = json ? wa_talk_value(why, 0) : wa_talk_report(wa_report_why, why, 0);
    wa_value_free(why);
    return code;
}

const wa_command wa_command_why = {
    .name = "why",
    .words = "DOSSIER TIME",
    .summary = "one interval: its values, what became of it and why",
    .more = "TIME is any instant of the interval, in UTC (2026-03-11T08:10Z) or with an offset\n"
            "(2026-03-11T09:10+01:00); FROM/TO is a range. It reads the dossier alone, which is\n"
            "proven first; with --data also the raw rows.",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .least_words = 2,
    .most_words = 2,
    .run = run,
};
