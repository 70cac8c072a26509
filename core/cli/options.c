#include "cli/options.h"

#include "windassay/text.h"

#include <getopt.h>
#include <string.h>

/* The option that getopt has just stumbled over; words between options do not matter. */
static const char *stumbled(char **argv, char room[3])
{
    if (optopt == 0)
        return argv[optind - 1];
    room[0] = '-';
    room[1] = (char)optopt;
    room[2] = '\0';
    return room;
}

static wa_status unknown(const wa_command *command, const char *word, wa_error *err)
{
    const char *names[WA_OPTIONS_MAX];
    char shown[64];
    for (size_t i = 0; i < command->n_options; i++)
        names[i] = command->options[i].name;
    const char *bare = word + strspn(word, "-");
    char name[64];
    snprintf(name, sizeof name, "%.*s", (int)strcspn(bare, "="), bare);
    wa_shown(shown, sizeof shown, word, strlen(word));
    wa_status status = wa_fail(err, WA_ERR_ARG, "%s: unknown option '%s'", command->name, shown);
    const char *near = wa_nearest(name, names, command->n_options);
    if (near != NULL)
        return wa_hint(err, status, "did you mean '--%s'?", near);
    return wa_hint(err, status, "'windassay %s --help' lists the options", command->name);
}

static wa_status take(wa_arguments *out, const wa_command *command, size_t i, const char *value,
                      wa_error *err)
{
    const wa_option *o = &command->options[i];
    if (out->counts[i] > 0 && o->value != NULL && !o->many)
        return wa_fail(err, WA_ERR_ARG, "%s: '--%s' is given twice", command->name, o->name);
    if (out->counts[i] >= WA_OPTION_VALUES_MAX)
        return wa_fail(err, WA_ERR_ARG, "%s: '--%s' is given more than %d times", command->name,
                       o->name, WA_OPTION_VALUES_MAX);
    out->values[i][out->counts[i]++] = value;
    return WA_OK;
}

wa_status wa_options_parse(wa_arguments *out, const wa_command *command, int argc, char **argv,
                           wa_error *err)
{
    struct option table[WA_OPTIONS_MAX + 1] = {{0}};
    wa_arguments got = {0};
    for (size_t i = 0; i < command->n_options; i++)
        table[i] = (struct option){
            command->options[i].name,
            command->options[i].value == NULL ? no_argument : required_argument, NULL, 0};
    opterr = 0;
    optind = 1;
    for (;;) {
        int at = -1;
        char room[3];
        optopt = 0;
        int c = getopt_long(argc, argv, ":", table, &at);
        if (c == -1)
            break;
        if (c == ':')
            return wa_fail(err, WA_ERR_ARG, "%s: option '%s' needs a value", command->name,
                           argv[optind - 1]);
        if (c != 0)
            return unknown(command, stumbled(argv, room), err);
        wa_status s = take(&got, command, (size_t)at, optarg, err);
        if (s != WA_OK)
            return s;
    }
    got.words = argv + optind;
    got.n_words = (size_t)(argc - optind);
    if (got.counts[WA_HELP] == 0 &&
        (got.n_words < command->least_words || got.n_words > command->most_words)) {
        wa_status s =
            wa_fail(err, WA_ERR_ARG, "%s: %zu words given where %s%zu %s", command->name,
                    got.n_words, command->least_words == command->most_words ? "" : "at least ",
                    command->least_words, command->least_words == 1 ? "is needed" : "are needed");
        return wa_hint(err, s, "usage: windassay %s %s", command->name, command->words);
    }
    *out = got;
    return WA_OK;
}

const char *wa_options_value(const wa_arguments *a, size_t option)
{
    return a->counts[option] > 0 ? a->values[option][0] : NULL;
}

void wa_options_help(FILE *to, const wa_command *command)
{
    fprintf(to, "windassay %s %s\n\n%s\n", command->name, command->words, command->summary);
    if (command->more != NULL)
        fprintf(to, "\n%s\n", command->more);
    fputs("\nOptions:\n", to);
    for (size_t i = 0; i < command->n_options; i++) {
        char left[48];
        const wa_option *o = &command->options[i];
        snprintf(left, sizeof left, "--%s%s%s", o->name, o->value == NULL ? "" : " ",
                 o->value == NULL ? "" : o->value);
        fprintf(to, "  %-22s %s%s\n", left, o->text, o->many ? " (may be repeated)" : "");
    }
}
