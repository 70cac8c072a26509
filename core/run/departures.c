/* departures.c - what is no more as it was agreed: two plain values, walked side by side. */
#include "run/agreement.h"
#include "run/release.h"

#include "windassay/json.h"

#include <stdio.h>
#include <string.h>

enum { DEPARTURES_MOST = 500, SHOWN_MOST = 400, PATH_MOST = 400 };

/** The departures found so far. The first failure (memory) sticks. */
typedef struct finding {
    wa_value *list;
    bool failed;
} finding;

/* A value on one line: a text as it is, anything else as JSON; cut where it is long. */
static bool put_shown(wa_value *to, const char *key, const wa_value *v)
{
    if (v == NULL)
        return true;
    wa_text t = WA_TEXT_INIT;
    wa_error err;
    wa_status s = WA_OK;
    if (wa_value_kind(v) == WA_STRING)
        wa_text_add_bytes(&t, wa_string_of(v), wa_length_of(v));
    else
        s = wa_json_write(&t, v, WA_JSON_COMPACT, &err);
    while (t.length > 0 && t.at[t.length - 1] == '\n')
        t.at[--t.length] = '\0';
    if (t.length > SHOWN_MOST) {
        size_t n = SHOWN_MOST;
        while (n > 0 && ((unsigned char)t.at[n] & 0xc0) == 0x80)
            n--; /* no character is cut in two */
        t.length = n;
        wa_text_add(&t, " ...");
    }
    bool good =
        s == WA_OK && !wa_text_failed(&t) && wa_map_set(to, key, wa_string(wa_text_string(&t)));
    wa_text_release(&t);
    return good;
}

static void note(finding *f, const char *what, const wa_value *agreed, const wa_value *now)
{
    size_t n = wa_count(f->list);
    if (f->failed || n > DEPARTURES_MOST)
        return;
    wa_value *v = wa_map();
    bool good = true;
    if (n == DEPARTURES_MOST)
        good = wa_map_set(v, "what", wa_string("and more than can be listed"));
    else
        good = wa_map_set(v, "what", wa_string(what)) && put_shown(v, "agreed", agreed) &&
               put_shown(v, "now", now);
    if (!good)
        wa_value_free(v);
    f->failed = !good || !wa_list_add(f->list, v);
}

static void walk(finding *f, const char *what, const wa_value *agreed, const wa_value *now);

/* "period.to", "disturbed[2].from"; at the top "check ID: hours". */
static void below(finding *f, const char *what, const char *name, const wa_value *agreed,
                  const wa_value *now)
{
    char path[PATH_MOST];
    size_t n = strlen(what);
    bool first = n == 0 || what[n - 1] == ' ';
    snprintf(path, sizeof path, "%s%s%s", what, first || *name == '[' ? "" : ".", name);
    walk(f, path, agreed, now);
}

static void walk_map(finding *f, const char *what, const wa_value *agreed, const wa_value *now)
{
    for (size_t i = 0; i < wa_count(agreed); i++)
        below(f, what, wa_key(agreed, i), wa_at(agreed, i), wa_get(now, wa_key(agreed, i)));
    for (size_t i = 0; i < wa_count(now); i++)
        if (wa_get(agreed, wa_key(now, i)) == NULL)
            below(f, what, wa_key(now, i), NULL, wa_at(now, i));
}

static void walk_list(finding *f, const char *what, const wa_value *agreed, const wa_value *now)
{
    size_t n = wa_count(agreed) > wa_count(now) ? wa_count(agreed) : wa_count(now);
    for (size_t i = 0; i < n; i++) {
        char place[30];
        snprintf(place, sizeof place, "[%zu]", i + 1);
        below(f, what, place, wa_at(agreed, i), wa_at(now, i));
    }
}

static bool scalars(const wa_value *list)
{
    for (size_t i = 0; i < wa_count(list); i++)
        if (wa_value_kind(wa_at(list, i)) == WA_LIST || wa_value_kind(wa_at(list, i)) == WA_MAP)
            return false;
    return true;
}

/* Values are followed as far as both are of one kind; a list of plain values is one value. */
static void walk(finding *f, const char *what, const wa_value *agreed, const wa_value *now)
{
    wa_kind kind = wa_value_kind(agreed);
    if (agreed != NULL && now != NULL && wa_value_equal(agreed, now))
        return;
    if (agreed == NULL || now == NULL || kind != wa_value_kind(now))
        note(f, what, agreed, now);
    else if (kind == WA_MAP)
        walk_map(f, what, agreed, now);
    else if (kind == WA_LIST && !(scalars(agreed) && scalars(now)))
        walk_list(f, what, agreed, now);
    else
        note(f, what, agreed, now);
}

/* ---- lists whose entries have a name -------------------------------------------------------- */

/** How a list of the agreement is compared: entry by entry, by this key. */
typedef struct named {
    const char *list, *key, *content, *word;
} named;

static const wa_value *entry_named(const wa_value *list, const char *key, const char *name)
{
    for (size_t i = 0; i < wa_count(list); i++) {
        const char *own = wa_get_string(wa_at(list, i), key);
        if (own != NULL && strcmp(own, name) == 0)
            return wa_at(list, i);
    }
    return NULL;
}

static void walk_named(finding *f, const named *n, const wa_value *agreed, const wa_value *now)
{
    static const char absent[] = "not there";
    const wa_value *a = wa_get(agreed, n->list), *b = wa_get(now, n->list);
    for (size_t side = 0; side < 2; side++) {
        const wa_value *own = side == 0 ? a : b, *other = side == 0 ? b : a;
        for (size_t i = 0; i < wa_count(own); i++) {
            const char *name = wa_get_string(wa_at(own, i), n->key);
            if (name == NULL)
                continue;
            const wa_value *mine = wa_get(wa_at(own, i), n->content);
            const wa_value *match = entry_named(other, n->key, name);
            char what[PATH_MOST];
            bool scalar = wa_value_kind(mine) == WA_STRING;
            snprintf(what, sizeof what, "%s %s%s", n->word, name,
                     match != NULL && !scalar ? ": " : "");
            if (match != NULL && side == 0)
                walk(f, what, mine, wa_get(match, n->content));
            if (match != NULL)
                continue;
            wa_value *there = wa_string("there"), *gone = wa_string(absent);
            f->failed = f->failed || there == NULL || gone == NULL;
            note(f, what, side == 0 ? there : gone, side == 0 ? gone : there);
            wa_value_free(there);
            wa_value_free(gone);
        }
    }
}

/* Scripts of the release that were only asked for while a check ran: known by the version. */
static wa_value *without_release(const wa_value *now, const wa_value *agreed)
{
    const wa_value *a = wa_get(agreed, "scripts"), *b = wa_get(now, "scripts");
    const char *version = wa_get_string(agreed, "version");
    bool same = version != NULL && strcmp(version, WA_VERSION) == 0;
    wa_value *v = wa_map(), *list = wa_list();
    bool good = v != NULL && list != NULL;
    for (size_t i = 0; i < wa_count(b) && good; i++) {
        const char *path = wa_get_string(wa_at(b, i), "path");
        if (entry_named(a, "path", path) != NULL || !same ||
            !wa_release_has(path, wa_get_string(wa_at(b, i), "sha256")))
            good = wa_list_add(list, wa_value_copy(wa_at(b, i)));
    }
    if (good)
        good = wa_map_set(v, "scripts", list);
    else
        wa_value_free(list);
    if (good)
        return v;
    wa_value_free(v);
    return NULL;
}

wa_status wa_agreement_departures(wa_value **out, const wa_value *agreed, const wa_value *now,
                                  wa_error *err)
{
    static const named checks = {"checks", "id", "parameters", "check"};
    static const named criteria = {"criteria", "name", "set", "criteria"};
    static const named scripts = {"scripts", "path", "sha256", "script"};
    static const char *const program[] = {"version", "interface", "arithmetic"};
    finding f = {wa_list(), false};
    wa_value *ran = without_release(now, agreed);
    f.failed = f.list == NULL || ran == NULL;
    walk(&f, "campaign: ", wa_get(agreed, "campaign"), wa_get(now, "campaign"));
    walk_named(&f, &checks, agreed, now);
    walk_named(&f, &criteria, agreed, now);
    walk_named(&f, &scripts, agreed, ran);
    for (size_t i = 0; i < sizeof program / sizeof *program; i++)
        below(&f, "program: ", program[i], wa_get(agreed, program[i]), wa_get(now, program[i]));
    wa_value_free(ran);
    if (f.failed) {
        wa_value_free(f.list);
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    *out = f.list;
    return WA_OK;
}

static bool carry(wa_value *to, const wa_value *from, const char *key)
{
    const wa_value *v = wa_get(from, key);
    return v == NULL || wa_map_set(to, key, wa_value_copy(v));
}

wa_status wa_agreement_record(wa_value **out, const wa_agreement *a, const wa_agenda *agenda,
                              const wa_engine *engine, wa_error *err)
{
    wa_value *now = NULL, *departures = NULL, *v = wa_map();
    wa_status s = wa_agreement_make(&now, agenda, engine, err);
    if (s == WA_OK)
        s = wa_agreement_departures(&departures, a->value, now, err);
    bool good = s == WA_OK && wa_map_set(v, "file", wa_string(a->file)) &&
                wa_map_set(v, "sha256", wa_string(a->sha256)) && carry(v, a->value, "by") &&
                carry(v, a->value, "on") && carry(v, a->value, "files_there");
    if (good) {
        good = wa_map_set(v, "departures", departures);
        departures = NULL;
    }
    wa_value_free(now);
    wa_value_free(departures);
    if (s == WA_OK && !good)
        s = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    if (s == WA_OK)
        *out = v;
    else
        wa_value_free(v);
    return s;
}
