/* What an audit found, for people. */
#include "windassay/audit.h"

#include "run/difference.h"

#include <string.h>

enum { SHOWN_MOST = 20 };

static void add_text(wa_text *out, const char *text)
{
    if (text != NULL)
        wa_text_add_shown(out, text, strlen(text));
}

static void pad(wa_text *out, size_t from, size_t width)
{
    do
        wa_text_add_char(out, ' ');
    while (out->length - from < width);
}

/* "  NAME            STATE         TEXT" */
static void add_row(wa_text *out, const char *name, const char *state, const char *text)
{
    size_t from = out->length;
    wa_text_add(out, "  ");
    add_text(out, name);
    pad(out, from, 18);
    size_t second = out->length;
    add_text(out, state);
    if (text != NULL && text[0] != '\0') {
        pad(out, second, 15);
        add_text(out, text);
    }
    wa_text_add_char(out, '\n');
}

static void add_signature(wa_text *out, const wa_value *v)
{
    wa_text what = WA_TEXT_INIT;
    const char *by = wa_get_string(v, "by"), *text = wa_get_string(v, "text");
    if (v == NULL)
        return;
    if (by != NULL)
        wa_text_printf(&what, "made by %s%s", by, text == NULL ? "" : ": ");
    wa_text_add(&what, text == NULL ? "" : text);
    add_row(out, "signature", wa_get_string(v, "state"), wa_text_string(&what));
    wa_text_spend(&what, out);
}

static void add_versions(wa_text *out, const wa_value *v)
{
    double there = 0, here = 0;
    const char *made = wa_get_string(v, "program");
    if (v == NULL)
        return;
    wa_number_of(wa_get(v, "arithmetic"), &there);
    wa_number_of(wa_get(v, "arithmetic_here"), &here);
    wa_text_add(out, "\nmade by windassay ");
    add_text(out, made == NULL ? "of a version that it does not say" : made);
    wa_text_printf(out, ", arithmetic %.0f; audited by windassay %s, arithmetic %.0f\n", there,
                   wa_get_string(v, "program_here"), here);
}

/* Entries of a list whose state is not the usual one: "PATH: STATE". */
static void add_states(wa_text *out, const char *title, const wa_value *list,
                       const char *const *usual)
{
    size_t any = 0;
    for (size_t i = 0; i < wa_count(list); i++) {
        const char *state = wa_get_string(wa_at(list, i), "state");
        bool plain = false;
        for (size_t k = 0; usual[k] != NULL; k++)
            plain = plain || strcmp(state, usual[k]) == 0;
        if (plain)
            continue;
        if (any == 0)
            wa_text_printf(out, "\n%s\n", title);
        if (any++ >= SHOWN_MOST)
            continue;
        wa_text_add(out, "  ");
        add_text(out, wa_get_string(wa_at(list, i), "path"));
        wa_text_printf(out, " %s\n", state);
    }
    if (any > SHOWN_MOST)
        wa_text_printf(out, "  and %zu more\n", any - SHOWN_MOST);
}

static void add_differences(wa_text *out, const wa_value *found)
{
    const wa_value *list = wa_get(found, "differences");
    size_t n = wa_count(list), shown = n < SHOWN_MOST ? n : SHOWN_MOST;
    double all = (double)n;
    wa_number_of(wa_get(found, "differences_all"), &all);
    if (n == 0)
        return;
    wa_text_add(out, "\ndifferences\n");
    for (size_t i = 0; i < shown; i++) {
        wa_text_add(out, "  ");
        wa_difference_print(out, wa_at(list, i), "in the dossier", "computed again");
        wa_text_add_char(out, '\n');
    }
    if (all > (double)shown)
        wa_text_printf(out, "  and %.0f more\n", all - (double)shown);
}

static void add_causes(wa_text *out, const wa_value *list)
{
    if (wa_count(list) > 0)
        wa_text_add(out, "\ncause\n");
    for (size_t i = 0; i < wa_count(list); i++)
        add_row(out, wa_get_string(wa_at(list, i), "cause"), "",
                wa_get_string(wa_at(list, i), "text"));
}

/* The last line: the outcome, and how deep it goes, so that nobody takes it for more. */
static void add_outcome(wa_text *out, const wa_value *found)
{
    const char *outcome = wa_get_string(found, "outcome"), *level = wa_get_string(found, "level");
    double withheld;
    wa_text_printf(out, "\n%s", outcome);
    if (strcmp(outcome, "identical except withheld") == 0 &&
        wa_number_of(wa_get(found, "withheld"), &withheld))
        wa_text_printf(out, ": %.0f", withheld);
    if (strcmp(outcome, "identical") == 0 && level != NULL)
        wa_text_add(out, strcmp(level, "from raw data") == 0
                             ? ", from the raw data on"
                             : ", from the intervals on; the raw data were not read");
    wa_text_add_char(out, '\n');
}

wa_status wa_audit_print(wa_text *out, const wa_value *found, const wa_terminal *how, wa_error *err)
{
    static const char *const usual_inputs[] = {"found", "not in the dossier", NULL};
    static const char *const usual_scripts[] = {"as in this release", "the campaign's own", NULL};
    static const char *const no_usual[] = {NULL};
    const wa_value *levels = wa_get(found, "levels"), *list = wa_get(found, "not_computed");
    (void)how;
    wa_text_add(out, "audit of ");
    add_text(out, wa_get_string(found, "dossier"));
    wa_text_add(out, "\n\n");
    for (size_t i = 0; i < wa_count(levels); i++) {
        const wa_value *l = wa_at(levels, i);
        add_row(out, wa_get_string(l, "name"), wa_get_string(l, "outcome"),
                wa_get_string(l, "text"));
        if (i == 0)
            add_signature(out, wa_get(found, "signature"));
    }
    for (size_t i = 0; i < wa_count(list); i++)
        add_row(out, i == 0 ? "not computed" : "", wa_string_of(wa_at(list, i)), NULL);
    add_versions(out, wa_get(found, "versions"));
    add_states(out, "inputs", wa_get(found, "inputs"), usual_inputs);
    add_states(out, "scripts", wa_get(found, "scripts"), usual_scripts);
    add_states(out, "files", wa_get(found, "files"), no_usual);
    add_differences(out, found);
    add_causes(out, wa_get(found, "causes"));
    add_outcome(out, found);
    return wa_text_failed(out) ? wa_fail(err, WA_ERR_NOMEM, "out of memory") : WA_OK;
}
