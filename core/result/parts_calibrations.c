/* Calibrations that a check gives, and those that a later campaign reads: one form, one look. */
#include "result/parts.h"

#include "result/entry.h"

#include <stdio.h>
#include <string.h>

enum {
    CALIBRATIONS_MAX = 1000,
    BINS_MAX = 1000,
    COMPONENTS_MAX = 200,
    VALID_MAX = 50,
    WHERE_SIZE = 200
};

static double number_of(const wa_value *map, const char *key)
{
    double x = 0;
    wa_number_of(wa_get(map, key), &x);
    return x;
}

/* Bins by rising reference: what lies between two of them is interpolated. */
static wa_status check_bins(const strict *s, const wa_value *bins, const char *where)
{
    static const strict_field fields[] = {{"reference", STRICT_NUMBER | STRICT_REQUIRED},
                                          {"measured", STRICT_NUMBER | STRICT_REQUIRED},
                                          {"records", STRICT_NUMBER | STRICT_REQUIRED},
                                          {"u", STRICT_NUMBER | STRICT_REQUIRED}};
    wa_status code = strict_list(s, bins, where, STRICT_MAP, BINS_MAX);
    if (code == WA_OK && wa_count(bins) == 0)
        code = strict_refuse(s, where, "a calibration has bins");
    for (size_t i = 0; code == WA_OK && i < wa_count(bins); i++) {
        const wa_value *b = wa_at(bins, i);
        code = strict_map(s, b, where, fields, STRICT_COUNT(fields));
        if (code == WA_OK && (number_of(b, "u") < 0 || number_of(b, "records") < 1))
            code = strict_refuse(s, where, "bin %zu has no records or no uncertainty", i + 1);
        if (code == WA_OK && i > 0 &&
            !(number_of(b, "reference") > number_of(wa_at(bins, i - 1), "reference")))
            code = strict_refuse(s, where, "the bins are not in rising order of the reference");
    }
    return code;
}

static wa_status check_components(const strict *s, const wa_value *list, size_t bins,
                                  const char *where)
{
    static const strict_field fields[] = {{"name", STRICT_NAME | STRICT_REQUIRED},
                                          {"kind", STRICT_NAME | STRICT_REQUIRED},
                                          {"group", STRICT_NAME},
                                          {"source", STRICT_TEXT},
                                          {"u", STRICT_LIST | STRICT_REQUIRED}};
    wa_status code = strict_list(s, list, where, STRICT_MAP, COMPONENTS_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        const wa_value *c = wa_at(list, i), *u = wa_get(c, "u");
        code = strict_map(s, c, where, fields, STRICT_COUNT(fields));
        if (code != WA_OK)
            break;
        const char *kind = wa_get_string(c, "kind");
        if (strcmp(kind, "A") != 0 && strcmp(kind, "B") != 0)
            code = strict_refuse(s, where, "a component is of type A or B");
        if (code == WA_OK)
            code = strict_list(s, u, where, STRICT_NUMBER, BINS_MAX);
        if (code == WA_OK && wa_count(u) != bins)
            code = strict_refuse(s, where, "component '%s' has %zu values for %zu bins",
                                 wa_get_string(c, "name"), wa_count(u), bins);
        for (size_t k = 0; code == WA_OK && k < wa_count(u); k++) {
            double x = 0;
            wa_number_of(wa_at(u, k), &x);
            if (x < 0)
                code = strict_refuse(s, where, "a standard uncertainty is not negative");
        }
    }
    return code;
}

static wa_status check_valid(const strict *s, const wa_value *list, const char *where)
{
    static const strict_field fields[] = {{"quantity", STRICT_NAME | STRICT_REQUIRED},
                                          {"lowest", STRICT_NUMBER | STRICT_REQUIRED},
                                          {"highest", STRICT_NUMBER | STRICT_REQUIRED},
                                          {"unit", STRICT_NAME | STRICT_REQUIRED}};
    wa_status code = strict_list(s, list, where, STRICT_MAP, VALID_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        const wa_value *v = wa_at(list, i);
        code = strict_map(s, v, where, fields, STRICT_COUNT(fields));
        if (code == WA_OK && number_of(v, "lowest") > number_of(v, "highest"))
            code = strict_refuse(s, where, "a range of validity ends before it begins");
    }
    return code;
}

#define FIELDS                                                                                     \
    {"name", STRICT_NAME | STRICT_REQUIRED}, {"quantity", STRICT_NAME | STRICT_REQUIRED},          \
        {"beam", STRICT_NUMBER}, {"range", STRICT_NUMBER}, {"height", STRICT_NUMBER},              \
        {"unit", STRICT_NAME | STRICT_REQUIRED}, {"gain", STRICT_NUMBER | STRICT_REQUIRED},        \
        {"gain_u", STRICT_NUMBER | STRICT_REQUIRED}, {"text", STRICT_TEXT},                        \
        {"from", STRICT_NAME | STRICT_REQUIRED}, {"to", STRICT_NAME | STRICT_REQUIRED},            \
        {"valid", STRICT_LIST | STRICT_REQUIRED}, {"bins", STRICT_LIST | STRICT_REQUIRED},         \
    {                                                                                              \
        "components", STRICT_LIST | STRICT_REQUIRED                                                \
    }

/* What a check gives; in a file `check` and `outcome` stand beside it. */
static const strict_field GIVEN[] = {FIELDS};
static const strict_field READ[] = {
    FIELDS, {"check", STRICT_NAME | STRICT_REQUIRED}, {"outcome", STRICT_NAME | STRICT_REQUIRED}};

static wa_status check_one(const strict *s, const wa_value *v, const char *where,
                           const strict_field *fields, size_t n)
{
    wa_status code = strict_map(s, v, where, fields, n);
    if (code == WA_OK && !(number_of(v, "gain") > 0 && number_of(v, "gain_u") >= 0))
        code = strict_refuse(s, where, "a gain is above zero, its uncertainty not below");
    if (code == WA_OK)
        code = check_bins(s, wa_get(v, "bins"), where);
    if (code == WA_OK)
        code = check_components(s, wa_get(v, "components"), wa_count(wa_get(v, "bins")), where);
    return code == WA_OK ? check_valid(s, wa_get(v, "valid"), where) : code;
}

wa_status parts_calibrations_look(const wa_value *list, bool read, const strict *s)
{
    char where[WHERE_SIZE];
    wa_status code = strict_list(s, list, "calibrations", STRICT_MAP, CALIBRATIONS_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        snprintf(where, sizeof where, "calibration %zu", i + 1);
        code = read ? check_one(s, wa_at(list, i), where, READ, STRICT_COUNT(READ))
                    : check_one(s, wa_at(list, i), where, GIVEN, STRICT_COUNT(GIVEN));
    }
    return code;
}

/* One calibration with its keys in our order, and lists that are lists. NULL: memory. */
static wa_value *ordered(const wa_value *v)
{
    wa_value *m = wa_map();
    bool ok = m != NULL;
    for (size_t i = 0; ok && i < STRICT_COUNT(GIVEN); i++) {
        const wa_value *item = wa_get(v, GIVEN[i].key);
        bool none = (GIVEN[i].kinds & STRICT_LIST) != 0 && wa_count(item) == 0;
        ok = none ? wa_map_set(m, GIVEN[i].key, wa_list()) : entry_carry(m, v, GIVEN[i].key);
    }
    if (!ok) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

wa_status parts_calibrations(wa_value *found, const wa_value *list, const strict *s)
{
    if (list == NULL)
        return WA_OK;
    wa_status code = parts_calibrations_look(list, false, s);
    if (code != WA_OK)
        return code;
    wa_value *out = wa_list();
    bool ok = out != NULL;
    for (size_t i = 0; ok && i < wa_count(list); i++)
        ok = wa_list_add(out, ordered(wa_at(list, i)));
    if (!ok) {
        wa_value_free(out);
        out = NULL;
    }
    return wa_map_set(found, "calibrations", out) ? WA_OK
                                                  : wa_fail(s->err, WA_ERR_NOMEM, "out of memory");
}
