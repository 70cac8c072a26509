/* cmd_deliver.c - windassay deliver: a copy of a dossier for one customer. */
#include "cli/commands.h"
#include "cli/talk.h"

#include "windassay/deliver.h"

#include <stdio.h>
#include <sys/random.h>

enum { WITHHOLD = WA_OPTION_OWN, INTO };

static const wa_option OPTIONS[] = {
    WA_OPTION_HELP,
    WA_OPTION_JSON,
    {"withhold", "LIST",
     "inputs, site, customer, people, notes, uses, given, machine, title, scripts, or JSON "
     "pointers",
     false},
    {"into", "DIR", "the copy; the salts are written to DIR.salts", false},
};

static void show(const wa_value *told)
{
    const wa_value *fields = wa_get(told, "fields"), *files = wa_get(told, "files");
    const wa_value *too_short = wa_get(told, "too_short");
    double untouched = 0;
    wa_number_of(wa_get(told, "untouched"), &untouched);
    printf("%.0f files as they were, %zu not; fields withheld: %zu\n", untouched, wa_count(files),
           wa_count(fields));
    for (size_t i = 0; i < wa_count(files); i++)
        printf("  %s: %s\n", wa_get_string(wa_at(files, i), "path"),
               wa_get_string(wa_at(files, i), "what"));
    for (size_t i = 0; i < wa_count(too_short); i++)
        printf("  %s: too short to be looked for elsewhere\n", wa_string_of(wa_at(too_short, i)));
    printf("copy: %s\nsalts, which stay with you: %s\n", wa_get_string(told, "copy"),
           wa_get_string(told, "salts"));
}

static int run(const wa_command *command, const wa_arguments *a)
{
    bool json = a->counts[WA_JSON] > 0;
    wa_engine engine;
    wa_error err;
    wa_value *told = NULL;
    wa_deliver_options o = {.withhold = wa_options_value(a, WITHHOLD),
                            .into = wa_options_value(a, INTO)};
    wa_status s = wa_talk_engine(&engine, NULL, &err);
    if (s == WA_OK && (o.withhold == NULL || o.into == NULL)) {
        s = wa_fail(&err, WA_ERR_ARG, "deliver: --withhold and --into are needed");
        wa_hint(&err, s, "usage: windassay %s %s --withhold LIST --into DIR", command->name,
                command->words);
    }
    if (s == WA_OK && getrandom(o.key, sizeof o.key, 0) != (ssize_t)sizeof o.key)
        s = wa_fail(&err, WA_ERR_IO, "the system gives no random numbers");
    if (s == WA_OK)
        s = wa_deliver(&told, a->words[0], &o, &engine, &err);
    if (s != WA_OK)
        return wa_talk_error(&err, json);
    int code = 0;
    if (json)
        code = wa_talk_value(told, 0);
    else
        show(told);
    wa_value_free(told);
    return json ? code : wa_talk_result("", 0, 0);
}

const wa_command wa_command_deliver = {
    .name = "deliver",
    .words = "DOSSIER",
    .summary = "a copy for one customer, in part withheld",
    .more =
        "Withheld fields of the record stand as salted digests, withheld files by their digest in\n"
        "the original's manifest, which stays in the copy with its signature. Rows of the\n"
        "reference outside of the period are cut. Withheld words are looked for in every other\n"
        "text. The campaign's own scripts are withheld with any field.",
    .options = OPTIONS,
    .n_options = sizeof OPTIONS / sizeof *OPTIONS,
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
