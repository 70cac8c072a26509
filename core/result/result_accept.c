/* A child's answer becomes the check's part of the record, or is refused as a whole. */
#include "windassay/result.h"

#include "result/entry.h"
#include "result/parts.h"
#include "result/strict.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ERROR_TEXT_MAX = 4000 };

/* Text of errors and of print may hold anything. It is kept as it is where it is clean, else with
 * what is not UTF-8 or controls escaped: better than losing the message. False: memory. */
static bool carry_shown(wa_value *to, const wa_value *from, const char *key, size_t most)
{
    const wa_value *v = wa_get(from, key);
    const char *text = wa_string_of(v);
    size_t n = wa_length_of(v);
    if (v == NULL || (n == 0 && strcmp(key, "printed") == 0))
        return true;
    if (n <= most && wa_utf8_valid(text, n) && memchr(text, 0, n) == NULL)
        return entry_carry(to, from, key);
    wa_text t = WA_TEXT_INIT;
    wa_text_add_shown(&t, text, n < most ? n : most);
    bool ok = !wa_text_failed(&t) && wa_map_set(to, key, wa_string(wa_text_string(&t)));
    wa_text_release(&t);
    return ok;
}

static wa_status accept_found(wa_value **entry, wa_accounts *accounts, const wa_value *reply,
                              size_t n, const wa_event *events, size_t n_events, const strict *s)
{
    static const strict_field fields[] = {
        {"values", STRICT_LIST},    {"tables", STRICT_LIST},       {"figures", STRICT_LIST},
        {"notes", STRICT_LIST},     {"requirements", STRICT_LIST}, {"accounts", STRICT_LIST},
        {"undefined", STRICT_TEXT}, {"printed", STRICT_BYTES},     {"coverage", STRICT_LIST},
        {"judged", STRICT_LIST},    {"calibrations", STRICT_LIST},
    };
    wa_status code = strict_map(s, reply, "answer", fields, STRICT_COUNT(fields));
    if (code != WA_OK)
        return code;
    wa_accounts made = {0};
    wa_value *found = wa_map(), *e = NULL;
    code = found == NULL ? wa_no_memory(s->err) : WA_OK;
    if (code == WA_OK)
        code = parts_values(found, wa_get(reply, "values"), s);
    if (code == WA_OK)
        code = parts_tables(found, wa_get(reply, "tables"), s);
    if (code == WA_OK)
        code = parts_figures(found, wa_get(reply, "figures"), s);
    if (code == WA_OK)
        code = parts_notes(found, wa_get(reply, "notes"), s);
    if (code == WA_OK)
        code = parts_requirements(found, wa_get(reply, "requirements"), s);
    if (code == WA_OK)
        code = parts_accounts(found, &made, wa_get(reply, "accounts"), n, events, n_events, s);
    if (code == WA_OK)
        code = parts_coverage(found, wa_get(reply, "coverage"), s);
    if (code == WA_OK)
        code = parts_judged(&made.judged, wa_get(reply, "judged"), n, s);
    if (code == WA_OK)
        code = parts_calibrations(found, wa_get(reply, "calibrations"), s);
    const char *undefined = wa_get_string(reply, "undefined");
    if (code == WA_OK && !carry_shown(found, reply, "printed", STRICT_TEXT_MAX))
        code = wa_no_memory(s->err);
    if (code == WA_OK) {
        e = entry_make(*entry, undefined == NULL ? "ran" : "inconclusive", undefined, NULL, found);
        code = e == NULL ? wa_no_memory(s->err) : WA_OK;
    }
    wa_value_free(found);
    if (code != WA_OK) {
        wa_accounts_release(&made);
        return code;
    }
    wa_value_free(*entry);
    *entry = e;
    *accounts = made;
    return WA_OK;
}

static wa_status check_error(const wa_value *error, const strict *s)
{
    static const strict_field fields[] = {
        {"kind", STRICT_NAME | STRICT_REQUIRED},
        {"message", STRICT_BYTES | STRICT_REQUIRED},
        {"file", STRICT_BYTES},
        {"line", STRICT_NUMBER},
        {"source", STRICT_BYTES},
        {"hint", STRICT_BYTES},
        {"trace", STRICT_BYTES | STRICT_LIST},
    };
    double line = 0;
    wa_status code = strict_map(s, error, "error", fields, STRICT_COUNT(fields));
    if (code == WA_OK && wa_number_of(wa_get(error, "line"), &line) &&
        !(line >= 0 && line <= 1e9 && floor(line) == line))
        code = strict_refuse(s, "error", "a line is a whole number");
    return code;
}

/* What a script's error leaves in the record: the message and its place. No trace: it holds lines
 * of the runner. A result that is not defined is an outcome, not a fault. */
static wa_status accept_error(wa_value **entry, const wa_value *reply, const strict *s)
{
    static const strict_field fields[] = {{"error", STRICT_MAP | STRICT_REQUIRED},
                                          {"printed", STRICT_BYTES}};
    static const char *const texts[] = {"message", "file", "source", "hint"};
    const wa_value *error = wa_get(reply, "error");
    wa_status code = strict_map(s, reply, "answer", fields, STRICT_COUNT(fields));
    if (code == WA_OK)
        code = check_error(error, s);
    if (code != WA_OK)
        return code;
    bool undefined = strcmp(wa_get_string(error, "kind"), "undefined") == 0;
    wa_value *m = wa_map(), *found = wa_map(), *e = NULL;
    bool ok = m != NULL && found != NULL && entry_carry(m, error, "kind");
    for (size_t i = 0; ok && i < STRICT_COUNT(texts); i++)
        ok = carry_shown(m, error, texts[i], ERROR_TEXT_MAX);
    ok = ok && entry_carry(m, error, "line") &&
         carry_shown(found, reply, "printed", STRICT_TEXT_MAX);
    if (ok)
        e = entry_make(*entry, undefined ? "inconclusive" : "error", wa_get_string(m, "message"),
                       undefined ? NULL : m, found);
    wa_value_free(m);
    wa_value_free(found);
    if (e == NULL)
        return wa_no_memory(s->err);
    wa_value_free(*entry);
    *entry = e;
    return WA_OK;
}

wa_status wa_result_accept(wa_value **entry, wa_accounts *accounts, const wa_value *reply, size_t n,
                           const wa_event *events, size_t n_events, wa_error *err)
{
    char place[STRICT_NAME_MAX + 40];
    snprintf(place, sizeof place, "answer of check '%.*s'", STRICT_NAME_MAX,
             wa_get_string(*entry, "id"));
    const strict s = {place, WA_ERR_SCRIPT, err};
    return wa_get(reply, "error") == NULL
               ? accept_found(entry, accounts, reply, n, events, n_events, &s)
               : accept_error(entry, reply, &s);
}
