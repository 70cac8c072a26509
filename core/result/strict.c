#include "result/strict.h"

#include "windassay/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { WHERE_SIZE = 200, FIELDS_MAX = 32 };

static const char *const kind_words[] = {"null", "true or false", "number", "text", "list", "map"};

const char *strict_kind_word(const wa_value *v)
{
    return kind_words[wa_value_kind(v)];
}

wa_status strict_refuse(const strict *s, const char *where, const char *format, ...)
{
    char text[WA_ERROR_TEXT_SIZE];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return wa_fail_at(s->err, s->code, s->file, 0, 0, "%s: %s", where, text);
}

static wa_status check_text(const strict *s, const wa_value *v, const char *where, unsigned kinds)
{
    const char *text = wa_string_of(v);
    size_t n = wa_length_of(v);
    if ((kinds & STRICT_BYTES) != 0)
        return WA_OK;
    if (!wa_utf8_valid(text, n) || memchr(text, 0, n) != NULL)
        return strict_refuse(s, where, "the text is not UTF-8");
    if ((kinds & STRICT_TEXT) != 0)
        return n <= STRICT_TEXT_MAX ? WA_OK : strict_refuse(s, where, "the text is too long");
    bool control = false;
    for (size_t i = 0; i < n; i++)
        control |= (unsigned char)text[i] < 0x20 || text[i] == 0x7f;
    if (n == 0 || n > STRICT_NAME_MAX || control)
        return strict_refuse(s, where, "a name has 1 to %d bytes and no control characters",
                             STRICT_NAME_MAX);
    return WA_OK;
}

wa_status strict_kind(const strict *s, const wa_value *v, const char *where, unsigned kinds)
{
    wa_kind kind = wa_value_kind(v);
    if (kind == WA_STRING && (kinds & (STRICT_TEXT | STRICT_NAME | STRICT_BYTES)) != 0)
        return check_text(s, v, where, kinds);
    bool empty = (kind == WA_LIST || kind == WA_MAP) && wa_count(v) == 0;
    if ((kinds & 1U << kind) != 0 || (empty && (kinds & (STRICT_LIST | STRICT_MAP)) != 0))
        return WA_OK;
    return strict_refuse(s, where, "%s has no place here", kind_words[kind]);
}

wa_status strict_map(const strict *s, const wa_value *v, const char *where,
                     const strict_field *fields, size_t n)
{
    char place[WHERE_SIZE], shown[64];
    const char *known[FIELDS_MAX];
    wa_status code = strict_kind(s, v, where, STRICT_MAP);
    if (code != WA_OK)
        return code;
    for (size_t i = 0; i < n; i++)
        known[i] = fields[i].key;
    for (size_t i = 0; i < wa_count(v); i++) {
        const char *key = wa_key(v, i);
        size_t k = 0;
        while (k < n && strcmp(key, fields[k].key) != 0)
            k++;
        if (k == n) {
            const char *near = wa_nearest(key, known, n);
            code = strict_refuse(s, where, "unknown key '%s'",
                                 wa_shown(shown, sizeof shown, key, strlen(key)));
            return near == NULL ? code : wa_hint(s->err, code, "did you mean '%s'?", near);
        }
        snprintf(place, sizeof place, "%s: '%s'", where, key);
        code = strict_kind(s, wa_at(v, i), place, fields[k].kinds);
        if (code != WA_OK)
            return code;
    }
    for (size_t i = 0; i < n; i++)
        if ((fields[i].kinds & STRICT_REQUIRED) != 0 && wa_get(v, fields[i].key) == NULL)
            return strict_refuse(s, where, "'%s' is missing", fields[i].key);
    return WA_OK;
}

wa_status strict_list(const strict *s, const wa_value *v, const char *where, unsigned kinds,
                      size_t most)
{
    char place[WHERE_SIZE];
    wa_status code = strict_kind(s, v, where, STRICT_LIST);
    if (code != WA_OK)
        return code;
    if (wa_count(v) > most)
        return strict_refuse(s, where, "%zu entries are more than %zu", wa_count(v), most);
    for (size_t i = 0; code == WA_OK && i < wa_count(v); i++) {
        snprintf(place, sizeof place, "%s: entry %zu", where, i + 1);
        code = strict_kind(s, wa_at(v, i), place, kinds);
    }
    return code;
}
