/* catalogue.c - the checks and the sets of criteria that come with the program. */
#include "run/agenda.h"
#include "run/sheet.h"
#include "windassay/json.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NAMES_MAX = 256, NAME_SIZE = 128 };

typedef struct names {
    char at[NAMES_MAX][NAME_SIZE];
    size_t n;
} names;

static int by_name(const void *a, const void *b)
{
    return strcmp(a, b);
}

static wa_status list_folder(names *out, const char *scripts, const char *kind, wa_error *err)
{
    char path[4200];
    snprintf(path, sizeof path, "%s/%s", scripts, kind);
    DIR *folder = opendir(path);
    if (folder == NULL)
        return wa_fail_at(err, WA_ERR_MISSING, path, 0, 0, "cannot be opened: %s", strerror(errno));
    const struct dirent *e;
    out->n = 0;
    while ((e = readdir(folder)) != NULL) {
        size_t length = strlen(e->d_name);
        if (length < 5 || length >= NAME_SIZE || out->n == NAMES_MAX ||
            strcmp(e->d_name + length - 4, ".lua") != 0)
            continue;
        memcpy(out->at[out->n], e->d_name, length - 4);
        out->at[out->n++][length - 4] = '\0';
    }
    closedir(folder);
    qsort(out->at, out->n, NAME_SIZE, by_name);
    return WA_OK;
}

static const char *nearest(const names *all, const char *name)
{
    const char *list[NAMES_MAX];
    for (size_t i = 0; i < all->n; i++)
        list[i] = all->at[i];
    return wa_nearest(name, list, all->n);
}

wa_status wa_catalogue_hint(wa_error *err, wa_status status, const wa_engine *engine,
                            const char *kind, const char *name)
{
    names *all = malloc(sizeof *all);
    if (all != NULL && list_folder(all, engine->scripts, kind, NULL) == WA_OK) {
        const char *near = nearest(all, name);
        if (near != NULL)
            wa_hint(err, status, "did you mean '%s'?", near);
    }
    free(all);
    return status;
}

/* WA_ERR_MISSING with the nearest name where there is none of this name. */
static wa_status find(const names *all, const char *kind, const char *name, wa_error *err)
{
    for (size_t i = 0; i < all->n; i++)
        if (strcmp(all->at[i], name) == 0)
            return WA_OK;
    char shown[64];
    wa_status s = wa_fail(err, WA_ERR_MISSING, "there is no '%s' among the %s",
                          wa_shown(shown, sizeof shown, name, strlen(name)), kind);
    const char *near = nearest(all, name);
    if (near != NULL)
        return wa_hint(err, s, "did you mean '%s'?", near);
    return wa_hint(err, s, "'windassay %s' lists them", kind);
}

/* What is shown of a check or a set: its name, then its own table. */
typedef wa_status loader(wa_value **out, const char *name, const wa_engine *engine,
                         wa_modules *modules, wa_error *err);

static wa_status load_criteria(wa_value **out, const char *name, const wa_engine *engine,
                               wa_modules *modules, wa_error *err)
{
    wa_criteria *decoded = NULL;
    wa_status s = wa_agenda_criteria(&decoded, out, name, engine, modules, err);
    if (s == WA_OK)
        wa_criteria_free(decoded);
    return s;
}

static wa_status named(wa_value **out, const char *name, const wa_value *table, bool whole,
                       wa_error *err)
{
    static const char *const SHORT[] = {"title", "practice", "source"};
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "name", wa_string(name));
    for (size_t i = 0; i < wa_count(table) && good; i++) {
        bool shown = whole;
        for (size_t k = 0; k < sizeof SHORT / sizeof *SHORT; k++)
            shown = shown || strcmp(wa_key(table, i), SHORT[k]) == 0;
        if (shown)
            good = wa_map_set(v, wa_key(table, i), wa_value_copy(wa_at(table, i)));
    }
    if (!good) {
        wa_value_free(v);
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    *out = v;
    return WA_OK;
}

static wa_status show(wa_value **out, const char *kind, loader *load, const char *name,
                      const wa_engine *engine, wa_error *err)
{
    names *all = malloc(sizeof *all);
    wa_modules *modules = NULL;
    wa_value *list = wa_list(), *one = NULL;
    wa_status s = all == NULL || list == NULL ? wa_fail(err, WA_ERR_NOMEM, "out of memory") : WA_OK;
    if (s == WA_OK)
        s = list_folder(all, engine->scripts, kind, err);
    if (s == WA_OK && name != NULL)
        s = find(all, kind, name, err);
    if (s == WA_OK)
        s = wa_modules_new(&modules, engine->scripts, NULL, NULL, err);
    for (size_t i = 0; s == WA_OK && i < all->n; i++) {
        wa_value *table = NULL;
        if (name != NULL && strcmp(name, all->at[i]) != 0)
            continue;
        s = load(&table, all->at[i], engine, modules, err);
        if (s == WA_OK)
            s = named(&one, all->at[i], table, name != NULL, err);
        wa_value_free(table);
        if (s == WA_OK && name == NULL && !wa_list_add(list, one))
            s = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    wa_modules_free(modules);
    free(all);
    if (s == WA_OK && name != NULL)
        *out = one;
    else if (s == WA_OK)
        *out = list;
    if (s != WA_OK || name != NULL)
        wa_value_free(list);
    return s;
}

/* ---- as tables, for a terminal ---------------------------------------------------------------- */

static void cell(wa_sheet *s, const wa_value *v)
{
    double x;
    wa_text t = WA_TEXT_INIT;
    if (wa_string_of(v) != NULL) {
        wa_sheet_text(s, wa_string_of(v));
    } else if (wa_number_of(v, &x)) {
        wa_sheet_number(s, x);
    } else if (wa_value_kind(v) == WA_LIST || wa_value_kind(v) == WA_BOOL) {
        if (wa_json_write(&t, v, WA_JSON_COMPACT, NULL) == WA_OK)
            t.at[strcspn(t.at, "\n")] = '\0';
        wa_sheet_text(s, wa_text_string(&t));
    } else {
        wa_sheet_text(s, NULL);
    }
    wa_text_release(&t);
}

/* One table: the given keys of each map of a list. */
static void show_list(wa_sheet *s, const char *name, const wa_value *list, const char *const *keys,
                      size_t n)
{
    wa_sheet_table(s, name);
    for (size_t k = 0; k < n; k++)
        wa_sheet_column(s, keys[k], NULL);
    for (size_t i = 0; i < wa_count(list); i++) {
        wa_sheet_row(s);
        for (size_t k = 0; k < n; k++)
            cell(s, wa_get(wa_at(list, i), keys[k]));
    }
}

/* What one check is: a row a word of its description. */
static void show_check(wa_sheet *s, const wa_value *one)
{
    static const char *const KEYS[] = {"title", "does", "practice"};
    const wa_value *needs = wa_get(one, "needs");
    wa_sheet_table(s, "check");
    wa_sheet_column(s, "what", NULL);
    wa_sheet_column(s, "text", NULL);
    for (size_t i = 0; i < sizeof KEYS / sizeof *KEYS; i++) {
        if (wa_get_string(one, KEYS[i]) == NULL)
            continue;
        wa_sheet_row(s);
        wa_sheet_text(s, KEYS[i]);
        wa_sheet_text(s, wa_get_string(one, KEYS[i]));
    }
    for (size_t i = 0; i < wa_count(needs); i++) {
        wa_sheet_row(s);
        wa_sheet_text(s, "needs");
        wa_sheet_text(s, wa_string_of(wa_at(needs, i)));
    }
}

static void note_text(wa_sheet *s, const wa_value *one, const char *key)
{
    const char *text = wa_get_string(one, key);
    if (text != NULL)
        wa_sheet_note(s, "%s: %s", key, text);
}

static wa_status shown(wa_value **listed, wa_value **record, const char *kind, loader *load,
                       const char *name, const wa_engine *engine, wa_error *err)
{
    static const char *const CHECKS[] = {"name", "title", "practice"};
    static const char *const SETS[] = {"name", "title", "source"};
    static const char *const PARAMETERS[] = {"name", "default",  "unit",  "tolerance",
                                             "text", "evidence", "source"};
    static const char *const LIMITS[] = {"check", "run",  "require",  "lower",
                                         "upper", "unit", "evidence", "source"};
    bool checks = strcmp(kind, "checks") == 0;
    wa_value *list = NULL;
    wa_status s = show(&list, kind, load, name, engine, err);
    if (s != WA_OK)
        return s;
    wa_sheet sheet = wa_sheet_begin();
    if (name == NULL) {
        show_list(&sheet, kind, list, checks ? CHECKS : SETS, 3);
    } else {
        if (checks) {
            show_check(&sheet, list);
            show_list(&sheet, "parameters", wa_get(list, "parameters"), PARAMETERS, 7);
        } else {
            show_list(&sheet, "limits", wa_get(list, "limits"), LIMITS, 8);
            note_text(&sheet, list, "title");
            note_text(&sheet, list, "source");
            note_text(&sheet, list, "rule");
        }
    }
    s = wa_sheet_end(record, &sheet, name == NULL ? kind : name, err);
    if (s == WA_OK)
        *listed = list;
    else
        wa_value_free(list);
    return s;
}

wa_status wa_list_checks(wa_value **listed, wa_value **record, const char *name,
                         const wa_engine *engine, wa_error *err)
{
    return shown(listed, record, "checks", wa_agenda_describe, name, engine, err);
}

wa_status wa_list_criteria(wa_value **listed, wa_value **record, const char *name,
                           const wa_engine *engine, wa_error *err)
{
    return shown(listed, record, "criteria", load_criteria, name, engine, err);
}
