/* Writing JSON: the same tree gives the same bytes everywhere. */
#include "windassay/json.h"
#include "windassay/number.h"

#include "result/json_limits.h"

#include <string.h>

typedef struct writer {
    wa_text *out;
    wa_json_layout layout;
    wa_error *err;
    int depth;
} writer;

static wa_status put_string(writer *w, const char *s, size_t n)
{
    if (!wa_utf8_valid(s, n) || memchr(s, 0, n) != NULL) {
        char shown[48];
        return wa_fail(w->err, WA_ERR_ARG, "a text that is not UTF-8 has no place in JSON: '%s'",
                       wa_shown(shown, sizeof shown, s, n));
    }
    wa_text_add_char(w->out, '"');
    for (size_t i = 0; i < n; i++) {
        char c = s[i];
        if (c == '"' || c == '\\') {
            wa_text_add_char(w->out, '\\');
            wa_text_add_char(w->out, c);
        } else if (c == '\n') {
            wa_text_add(w->out, "\\n");
        } else if (c == '\t') {
            wa_text_add(w->out, "\\t");
        } else if ((unsigned char)c < 0x20 || c == 0x7f) {
            wa_text_printf(w->out, "\\u%04x", (unsigned)c);
        } else {
            wa_text_add_char(w->out, c);
        }
    }
    wa_text_add_char(w->out, '"');
    return WA_OK;
}

static wa_status put_scalar(writer *w, const wa_value *v)
{
    char number[32];
    double x;
    switch (wa_value_kind(v)) {
    case WA_NUMBER:
        wa_number_of(v, &x);
        wa_number_print(number, x);
        wa_text_add(w->out, number);
        return WA_OK;
    case WA_STRING:
        return put_string(w, wa_string_of(v), wa_length_of(v));
    case WA_BOOL:
        wa_text_add(w->out, wa_true(v) ? "true" : "false");
        return WA_OK;
    default:
        wa_text_add(w->out, "null");
        return WA_OK;
    }
}

static bool is_scalar(const wa_value *v)
{
    return wa_value_kind(v) != WA_LIST && wa_value_kind(v) != WA_MAP;
}

static bool holds_scalars_only(const wa_value *v)
{
    for (size_t i = 0; i < wa_count(v); i++)
        if (!is_scalar(wa_at(v, i)))
            return false;
    return true;
}

static void new_line(writer *w)
{
    wa_text_add_char(w->out, '\n');
    for (int i = 0; i < w->depth; i++)
        wa_text_add_char(w->out, ' ');
}

static wa_status put(writer *w, const wa_value *v);

/* Entries, each on a line of its own or all on one. */
static wa_status put_entries(writer *w, const wa_value *v, bool broken)
{
    bool map = wa_value_kind(v) == WA_MAP, readable = w->layout == WA_JSON_READABLE;
    wa_status s = WA_OK;
    wa_text_add_char(w->out, map ? '{' : '[');
    w->depth++;
    for (size_t i = 0; s == WA_OK && i < wa_count(v); i++) {
        if (i > 0)
            wa_text_add(w->out, readable && !broken ? ", " : ",");
        if (broken)
            new_line(w);
        if (map) {
            const char *key = wa_key(v, i);
            s = put_string(w, key, strlen(key));
            wa_text_add(w->out, readable ? ": " : ":");
        }
        if (s == WA_OK)
            s = put(w, wa_at(v, i));
    }
    w->depth--;
    if (broken)
        new_line(w);
    wa_text_add_char(w->out, map ? '}' : ']');
    return s;
}

static wa_status put(writer *w, const wa_value *v)
{
    if (w->depth >= JSON_DEPTH_MAX)
        return wa_fail(w->err, WA_ERR_ARG, "a value is nested too deeply for JSON");
    if (is_scalar(v))
        return put_scalar(w, v);
    if (w->layout == WA_JSON_COMPACT || wa_count(v) == 0)
        return put_entries(w, v, false);
    if (!holds_scalars_only(v))
        return put_entries(w, v, true);
    size_t before = w->out->length;
    wa_status s = put_entries(w, v, false);
    if (s == WA_OK && wa_value_kind(v) == WA_MAP && w->out->length - before > JSON_SHORT_MAP) {
        w->out->length = before; /* too long for a line: once more, broken */
        s = put_entries(w, v, true);
    }
    return s;
}

wa_status wa_json_write(wa_text *out, const wa_value *v, wa_json_layout layout, wa_error *err)
{
    size_t before = out->length;
    writer w = {out, layout, err, 0};
    wa_status s = put(&w, v);
    wa_text_add_char(out, '\n');
    if (s == WA_OK && wa_text_failed(out))
        s = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    if (s != WA_OK) {
        out->length = before;
        if (out->at != NULL)
            out->at[before] = '\0';
    }
    return s;
}
