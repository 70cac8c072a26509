/* A child's answer becomes the check's part of the record, or is refused as a whole. */
#include "windassay/result.h"

#include "result/entry.h"
#include "result/parts.h"
#include "result/strict.h"

#include <stdio.h>
#include <string.h>

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

static wa_status accept_found(wa_value **entry, wa_accounts *accounts, const wa_value *reply,
                              size_t n, const wa_event *events, size_t n_events, const strict *s)
{
    static const strict_field fields[] = {
        {"values", STRICT_LIST},    {"tables", STRICT_LIST},       {"figures", STRICT_LIST},
        {"notes", STRICT_LIST},     {"requirements", STRICT_LIST}, {"accounts", STRICT_LIST},
        {"undefined", STRICT_TEXT}, {"printed", STRICT_TEXT},
    };
    wa_status code = strict_map(s, reply, "answer", fields, STRICT_COUNT(fields));
    if (code != WA_OK)
        return code;
    wa_accounts made = {0};
    wa_value *found = wa_map(), *e = NULL;
    code = found == NULL ? no_memory(s->err) : WA_OK;
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
    const char *undefined = wa_get_string(reply, "undefined");
    const char *printed = wa_get_string(reply, "printed");
    if (code == WA_OK && printed != NULL && printed[0] != '\0' &&
        !wa_map_set(found, "printed", wa_string(printed)))
        code = no_memory(s->err);
    if (code == WA_OK) {
        e = entry_make(*entry, undefined == NULL ? "ran" : "inconclusive", undefined, NULL, found);
        code = e == NULL ? no_memory(s->err) : WA_OK;
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

/* What a script's error leaves in the record: the message and its place. No trace: it holds lines
 * of the runner. A result that is not defined is an outcome, not a fault. */
static wa_status accept_error(wa_value **entry, const wa_value *reply, const strict *s)
{
    const wa_value *error = wa_get(reply, "error"), *printed = wa_get(reply, "printed");
    static const strict_field fields[] = {
        {"kind", STRICT_NAME | STRICT_REQUIRED},
        {"message", STRICT_TEXT | STRICT_REQUIRED},
        {"file", STRICT_TEXT},
        {"line", STRICT_NUMBER},
        {"source", STRICT_TEXT},
        {"hint", STRICT_TEXT},
        {"trace", STRICT_TEXT | STRICT_LIST},
    };
    wa_status code = strict_map(s, error, "error", fields, STRICT_COUNT(fields));
    if (code != WA_OK)
        return code;
    const char *message = wa_get_string(error, "message");
    bool undefined = strcmp(wa_get_string(error, "kind"), "undefined") == 0;
    wa_value *m = wa_map();
    wa_value *found = wa_map();
    bool ok =
        m != NULL && found != NULL && (printed == NULL || entry_carry(found, reply, "printed"));
    for (size_t i = 0; ok && i < STRICT_COUNT(fields) - 1; i++)
        ok = entry_carry(m, error, fields[i].key);
    wa_value *e = NULL;
    if (ok)
        e = entry_make(*entry, undefined ? "inconclusive" : "error", message, undefined ? NULL : m,
                       found);
    wa_value_free(m);
    wa_value_free(found);
    if (e == NULL)
        return no_memory(s->err);
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
    const wa_value *error = wa_get(reply, "error");
    if (error == NULL)
        return accept_found(entry, accounts, reply, n, events, n_events, &s);
    static const strict_field only[] = {{"error", STRICT_MAP | STRICT_REQUIRED},
                                        {"printed", STRICT_TEXT}};
    wa_status code = strict_map(&s, reply, "answer", only, STRICT_COUNT(only));
    return code == WA_OK ? accept_error(entry, reply, &s) : code;
}
