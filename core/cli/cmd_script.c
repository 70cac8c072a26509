/* cmd_script.c - windassay script: a free script over plain tables. */
#include "cli/commands.h"
#include "cli/talk.h"

#include "windassay/report.h"
#include "windassay/value.h"

#include <string.h>

enum { DATA = WA_OPTION_OWN };

static const wa_option OPTIONS[] = {
    WA_OPTION_HELP,
    WA_OPTION_JSON,
    {"data", "NAME=FILE.csv", "data.NAME in the script", true},
};

enum { NAME_SIZE = 64 };

/* NAME=FILE: a name that Lua can write behind a dot. */
static wa_status split_table(wa_script_table *out, char name[NAME_SIZE], const char *text,
                             wa_error *err)
{
    static const char LETTERS[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_";
    const char *equals = strchr(text, '=');
    size_t n = equals == NULL ? 0 : (size_t)(equals - text);
    bool good = n > 0 && n < NAME_SIZE && strchr(LETTERS, text[0]) != NULL && equals[1] != '\0';
    for (size_t i = 1; good && i < n; i++)
        good = strchr(LETTERS, text[i]) != NULL || (text[i] >= '0' && text[i] <= '9');
    if (!good)
        return wa_fail(err, WA_ERR_ARG, "'--data %s' is not NAME=FILE.csv", text);
    memcpy(name, text, n);
    name[n] = '\0';
    *out = (wa_script_table){name, equals + 1};
    return WA_OK;
}

/* The script's own file is named as the caller did; a table's file is so already. */
static int tell(wa_error *err, const char *script, bool json)
{
    if (strncmp(err->file, "campaign/", strlen("campaign/")) == 0)
        wa_talk_place(err, script);
    return wa_talk_error(err, json);
}

/* A script that broke has said so in its record: the error of its one check. */
static wa_status script_error(const wa_value *record, wa_error *err)
{
    const wa_value *e = wa_get(wa_at(wa_get(record, "checks"), 0), "error");
    if (e == NULL)
        return WA_OK;
    double line = 0;
    const char *file = wa_get_string(e, "file"), *hint = wa_get_string(e, "hint");
    const char *source = wa_get_string(e, "source");
    wa_number_of(wa_get(e, "line"), &line);
    wa_status s = wa_fail_at(err, WA_ERR_SCRIPT, file == NULL ? "" : file, (size_t)line, 0, "%s",
                             wa_get_string(e, "message"));
    if (source != NULL && hint != NULL)
        return wa_hint(err, s, "%4.0f | %s\n%s", line, source, hint);
    if (source != NULL)
        return wa_hint(err, s, "%4.0f | %s", line, source);
    return hint == NULL ? s : wa_hint(err, s, "%s", hint);
}

static int run(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    bool json = a->counts[WA_JSON] > 0;
    wa_engine engine;
    wa_error err;
    wa_value *record = NULL;
    wa_script_table tables[WA_OPTION_VALUES_MAX];
    char names[WA_OPTION_VALUES_MAX][NAME_SIZE];
    size_t n = a->counts[DATA];
    wa_status s = wa_talk_engine(&engine, NULL, &err);
    for (size_t i = 0; i < n && s == WA_OK; i++)
        s = split_table(&tables[i], names[i], a->values[DATA][i], &err);
    if (s == WA_OK)
        s = wa_run_script(&record, a->words[0], tables, n, &engine, &err);
    if (s != WA_OK)
        return tell(&err, a->words[0], json);
    int code;
    s = script_error(record, &err);
    if (json)
        code = wa_talk_value(record, wa_status_exit(s));
    else
        code = wa_talk_report(wa_report_terminal_script, record, 0);
    if (!json && s != WA_OK)
        code = tell(&err, a->words[0], false);
    wa_value_free(record);
    return code;
}

const wa_command wa_command_script = {
    .name = "script",
    .words = "FILE.lua",
    .summary = "run a free script over plain tables",
    .more =
        "The columns of FILE.csv are data.NAME.COLUMN in the script; `report` is as in a check.\n"
        "The same sandbox holds: the script opens nothing, sees no clock, and has its limits.",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
