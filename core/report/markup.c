#include "report/markup.h"

#include "report/digits.h"

#include <string.h>

void wa_markup_bytes(wa_text *t, const char *bytes, size_t n)
{
    wa_text shown = WA_TEXT_INIT;
    wa_text_add_shown(&shown, bytes, n);
    const char *s = wa_text_string(&shown);
    while (*s != '\0') {
        size_t plain = strcspn(s, "&<>\"'");
        wa_text_add_bytes(t, s, plain);
        s += plain;
        switch (*s) {
        case '&':
            wa_text_add(t, "&amp;");
            break;
        case '<':
            wa_text_add(t, "&lt;");
            break;
        case '>':
            wa_text_add(t, "&gt;");
            break;
        case '"':
            wa_text_add(t, "&quot;");
            break;
        case '\'':
            wa_text_add(t, "&#39;");
            break;
        default:
            break;
        }
        s += *s != '\0';
    }
    wa_text_spend(&shown, t);
}

void wa_markup_add(wa_text *t, const char *string)
{
    if (string != NULL)
        wa_markup_bytes(t, string, strlen(string));
}

void wa_markup_id(wa_text *t, const char *string)
{
    while (string != NULL && *string != '\0') {
        size_t n = strcspn(string, "_:.");
        n += string[n] != '\0';
        wa_markup_bytes(t, string, n);
        string += n;
        wa_text_add(t, *string != '\0' ? "<wbr>" : "");
    }
}

void wa_shown_value(wa_text *t, const wa_value *v)
{
    double x;
    if (wa_string_of(v) != NULL)
        wa_text_add_shown(t, wa_string_of(v), wa_length_of(v));
    else if (wa_number_of(v, &x))
        wa_digits_shortest(t, x);
    else if (wa_value_kind(v) == WA_BOOL)
        wa_text_add(t, wa_true(v) ? "true" : "false");
}

void wa_markup_value(wa_text *t, const wa_value *v)
{
    if (wa_string_of(v) != NULL)
        wa_markup_bytes(t, wa_string_of(v), wa_length_of(v));
    else
        wa_shown_value(t, v);
}

void wa_markup_lines(wa_text *t, const wa_value *string)
{
    const char *s = wa_string_of(string);
    if (s == NULL)
        return;
    const char *end = s + wa_length_of(string);
    for (;;) {
        const char *stop = memchr(s, '\n', (size_t)(end - s));
        wa_markup_bytes(t, s, (size_t)((stop == NULL ? end : stop) - s));
        if (stop == NULL)
            return;
        wa_text_add_char(t, '\n');
        s = stop + 1;
    }
}

void wa_plain_unit(wa_text *t, const char *unit)
{
    if (unit == NULL)
        return;
    const char *last = strrchr(unit, ' '), *minus = strchr(unit, '-');
    if (last == NULL || minus == NULL || minus < last || minus[1] < '1' || minus[1] > '9') {
        wa_text_add(t, unit);
        return;
    }
    wa_text_add_bytes(t, unit, (size_t)(last - unit));
    wa_text_add_char(t, '/');
    wa_text_add_bytes(t, last + 1, (size_t)(minus - last - 1));
    wa_text_add(t, strcmp(minus, "-1") == 0 ? "" : minus + 1);
}

static void raise_powers(wa_text *t, const char *unit)
{
    static const char *const raised[] = {"\u2070", "\u00b9", "\u00b2", "\u00b3", "\u2074",
                                         "\u2075", "\u2076", "\u2077", "\u2078", "\u2079"};
    bool power = false; /* digits and a minus that follow a letter are a power */
    for (const char *s = unit; *s != '\0'; s++) {
        bool letter = (*s >= 'a' && *s <= 'z') || (*s >= 'A' && *s <= 'Z');
        if (power && *s == '-' && s[1] >= '1' && s[1] <= '9')
            wa_text_add(t, "\u207b");
        else if (power && *s >= '0' && *s <= '9')
            wa_text_add(t, raised[*s - '0']);
        else
            wa_text_add_char(t, *s);
        power = letter || (power && (*s == '-' || (*s >= '0' && *s <= '9')));
    }
}

void wa_shown_unit(wa_text *t, const char *unit)
{
    static const struct {
        const char *word, *sign;
    } signs[] = {{"degree", "\u00b0"}, {"degC", "\u00b0C"}, {"1", ""}};

    if (unit == NULL)
        return;
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (strcmp(unit, signs[i].word) == 0) {
            wa_text_add(t, signs[i].sign);
            return;
        }
    wa_text plain = WA_TEXT_INIT;
    wa_plain_unit(&plain, unit);
    raise_powers(t, wa_text_string(&plain));
    wa_text_spend(&plain, t);
}

void wa_markup_unit(wa_text *t, const char *unit)
{
    wa_text shown = WA_TEXT_INIT;
    wa_shown_unit(&shown, unit);
    wa_markup_add(t, wa_text_string(&shown));
    wa_text_spend(&shown, t);
}

void wa_markup_head(wa_text *t, const char *name, const char *unit)
{
    wa_markup_id(t, name);
    if (unit != NULL && strcmp(unit, "1") != 0 && *unit != '\0') {
        wa_text_add(t, " <span class=unit>[");
        wa_markup_unit(t, unit);
        wa_text_add(t, "]</span>");
    }
}
