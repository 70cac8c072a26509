#include "run/withhold_words.h"

#include "windassay/digest.h"
#include "windassay/json.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct wa_withholding {
    unsigned groups;
    char **pointers; /* that the caller named */
    size_t n_pointers;
    uint8_t key[WA_WITHHOLD_KEY];
    wa_value *fields, *salts, *too_short;
    wa_needles needles;
};

/* ---- what is asked for ------------------------------------------------------------------------- */

static const struct {
    const char *name;
    unsigned group;
} GROUPS[] = {{"inputs", WA_WITHHOLD_INPUTS},     {"site", WA_WITHHOLD_SITE},
              {"customer", WA_WITHHOLD_CUSTOMER}, {"people", WA_WITHHOLD_PEOPLE},
              {"notes", WA_WITHHOLD_NOTES},       {"uses", WA_WITHHOLD_USES},
              {"given", WA_WITHHOLD_GIVEN},       {"machine", WA_WITHHOLD_MACHINE},
              {"title", WA_WITHHOLD_TITLE},       {"scripts", WA_WITHHOLD_SCRIPTS}};
enum { N_GROUPS = sizeof GROUPS / sizeof *GROUPS };

/* The fields of each group, as JSON pointers. */
static const struct {
    unsigned group;
    const char *pointer;
} FIELDS[] = {
    {WA_WITHHOLD_INPUTS, "/inputs/*/path"},
    {WA_WITHHOLD_SITE, "/campaign/lidar/position"},
    {WA_WITHHOLD_CUSTOMER, "/campaign/report/customer"},
    {WA_WITHHOLD_PEOPLE, "/campaign/report/measured_by"},
    {WA_WITHHOLD_PEOPLE, "/campaign/report/approved_by"},
    {WA_WITHHOLD_PEOPLE, "/agreement/by"},
    {WA_WITHHOLD_NOTES, "/campaign/period/extended/*/reason"},
    {WA_WITHHOLD_NOTES, "/campaign/sources/*/clock/*/reason"},
    {WA_WITHHOLD_NOTES, "/campaign/report/reason"},
    {WA_WITHHOLD_NOTES, "/checks/*/notes/*"},
    {WA_WITHHOLD_NOTES, "/checks/*/printed"},
    {WA_WITHHOLD_NOTES, "/agreement/departures/*/agreed"},
    {WA_WITHHOLD_NOTES, "/agreement/departures/*/now"},
    {WA_WITHHOLD_NOTES, "/release/scripts/*/diff"},
    {WA_WITHHOLD_USES, "/uses/*/path"},
    {WA_WITHHOLD_USES, "/uses/*/title"},
    {WA_WITHHOLD_USES, "/uses/*/serial"},
    {WA_WITHHOLD_USES, "/uses/*/number"},
    {WA_WITHHOLD_USES, "/calibrations/*/serial"},
    {WA_WITHHOLD_USES, "/calibrations/*/number"},
    {WA_WITHHOLD_USES, "/calibrations/*/file"},
    {WA_WITHHOLD_USES, "/calibrations/*/title"},
    {WA_WITHHOLD_USES, "/calibrations/*/despite"},
    {WA_WITHHOLD_USES, "/agreement/file"},
    {WA_WITHHOLD_TITLE, "/campaign/title"},
};

static wa_status take_name(wa_withholding *w, const char *at, size_t n, wa_error *err)
{
    const char *names[N_GROUPS];
    char shown[80];
    for (size_t i = 0; i < N_GROUPS; i++) {
        names[i] = GROUPS[i].name;
        if (strlen(names[i]) == n && strncmp(names[i], at, n) == 0) {
            w->groups |= GROUPS[i].group;
            return WA_OK;
        }
    }
    wa_shown(shown, sizeof shown, at, n);
    if (n > 1 && *at == '/') {
        char **more = realloc(w->pointers, (w->n_pointers + 1) * sizeof *more);
        if (more == NULL)
            return wa_no_memory(err);
        w->pointers = more;
        w->pointers[w->n_pointers] = strndup(at, n);
        return w->pointers[w->n_pointers++] == NULL ? wa_no_memory(err) : WA_OK;
    }
    wa_fail(err, WA_ERR_ARG, "'%s' is nothing that can be withheld", shown);
    const char *near = wa_nearest(shown, names, N_GROUPS);
    return near != NULL ? wa_hint(err, WA_ERR_ARG, "did you mean '%s'?", near)
                        : wa_hint(err, WA_ERR_ARG,
                                  "inputs, site, customer, people, notes, uses, given, machine, "
                                  "title, scripts, or a JSON pointer: /campaign/lidar/serial");
}

wa_status wa_withholding_new(wa_withholding **out, const char *list,
                             const uint8_t key[WA_WITHHOLD_KEY], wa_error *err)
{
    wa_withholding *w = calloc(1, sizeof *w);
    if (w == NULL)
        return wa_no_memory(err);
    memcpy(w->key, key, sizeof w->key);
    w->fields = wa_list();
    w->salts = wa_list();
    w->too_short = wa_list();
    wa_status s =
        w->fields == NULL || w->salts == NULL || w->too_short == NULL ? wa_no_memory(err) : WA_OK;
    for (const char *at = list; s == WA_OK; at += strcspn(at, ",") + 1) {
        size_t n = strcspn(at, ",");
        s = take_name(w, at, n, err);
        if (at[n] == '\0')
            break;
    }
    if (s == WA_OK)
        *out = w;
    else
        wa_withholding_free(w);
    return s;
}

void wa_withholding_free(wa_withholding *w)
{
    if (w == NULL)
        return;
    for (size_t i = 0; i < w->n_pointers; i++)
        free(w->pointers[i]);
    free(w->pointers);
    wa_needles_release(&w->needles);
    wa_value_free(w->fields);
    wa_value_free(w->salts);
    wa_value_free(w->too_short);
    free(w);
}

bool wa_withholds(const wa_withholding *w, unsigned group)
{
    /* the campaign's scripts declare what the fields say */
    bool implied = group == WA_WITHHOLD_SCRIPTS && wa_count(w->fields) > 0;
    return implied || (w->groups & group) != 0;
}

const wa_value *wa_withheld_fields(const wa_withholding *w)
{
    return w->fields;
}

const wa_value *wa_withheld_salts(const wa_withholding *w)
{
    return w->salts;
}

const wa_value *wa_withheld_short(const wa_withholding *w)
{
    return w->too_short;
}

/* ---- one field --------------------------------------------------------------------------------- */

static wa_status digest_field(char token[sizeof WA_WITHHELD + WA_SHA256_TEXT_SIZE], char salt[33],
                              const wa_withholding *w, const char *pointer, const wa_value *v,
                              wa_error *err)
{
    char digest[WA_SHA256_TEXT_SIZE];
    wa_text t = WA_TEXT_INIT;
    wa_text_add_bytes(&t, w->key, sizeof w->key);
    wa_text_add(&t, pointer);
    wa_status s =
        wa_text_failed(&t) ? wa_no_memory(err) : wa_sha256_of(digest, t.at, t.length, err);
    memcpy(salt, digest, 32);
    salt[32] = '\0';
    wa_text_clear(&t);
    wa_text_printf(&t, "%s\n", salt);
    if (s == WA_OK)
        s = wa_json_write(&t, v, WA_JSON_COMPACT, err);
    if (s == WA_OK)
        s = wa_sha256_of(digest, t.at, t.length, err);
    wa_text_release(&t);
    if (s == WA_OK) {
        memcpy(token, WA_WITHHELD, sizeof WA_WITHHELD - 1);
        memcpy(token + sizeof WA_WITHHELD - 1, digest, sizeof digest);
    }
    return s;
}

static bool note(wa_value *list, const char *pointer, const char *key, const char *text,
                 const wa_value *v)
{
    wa_value *e = wa_map();
    bool good = wa_map_set(e, "path", wa_string(pointer)) && wa_map_set(e, key, wa_string(text)) &&
                (v == NULL || wa_map_set(e, "value", wa_value_copy(v)));
    if (!good) {
        wa_value_free(e);
        e = NULL;
    }
    return wa_list_add(list, e);
}

/* What stands for a value. The same words get the same token wherever they are a field. */
static wa_value *withhold_value(wa_withholding *w, const wa_value *v, const char *pointer,
                                wa_status *s, wa_error *err)
{
    char token[sizeof WA_WITHHELD + WA_SHA256_TEXT_SIZE], salt[33];
    const char *words = wa_string_of(v);
    if (words != NULL && strncmp(words, WA_WITHHELD, strlen(WA_WITHHELD)) == 0)
        return wa_value_copy(v); /* two ways lead to it */
    const char *known = words == NULL ? NULL : wa_needles_find(&w->needles, words);
    if (known != NULL) {
        if (!note(w->fields, pointer, "digest", known, NULL))
            *s = wa_no_memory(err);
        return wa_string(known);
    }
    *s = digest_field(token, salt, w, pointer, v, err);
    if (*s == WA_OK && (!note(w->fields, pointer, "digest", token, NULL) ||
                        !note(w->salts, pointer, "salt", salt, v)))
        *s = wa_no_memory(err);
    if (*s == WA_OK && words != NULL && strlen(words) >= WA_WITHHOLD_LEAST)
        *s = wa_needles_add(&w->needles, words, token, err);
    else if (*s == WA_OK && words != NULL && !wa_list_add(w->too_short, wa_string(pointer)))
        *s = wa_no_memory(err);
    return *s == WA_OK ? wa_string(token) : NULL;
}

/* ---- finding fields ------------------------------------------------------------------------------ */

typedef struct walk {
    wa_withholding *w;
    wa_text place; /* the pointer so far */
    size_t met;
    wa_status s;
    wa_error *err;
} walk;

static void step(walk *k, wa_value *v, const char *pointer);

static void go_back(walk *k, size_t length)
{
    if (!wa_text_failed(&k->place) && k->place.at != NULL)
        k->place.at[k->place.length = length] = '\0';
}

/* A member of a list or map, at the place: a field, or on the way to fields. */
static void step_into(walk *k, wa_value *in, size_t i, const char *rest)
{
    wa_value *v = wa_at_mutable(in, i);
    size_t length = k->place.length;
    if (v == NULL || wa_value_kind(v) == WA_NULL || k->s != WA_OK)
        return;
    if (wa_value_kind(in) == WA_MAP)
        wa_text_printf(&k->place, "/%s", wa_key(in, i));
    else
        wa_text_printf(&k->place, "/%zu", i);
    if (*rest == '\0') {
        k->met++;
        wa_value *token = withhold_value(k->w, v, wa_text_string(&k->place), &k->s, k->err);
        bool good = wa_value_kind(in) == WA_MAP ? wa_map_set(in, wa_key(in, i), token)
                                                : wa_list_set(in, i, token);
        if (!good && k->s == WA_OK)
            k->s = wa_no_memory(k->err);
    } else {
        step(k, v, rest);
    }
    go_back(k, length);
}

/* Takes the first part off the pointer: a key, a number, or `*` for every member. */
static void step(walk *k, wa_value *v, const char *pointer)
{
    size_t n = strcspn(pointer + 1, "/");
    const char *part = pointer + 1, *rest = part + n;
    for (size_t i = 0; i < wa_count(v); i++) {
        char number[24];
        snprintf(number, sizeof number, "%zu", i);
        const char *name = wa_value_kind(v) == WA_MAP ? wa_key(v, i) : number;
        if ((n == 1 && *part == '*') || (strlen(name) == n && strncmp(name, part, n) == 0))
            step_into(k, v, i, rest);
    }
}

/* What the check `site` found is left out as a whole: an empty list stands in its place. */
static void leave_out_site(walk *k, wa_value *record)
{
    static const char *const keys[] = {"values", "tables", "figures", "notes"};
    wa_value *checks = wa_get_mutable(record, "checks");
    for (size_t i = 0; i < wa_count(checks) && k->s == WA_OK; i++) {
        wa_value *check = wa_at_mutable(checks, i);
        const char *name = wa_get_string(check, "name");
        for (size_t j = 0; j < 4 && name != NULL && strcmp(name, "site") == 0; j++) {
            const wa_value *v = wa_get(check, keys[j]);
            if (wa_count(v) == 0 || k->s != WA_OK)
                continue;
            wa_text_clear(&k->place);
            wa_text_printf(&k->place, "/checks/%zu/%s", i, keys[j]);
            wa_value *token = withhold_value(k->w, v, wa_text_string(&k->place), &k->s, k->err);
            wa_value_free(token);
            if (!wa_map_set(check, keys[j], wa_list()) && k->s == WA_OK)
                k->s = wa_no_memory(k->err);
        }
    }
    wa_text_clear(&k->place);
}

/* The reasons of events: what the logbook says. */
static void withhold_events(walk *k, wa_value *record)
{
    wa_value *checks = wa_get_mutable(record, "checks");
    for (size_t i = 0; i < wa_count(checks); i++) {
        wa_value *list = wa_get_mutable(wa_at_mutable(checks, i), "exclusions");
        for (size_t j = 0; j < wa_count(list) && k->s == WA_OK; j++) {
            if (!wa_true(wa_get(wa_at(list, j), "event")))
                continue;
            wa_text_clear(&k->place);
            wa_text_printf(&k->place, "/checks/%zu/exclusions/%zu", i, j);
            step(k, wa_at_mutable(list, j), "/reason");
        }
    }
    wa_text_clear(&k->place);
}

wa_status wa_withhold_text(const wa_withholding *w, wa_text *text, bool *changed, wa_error *err)
{
    return wa_needles_replace(&w->needles, text, changed, err);
}

wa_status wa_withhold_record(wa_withholding *w, wa_value *record, wa_error *err)
{
    walk k = {.w = w, .place = WA_TEXT_INIT, .err = err};
    for (size_t i = 0; i < sizeof FIELDS / sizeof *FIELDS; i++)
        if ((w->groups & FIELDS[i].group) != 0)
            step(&k, record, FIELDS[i].pointer);
    if ((w->groups & WA_WITHHOLD_SITE) != 0)
        leave_out_site(&k, record);
    if ((w->groups & WA_WITHHOLD_NOTES) != 0)
        withhold_events(&k, record);
    for (size_t i = 0; i < w->n_pointers && k.s == WA_OK; i++) {
        k.met = 0;
        step(&k, record, w->pointers[i]);
        if (k.met == 0 && k.s == WA_OK)
            k.s = wa_fail(err, WA_ERR_DATA, "the record has nothing at %.200s", w->pointers[i]);
    }
    if (k.s == WA_OK && wa_text_failed(&k.place))
        k.s = wa_no_memory(err);
    wa_text_release(&k.place);
    for (size_t i = 0; i < wa_count(record) && k.s == WA_OK; i++)
        if (!wa_map_set(record, wa_key(record, i),
                        wa_needles_clean(&w->needles, wa_at(record, i), &k.s, err)) &&
            k.s == WA_OK)
            k.s = wa_no_memory(err);
    return k.s;
}
