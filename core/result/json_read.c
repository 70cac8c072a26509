/* Reading JSON. The only file that knows jansson. */
#include "windassay/json.h"

#include "result/json_limits.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

typedef struct reader {
    const char *file;
    wa_error *err;
    int depth;
} reader;

static wa_status refuse(const reader *r, const char *what)
{
    return wa_fail_at(r->err, WA_ERR_DATA, r->file == NULL ? "" : r->file, 0, 0, "JSON refused: %s",
                      what);
}

static wa_status no_memory(const reader *r)
{
    return wa_fail(r->err, WA_ERR_NOMEM, "out of memory");
}

static wa_status convert(reader *r, wa_value **out, json_t *j);

static wa_status convert_list(reader *r, wa_value **out, json_t *j)
{
    wa_value *list = wa_list();
    wa_status s = list == NULL ? no_memory(r) : WA_OK;
    for (size_t i = 0; s == WA_OK && i < json_array_size(j); i++) {
        wa_value *item = NULL;
        s = convert(r, &item, json_array_get(j, i));
        if (s == WA_OK && !wa_list_add(list, item))
            s = no_memory(r);
    }
    if (s == WA_OK)
        *out = list;
    else
        wa_value_free(list);
    return s;
}

static wa_status convert_map(reader *r, wa_value **out, json_t *j)
{
    if (json_object_size(j) > JSON_KEYS_MAX) /* setting a key looks at all of them */
        return refuse(r, "a map has too many keys");
    wa_value *map = wa_map();
    wa_status s = map == NULL ? no_memory(r) : WA_OK;
    /* jansson iterates in the order in which the keys stood in the text (since 2.8) */
    for (void *at = json_object_iter(j); s == WA_OK && at != NULL;
         at = json_object_iter_next(j, at)) {
        wa_value *item = NULL;
        s = convert(r, &item, json_object_iter_value(at));
        if (s == WA_OK && !wa_map_set(map, json_object_iter_key(at), item))
            s = no_memory(r);
    }
    if (s == WA_OK)
        *out = map;
    else
        wa_value_free(map);
    return s;
}

static wa_status convert(reader *r, wa_value **out, json_t *j)
{
    if (r->depth >= JSON_DEPTH_MAX)
        return refuse(r, "it is nested too deeply");
    wa_value *v = NULL;
    wa_status s = WA_OK;
    r->depth++;
    switch (json_typeof(j)) {
    case JSON_OBJECT:
        s = convert_map(r, &v, j);
        break;
    case JSON_ARRAY:
        s = convert_list(r, &v, j);
        break;
    case JSON_STRING:
        v = wa_bytes(json_string_value(j), json_string_length(j));
        break;
    case JSON_INTEGER: /* never: JSON_DECODE_INT_AS_REAL */
    case JSON_REAL:
        v = wa_number(json_number_value(j));
        break;
    case JSON_TRUE:
    case JSON_FALSE:
        v = wa_bool(json_is_true(j));
        break;
    case JSON_NULL:
        v = wa_null();
        break;
    }
    r->depth--;
    if (s == WA_OK && v == NULL)
        s = no_memory(r);
    if (s == WA_OK)
        *out = v;
    return s;
}

wa_status wa_json_read(wa_value **out, const void *bytes, size_t n, const char *file, wa_error *err)
{
    json_error_t e = {.text = ""};
    reader r = {file, err, 0};
    json_t *j = json_loadb(bytes, n,
                           JSON_REJECT_DUPLICATES | JSON_DECODE_ANY | JSON_DECODE_INT_AS_REAL, &e);
    if (j == NULL && e.text[0] == '\0') /* jansson says nothing when memory runs out */
        return no_memory(&r);
    if (j == NULL) {
        char shown[JSON_ERROR_TEXT_LENGTH];
        return wa_fail_at(err, WA_ERR_DATA, file == NULL ? "" : file,
                          e.line > 0 ? (size_t)e.line : 0, e.column > 0 ? (size_t)e.column : 0,
                          "not JSON: %s", wa_shown(shown, sizeof shown, e.text, strlen(e.text)));
    }
    wa_status s = convert(&r, out, j);
    json_decref(j);
    return s;
}
