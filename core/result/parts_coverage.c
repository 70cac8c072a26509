/* How much data a check needs, and how much came on which day: what it answers where the job asks. */
#include "result/parts.h"

#include <math.h>
#include <stdio.h>

enum { COVERAGES_MAX = 100, ROWS_MAX = 10000, DAYS_MAX = 200000, WHERE_SIZE = 200 };

static wa_status check_count(const strict *s, const wa_value *v, const char *where)
{
    double n = -1;
    return wa_number_of(v, &n) && n >= 0 && floor(n) == n
               ? WA_OK
               : strict_refuse(s, where, "a count is a whole number from 0 on");
}

static wa_status check_rows(const strict *s, const wa_value *rows, const char *where)
{
    static const strict_field fields[] = {{"centre", STRICT_NUMBER},
                                          {"days", STRICT_LIST | STRICT_REQUIRED}};
    wa_status code = strict_list(s, rows, where, STRICT_MAP, ROWS_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(rows); i++) {
        code = strict_map(s, wa_at(rows, i), where, fields, STRICT_COUNT(fields));
        const wa_value *days = wa_get(wa_at(rows, i), "days");
        if (code == WA_OK)
            code = strict_list(s, days, where, STRICT_NUMBER, DAYS_MAX);
        for (size_t d = 0; code == WA_OK && d < wa_count(days); d++)
            code = check_count(s, wa_at(days, d), where);
    }
    return code;
}

wa_status parts_coverage(wa_value *found, const wa_value *list, const strict *s)
{
    static const strict_field fields[] = {
        {"name", STRICT_NAME | STRICT_REQUIRED},   {"unit", STRICT_NAME | STRICT_REQUIRED},
        {"each", STRICT_NUMBER | STRICT_REQUIRED}, {"needed", STRICT_NUMBER | STRICT_REQUIRED},
        {"rows", STRICT_LIST | STRICT_REQUIRED},
    };
    if (list == NULL)
        return WA_OK;
    char where[WHERE_SIZE];
    wa_status code = strict_list(s, list, "coverage", STRICT_MAP, COVERAGES_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        const wa_value *v = wa_at(list, i);
        double each = 0, needed = 0;
        snprintf(where, sizeof where, "coverage %zu", i + 1);
        code = strict_map(s, v, where, fields, STRICT_COUNT(fields));
        if (code == WA_OK)
            code = check_rows(s, wa_get(v, "rows"), where);
        wa_number_of(wa_get(v, "each"), &each);
        wa_number_of(wa_get(v, "needed"), &needed);
        if (code == WA_OK && !(each > 0 && needed >= 0))
            code = strict_refuse(s, where, "needed and each are not below zero");
    }
    if (code != WA_OK)
        return code;
    return wa_map_set(found, "coverage", wa_value_copy(list))
               ? WA_OK
               : wa_fail(s->err, WA_ERR_NOMEM, "out of memory");
}
