/* cmd_catalogue.c - windassay checks and windassay criteria: what there is. */
#include "cli/commands.h"
#include "cli/talk.h"

#include "windassay/report.h"

static const wa_option OPTIONS[] = {WA_OPTION_HELP, WA_OPTION_JSON};

typedef wa_status lister(wa_value **listed, wa_value **record, const char *name,
                         const wa_engine *engine, wa_error *err);

static int list(const wa_arguments *a, lister *find)
{
    bool json = a->counts[WA_JSON] > 0;
    wa_engine engine;
    wa_error err;
    wa_value *listed = NULL, *record = NULL;
    wa_status s = wa_talk_engine(&engine, NULL, &err);
    if (s == WA_OK)
        s = find(&listed, &record, a->n_words > 0 ? a->words[0] : NULL, &engine, &err);
    if (s != WA_OK)
        return wa_talk_error(&err, json);
    int code =
        json ? wa_talk_value(listed, 0) : wa_talk_report(wa_report_terminal_script, record, 0);
    wa_value_free(listed);
    wa_value_free(record);
    return code;
}

static int run_checks(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    return list(a, wa_list_checks);
}

static int run_criteria(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    return list(a, wa_list_criteria);
}

const wa_command wa_command_checks = {
    .name = "checks",
    .words = "[NAME]",
    .summary = "the checks there are, or one with its parameters",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .most_words = 1,
    .run = run_checks,
};

const wa_command wa_command_criteria = {
    .name = "criteria",
    .words = "[NAME]",
    .summary = "the sets of criteria there are, or one with its limits",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .most_words = 1,
    .run = run_criteria,
};
