/* The wire form of plain values: one tag byte, then for strings, lists and maps a 32-bit count. */
#include "windassay/value.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

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
        wa_text_add_char(out, wa_true(v) ? 't' : 'f');
        break;
    case WA_NUMBER: {
        uint64_t bits;
        double x = 0;
        wa_number_of(v, &x);
        memcpy(&bits, &x, 8);
        wa_text_add_char(out, 'n');
        put_u32(out, (size_t)(bits & 0xffffffffu));
        put_u32(out, (size_t)(bits >> 32));
        break;
    }
    case WA_STRING:
        if (wa_length_of(v) > UINT32_MAX)
            return false;
        wa_text_add_char(out, 's');
        put_u32(out, wa_length_of(v));
        wa_text_add_bytes(out, wa_string_of(v), wa_length_of(v));
        break;
    case WA_LIST:
    case WA_MAP:
        wa_text_add_char(out, wa_value_kind(v) == WA_LIST ? 'l' : 'm');
        put_u32(out, wa_count(v));
        for (size_t i = 0; i < wa_count(v); i++) {
            const char *key = wa_key(v, i);
            if (key != NULL) {
                put_u32(out, strlen(key));
                wa_text_add(out, key);
            }
            if (!wa_value_encode(wa_at(v, i), out))
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
    return *out == NULL ? wa_no_memory(r->err) : WA_OK;
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
    return *out == NULL ? wa_no_memory(r->err) : WA_OK;
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
    return *out == NULL ? wa_no_memory(r->err) : WA_OK;
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
    wa_value *v = kind == WA_MAP ? wa_map() : wa_list();
    if (v == NULL)
        return wa_no_memory(r->err);
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
            s = wa_no_memory(r->err);
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
        s = *out == NULL ? wa_no_memory(r->err) : WA_OK;
        break;
    case 't':
    case 'f':
        *out = wa_bool(tag == 't');
        s = *out == NULL ? wa_no_memory(r->err) : WA_OK;
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
