#include "result/entry.h"

#include "windassay/conformity.h"
#include "windassay/result.h"

#include <stdio.h>
#include <string.h>

const wa_value *entry_named(const wa_value *list, const char *name)
{
    for (size_t i = 0; i < wa_count(list); i++) {
        const char *n = wa_get_string(wa_at(list, i), "name");
        if (n != NULL && strcmp(n, name) == 0)
            return wa_at(list, i);
    }
    return NULL;
}

bool entry_carry(wa_value *to, const wa_value *from, const char *key)
{
    const wa_value *v = wa_get(from, key);
    return v == NULL || wa_map_set(to, key, wa_value_copy(v));
}

static bool carry_list(wa_value *to, const wa_value *from, const char *key)
{
    const wa_value *v = wa_get(from, key);
    return wa_map_set(to, key, wa_count(v) == 0 ? wa_list() : wa_value_copy(v));
}

wa_value *entry_make(const wa_value *head, const char *status, const char *reason,
                     const wa_value *error, const wa_value *found)
{
    static const char *const lists[] = {"requirements", "values",   "tables", "figures",
                                        "exclusions",   "accounts", "notes"};
    wa_value *e = wa_map();
    bool ok = e != NULL && entry_carry(e, head, "id") && entry_carry(e, head, "name") &&
              entry_carry(e, head, "title") && entry_carry(e, head, "practice") &&
              wa_map_set(e, "status", wa_string(status)) &&
              (reason == NULL || wa_map_set(e, "reason", wa_string(reason))) &&
              (error == NULL || wa_map_set(e, "error", wa_value_copy(error))) &&
              entry_carry(e, head, "parameters") &&
              wa_map_set(e, "outcome", wa_string(wa_outcome_word(WA_OUTCOME_NO_DECISION))) &&
              wa_map_set(e, "criteria", wa_list());
    for (size_t i = 0; ok && i < sizeof lists / sizeof lists[0]; i++)
        ok = carry_list(e, found, lists[i]);
    if (ok && strcmp(status, "ran") == 0) /* of what is not decidable nothing is handed on */
        ok = entry_carry(e, found, "calibrations");
    ok = ok && entry_carry(e, found, "printed") && entry_carry(e, found, "coverage");
    if (!ok) {
        wa_value_free(e);
        return NULL;
    }
    return e;
}

static wa_status replace(wa_value **entry, const char *status, const char *reason,
                         const wa_value *error, wa_error *err)
{
    wa_value *e = entry_make(*entry, status, reason, error, NULL);
    if (e == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    wa_value_free(*entry);
    *entry = e;
    return WA_OK;
}

wa_status wa_result_not_applicable(wa_value **entry, const char *reason, wa_error *err)
{
    return replace(entry, "not applicable", reason, NULL, err);
}

wa_status wa_result_broke(wa_value **entry, const wa_error *why, wa_error *err)
{
    wa_value *m = wa_map();
    bool ok = m != NULL && wa_map_set(m, "kind", wa_string(wa_status_name(why->code))) &&
              wa_map_set(m, "message", wa_string(why->text)) &&
              (why->file[0] == '\0' || wa_map_set(m, "file", wa_string(why->file))) &&
              (why->line == 0 || wa_map_set(m, "line", wa_number((double)why->line))) &&
              (why->hint[0] == '\0' || wa_map_set(m, "hint", wa_string(why->hint)));
    wa_status code = ok ? replace(entry, "error", why->text, m, err)
                        : wa_fail(err, WA_ERR_NOMEM, "out of memory");
    wa_value_free(m);
    return code;
}
