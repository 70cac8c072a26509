#include "run/uses.h"

#include "data/files.h"
#include "windassay/digest.h"
#include "windassay/dossier.h"
#include "windassay/json.h"
#include "windassay/result.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char RECORD[] = "result.json"; /* below data/ of a dossier */

/* ---- what checks see ------------------------------------------------------------------------ */

/* Copies the keys that are there. */
static bool carry(wa_value *to, const wa_value *from, const char *const *keys)
{
    for (; *keys != NULL; keys++) {
        const wa_value *v = wa_get(from, *keys);
        if (wa_value_kind(v) != WA_NULL && !wa_map_set(to, *keys, wa_value_copy(v)))
            return false;
    }
    return true;
}

/* A list of { name =, ... } as a map by name. The first of a name stays: a requirement has one row
 * for each limit, all with the same value. */
static wa_value *by_name(const wa_value *list, const char *const *keys)
{
    wa_value *map = wa_map();
    for (size_t i = 0; i < wa_count(list) && map != NULL; i++) {
        const char *name = wa_get_string(wa_at(list, i), "name");
        if (name == NULL || wa_get(map, name) != NULL)
            continue;
        wa_value *item = wa_map();
        bool good = item != NULL && carry(item, wa_at(list, i), keys);
        if (!good) {
            wa_value_free(item);
            item = NULL;
        }
        if (!wa_map_set(map, name, item)) {
            wa_value_free(map);
            return NULL;
        }
    }
    return map;
}

static wa_value *show_row(const wa_value *columns, const wa_value *row)
{
    wa_value *map = wa_map();
    bool good = map != NULL;
    for (size_t i = 0; i < wa_count(columns) && good; i++) {
        const char *name = wa_get_string(wa_at(columns, i), "name");
        const wa_value *cell = wa_at(row, i);
        if (name != NULL && wa_value_kind(cell) != WA_NULL)
            good = wa_map_set(map, name, wa_value_copy(cell));
    }
    if (!good) {
        wa_value_free(map);
        return NULL;
    }
    return map;
}

static wa_value *show_table(const wa_value *table)
{
    const wa_value *columns = wa_get(table, "columns"), *rows = wa_get(table, "rows");
    wa_value *shown = wa_map(), *names = wa_list(), *units = wa_map(), *lines = wa_list();
    bool good = shown != NULL && names != NULL && units != NULL && lines != NULL;
    for (size_t i = 0; i < wa_count(columns) && good; i++) {
        const char *name = wa_get_string(wa_at(columns, i), "name");
        const char *unit = wa_get_string(wa_at(columns, i), "unit");
        if (name != NULL)
            good = wa_list_add(names, wa_string(name)) &&
                   (unit == NULL || wa_map_set(units, name, wa_string(unit)));
    }
    for (size_t i = 0; i < wa_count(rows) && good; i++)
        good = wa_list_add(lines, show_row(columns, wa_at(rows, i)));
    if (!good) {
        wa_value_free(names);
        wa_value_free(units);
        wa_value_free(lines);
        wa_value_free(shown);
        return NULL;
    }
    good = wa_map_set(shown, "columns", names);
    good = wa_map_set(shown, "units", units) && good;
    good = wa_map_set(shown, "rows", lines) && good;
    if (!good) {
        wa_value_free(shown);
        return NULL;
    }
    return shown;
}

static wa_value *show_tables(const wa_value *list)
{
    wa_value *map = wa_map();
    for (size_t i = 0; i < wa_count(list) && map != NULL; i++) {
        const char *name = wa_get_string(wa_at(list, i), "name");
        if (name != NULL && !wa_map_set(map, name, show_table(wa_at(list, i)))) {
            wa_value_free(map);
            return NULL;
        }
    }
    return map;
}

bool wa_uses_add(wa_value *shown, const wa_value *entry)
{
    static const char *const said[] = {"name", "title", "status", "calibrations", NULL};
    static const char *const of_values[] = {"value", "u", "unit", "text", NULL};
    static const char *const of_requirements[] = {"value",  "unit",         "u", "dof", "k_95",
                                                  "source", "scatter_only", NULL};
    const char *id = wa_get_string(entry, "id");
    wa_value *check = wa_map();
    bool good = id != NULL && check != NULL && carry(check, entry, said) &&
                wa_map_set(check, "values", by_name(wa_get(entry, "values"), of_values)) &&
                wa_map_set(check, "requirements",
                           by_name(wa_get(entry, "requirements"), of_requirements)) &&
                wa_map_set(check, "tables", show_tables(wa_get(entry, "tables")));
    if (good)
        return wa_map_set(wa_get_mutable(shown, "checks"), id, check);
    wa_value_free(check);
    return id == NULL; /* an entry without a name cannot be asked for */
}

wa_value *wa_uses_begin(const wa_value *campaign)
{
    static const char *const keys[] = {"title", "lidar", "period", "report", NULL};
    wa_value *shown = wa_map();
    bool good =
        shown != NULL && carry(shown, campaign, keys) && wa_map_set(shown, "checks", wa_map());
    if (!good) {
        wa_value_free(shown);
        return NULL;
    }
    return shown;
}

static wa_value *show(const wa_value *record, const char *sha256)
{
    const wa_value *checks = wa_get(record, "checks");
    wa_value *shown = wa_uses_begin(wa_get(record, "campaign"));
    bool good = shown != NULL && wa_map_set(shown, "sha256", wa_string(sha256));
    for (size_t i = 0; i < wa_count(checks) && good; i++)
        good = wa_uses_add(shown, wa_at(checks, i));
    if (!good) {
        wa_value_free(shown);
        return NULL;
    }
    return shown;
}

/* ---- reading -------------------------------------------------------------------------------- */

/* A fault inside a dossier is named with the dossier before it. */
static wa_status inside(const wa_use *u, wa_status s, wa_error *err)
{
    return s == WA_OK || s == WA_ERR_NOMEM ? s : wa_place_inside(err, s, u->dossier);
}

static wa_status right_one(const wa_use *u, const char *found, wa_error *err)
{
    if (strcmp(found, u->sha256) == 0)
        return WA_OK;
    wa_fail_at(err, WA_ERR_DATA, u->dossier, 0, 0,
               "this is not the dossier that is used as '%s': the digest of its data/%s is %s, "
               "the campaign states %s",
               u->as, RECORD, found, u->sha256);
    return wa_hint(err, WA_ERR_DATA, "the digest stands in its manifest-sha256.txt");
}

/* The bytes of the record of a dossier that is whole. */
static wa_status open_dossier(wa_text *json, const wa_use *u, const wa_campaign *c, wa_error *err)
{
    char *folder = NULL;
    wa_bag *bag = NULL;
    wa_status s = wa_folder_find(&folder, c->folder, c->root, u->dossier, err);
    if (s == WA_OK)
        s = inside(u, wa_bag_open(&bag, folder, err), err);
    if (s == WA_OK)
        s = wa_bag_read(json, bag, RECORD, err);
    if (s == WA_ERR_MISSING && bag != NULL)
        s = wa_fail_at(err, WA_ERR_DATA, u->dossier, 0, 0, "it has no data/%s", RECORD);
    wa_bag_close(bag);
    free(folder);
    return s;
}

/* The record, which must be the right one. */
static wa_status read_record(wa_value **record, const wa_use *u, const wa_text *json, wa_error *err)
{
    char digest[WA_SHA256_TEXT_SIZE];
    wa_value *v = NULL;
    wa_status s = wa_sha256_of(digest, wa_text_string(json), json->length, err);
    if (s == WA_OK)
        s = right_one(u, digest, err);
    if (s == WA_OK)
        s = inside(u, wa_json_read(&v, wa_text_string(json), json->length, "data/result.json", err),
                   err);
    if (s == WA_OK) {
        const char *schema = wa_get_string(v, "schema");
        if (schema == NULL || strcmp(schema, WA_RECORD_SCHEMA) != 0)
            s = wa_fail_at(err, WA_ERR_DATA, u->dossier, 0, 0,
                           "its record has not the form %s, which this version reads",
                           WA_RECORD_SCHEMA);
    }
    if (s == WA_OK)
        *record = v;
    else
        wa_value_free(v);
    return s;
}

wa_status wa_use_read(wa_text *json, const wa_use *u, const wa_campaign *c, wa_used_record *from,
                      void *context, wa_error *err)
{
    wa_status s = from != NULL ? from(json, context, u, err) : open_dossier(json, u, c, err);
    return s == WA_OK && wa_text_failed(json) ? wa_no_memory(err) : s;
}

static bool list_use(wa_value *list, const wa_use *u, const wa_value *record, size_t bytes)
{
    static const char *const of_period[] = {"from", "to", NULL};
    static const char *const of_report[] = {"number", "revision", NULL};
    static const char *const of_record[] = {"outcome", NULL};
    const wa_value *campaign = wa_get(record, "campaign");
    wa_value *v = wa_map();
    const char *serial = wa_get_string(wa_get(campaign, "lidar"), "serial");
    const char *title = wa_get_string(campaign, "title");
    bool good = v != NULL && wa_map_set(v, "as", wa_string(u->as)) &&
                wa_map_set(v, "path", wa_string(u->dossier)) &&
                wa_map_set(v, "bytes", wa_number((double)bytes)) &&
                wa_map_set(v, "sha256", wa_string(u->sha256)) &&
                (title == NULL || wa_map_set(v, "title", wa_string(title))) &&
                (serial == NULL || wa_map_set(v, "serial", wa_string(serial))) &&
                carry(v, wa_get(campaign, "period"), of_period) &&
                carry(v, wa_get(campaign, "report"), of_report) && carry(v, record, of_record);
    if (!good) {
        wa_value_free(v);
        v = NULL;
    }
    return wa_list_add(list, v);
}

static wa_status read_use(wa_uses *to, const wa_use *u, const wa_campaign *c, wa_used_record *from,
                          void *context, wa_error *err)
{
    wa_value *record = NULL;
    wa_text *json = &to->json[to->n++];
    wa_status s = wa_use_read(json, u, c, from, context, err);
    if (s == WA_OK)
        s = read_record(&record, u, json, err);
    if (s == WA_OK && (!wa_map_set(to->shown, u->as, show(record, u->sha256)) ||
                       !list_use(to->listed, u, record, json->length)))
        s = wa_no_memory(err);
    wa_value_free(record);
    return s;
}

wa_status wa_uses_read(wa_uses *out, const wa_campaign *c, wa_used_record *from, void *context,
                       wa_error *err)
{
    wa_uses u = {wa_map(), wa_list(), calloc(c->n_uses + 1, sizeof *u.json), 0};
    bool good = u.shown != NULL && u.listed != NULL && u.json != NULL;
    wa_status s = good ? WA_OK : wa_no_memory(err);
    for (size_t i = 0; i < c->n_uses && s == WA_OK; i++)
        s = read_use(&u, &c->uses[i], c, from, context, err);
    if (s == WA_OK)
        *out = u;
    else
        wa_uses_release(&u);
    return s;
}

void wa_uses_release(wa_uses *u)
{
    for (size_t i = 0; i < u->n; i++)
        wa_text_release(&u->json[i]);
    free(u->json);
    wa_value_free(u->shown);
    wa_value_free(u->listed);
    *u = (wa_uses){0};
}
