#include "windassay/calibration.h"

#include "result/entry.h"
#include "result/parts.h"

#include <string.h>

/* What a calibration is of. */
static const char *const TARGET[] = {"quantity", "beam", "range", "height"};

bool wa_calibration_same(const wa_value *a, const wa_value *b)
{
    for (size_t i = 0; i < STRICT_COUNT(TARGET); i++) {
        const wa_value *x = wa_get(a, TARGET[i]), *y = wa_get(b, TARGET[i]);
        if ((x == NULL) != (y == NULL) || (x != NULL && !wa_value_equal(x, y)))
            return false;
    }
    return true;
}

static bool holds(const wa_value *list, const wa_value *target)
{
    for (size_t i = 0; i < wa_count(list); i++)
        if (wa_calibration_same(wa_at(list, i), target))
            return true;
    return false;
}

/* ---- what was calibrated ---------------------------------------------------------------------- */

/* One calibration with the check that gave it. NULL: memory. */
static wa_value *with_check(const wa_value *given, const wa_value *entry)
{
    wa_value *m = wa_map();
    const char *id = wa_get_string(entry, "id"), *outcome = wa_get_string(entry, "outcome");
    bool ok = wa_map_set(m, "check", wa_string(id)) && wa_map_set(m, "outcome", wa_string(outcome));
    for (size_t i = 0; ok && i < wa_count(given); i++)
        ok = wa_map_set(m, wa_key(given, i), wa_value_copy(wa_at(given, i)));
    if (!ok) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

/* Whether the check was decided by a contract. */
static bool decided(const wa_value *entry)
{
    const wa_value *sets = wa_get(entry, "criteria");
    for (size_t i = 0; i < wa_count(sets); i++) {
        const char *use = wa_get_string(wa_at(sets, i), "use");
        if (use != NULL && strcmp(use, "contract") == 0)
            return true;
    }
    return false;
}

static bool add_given(wa_value *list, const wa_value *entry)
{
    const wa_value *given = wa_get(entry, "calibrations");
    bool ok = true;
    for (size_t k = 0; ok && k < wa_count(given); k++)
        ok = holds(list, wa_at(given, k)) || wa_list_add(list, with_check(wa_at(given, k), entry));
    return ok;
}

/* Those of all checks that ran, in the order of the campaign. Where several are of one thing it is
 * that of the check which a contract decides, else the first. NULL: memory. */
static wa_value *collect(const wa_value *checks)
{
    wa_value *list = wa_list();
    bool ok = list != NULL;
    for (int round = 0; round < 2; round++)
        for (size_t i = 0; ok && i < wa_count(checks); i++)
            if (decided(wa_at(checks, i)) == (round == 0))
                ok = add_given(list, wa_at(checks, i));
    if (!ok) {
        wa_value_free(list);
        return NULL;
    }
    return list;
}

/* ---- what was not ----------------------------------------------------------------------------- */

static bool calibrates(const wa_value *list, const char *quantity)
{
    for (size_t i = 0; i < wa_count(list); i++)
        if (strcmp(wa_get_string(wa_at(list, i), "quantity"), quantity) == 0)
            return true;
    return false;
}

static bool set_copy(wa_value *to, const wa_value *from, const char *key)
{
    const wa_value *v = wa_get(from, key);
    return v == NULL || wa_map_set(to, key, wa_value_copy(v));
}

/* Adds { quantity, beam, range, height } unless it is calibrated or there already. */
static bool add_open(wa_value *open, const wa_value *calibrated, const char *quantity,
                     const wa_value *place, const wa_value *channel)
{
    wa_value *m = wa_map();
    bool ok = wa_map_set(m, "quantity", wa_string(quantity)) && set_copy(m, place, "beam") &&
              set_copy(m, place, "range") && set_copy(m, channel, "height");
    if (ok && (holds(calibrated, m) || holds(open, m))) {
        wa_value_free(m);
        return true;
    }
    if (!ok) {
        wa_value_free(m);
        m = NULL;
    }
    return wa_list_add(open, m);
}

/* One channel of the unit: at each beam and range where samples of its source were counted; a
 * quantity of which nothing is calibrated stands once, for all of them. */
static bool add_channel(wa_value *open, const wa_value *calibrated, const wa_value *channel,
                        const char *source, const wa_value *samples)
{
    const char *quantity = wa_get_string(channel, "quantity");
    const char *unit = wa_get_string(channel, "unit");
    if (quantity == NULL || unit == NULL || strcmp(unit, "1") == 0)
        return true; /* counts, bits, words */
    if (!calibrates(calibrated, quantity))
        return add_open(open, calibrated, quantity, NULL, NULL);
    bool ok = true, split = false;
    for (size_t i = 0; ok && i < wa_count(samples); i++) {
        const wa_value *place = wa_at(samples, i);
        const char *of = wa_get_string(place, "source");
        if (of == NULL || strcmp(of, source) != 0)
            continue;
        split = true;
        ok = add_open(open, calibrated, quantity, place, channel);
    }
    return ok && (split || add_open(open, calibrated, quantity, NULL, channel));
}

/* The beams that the unit has by its description, at the ranges that it has. */
static bool add_beams(wa_value *open, const wa_value *calibrated, const wa_value *lidar)
{
    const wa_value *beams = wa_get(lidar, "beams");
    const wa_value *ranges = wa_get(wa_get(lidar, "ranges"), "at");
    bool ok = true;
    for (size_t i = 0; ok && i < wa_count(beams); i++)
        for (size_t k = 0; ok && k < wa_count(ranges); k++) {
            wa_value *place = wa_map();
            ok = wa_map_set(place, "beam", wa_number((double)i + 1)) &&
                 wa_map_set(place, "range", wa_value_copy(wa_at(ranges, k))) &&
                 add_open(open, calibrated, "los_speed", place, NULL);
            wa_value_free(place);
        }
    return ok;
}

/* The channels of the unit, and the beams that it has, that no calibration is of. */
static wa_value *not_calibrated(const wa_value *record, const wa_value *calibrated)
{
    const wa_value *sources = wa_get(wa_get(record, "campaign"), "sources");
    wa_value *open = wa_list();
    bool ok = open != NULL;
    for (size_t i = 0; ok && i < wa_count(sources); i++) {
        const wa_value *s = wa_at(sources, i), *channels = wa_get(s, "channels");
        const char *role = wa_get_string(s, "role"), *name = wa_get_string(s, "name");
        if (role == NULL || name == NULL || strcmp(role, "unit") != 0)
            continue;
        for (size_t k = 0; ok && k < wa_count(channels); k++)
            ok = add_channel(open, calibrated, wa_at(channels, k), name, wa_get(record, "samples"));
    }
    if (ok && calibrates(calibrated, "los_speed"))
        ok = add_beams(open, calibrated, wa_get(wa_get(record, "campaign"), "lidar"));
    if (!ok) {
        wa_value_free(open);
        return NULL;
    }
    return open;
}

/* ---- the file --------------------------------------------------------------------------------- */

static bool carry(wa_value *to, const wa_value *from, const char *const *keys)
{
    bool ok = true;
    for (; ok && *keys != NULL; keys++)
        ok = set_copy(to, from, *keys);
    return ok;
}

static wa_value *about_record(const wa_value *record, const char *sha256)
{
    static const char *const of_record[] = {"arithmetic", "outcome", NULL};
    static const char *const of_report[] = {"number", "revision", "status", NULL};
    static const char *const of_campaign[] = {"title", NULL};
    static const char *const of_period[] = {"from", "to", NULL};
    const wa_value *campaign = wa_get(record, "campaign");
    wa_value *m = wa_map();
    bool ok = wa_map_set(m, "sha256", wa_string(sha256)) && carry(m, record, of_record) &&
              carry(m, campaign, of_campaign) && carry(m, wa_get(campaign, "report"), of_report) &&
              carry(m, wa_get(campaign, "period"), of_period);
    if (!ok) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

static wa_value *about_lidar(const wa_value *lidar)
{
    static const char *const keys[] = {"serial", "kind",  "firmware", "configuration",
                                       "sign",   "beams", NULL};
    wa_value *m = wa_map();
    if (m != NULL && !carry(m, lidar, keys)) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

wa_status wa_calibration_make(wa_value **out, const wa_value *record, const char *sha256,
                              wa_error *err)
{
    wa_value *calibrated = collect(wa_get(record, "checks")), *open = NULL, *file = NULL;
    if (calibrated == NULL)
        return wa_no_memory(err);
    if (wa_count(calibrated) == 0) {
        wa_value_free(calibrated);
        *out = NULL;
        return WA_OK;
    }
    open = not_calibrated(record, calibrated);
    file = wa_map();
    bool ok = wa_map_set(file, "schema", wa_string(WA_CALIBRATION_SCHEMA)) &&
              wa_map_set(file, "record", about_record(record, sha256)) &&
              wa_map_set(file, "lidar", about_lidar(wa_get(wa_get(record, "campaign"), "lidar")));
    ok = wa_map_set(file, "calibrations", calibrated) && ok;
    ok = wa_map_set(file, "not_calibrated", open) && ok;
    if (!ok) {
        wa_value_free(file);
        return wa_no_memory(err);
    }
    *out = file;
    return WA_OK;
}

/* ---- reading it again ------------------------------------------------------------------------- */

static wa_status look(const wa_value *v, const strict *s)
{
    static const strict_field fields[] = {{"schema", STRICT_NAME | STRICT_REQUIRED},
                                          {"record", STRICT_MAP | STRICT_REQUIRED},
                                          {"lidar", STRICT_MAP | STRICT_REQUIRED},
                                          {"calibrations", STRICT_LIST | STRICT_REQUIRED},
                                          {"not_calibrated", STRICT_LIST | STRICT_REQUIRED}};
    const char *schema = wa_get_string(v, "schema");
    if (wa_value_kind(v) != WA_MAP || schema == NULL || strcmp(schema, WA_CALIBRATION_SCHEMA) != 0)
        return strict_refuse(s, "schema", "this is no file of the form %s", WA_CALIBRATION_SCHEMA);
    wa_status code = strict_map(s, v, "calibration", fields, STRICT_COUNT(fields));
    if (code == WA_OK)
        code = strict_kind(s, wa_get(wa_get(v, "record"), "sha256"), "record.sha256", STRICT_NAME);
    if (code == WA_OK)
        code = strict_kind(s, wa_get(wa_get(v, "lidar"), "serial"), "lidar.serial", STRICT_NAME);
    if (code == WA_OK)
        code = parts_calibrations_look(wa_get(v, "calibrations"), true, s);
    return code;
}

wa_status wa_calibration_check(const wa_value *v, const char *place, wa_error *err)
{
    const strict s = {place, WA_ERR_DATA, err};
    const wa_value *list = wa_get(v, "calibrations");
    wa_status code = look(v, &s);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++)
        for (size_t k = 0; code == WA_OK && k < i; k++)
            if (wa_calibration_same(wa_at(list, i), wa_at(list, k)))
                code = strict_refuse(&s, "calibrations", "two of them are of one thing");
    return code;
}
