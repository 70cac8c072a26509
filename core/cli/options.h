/* options.h - the option table of a command: it drives parsing and --help alike. */
#ifndef WINDASSAY_CLI_OPTIONS_H
#define WINDASSAY_CLI_OPTIONS_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

typedef struct wa_option {
    const char *name;  /* long name, without dashes                              */
    const char *value; /* NULL: a flag; else what its value is called in --help  */
    const char *text;  /* one line                                               */
    bool many;         /* may be given several times                             */
} wa_option;

enum { WA_OPTIONS_MAX = 12, WA_OPTION_VALUES_MAX = 64 };

/** What the user gave, by the option's place in the table. */
typedef struct wa_arguments {
    const char *values[WA_OPTIONS_MAX][WA_OPTION_VALUES_MAX];
    size_t counts[WA_OPTIONS_MAX];
    char *const *words; /* what is no option */
    size_t n_words;
} wa_arguments;

typedef struct wa_command {
    const char *name;
    const char *words; /* "CAMPAIGN.lua"      */
    const char *summary;
    const char *more; /* further paragraphs of the help; NULL */
    const wa_option *options;
    size_t n_options;
    size_t least_words, most_words;
    int (*run)(const struct wa_command *command, const wa_arguments *arguments);
} wa_command;

/** Every command has these, in the first places of its table. */
#define WA_OPTION_HELP                                                                             \
    {                                                                                              \
        "help", NULL, "print this help", false                                                     \
    }
#define WA_OPTION_JSON                                                                             \
    {                                                                                              \
        "json", NULL, "print the result as JSON", false                                            \
    }
enum { WA_HELP, WA_JSON, WA_OPTION_OWN };

/** Parses argv (argv[0] is the command's name). WA_ERR_ARG with the nearest option. */
wa_status wa_options_parse(wa_arguments *out, const wa_command *command, int argc, char **argv,
                           wa_error *err);
/** The first value given for an option, or NULL. */
const char *wa_options_value(const wa_arguments *a, size_t option);
void wa_options_help(FILE *to, const wa_command *command);

#endif
