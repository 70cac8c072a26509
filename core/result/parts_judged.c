/* What an answer tells of single intervals: the rules of exclusions, the numbers that they looked
 * at, what was compared. */
#include "result/parts.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { RULE_MAX = 1200, LOOKS_MAX = 64, JUDGED_MAX = 500, WORDS_MAX = 400 };

static wa_status no_memory(const strict *s)
{
    return wa_fail(s->err, WA_ERR_NOMEM, "out of memory");
}

/* Words that are shown as they are: short, clean. */
static wa_status words(const strict *s, const wa_value *v, const char *where, size_t most)
{
    const char *text = wa_string_of(v);
    size_t n = wa_length_of(v);
    if (text == NULL || n == 0 || n > most || !wa_is_clean(text, n))
        return strict_refuse(s, where, "words of 1 to %zu clean bytes are expected", most);
    return WA_OK;
}

wa_status parts_rule(wa_value **why, const wa_value *exclusion, const char *where, const strict *s)
{
    const wa_value *rule = wa_get(exclusion, "rule"), *list = wa_get(exclusion, "looks_at");
    wa_status code = words(s, rule, where, RULE_MAX);
    if (code == WA_OK)
        code = strict_list(s, list, where, STRICT_TEXT, LOOKS_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++)
        code = words(s, wa_at(list, i), where, WORDS_MAX);
    if (code != WA_OK)
        return code;
    wa_value *m = wa_map();
    bool ok = m != NULL && wa_map_set(m, "rule", wa_value_copy(rule)) &&
              (wa_count(list) == 0 || wa_map_set(m, "looks_at", wa_value_copy(list)));
    if (!ok) {
        wa_value_free(m);
        return no_memory(s);
    }
    *why = m;
    return WA_OK;
}

/* One finite or missing double an interval. */
static wa_status numbers(const strict *s, const wa_value *v, const char *where, size_t n)
{
    const char *bytes = wa_string_of(v);
    if (wa_length_of(v) != n * sizeof(double))
        return strict_refuse(s, where, "%zu bytes of numbers on a grid of %zu", wa_length_of(v), n);
    for (size_t i = 0; i < n; i++) {
        double x;
        memcpy(&x, bytes + i * sizeof x, sizeof x);
        if (isinf(x))
            return strict_refuse(s, where, "the number of interval %zu is infinite", i + 1);
    }
    return WA_OK;
}

wa_status parts_compared(wa_value *list, const wa_value *compared, size_t n, const strict *s)
{
    static const strict_field fields[] = {
        {"measured", STRICT_TEXT},      {"reference", STRICT_TEXT},
        {"unit", STRICT_NAME},          {"deviation_unit", STRICT_NAME},
        {"measured_at", STRICT_BYTES},  {"reference_at", STRICT_BYTES},
        {"deviation_at", STRICT_BYTES}, {"binned_by", STRICT_TEXT},
        {"bin_unit", STRICT_NAME},      {"bin_at", STRICT_BYTES},
    };
    const char *where = "compared";
    if (compared == NULL)
        return wa_list_add(list, wa_null()) ? WA_OK : no_memory(s);
    wa_status code = strict_map(s, compared, where, fields, STRICT_COUNT(fields));
    bool pair = wa_get(compared, "measured") != NULL, bins = wa_get(compared, "bin_at") != NULL;
    for (size_t i = 0; code == WA_OK && i < STRICT_COUNT(fields); i++) {
        const wa_value *v = wa_get(compared, fields[i].key);
        bool of_bins = i >= 7;
        if (v == NULL && pair && !of_bins)
            code = strict_refuse(s, where, "'%s' is missing", fields[i].key);
        else if (v == NULL)
            continue;
        else if (!pair && !of_bins)
            code = strict_refuse(s, where, "'%s' without 'measured'", fields[i].key);
        else if (!bins && of_bins)
            code = strict_refuse(s, where, "'%s' without 'bin_at'", fields[i].key);
        else if (fields[i].kinds == STRICT_BYTES)
            code = numbers(s, v, where, n);
        else if (fields[i].kinds == STRICT_TEXT)
            code = words(s, v, where, WORDS_MAX);
    }
    if (code != WA_OK)
        return code;
    return wa_list_add(list, wa_value_copy(compared)) ? WA_OK : no_memory(s);
}

wa_status parts_judged(wa_value **judged, const wa_value *list, size_t n, const strict *s)
{
    static const strict_field fields[] = {
        {"name", STRICT_TEXT | STRICT_REQUIRED},
        {"unit", STRICT_NAME | STRICT_REQUIRED},
        {"at", STRICT_BYTES | STRICT_REQUIRED},
    };
    const char *where = "judged";
    wa_status code = list == NULL ? WA_OK : strict_list(s, list, where, STRICT_MAP, JUDGED_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        const wa_value *v = wa_at(list, i);
        code = strict_map(s, v, where, fields, STRICT_COUNT(fields));
        if (code == WA_OK)
            code = words(s, wa_get(v, "name"), where, WORDS_MAX);
        if (code == WA_OK)
            code = numbers(s, wa_get(v, "at"), where, n);
        for (size_t k = 0; code == WA_OK && k < i; k++)
            if (strcmp(wa_get_string(wa_at(list, k), "name"), wa_get_string(v, "name")) == 0)
                code = strict_refuse(s, where, "'%s' stands twice", wa_get_string(v, "name"));
    }
    if (code != WA_OK)
        return code;
    wa_value *copy = list == NULL ? wa_list() : wa_value_copy(list);
    if (copy == NULL)
        return no_memory(s);
    *judged = copy;
    return WA_OK;
}
