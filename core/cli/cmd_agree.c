/* cmd_agree.c - windassay agree: what is agreed before the data, as a file that can be signed. */
#include "cli/commands.h"
#include "cli/talk.h"

#include "windassay/time.h"

#include <stdio.h>

enum { BY = WA_OPTION_OWN, ON, REPLACE };

static const wa_option OPTIONS[] = {
    WA_OPTION_HELP,
    WA_OPTION_JSON,
    {"by", "NAME", "who agrees, as the file shall say", false},
    {"on", "DATE", "when, as the file shall say (no clock is read)", false},
    {"replace", NULL, "forget another agreement that is there", false},
};

static size_t parameters_of(const wa_value *checks)
{
    size_t n = 0;
    for (size_t i = 0; i < wa_count(checks); i++)
        n += wa_count(wa_get(wa_at(checks, i), "parameters"));
    return n;
}

static int show(const wa_agreed *a)
{
    const wa_value *v = a->value, *there = wa_get(v, "files_there");
    double files = 0;
    for (size_t i = 0; i < wa_count(there); i++) {
        double n = 0;
        wa_number_of(wa_at(there, i), &n);
        files += n;
    }
    printf("%s%s\n", a->path, a->was_there ? ": was there already, and says the same" : "");
    printf("  SHA-256  %s\n", a->sha256);
    printf("  checks   %zu with %zu parameters\n", wa_count(wa_get(v, "checks")),
           parameters_of(wa_get(v, "checks")));
    printf("  criteria %zu\n", wa_count(wa_get(v, "criteria")));
    printf("  scripts  %zu\n", wa_count(wa_get(v, "scripts")));
    printf("  input files that were there: %.0f\n", files);
    printf("to sign it: ssh-keygen -Y sign -f KEY -n windassay %s\n", a->path);
    return wa_talk_result("", 0, 0);
}

static int show_json(const wa_agreed *a)
{
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "file", wa_string(a->path)) &&
                wa_map_set(v, "sha256", wa_string(a->sha256)) &&
                wa_map_set(v, "was_there", wa_bool(a->was_there)) &&
                wa_map_set(v, "agreement", wa_value_copy(a->value));
    wa_error err;
    int code = good ? wa_talk_value(v, 0)
                    : (wa_fail(&err, WA_ERR_NOMEM, "out of memory"), wa_talk_error(&err, true));
    wa_value_free(v);
    return code;
}

/* A day of the calendar, as YYYY-MM-DD. */
static wa_status check_day(const char *on, wa_error *err)
{
    int64_t t;
    char text[32];
    int n = snprintf(text, sizeof text, "%.20sT00:00:00Z", on == NULL ? "2000-01-01" : on);
    if (wa_instant_parse(&t, text, (size_t)n, NULL) == WA_OK)
        return WA_OK;
    wa_fail(err, WA_ERR_ARG, "'--on %.40s' is not a day of the calendar", on);
    return wa_hint(err, WA_ERR_ARG, "2026-02-27");
}

static int run(const wa_command *command, const wa_arguments *a)
{
    (void)command;
    bool json = a->counts[WA_JSON] > 0;
    wa_engine engine;
    wa_error err;
    wa_agreed agreed = {0};
    const wa_agree_options options = {.by = wa_options_value(a, BY),
                                      .on = wa_options_value(a, ON),
                                      .replace = a->counts[REPLACE] > 0};
    wa_status s = check_day(options.on, &err);
    if (s != WA_OK)
        return wa_talk_error(&err, json);
    s = wa_talk_engine(&engine, NULL, &err);
    if (s == WA_OK)
        s = wa_agree(&agreed, a->words[0], &options, &engine, &err);
    if (s != WA_OK) {
        wa_talk_place(&err, a->words[0]);
        return wa_talk_error(&err, json);
    }
    int code = json ? show_json(&agreed) : show(&agreed);
    wa_agreed_release(&agreed);
    return code;
}

const wa_command wa_command_agree = {
    .name = "agree",
    .words = "CAMPAIGN.lua",
    .summary = "before the data: write down what is agreed, for `run` to hold to",
    .more =
        "Writes CAMPAIGN.agreed.json beside the campaign: all that it says but for its report,\n"
        "the parameters of every check, the criteria, the digests of the scripts. `run` finds it\n"
        "and prints every later departure on the first page of the report.",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
