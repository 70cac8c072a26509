#include "windassay/value.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

typedef struct entry {
    char *key; /* NULL in lists */
    wa_value *item;
} entry;

struct wa_value {
    wa_kind kind;
    union {
        bool boolean;
        double number;
        struct {
            char *at;
            size_t length;
        } string;
        struct {
            entry *at;
            size_t count, room;
        } entries;
    } as;
};

static wa_value *make(wa_kind kind)
{
    wa_value *v = calloc(1, sizeof *v);
    if (v != NULL)
        v->kind = kind;
    return v;
}

wa_value *wa_null(void)
{
    return make(WA_NULL);
}

wa_value *wa_bool(bool b)
{
    wa_value *v = make(WA_BOOL);
    if (v != NULL)
        v->as.boolean = b;
    return v;
}

wa_value *wa_number(double x)
{
    if (!isfinite(x))
        return NULL;
    wa_value *v = make(WA_NUMBER);
    if (v != NULL)
        v->as.number = x == 0 ? 0 : x; /* no minus zero */
    return v;
}

wa_value *wa_bytes(const void *bytes, size_t n)
{
    wa_value *v = make(WA_STRING);
    if (v == NULL)
        return NULL;
    v->as.string.at = malloc(n + 1);
    if (v->as.string.at == NULL) {
        free(v);
        return NULL;
    }
    if (n > 0)
        memcpy(v->as.string.at, bytes, n);
    v->as.string.at[n] = '\0';
    v->as.string.length = n;
    return v;
}

wa_value *wa_string(const char *s)
{
    return wa_bytes(s, strlen(s));
}

wa_value *wa_list(void)
{
    return make(WA_LIST);
}

wa_value *wa_map(void)
{
    return make(WA_MAP);
}

void wa_value_free(wa_value *v)
{
    if (v == NULL)
        return;
    if (v->kind == WA_STRING)
        free(v->as.string.at);
    if (v->kind == WA_LIST || v->kind == WA_MAP) {
        for (size_t i = 0; i < v->as.entries.count; i++) {
            free(v->as.entries.at[i].key);
            wa_value_free(v->as.entries.at[i].item);
        }
        free(v->as.entries.at);
    }
    free(v);
}

static bool add_entry(wa_value *v, char *key, wa_value *item)
{
    if (v->as.entries.count == v->as.entries.room) {
        size_t room = v->as.entries.room == 0 ? 4 : v->as.entries.room * 2;
        entry *at = realloc(v->as.entries.at, room * sizeof *at);
        if (at == NULL)
            return false;
        v->as.entries.at = at;
        v->as.entries.room = room;
    }
    v->as.entries.at[v->as.entries.count++] = (entry){key, item};
    return true;
}

bool wa_list_add(wa_value *list, wa_value *item)
{
    if (item == NULL || list == NULL || list->kind != WA_LIST || !add_entry(list, NULL, item)) {
        wa_value_free(item);
        return false;
    }
    return true;
}

bool wa_list_set(wa_value *list, size_t i, wa_value *item)
{
    if (item == NULL || list == NULL || list->kind != WA_LIST || i >= list->as.entries.count) {
        wa_value_free(item);
        return false;
    }
    wa_value_free(list->as.entries.at[i].item);
    list->as.entries.at[i].item = item;
    return true;
}

bool wa_map_set(wa_value *map, const char *key, wa_value *item)
{
    if (item == NULL || map == NULL || map->kind != WA_MAP) {
        wa_value_free(item);
        return false;
    }
    for (size_t i = 0; i < map->as.entries.count; i++)
        if (strcmp(map->as.entries.at[i].key, key) == 0) {
            wa_value_free(map->as.entries.at[i].item);
            map->as.entries.at[i].item = item;
            return true;
        }
    char *copy = strdup(key);
    if (copy == NULL || !add_entry(map, copy, item)) {
        free(copy);
        wa_value_free(item);
        return false;
    }
    return true;
}

wa_value *wa_map_take(wa_value *map, const char *key)
{
    const size_t n = wa_value_kind(map) == WA_MAP ? map->as.entries.count : 0;
    for (size_t i = 0; i < n; i++) {
        entry *e = &map->as.entries.at[i];
        if (strcmp(e->key, key) != 0)
            continue;
        wa_value *item = e->item;
        free(e->key);
        memmove(e, e + 1, (n - i - 1) * sizeof *e);
        map->as.entries.count--;
        return item;
    }
    return NULL;
}

wa_value *wa_value_copy(const wa_value *v)
{
    if (v == NULL)
        return NULL;
    if (v->kind == WA_STRING)
        return wa_bytes(v->as.string.at, v->as.string.length);
    wa_value *copy = make(v->kind);
    if (copy == NULL)
        return NULL;
    if (v->kind != WA_LIST && v->kind != WA_MAP) {
        copy->as = v->as;
        return copy;
    }
    for (size_t i = 0; i < v->as.entries.count; i++) {
        const entry *e = &v->as.entries.at[i];
        wa_value *item = wa_value_copy(e->item);
        bool good = v->kind == WA_LIST ? wa_list_add(copy, item) : wa_map_set(copy, e->key, item);
        if (!good) {
            wa_value_free(copy);
            return NULL;
        }
    }
    return copy;
}

wa_kind wa_value_kind(const wa_value *v)
{
    return v == NULL ? WA_NULL : v->kind;
}

static bool has_entries(const wa_value *v)
{
    return v != NULL && (v->kind == WA_LIST || v->kind == WA_MAP);
}

size_t wa_count(const wa_value *v)
{
    return has_entries(v) ? v->as.entries.count : 0;
}

wa_value *wa_at_mutable(wa_value *v, size_t i)
{
    return i < wa_count(v) ? v->as.entries.at[i].item : NULL;
}

const wa_value *wa_at(const wa_value *v, size_t i)
{
    return i < wa_count(v) ? v->as.entries.at[i].item : NULL;
}

const char *wa_key(const wa_value *map, size_t i)
{
    return i < wa_count(map) ? map->as.entries.at[i].key : NULL;
}

wa_value *wa_get_mutable(wa_value *map, const char *key)
{
    if (map == NULL || map->kind != WA_MAP)
        return NULL;
    for (size_t i = 0; i < map->as.entries.count; i++)
        if (strcmp(map->as.entries.at[i].key, key) == 0)
            return map->as.entries.at[i].item;
    return NULL;
}

const wa_value *wa_get(const wa_value *map, const char *key)
{
    if (map == NULL || map->kind != WA_MAP)
        return NULL;
    for (size_t i = 0; i < map->as.entries.count; i++)
        if (strcmp(map->as.entries.at[i].key, key) == 0)
            return map->as.entries.at[i].item;
    return NULL;
}

const char *wa_string_of(const wa_value *v)
{
    return v != NULL && v->kind == WA_STRING ? v->as.string.at : NULL;
}

size_t wa_length_of(const wa_value *v)
{
    return v != NULL && v->kind == WA_STRING ? v->as.string.length : 0;
}

bool wa_number_of(const wa_value *v, double *out)
{
    if (v == NULL || v->kind != WA_NUMBER)
        return false;
    *out = v->as.number;
    return true;
}

bool wa_true(const wa_value *v)
{
    return v != NULL && v->kind == WA_BOOL && v->as.boolean;
}

const char *wa_get_string(const wa_value *map, const char *key)
{
    return wa_string_of(wa_get(map, key));
}

bool wa_value_equal(const wa_value *a, const wa_value *b)
{
    if (wa_value_kind(a) != wa_value_kind(b) || wa_count(a) != wa_count(b))
        return false;
    switch (wa_value_kind(a)) {
    case WA_NULL:
        return true;
    case WA_BOOL:
        return a->as.boolean == b->as.boolean;
    case WA_NUMBER:
        return !(a->as.number < b->as.number) && !(a->as.number > b->as.number);
    case WA_STRING:
        return a->as.string.length == b->as.string.length &&
               memcmp(a->as.string.at, b->as.string.at, a->as.string.length) == 0;
    case WA_LIST:
    case WA_MAP:
        for (size_t i = 0; i < wa_count(a); i++) {
            if (a->kind == WA_MAP && strcmp(wa_key(a, i), wa_key(b, i)) != 0)
                return false;
            if (!wa_value_equal(wa_at(a, i), wa_at(b, i)))
                return false;
        }
        return true;
    }
    return false;
}
