#include "data/decode.h"

#include "data/lua_lines.h"
#include "windassay/text.h"
#include "windassay/time.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

wa_node wa_node_child(const wa_node *n, const char *key)
{
    return (wa_node){n->d, n, key, 0, wa_get(n->v, key)};
}

wa_node wa_node_entry(const wa_node *n, size_t i)
{
    return (wa_node){n->d, n, wa_key(n->v, i), i, wa_at(n->v, i)};
}

wa_node wa_node_position(const wa_node *n, size_t i)
{
    char key[24];
    snprintf(key, sizeof key, "%zu", i);
    bool list = wa_value_kind(n->v) == WA_LIST;
    return (wa_node){n->d, n, NULL, i - 1, list ? wa_at(n->v, i - 1) : wa_get(n->v, key)};
}

bool wa_node_there(const wa_node *n)
{
    return n->v != NULL && n->d->status == WA_OK;
}

bool wa_node_failed(const wa_node *n)
{
    return n->d->status != WA_OK;
}

static void add_path(wa_text *t, const wa_node *n)
{
    if (n->up == NULL)
        return;
    add_path(t, n->up);
    if (n->key == NULL) {
        wa_text_printf(t, "[%zu]", n->index + 1);
    } else {
        wa_text_add(t, t->length > 0 ? "." : "");
        wa_text_add_shown(t, n->key, strlen(n->key));
    }
}

/* The line of the node's key: each key is looked for inside the table of the one before. */
static wa_lua_span find(const wa_node *n)
{
    if (n->up == NULL)
        return wa_lua_whole(n->d->text);
    wa_lua_span outer = find(n->up);
    return n->key == NULL ? wa_lua_item(n->d->text, outer, n->index)
                          : wa_lua_key(n->d->text, outer, n->key);
}

static void report(const wa_node *n, const char *text, const char *hint)
{
    wa_text path = WA_TEXT_INIT;
    add_path(&path, n);
    if (path.length > 0)
        wa_text_add(&path, ": ");
    size_t line = n->d->text == NULL ? 0 : find(n).line;
    n->d->status = WA_ERR_DATA;
    wa_fail_at(n->d->err, WA_ERR_DATA, n->d->file, line, 0, "%s%s", wa_text_string(&path), text);
    if (hint != NULL)
        wa_hint(n->d->err, WA_ERR_DATA, "%s", hint);
    wa_text_release(&path);
}

void wa_node_refuse(const wa_node *n, const char *hint, const char *format, ...)
{
    char text[WA_ERROR_TEXT_SIZE];
    if (wa_node_failed(n))
        return;
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    report(n, text, hint);
}

void wa_node_pass(const wa_node *n, const wa_error *e)
{
    if (wa_node_failed(n))
        return;
    report(n, e->text, e->hint[0] == '\0' ? NULL : e->hint);
}

void wa_node_no_memory(const wa_node *n)
{
    if (!wa_node_failed(n))
        n->d->status = wa_fail(n->d->err, WA_ERR_NOMEM, "out of memory");
}

void *wa_node_room(const wa_node *n, size_t count, size_t size)
{
    if (count == 0 || wa_node_failed(n))
        return NULL;
    void *room = calloc(count, size);
    if (room == NULL)
        wa_node_no_memory(n);
    return room;
}

static const char *kind_name(const wa_value *v)
{
    static const char *const names[] = {"missing", "true or false", "a number",
                                        "a text",  "a list",        "a table"};
    return names[wa_value_kind(v)];
}

static void refuse_unknown(const wa_node *entry, const char *const *known, size_t n_known)
{
    char shown[80], hint[WA_ERROR_HINT_SIZE];
    const char *near = wa_nearest(entry->key, known, n_known);
    wa_shown(shown, sizeof shown, entry->key, strlen(entry->key));
    if (near != NULL) {
        snprintf(hint, sizeof hint, "'%s'?", near);
    } else {
        wa_text all = WA_TEXT_INIT;
        for (size_t i = 0; i < n_known; i++)
            wa_text_printf(&all, "%s%s", i == 0 ? "known are " : ", ", known[i]);
        snprintf(hint, sizeof hint, "%s", wa_text_string(&all));
        wa_text_release(&all);
    }
    wa_node_refuse(entry, hint, "'%s' is not known here", shown);
}

static size_t count_names(const char *const *names)
{
    size_t n = 0;
    while (names[n] != NULL)
        n++;
    return n;
}

size_t wa_node_map(const wa_node *n, const char *const *known)
{
    if (!wa_node_there(n))
        return 0;
    size_t count = wa_count(n->v);
    wa_kind kind = wa_value_kind(n->v);
    if (kind == WA_LIST && count == 0) /* an empty Lua table could be either */
        return 0;
    if (kind != WA_MAP) {
        wa_node_refuse(n, NULL, "a table with named entries should stand here, not %s",
                       kind_name(n->v));
        return 0;
    }
    for (size_t i = 0; known != NULL && i < count && !wa_node_failed(n); i++) {
        wa_node entry = wa_node_entry(n, i);
        size_t n_known = count_names(known), k = 0;
        while (k < n_known && strcmp(known[k], entry.key) != 0)
            k++;
        if (k == n_known)
            refuse_unknown(&entry, known, n_known);
    }
    return wa_node_failed(n) ? 0 : count;
}

size_t wa_node_list(const wa_node *n)
{
    if (!wa_node_there(n))
        return 0;
    if (wa_value_kind(n->v) != WA_LIST) {
        wa_node_refuse(n, "a list is written { a, b }", "a list should stand here, not %s",
                       kind_name(n->v));
        return 0;
    }
    return wa_count(n->v);
}

void wa_node_need(const wa_node *n, const char *key, const char *hint)
{
    wa_node child = wa_node_child(n, key);
    if (!wa_node_failed(n) && child.v == NULL)
        wa_node_refuse(n, hint, "'%s' is not stated", key);
}

static const char *text_at(const wa_node *n)
{
    if (!wa_node_there(n))
        return NULL;
    const char *s = wa_string_of(n->v);
    if (s == NULL)
        wa_node_refuse(n, NULL, "a text should stand here, not %s", kind_name(n->v));
    else if (wa_length_of(n->v) == 0)
        wa_node_refuse(n, NULL, "the text is empty");
    else if (strlen(s) != wa_length_of(n->v))
        wa_node_refuse(n, NULL, "the text holds a NUL");
    return wa_node_failed(n) ? NULL : s;
}

char *wa_node_text(const wa_node *n)
{
    const char *s = text_at(n);
    char *copy = s == NULL ? NULL : strdup(s);
    if (s != NULL && copy == NULL)
        wa_node_no_memory(n);
    return copy;
}

bool wa_name_good(const char *name)
{
    size_t i = 0;
    for (; name[i] != '\0'; i++) {
        char c = name[i];
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
        if (!letter && !(i > 0 && c >= '0' && c <= '9'))
            return false;
    }
    return i > 0 && i <= 64;
}

char *wa_node_name(const wa_node *n)
{
    const char *s = text_at(n);
    if (s != NULL && !wa_name_good(s)) {
        char shown[80];
        wa_node_refuse(n, "letters, digits and _, a letter first, at most 64",
                       "'%s' cannot be a name", wa_shown(shown, sizeof shown, s, strlen(s)));
        return NULL;
    }
    return wa_node_text(n);
}

char **wa_node_texts(const wa_node *n, size_t *count)
{
    size_t all = wa_node_list(n);
    char **texts = wa_node_room(n, all, sizeof *texts);
    *count = texts == NULL ? 0 : all;
    for (size_t i = 0; i < *count; i++) {
        wa_node item = wa_node_entry(n, i);
        texts[i] = wa_node_text(&item);
    }
    return texts;
}

double wa_node_number(const wa_node *n, double absent)
{
    double x = absent;
    if (wa_node_there(n) && !wa_number_of(n->v, &x))
        wa_node_refuse(n, NULL, "a number should stand here, not %s", kind_name(n->v));
    return x;
}

size_t wa_node_whole(const wa_node *n, size_t lowest, size_t highest, size_t absent)
{
    if (!wa_node_there(n))
        return absent;
    double x = wa_node_number(n, 0);
    if (floor(x) < x || x < (double)lowest || x > (double)highest) {
        wa_node_refuse(n, NULL, "a whole number from %zu to %zu should stand here", lowest,
                       highest);
        return absent;
    }
    return (size_t)x;
}

double wa_node_quantity(const wa_node *n, const wa_unit *unit, double absent)
{
    if (!wa_node_there(n))
        return absent;
    double x = absent;
    if (wa_number_of(n->v, &x))
        return x;
    wa_node number = wa_node_position(n, 1), name = wa_node_position(n, 2);
    if (!wa_number_of(number.v, &x) || wa_string_of(name.v) == NULL) {
        wa_node_refuse(n, NULL, "a number in %s, or { number, \"unit\", u = }, should stand here",
                       unit->text);
        return absent;
    }
    wa_unit from;
    wa_error e = {0};
    double converted = absent;
    if (wa_unit_parse(&from, wa_string_of(name.v), &e) != WA_OK ||
        wa_unit_convert(&converted, x, &from, unit, &e) != WA_OK)
        wa_node_pass(n, &e);
    return converted;
}

int64_t wa_node_instant(const wa_node *n, int64_t absent)
{
    const char *s = text_at(n);
    wa_error e = {0};
    int64_t t = absent;
    if (s != NULL && wa_instant_parse(&t, s, strlen(s), &e) != WA_OK)
        wa_node_pass(n, &e);
    return t;
}

int64_t wa_node_duration(const wa_node *n, int64_t absent)
{
    const char *s = text_at(n);
    wa_error e = {0};
    int64_t t = absent;
    if (s != NULL && wa_duration_parse(&t, s, &e) != WA_OK)
        wa_node_pass(n, &e);
    return t;
}

size_t wa_node_choice(const wa_node *n, const char *const *names, size_t absent)
{
    const char *s = text_at(n);
    if (s == NULL)
        return absent;
    size_t count = count_names(names);
    for (size_t i = 0; i < count; i++)
        if (strcmp(s, names[i]) == 0)
            return i;
    wa_text all = WA_TEXT_INIT;
    for (size_t i = 0; i < count; i++)
        wa_text_printf(&all, "%s\"%s\"", i == 0 ? "it is one of " : ", ", names[i]);
    char shown[80];
    wa_node_refuse(n, wa_text_string(&all), "'%s' is not known here",
                   wa_shown(shown, sizeof shown, s, strlen(s)));
    wa_text_release(&all);
    return absent;
}
