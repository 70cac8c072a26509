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

/* ---- the wire form: one tag byte, then for strings, lists and maps a 32-bit count ---------- */

static void put_u32(wa_text *out, size_t n)
{
    unsigned char b[4] = {(unsigned char)(n & 255), (unsigned char)(n >> 8 & 255),
                          (unsigned char)(n >> 16 & 255), (unsigned char)(n >> 24 & 255)};
    wa_text_add_bytes(out, b, 4);
}

bool wa_value_encode(const wa_value *v, wa_text *out)
{
    switch (wa_value_kind(v)) {
    case WA_NULL:
        wa_text_add_char(out, '0');
        break;
    case WA_BOOL:
        wa_text_add_char(out, v->as.boolean ? 't' : 'f');
        break;
    case WA_NUMBER: {
        uint64_t bits;
        memcpy(&bits, &v->as.number, 8);
        wa_text_add_char(out, 'n');
        put_u32(out, (size_t)(bits & 0xffffffffu));
        put_u32(out, (size_t)(bits >> 32));
        break;
    }
    case WA_STRING:
        if (v->as.string.length > UINT32_MAX)
            return false;
        wa_text_add_char(out, 's');
        put_u32(out, v->as.string.length);
        wa_text_add_bytes(out, v->as.string.at, v->as.string.length);
        break;
    case WA_LIST:
    case WA_MAP:
        wa_text_add_char(out, v->kind == WA_LIST ? 'l' : 'm');
        put_u32(out, v->as.entries.count);
        for (size_t i = 0; i < v->as.entries.count; i++) {
            const entry *e = &v->as.entries.at[i];
            if (v->kind == WA_MAP) {
                put_u32(out, strlen(e->key));
                wa_text_add(out, e->key);
            }
            if (!wa_value_encode(e->item, out))
                return false;
        }
        break;
    }
    return !wa_text_failed(out);
}

typedef struct reader {
    const unsigned char *at;
    size_t left;
    wa_error *err;
    int depth;
} reader;

enum { DEPTH_MAX = 64, KEYS_MAX = 4096 };

static wa_status spoiled(reader *r, const char *what)
{
    return wa_fail(r->err, WA_ERR_DATA, "not a plain value: %s", what);
}

static wa_status take_u32(reader *r, size_t *out)
{
    if (r->left < 4)
        return spoiled(r, "it ends too early");
    *out =
        (size_t)r->at[0] | (size_t)r->at[1] << 8 | (size_t)r->at[2] << 16 | (size_t)r->at[3] << 24;
    r->at += 4;
    r->left -= 4;
    return WA_OK;
}

static wa_status take(reader *r, wa_value **out);

static wa_status take_number(reader *r, wa_value **out)
{
    size_t low, high;
    wa_status s = take_u32(r, &low);
    if (s == WA_OK)
        s = take_u32(r, &high);
    if (s != WA_OK)
        return s;
    uint64_t bits = (uint64_t)low | (uint64_t)high << 32;
    double x;
    memcpy(&x, &bits, 8);
    if (!isfinite(x))
        return spoiled(r, "a number is not finite");
    *out = wa_number(x);
    return *out == NULL ? wa_fail(r->err, WA_ERR_NOMEM, "out of memory") : WA_OK;
}

static wa_status take_string(reader *r, wa_value **out)
{
    size_t n;
    wa_status s = take_u32(r, &n);
    if (s != WA_OK)
        return s;
    if (r->left < n)
        return spoiled(r, "a string ends too early");
    *out = wa_bytes(r->at, n);
    r->at += n;
    r->left -= n;
    return *out == NULL ? wa_fail(r->err, WA_ERR_NOMEM, "out of memory") : WA_OK;
}

static wa_status take_key(reader *r, char **out)
{
    size_t n;
    wa_status s = take_u32(r, &n);
    if (s != WA_OK)
        return s;
    if (r->left < n || memchr(r->at, 0, n) != NULL)
        return spoiled(r, "a key ends too early or holds a NUL");
    *out = strndup((const char *)r->at, n);
    r->at += n;
    r->left -= n;
    return *out == NULL ? wa_fail(r->err, WA_ERR_NOMEM, "out of memory") : WA_OK;
}

static wa_status take_entries(reader *r, wa_kind kind, wa_value **out)
{
    size_t n;
    wa_status s = take_u32(r, &n);
    if (s != WA_OK)
        return s;
    if (n > r->left) /* each entry takes at least one byte: no huge promise is believed */
        return spoiled(r, "it promises more entries than it has bytes");
    if (kind == WA_MAP && n > KEYS_MAX) /* setting a key looks at all of them */
        return spoiled(r, "a map has too many keys");
    wa_value *v = make(kind);
    if (v == NULL)
        return wa_fail(r->err, WA_ERR_NOMEM, "out of memory");
    for (size_t i = 0; i < n && s == WA_OK; i++) {
        char *key = NULL;
        wa_value *item = NULL;
        if (kind == WA_MAP)
            s = take_key(r, &key);
        if (s == WA_OK && kind == WA_MAP && wa_get(v, key) != NULL)
            s = spoiled(r, "a key stands twice");
        if (s == WA_OK)
            s = take(r, &item);
        if (s == WA_OK && !(kind == WA_MAP ? wa_map_set(v, key, item) : wa_list_add(v, item)))
            s = wa_fail(r->err, WA_ERR_NOMEM, "out of memory");
        free(key);
    }
    if (s == WA_OK)
        *out = v;
    else
        wa_value_free(v);
    return s;
}

static wa_status take(reader *r, wa_value **out)
{
    if (r->left == 0)
        return spoiled(r, "it ends too early");
    if (r->depth >= DEPTH_MAX)
        return spoiled(r, "it is nested too deeply");
    unsigned char tag = *r->at++;
    r->left--;
    wa_status s;
    r->depth++;
    switch (tag) {
    case '0':
        *out = wa_null();
        s = *out == NULL ? wa_fail(r->err, WA_ERR_NOMEM, "out of memory") : WA_OK;
        break;
    case 't':
    case 'f':
        *out = wa_bool(tag == 't');
        s = *out == NULL ? wa_fail(r->err, WA_ERR_NOMEM, "out of memory") : WA_OK;
        break;
    case 'n':
        s = take_number(r, out);
        break;
    case 's':
        s = take_string(r, out);
        break;
    case 'l':
    case 'm':
        s = take_entries(r, tag == 'l' ? WA_LIST : WA_MAP, out);
        break;
    default:
        s = spoiled(r, "an unknown tag");
    }
    r->depth--;
    return s;
}

wa_status wa_value_decode(wa_value **out, const void *bytes, size_t n, wa_error *err)
{
    reader r = {bytes, n, err, 0};
    wa_value *v = NULL;
    wa_status s = take(&r, &v);
    if (s == WA_OK && r.left != 0) {
        wa_value_free(v);
        return spoiled(&r, "bytes follow it");
    }
    if (s == WA_OK)
        *out = v;
    return s;
}
