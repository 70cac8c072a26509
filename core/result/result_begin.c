/* The entry of a check before it runs: who it is, and with which parameters. */
#include "windassay/result.h"

#include "result/criteria_text.h"
#include "result/entry.h"
#include "result/strict.h"
#include "windassay/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { PARAMETERS_MAX = 100, LIST_MAX = 1000, WHERE_SIZE = 200 };

/* A parameter is a scalar, or a list of scalars. */
static wa_status check_parameter_value(const strict *s, const wa_value *v, const char *where)
{
    wa_status code =
        strict_kind(s, v, where, STRICT_BOOL | STRICT_NUMBER | STRICT_TEXT | STRICT_LIST);
    if (code == WA_OK && (wa_value_kind(v) == WA_LIST || wa_value_kind(v) == WA_MAP))
        code = strict_list(s, v, where, STRICT_BOOL | STRICT_NUMBER | STRICT_TEXT, LIST_MAX);
    return code;
}

/* Lists and maps are one kind where they are empty: an empty Lua table is both. */
static bool same_kind(const wa_value *a, const wa_value *b)
{
    wa_kind ka = wa_value_kind(a), kb = wa_value_kind(b);
    return (ka == WA_MAP ? WA_LIST : ka) == (kb == WA_MAP ? WA_LIST : kb);
}

static wa_value *copy_of_value(const wa_value *v)
{
    return wa_value_kind(v) == WA_MAP ? wa_list() : wa_value_copy(v);
}

/* By how much a parameter may be moved without another meaning, in its unit; "50 %" is half of the
 * value that it has. 0: not at all. */
static double tolerance_of(const wa_value *tolerance, double value)
{
    double by = 0;
    const char *text = wa_string_of(tolerance);
    if (text == NULL) {
        wa_number_of(tolerance, &by);
        return by;
    }
    size_t n = strlen(text);
    if (n < 3 || strcmp(text + n - 2, " %") != 0 ||
        wa_number_parse(&by, text, n - 2) != WA_PARSE_OK)
        return 0;
    return fabs(value) * by / 100;
}

/* Only a number has a tolerance. */
static wa_status tolerance_good(const strict *s, const wa_value *p, const char *where)
{
    const wa_value *tolerance = wa_get(p, "tolerance");
    if (tolerance == NULL)
        return WA_OK;
    if (!(tolerance_of(tolerance, 1) > 0)) {
        wa_status code = strict_refuse(s, where, "a tolerance is above 0");
        return wa_hint(s->err, code, "in the parameter's unit, or as \"50 %%\" of its value");
    }
    return wa_value_kind(wa_get(p, "default")) == WA_NUMBER
               ? WA_OK
               : strict_refuse(s, where, "only a number has a tolerance");
}

static wa_status check_description(const strict *s, const wa_value *described)
{
    static const strict_field fields[] = {{"title", STRICT_NAME | STRICT_REQUIRED},
                                          {"does", STRICT_TEXT},
                                          {"practice", STRICT_TEXT},
                                          {"needs", STRICT_LIST},
                                          {"parameters", STRICT_LIST}};
    static const strict_field of_parameter[] = {
        {"name", STRICT_NAME | STRICT_REQUIRED},
        {"default", STRICT_BOOL | STRICT_NUMBER | STRICT_TEXT | STRICT_LIST | STRICT_REQUIRED},
        {"unit", STRICT_TEXT},
        {"text", STRICT_TEXT},
        {"source", STRICT_TEXT},
        {"evidence", STRICT_NAME},
        {"tolerance", STRICT_NUMBER | STRICT_TEXT},
    };
    char where[WHERE_SIZE];
    wa_status code = strict_map(s, described, "description", fields, STRICT_COUNT(fields));
    const wa_value *list = wa_get(described, "parameters");
    if (code == WA_OK && list != NULL)
        code = strict_list(s, list, "parameters", STRICT_MAP, PARAMETERS_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        const wa_value *p = wa_at(list, i);
        snprintf(where, sizeof where, "parameter %zu", i + 1);
        code = strict_map(s, p, where, of_parameter, STRICT_COUNT(of_parameter));
        if (code != WA_OK)
            return code;
        const char *name = wa_get_string(p, "name"), *evidence = wa_get_string(p, "evidence");
        snprintf(where, sizeof where, "parameter '%s'", name);
        if (entry_named(list, name) != p)
            return strict_refuse(s, where, "it stands twice");
        code = check_parameter_value(s, wa_get(p, "default"), where);
        if (code == WA_OK && evidence != NULL)
            code = evidence_known(s, where, evidence);
        if (code == WA_OK)
            code = tolerance_good(s, p, where);
    }
    return code;
}

/* Each name that is set or confirmed must be a parameter of the check. */
static wa_status names_exist(const strict *s, const wa_value *map, const wa_value *parameters,
                             const char *what)
{
    const char *known[PARAMETERS_MAX];
    char shown[64], where[WHERE_SIZE];
    for (size_t i = 0; i < wa_count(parameters); i++)
        known[i] = wa_get_string(wa_at(parameters, i), "name");
    for (size_t i = 0; i < wa_count(map); i++) {
        const char *key = wa_key(map, i);
        if (key == NULL)
            return strict_refuse(s, what, "a list has no place here");
        if (entry_named(parameters, key) != NULL)
            continue;
        snprintf(where, sizeof where, "%s '%s'", what,
                 wa_shown(shown, sizeof shown, key, strlen(key)));
        wa_status code = strict_refuse(s, where, "the check has no such parameter");
        const char *near = wa_nearest(key, known, wa_count(parameters));
        return near == NULL ? code : wa_hint(s->err, code, "did you mean '%s'?", near);
    }
    return WA_OK;
}

static wa_status add_parameter(const strict *s, wa_value *list, const wa_value *p,
                               const wa_value *set, const wa_value *confirmed)
{
    static const char *const keys[] = {"unit", "text", "source", "evidence"};
    char where[WHERE_SIZE];
    double value = 0;
    const char *name = wa_get_string(p, "name");
    const wa_value *standard = wa_get(p, "default"), *own = wa_get(set, name);
    const wa_value *confirmation = wa_get(confirmed, name);
    snprintf(where, sizeof where, "parameter '%s'", name);
    if (own != NULL && !same_kind(own, standard)) {
        const char *unit = wa_get_string(p, "unit");
        wa_status code = strict_refuse(s, where, "it is set to a %s, its default is a %s",
                                       strict_kind_word(own), strict_kind_word(standard));
        if (unit == NULL || wa_value_kind(standard) != WA_NUMBER)
            return code;
        return wa_hint(s->err, code, "write a plain number, in %s", unit);
    }
    wa_status code = own == NULL ? WA_OK : check_parameter_value(s, own, where);
    if (code == WA_OK && confirmation != NULL)
        code = confirmation_known(s, where, confirmation);
    if (code != WA_OK)
        return code;
    wa_value *m = wa_map();
    const wa_value *used = own == NULL ? standard : own;
    wa_number_of(used, &value);
    double by = tolerance_of(wa_get(p, "tolerance"), value);
    bool ok = m != NULL && wa_map_set(m, "name", wa_string(name)) &&
              wa_map_set(m, "value", copy_of_value(used));
    for (size_t i = 0; ok && i < STRICT_COUNT(keys); i++)
        ok = entry_carry(m, p, keys[i]);
    if (ok && by > 0)
        ok = wa_map_set(m, "tolerance", wa_number(by));
    ok = ok && (confirmation == NULL || wa_map_set(m, "confirmed", wa_value_copy(confirmation))) &&
         wa_map_set(m, "set", wa_bool(own != NULL));
    if (!ok) {
        wa_value_free(m);
        return wa_no_memory(s->err);
    }
    return wa_list_add(list, m) ? WA_OK : wa_no_memory(s->err);
}

wa_status wa_result_begin(wa_value **entry, const char *id, const char *name,
                          const wa_value *described, const wa_value *set, const wa_value *confirmed,
                          wa_error *err)
{
    char place[STRICT_NAME_MAX + 20];
    snprintf(place, sizeof place, "check '%.*s'", STRICT_NAME_MAX, name);
    const strict script = {place, WA_ERR_SCRIPT, err}, data = {place, WA_ERR_DATA, err};
    const wa_value *parameters = wa_get(described, "parameters");
    wa_status code = check_description(&script, described);
    if (code == WA_OK)
        code = names_exist(&data, set, parameters, "parameters");
    if (code == WA_OK)
        code = names_exist(&data, confirmed, parameters, "confirmed");
    if (code != WA_OK)
        return code;
    wa_value *list = wa_list(), *e = NULL, *head = wa_map();
    if (list == NULL || head == NULL)
        code = wa_no_memory(err);
    for (size_t i = 0; code == WA_OK && i < wa_count(parameters); i++)
        code = add_parameter(&data, list, wa_at(parameters, i), set, confirmed);
    const char *practice = wa_get_string(described, "practice");
    bool ok = code == WA_OK && wa_map_set(head, "id", wa_string(id)) &&
              wa_map_set(head, "name", wa_string(name)) &&
              wa_map_set(head, "title", wa_string(wa_get_string(described, "title"))) &&
              wa_map_set(head, "practice", wa_string(practice == NULL ? "" : practice)) &&
              wa_map_set(head, "parameters", wa_value_copy(list));
    if (code == WA_OK) {
        e = ok ? entry_make(head, "error", "it did not run", NULL, NULL) : NULL;
        code = e == NULL ? wa_no_memory(err) : WA_OK;
    }
    wa_value_free(list);
    wa_value_free(head);
    if (code == WA_OK)
        *entry = e;
    return code;
}

wa_value *wa_result_parameters(const wa_value *entry)
{
    const wa_value *list = wa_get(entry, "parameters");
    wa_value *map = wa_map();
    bool ok = map != NULL;
    for (size_t i = 0; ok && i < wa_count(list); i++)
        ok = wa_map_set(map, wa_get_string(wa_at(list, i), "name"),
                        wa_value_copy(wa_get(wa_at(list, i), "value")));
    if (!ok) {
        wa_value_free(map);
        return NULL;
    }
    return map;
}
