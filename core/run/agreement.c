#include "run/agreement.h"

#include "data/supply.h"
#include "windassay/json.h"
#include "windassay/result.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { FILE_MOST = 16 * 1024 * 1024 };

/* ---- what stands now ------------------------------------------------------------------------ */

/* All that the campaign file says but for what belongs to the report alone. */
static wa_value *campaign_value(const wa_value *described)
{
    wa_value *v = wa_map();
    bool good = v != NULL;
    for (size_t i = 0; i < wa_count(described) && good; i++) {
        const char *key = wa_key(described, i);
        if (key != NULL && strcmp(key, "report") != 0 && strcmp(key, "agreement") != 0)
            good = wa_map_set(v, key, wa_value_copy(wa_at(described, i)));
    }
    if (good)
        return v;
    wa_value_free(v);
    return NULL;
}

static wa_value *checks_value(const wa_agenda *agenda)
{
    wa_value *list = wa_list();
    bool good = list != NULL;
    for (size_t i = 0; i < agenda->n_checks && good; i++) {
        const wa_value *e = agenda->checks[i].entry;
        wa_value *v = wa_map();
        good = wa_map_set(v, "id", wa_value_copy(wa_get(e, "id"))) &&
               wa_map_set(v, "check", wa_value_copy(wa_get(e, "name"))) &&
               wa_map_set(v, "parameters", wa_result_parameters(e));
        if (good)
            good = wa_list_add(list, v);
        else
            wa_value_free(v);
    }
    if (good)
        return list;
    wa_value_free(list);
    return NULL;
}

/* The sets in plain form; the agenda keeps them decoded, so the cell is asked once more. */
static wa_status criteria_value(wa_value **out, const wa_agenda *agenda, const wa_engine *engine,
                                wa_error *err)
{
    wa_value *list = wa_list();
    wa_status s = list == NULL ? wa_no_memory(err) : WA_OK;
    for (size_t i = 0; i < agenda->n_criteria && s == WA_OK; i++) {
        wa_criteria *set = NULL;
        wa_value *table = NULL, *v = wa_map();
        const char *name = agenda->criteria[i]->name;
        s = wa_agenda_criteria(&set, &table, name, engine, agenda->modules, err);
        bool good = s == WA_OK && wa_map_set(v, "name", wa_string(name));
        if (good) {
            good = wa_map_set(v, "set", table);
            table = NULL;
        }
        wa_value_free(table);
        wa_criteria_free(set);
        if (good)
            good = wa_list_add(list, v);
        else
            wa_value_free(v);
        if (s == WA_OK && !good)
            s = wa_no_memory(err);
    }
    if (s == WA_OK)
        *out = list;
    else
        wa_value_free(list);
    return s;
}

static wa_value *scripts_value(const wa_modules *m)
{
    wa_value *list = wa_list();
    bool good = list != NULL;
    for (size_t i = 0; i < wa_modules_count(m) && good; i++) {
        const wa_module *file = wa_modules_at(m, i);
        wa_value *v = wa_map();
        good = wa_map_set(v, "path", wa_string(file->path)) &&
               wa_map_set(v, "sha256", wa_string(file->sha256));
        if (good)
            good = wa_list_add(list, v);
        else
            wa_value_free(v);
    }
    if (good)
        return list;
    wa_value_free(list);
    return NULL;
}

wa_status wa_agreement_make(wa_value **out, const wa_agenda *agenda, const wa_engine *engine,
                            wa_error *err)
{
    wa_value *v = wa_map(), *criteria = NULL;
    wa_status s = criteria_value(&criteria, agenda, engine, err);
    if (s != WA_OK) {
        wa_value_free(v);
        return s;
    }
    bool good = wa_map_set(v, "interface", wa_number(WA_INTERFACE)) &&
                wa_map_set(v, "arithmetic", wa_number(WA_ARITHMETIC)) &&
                wa_map_set(v, "version", wa_string(WA_VERSION)) &&
                wa_map_set(v, "campaign", campaign_value(agenda->campaign->described)) &&
                wa_map_set(v, "checks", checks_value(agenda));
    if (good) {
        good = wa_map_set(v, "criteria", criteria);
        criteria = NULL;
    }
    good = good && wa_map_set(v, "scripts", scripts_value(agenda->modules));
    wa_value_free(criteria);
    if (!good) {
        wa_value_free(v);
        return wa_no_memory(err);
    }
    *out = v;
    return WA_OK;
}

/* ---- the file ------------------------------------------------------------------------------- */

char *wa_agreement_file(const wa_campaign *c)
{
    if (c->agreement != NULL)
        return strdup(c->agreement);
    size_t n = strlen(c->file);
    if (n > 4 && strcmp(c->file + n - 4, ".lua") == 0)
        n -= 4;
    wa_text t = WA_TEXT_INIT;
    wa_text_add_bytes(&t, c->file, n);
    wa_text_add(&t, ".agreed.json");
    if (wa_text_failed(&t)) {
        wa_text_release(&t);
        return NULL;
    }
    return t.at;
}

static wa_status read_whole(wa_text *out, int fd, const char *file, wa_error *err)
{
    char block[65536];
    for (;;) {
        ssize_t got = read(fd, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return wa_fail_at(err, WA_ERR_IO, file, 0, 0, "cannot read: %s", strerror(errno));
        if (got == 0)
            return wa_text_failed(out) ? wa_no_memory(err) : WA_OK;
        wa_text_add_bytes(out, block, (size_t)got);
        if (out->length > FILE_MOST)
            return wa_fail_at(err, WA_ERR_DATA, file, 0, 0, "it is too large for an agreement");
    }
}

static bool are_counts(const wa_value *map)
{
    for (size_t i = 0; i < wa_count(map); i++) {
        double n = -1;
        if (!wa_number_of(wa_at(map, i), &n) || n < 0 || n > 1e9 || floor(n) != n)
            return false;
    }
    return true;
}

/* What a reader of it relies on. */
static wa_status check_form(const wa_value *v, const char *file, wa_error *err)
{
    static const struct {
        const char *key;
        wa_kind kind;
        bool required;
    } keys[] = {{"campaign", WA_MAP, true},    {"checks", WA_LIST, true},
                {"criteria", WA_LIST, true},   {"scripts", WA_LIST, true},
                {"by", WA_STRING, false},      {"on", WA_STRING, false},
                {"files_there", WA_MAP, false}};
    const char *schema = wa_get_string(v, "schema");
    if (schema == NULL || strcmp(schema, WA_AGREEMENT_SCHEMA) != 0) {
        wa_fail_at(err, WA_ERR_DATA, file, 0, 0, "it is no agreement (%s)", WA_AGREEMENT_SCHEMA);
        return wa_hint(err, WA_ERR_DATA, "'windassay agree CAMPAIGN.lua' writes one");
    }
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        const wa_value *x = wa_get(v, keys[i].key);
        bool good = x == NULL ? !keys[i].required : wa_value_kind(x) == keys[i].kind;
        if (!good || (keys[i].kind == WA_MAP && !keys[i].required && !are_counts(x)))
            return wa_fail_at(err, WA_ERR_DATA, file, 0, 0, "'%s' is not as an agreement has it",
                              keys[i].key);
    }
    return WA_OK;
}

wa_status wa_agreement_parse(wa_agreement *out, const char *file, const wa_text *json,
                             wa_error *err)
{
    wa_agreement a = {.json = WA_TEXT_INIT, .file = strdup(file)};
    wa_text_add_bytes(&a.json, json->at, json->length);
    wa_status s = a.file == NULL || wa_text_failed(&a.json) ? wa_no_memory(err) : WA_OK;
    if (s == WA_OK)
        s = wa_json_read(&a.value, wa_text_string(&a.json), a.json.length, file, err);
    if (s == WA_OK)
        s = check_form(a.value, file, err);
    if (s == WA_OK)
        s = wa_sha256_of(a.sha256, a.json.at, a.json.length, err);
    if (s == WA_OK)
        *out = a;
    else
        wa_agreement_release(&a);
    return s;
}

wa_status wa_agreement_read(wa_agreement *out, const wa_campaign *c, wa_error *err)
{
    int fd = -1;
    wa_text json = WA_TEXT_INIT;
    char *file = wa_agreement_file(c);
    if (file == NULL)
        return wa_no_memory(err);
    wa_error why;
    wa_status s = wa_open_beneath(&fd, c->folder, file, &why);
    if (s == WA_ERR_MISSING && c->agreement == NULL) {
        free(file);
        *out = (wa_agreement){.json = WA_TEXT_INIT};
        return WA_OK;
    }
    if (s == WA_ERR_MISSING) {
        wa_fail_at(err, s, c->file, 0, 0, "agreement: there is no file '%s'", file);
        wa_hint(err, s, "'windassay agree' writes it, before there are data");
    } else if (s != WA_OK && err != NULL) {
        *err = why;
    }
    if (s == WA_OK)
        s = read_whole(&json, fd, file, err);
    if (fd >= 0)
        close(fd);
    if (s == WA_OK)
        s = wa_agreement_parse(out, file, &json, err);
    wa_text_release(&json);
    free(file);
    return s;
}

void wa_agreement_release(wa_agreement *a)
{
    free(a->file);
    wa_text_release(&a->json);
    wa_value_free(a->value);
    *a = (wa_agreement){.json = WA_TEXT_INIT};
}
