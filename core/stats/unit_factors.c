#include "stats/unit_factors.h"

#include "stats/fraction.h"
#include "windassay/text.h"

#include <stdio.h>
#include <string.h>

enum { MAX_DEPTH = 4 };

typedef struct reader {
    const char *text; /* the whole, for messages */
    const char *next;
    wa_factors *into;
    wa_error *err;
} reader;

static bool find_symbol(wa_factor *f, const char *name)
{
    for (size_t i = 0; i < wa_named_units_count; i++)
        if (strcmp(name, wa_named_units[i].symbol) == 0) {
            f->unit = wa_named_units[i];
            snprintf(f->symbol, sizeof f->symbol, "%s", name);
            return true;
        }
    for (size_t i = 0; i < wa_unit_prefixes_count; i++) {
        const wa_unit_prefix *p = &wa_unit_prefixes[i];
        size_t length = strlen(p->symbol);
        if (strncmp(name, p->symbol, length) != 0)
            continue;
        for (size_t j = 0; j < wa_named_units_count; j++) {
            const wa_named_unit *u = &wa_named_units[j];
            if (!u->prefixed || strcmp(name + length, u->symbol) != 0)
                continue;
            f->unit = *u;
            f->unit.num *= p->num;
            f->unit.den *= p->den;
            snprintf(f->symbol, sizeof f->symbol, "%s%s", p->printed, u->symbol);
            return true;
        }
    }
    return false;
}

static bool find_name(wa_factor *f, const char *name)
{
    if (find_symbol(f, name))
        return true;
    for (size_t i = 0; i < wa_unit_aliases_count; i++)
        if (strcmp(name, wa_unit_aliases[i].name) == 0)
            return find_symbol(f, wa_unit_aliases[i].symbol);
    return false;
}

enum { MAX_NAMES = 128 };

static wa_status unknown_unit(wa_error *err, const char *text, const char *name)
{
    const char *names[MAX_NAMES];
    size_t n = 0;
    for (size_t i = 0; i < wa_named_units_count && n < MAX_NAMES; i++)
        names[n++] = wa_named_units[i].symbol;
    for (size_t i = 0; i < wa_unit_aliases_count && n < MAX_NAMES; i++)
        names[n++] = wa_unit_aliases[i].name;
    char shown[64], whole[96];
    wa_shown(shown, sizeof shown, name, strlen(name));
    wa_shown(whole, sizeof whole, text, strlen(text));
    if (strcmp(shown, whole) == 0)
        wa_fail(err, WA_ERR_ARG, "unit '%s' is not known", whole);
    else
        wa_fail(err, WA_ERR_ARG, "unit '%s': '%s' is not known", whole, shown);
    /* short names are all near each other: 'mps' is no slip for 'mph' */
    const char *near = strlen(name) > 3 ? wa_nearest(name, names, n) : NULL;
    if (near != NULL)
        return wa_hint(err, WA_ERR_ARG, "did you mean '%s'?", near);
    return wa_hint(err, WA_ERR_ARG,
                   "units are spelled as \"m/s\", \"m s-1\", \"knot\", \"degree\", \"degC\", "
                   "\"%%\", \"hPa\", \"dB\"; \"1\" is the pure number");
}

static wa_status bad_unit(const reader *r, const char *why)
{
    char shown[96];
    wa_shown(shown, sizeof shown, r->text, strlen(r->text));
    return wa_fail(r->err, WA_ERR_ARG, "unit '%s': %s", shown, why);
}

bool wa_factors_add(wa_factors *list, const wa_factor *f)
{
    for (size_t i = 0; i < list->n; i++) {
        if (strcmp(list->at[i].symbol, f->symbol) != 0)
            continue;
        list->at[i].power += f->power;
        int power = list->at[i].power;
        if (power == 0) {
            memmove(&list->at[i], &list->at[i + 1], (list->n - i - 1) * sizeof *list->at);
            list->n--;
        }
        return power <= WA_FACTOR_POWER_MOST && power >= -WA_FACTOR_POWER_MOST;
    }
    if (list->n == WA_FACTORS_MOST)
        return false;
    list->at[list->n++] = *f;
    return f->power <= WA_FACTOR_POWER_MOST && f->power >= -WA_FACTOR_POWER_MOST;
}

static bool is_name_byte(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || c == '%' ||
           (unsigned char)c >= 0x80;
}

static bool starts(const char *s, const char *with)
{
    return strncmp(s, with, strlen(with)) == 0;
}

static bool at_superscript(const char *s)
{
    return starts(s, "\xc2\xb2") || starts(s, "\xc2\xb3");
}

static bool at_middle_dot(const char *s)
{
    return starts(s, "\xc2\xb7");
}

/* Reads an exponent if there is one: "2", "-1", "^2", "**-1", superscript 2 or 3. */
static wa_status read_power(reader *r, int *power)
{
    *power = 1;
    if (at_superscript(r->next)) {
        *power = r->next[1] == '\xb2' ? 2 : 3;
        r->next += 2;
        return WA_OK;
    }
    bool marked = true;
    if (starts(r->next, "**"))
        r->next += 2;
    else if (*r->next == '^')
        r->next++;
    else
        marked = false;
    const char *p = r->next;
    bool negative = *p == '-';
    if (*p == '-' || *p == '+')
        p++;
    if (*p < '0' || *p > '9') {
        if (marked || p != r->next)
            return bad_unit(r, "a power must be a whole number");
        return WA_OK;
    }
    *power = *p++ - '0';
    if (*p >= '0' && *p <= '9')
        return bad_unit(r, "the power is too high");
    if (negative)
        *power = -*power;
    r->next = p;
    return WA_OK;
}

static wa_status read_product(reader *r, int sign, int depth);

static wa_status read_name(reader *r, int sign)
{
    char name[32];
    size_t n = 0;
    const char *start = r->next;
    while (is_name_byte(*r->next) && !at_superscript(r->next) && !at_middle_dot(r->next)) {
        if (n + 1 < sizeof name)
            name[n++] = *r->next;
        r->next++;
    }
    name[n] = '\0';
    wa_factor f;
    if (n != (size_t)(r->next - start) || !find_name(&f, name))
        return unknown_unit(r->err, r->text, name);
    wa_status s = read_power(r, &f.power);
    f.power *= sign;
    if (s == WA_OK && f.power != 0 && !wa_factors_add(r->into, &f))
        s = bad_unit(r, "too many factors or too high a power");
    return s;
}

static wa_status read_factor(reader *r, int sign, int depth)
{
    if (*r->next == '(') {
        if (depth == MAX_DEPTH)
            return bad_unit(r, "too many parentheses");
        r->next++;
        wa_status s = read_product(r, sign, depth + 1);
        if (s != WA_OK)
            return s;
        if (*r->next != ')')
            return bad_unit(r, "a parenthesis is not closed");
        r->next++;
        return WA_OK;
    }
    if (*r->next == '1' && !(r->next[1] >= '0' && r->next[1] <= '9') && r->next[1] != '.') {
        r->next++;
        return WA_OK;
    }
    if (is_name_byte(*r->next))
        return read_name(r, sign);
    if (*r->next >= '0' && *r->next <= '9')
        return bad_unit(r, "a unit holds no number other than 1");
    return bad_unit(r, *r->next == '\0' ? "a factor is missing" : "a factor does not begin so");
}

static void skip_blanks(reader *r)
{
    while (*r->next == ' ')
        r->next++;
}

static wa_status read_product(reader *r, int sign, int depth)
{
    int next_sign = sign;
    for (;;) {
        skip_blanks(r);
        wa_status s = read_factor(r, next_sign, depth);
        if (s != WA_OK)
            return s;
        skip_blanks(r);
        next_sign = sign;
        if (*r->next == '\0' || *r->next == ')')
            return WA_OK;
        if (*r->next == '/')
            next_sign = -sign;
        if (at_middle_dot(r->next))
            r->next += 2;
        else if (*r->next == '/' || *r->next == '.' || *r->next == '*')
            r->next++;
    }
}

wa_status wa_factors_read(wa_factors *out, const char *text, wa_error *err)
{
    reader r = {.text = text, .next = text, .into = out, .err = err};
    out->n = 0;
    wa_status s = read_product(&r, 1, 0);
    if (s == WA_OK && *r.next != '\0')
        s = bad_unit(&r, "a parenthesis is not opened");
    return s;
}

/* Adds one factor to the size and dimensions. False: out of range. */
static bool apply_factor(wa_unit *u, const wa_factor *f)
{
    int up = f->power < 0 ? -1 : 1;
    wa_fraction scale = wa_fraction_of(u), one;
    if (!wa_fraction_reduce(&one, f->unit.num, f->unit.den))
        return false;
    for (int i = 0; i != f->power; i += up) {
        if (!(up > 0 ? wa_fraction_times(&scale, scale, one)
                     : wa_fraction_over(&scale, scale, one)))
            return false;
        for (int d = 0; d < WA_UNIT_DIMENSIONS; d++) {
            int power = u->power[d] + up * f->unit.power[d];
            if (power < INT8_MIN || power > INT8_MAX)
                return false;
            u->power[d] = (int8_t)power;
        }
    }
    u->scale_num = (int64_t)scale.num;
    u->scale_den = (int64_t)scale.den;
    return true;
}

static bool write_text(wa_unit *u, const wa_factors *list)
{
    size_t at = 0;
    snprintf(u->text, sizeof u->text, "1");
    for (size_t i = 0; i < list->n; i++) {
        const wa_factor *f = &list->at[i];
        char power[8] = "";
        if (f->power != 1)
            snprintf(power, sizeof power, "%d", f->power);
        int n = snprintf(u->text + at, sizeof u->text - at, "%s%s%s", i > 0 ? " " : "", f->symbol,
                         power);
        at += (size_t)n;
        if (at >= sizeof u->text)
            return false;
    }
    return true;
}

wa_status wa_factors_unit(wa_unit *out, const wa_factors *list, const char *what, wa_error *err)
{
    wa_unit u = wa_unit_one();
    for (size_t i = 0; i < list->n; i++) {
        const wa_factor *f = &list->at[i];
        if (f->unit.offset_num != 0 && (list->n > 1 || f->power != 1)) {
            wa_fail(err, WA_ERR_ARG, "unit '%s': %s has a zero of its own and cannot be multiplied",
                    what, f->symbol);
            return wa_hint(err, WA_ERR_ARG, "use K: convert with :to(\"K\")");
        }
        if (!apply_factor(&u, f))
            return wa_fail(err, WA_ERR_ARG, "unit '%s' is out of range", what);
        if (f->unit.offset_num != 0) {
            u.offset_num = f->unit.offset_num;
            u.offset_den = f->unit.offset_den;
        }
    }
    if (!write_text(&u, list))
        return wa_fail(err, WA_ERR_ARG, "unit '%s' is too long", what);
    *out = u;
    return WA_OK;
}
