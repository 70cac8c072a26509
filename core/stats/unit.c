#include "windassay/unit.h"

#include "base/dd.h"
#include "stats/unit_table.h"
#include "windassay/exact.h"
#include "windassay/int128.h"
#include "windassay/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- exact fractions ---- */

typedef struct fraction {
    wa_int128 num, den; /* den > 0, no common factor, both below 2^63 in size */
} fraction;

static wa_int128 gcd(wa_int128 a, wa_int128 b)
{
    if (a < 0)
        a = -a;
    while (b != 0) {
        wa_int128 rest = a % b;
        a = b;
        b = rest < 0 ? -rest : rest;
    }
    return a;
}

static bool fits(wa_int128 x)
{
    return x <= INT64_MAX && x >= -INT64_MAX;
}

/* False where num or den does not fit 63 bits when reduced. */
static bool reduce(fraction *f, wa_int128 num, wa_int128 den)
{
    wa_int128 common = gcd(num, den);
    if (den < 0)
        common = -common;
    *f = (fraction){num / common, den / common};
    return fits(f->num) && fits(f->den);
}

static fraction scale_of(const wa_unit *u)
{
    return (fraction){u->scale_num, u->scale_den};
}

static bool times(fraction *f, fraction a, fraction b)
{
    return reduce(f, a.num * b.num, a.den * b.den);
}

static bool over(fraction *f, fraction a, fraction b)
{
    return reduce(f, a.num * b.den, a.den * b.num);
}

/* Each product is below 2^126, so that their sum holds. */
static bool minus(fraction *f, fraction a, fraction b)
{
    return reduce(f, a.num * b.den - b.num * a.den, a.den * b.den);
}

/* ---- a unit as a list of named factors: how it is read, joined and printed ---- */

enum { MAX_FACTORS = 8, MAX_SYMBOL = 16, MAX_POWER = 9, MAX_DEPTH = 4 };

typedef struct factor {
    wa_named_unit unit; /* with its prefix in num/den */
    char symbol[MAX_SYMBOL];
    int power;
} factor;

typedef struct factors {
    factor at[MAX_FACTORS];
    size_t n;
} factors;

typedef struct reader {
    const char *text; /* the whole, for messages */
    const char *next;
    factors *into;
    wa_error *err;
} reader;

static bool find_symbol(factor *f, const char *name)
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

static bool find_name(factor *f, const char *name)
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
    const char *near = wa_nearest(name, names, n);
    if (near != NULL)
        return wa_hint(err, WA_ERR_ARG, "did you mean '%s'?", near);
    return wa_hint(err, WA_ERR_ARG,
                   "units are spelled as \"m s-1\", \"degree\", \"degC\", \"%%\", "
                   "\"hPa\", \"dB\"; \"1\" is the pure number");
}

static wa_status bad_unit(const reader *r, const char *why)
{
    char shown[96];
    wa_shown(shown, sizeof shown, r->text, strlen(r->text));
    return wa_fail(r->err, WA_ERR_ARG, "unit '%s': %s", shown, why);
}

/* Adds one factor to the list, joined with an equal symbol. False: too many, too high a power. */
static bool add_factor(factors *list, const factor *f)
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
        return power <= MAX_POWER && power >= -MAX_POWER;
    }
    if (list->n == MAX_FACTORS)
        return false;
    list->at[list->n++] = *f;
    return f->power <= MAX_POWER && f->power >= -MAX_POWER;
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
    factor f;
    if (n != (size_t)(r->next - start) || !find_name(&f, name))
        return unknown_unit(r->err, r->text, name);
    wa_status s = read_power(r, &f.power);
    f.power *= sign;
    if (s == WA_OK && f.power != 0 && !add_factor(r->into, &f))
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

static wa_status read_factors(factors *out, const char *text, wa_error *err)
{
    reader r = {.text = text, .next = text, .into = out, .err = err};
    out->n = 0;
    wa_status s = read_product(&r, 1, 0);
    if (s == WA_OK && *r.next != '\0')
        s = bad_unit(&r, "a parenthesis is not opened");
    return s;
}

/* Adds one factor to the size and dimensions. False: out of range. */
static bool apply_factor(wa_unit *u, const factor *f)
{
    int up = f->power < 0 ? -1 : 1;
    fraction scale = scale_of(u), one;
    if (!reduce(&one, f->unit.num, f->unit.den))
        return false;
    for (int i = 0; i != f->power; i += up) {
        if (!(up > 0 ? times(&scale, scale, one) : over(&scale, scale, one)))
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

static bool write_text(wa_unit *u, const factors *list)
{
    size_t at = 0;
    snprintf(u->text, sizeof u->text, "1");
    for (size_t i = 0; i < list->n; i++) {
        const factor *f = &list->at[i];
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

static wa_status build(wa_unit *out, const factors *list, const char *what, wa_error *err)
{
    wa_unit u = wa_unit_one();
    for (size_t i = 0; i < list->n; i++) {
        const factor *f = &list->at[i];
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

/* ---- the interface ---- */

wa_unit wa_unit_one(void)
{
    return (wa_unit){.scale_num = 1, .scale_den = 1, .offset_den = 1, .text = "1"};
}

wa_unit wa_unit_degree(void)
{
    return (wa_unit){.power = {[WA_POWER_ANGLE] = 1},
                     .scale_num = 1,
                     .scale_den = 1,
                     .offset_den = 1,
                     .text = "degree"};
}

wa_status wa_unit_parse(wa_unit *out, const char *text, wa_error *err)
{
    if (*text == '\0') {
        wa_fail(err, WA_ERR_ARG, "a unit is empty");
        return wa_hint(err, WA_ERR_ARG, "the pure number is \"1\"");
    }
    factors list;
    wa_status s = read_factors(&list, text, err);
    if (s != WA_OK)
        return s;
    char shown[96];
    return build(out, &list, wa_shown(shown, sizeof shown, text, strlen(text)), err);
}

static bool same_dimensions(const wa_unit *a, const wa_unit *b)
{
    return memcmp(a->power, b->power, WA_POWER_PI) == 0;
}

bool wa_unit_comparable(const wa_unit *a, const wa_unit *b)
{
    return same_dimensions(a, b);
}

bool wa_unit_equal(const wa_unit *a, const wa_unit *b)
{
    return memcmp(a->power, b->power, sizeof a->power) == 0 && a->scale_num == b->scale_num &&
           a->scale_den == b->scale_den && a->offset_num == b->offset_num &&
           a->offset_den == b->offset_den;
}

bool wa_unit_is_one(const wa_unit *a)
{
    wa_unit one = wa_unit_one();
    return wa_unit_equal(a, &one);
}

bool wa_unit_has_zero(const wa_unit *a)
{
    return a->offset_num != 0;
}

wa_unit wa_unit_inside(const wa_unit *unit)
{
    static const char *const inside[] = {"m s-1", "degree", "degC", "%", "hPa", "dB"};
    for (size_t i = 0; i < sizeof inside / sizeof *inside; i++) {
        wa_unit u;
        if (wa_unit_parse(&u, inside[i], NULL) == WA_OK && same_dimensions(&u, unit))
            return u;
    }
    return *unit;
}

static wa_status not_comparable(const wa_unit *from, const wa_unit *to, wa_error *err)
{
    return wa_fail(err, WA_ERR_ARG, "'%s' cannot be converted to '%s'", from->text, to->text);
}

/* y = (x * slope + offset) / den * pi^pi, all but pi whole numbers. */
typedef struct conversion {
    wa_int128 slope, offset, den;
    int pi;
} conversion;

static wa_status plan(conversion *c, const wa_unit *from, const wa_unit *to, wa_error *err)
{
    if (!same_dimensions(from, to))
        return not_comparable(from, to, err);
    fraction slope, zero;
    fraction from_zero = {from->offset_num, from->offset_den};
    fraction to_zero = {to->offset_num, to->offset_den};
    c->pi = from->power[WA_POWER_PI] - to->power[WA_POWER_PI];
    if (!over(&slope, scale_of(from), scale_of(to)) || !minus(&zero, from_zero, to_zero) ||
        !over(&zero, zero, scale_of(to)) || (zero.num != 0 && c->pi != 0))
        return wa_fail(err, WA_ERR_ARG, "'%s' is too far from '%s' to be converted", from->text,
                       to->text);
    wa_int128 common = gcd(slope.den, zero.den);
    wa_int128 left = zero.den / common, right = slope.den / common;
    c->slope = slope.num * left;
    c->offset = zero.num * right;
    c->den = slope.den * left;
    if (!fits(c->slope) || !fits(c->offset) || !fits(c->den))
        return wa_fail(err, WA_ERR_ARG, "'%s' is too far from '%s' to be converted", from->text,
                       to->text);
    return WA_OK;
}

static double convert_exactly(const conversion *c, double x)
{
    wa_exact sum = {0};
    wa_dd slope = wa_dd_of_int128(c->slope), offset = wa_dd_of_int128(c->offset);
    wa_exact_add_product(&sum, x, slope.hi);
    wa_exact_add_product(&sum, x, slope.lo);
    wa_exact_add(&sum, offset.hi);
    wa_exact_add(&sum, offset.lo);
    return wa_exact_divide(&sum, (uint64_t)c->den);
}

static double convert_by_pi(const conversion *c, double x)
{
    /* pi to 107 bits, as hi + lo */
    static const wa_dd pi = {0x1.921fb54442d18p+1, 0x1.1a62633145c07p-53};
    wa_dd y = wa_dd_mul_d(wa_dd_of_int128(c->slope), x);
    for (int i = 0; i < c->pi; i++)
        y = wa_dd_mul(y, pi);
    for (int i = 0; i > c->pi; i--)
        y = wa_dd_div(y, pi);
    return wa_dd_div(y, wa_dd_of_int128(c->den)).hi;
}

wa_status wa_unit_convert(double *out, double x, const wa_unit *from, const wa_unit *to,
                          wa_error *err)
{
    conversion c;
    wa_status s = plan(&c, from, to, err);
    if (s != WA_OK)
        return s;
    *out = c.pi == 0 ? convert_exactly(&c, x) : convert_by_pi(&c, x);
    return WA_OK;
}

wa_status wa_unit_convert_all(double *out, const double *x, size_t n, const wa_unit *from,
                              const wa_unit *to, wa_error *err)
{
    conversion c;
    wa_status s = plan(&c, from, to, err);
    if (s != WA_OK)
        return s;
    bool same = wa_unit_equal(from, to);
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(x[i]))
            out[i] = (double)NAN;
        else if (same)
            out[i] = x[i];
        else
            out[i] = c.pi == 0 ? convert_exactly(&c, x[i]) : convert_by_pi(&c, x[i]);
    }
    return WA_OK;
}

wa_status wa_unit_affine(double *slope, double *offset, const wa_unit *from, const wa_unit *to,
                         wa_error *err)
{
    conversion c;
    wa_status s = plan(&c, from, to, err);
    if (s != WA_OK)
        return s;
    conversion linear = c;
    linear.offset = 0;
    *slope = c.pi == 0 ? convert_exactly(&linear, 1) : convert_by_pi(&linear, 1);
    *offset = c.pi == 0 ? convert_exactly(&c, 0) : 0;
    return WA_OK;
}

static wa_status join(wa_unit *out, const wa_unit *a, const wa_unit *b, int power, wa_error *err)
{
    factors list, more;
    wa_status s = read_factors(&list, a->text, err);
    if (s == WA_OK)
        s = read_factors(&more, b->text, err);
    if (s != WA_OK)
        return s;
    char what[2 * WA_UNIT_TEXT + 8];
    snprintf(what, sizeof what, power > 0 ? "%s * %s" : "%s / %s", a->text, b->text);
    for (size_t i = 0; i < more.n; i++) {
        more.at[i].power *= power;
        if (!add_factor(&list, &more.at[i]))
            return wa_fail(err, WA_ERR_ARG, "unit '%s' has too many factors", what);
    }
    return build(out, &list, what, err);
}

wa_status wa_unit_multiply(wa_unit *out, const wa_unit *a, const wa_unit *b, wa_error *err)
{
    return join(out, a, b, 1, err);
}

wa_status wa_unit_divide(wa_unit *out, const wa_unit *a, const wa_unit *b, wa_error *err)
{
    return join(out, a, b, -1, err);
}

wa_status wa_unit_power(wa_unit *out, const wa_unit *a, int p, wa_error *err)
{
    factors list;
    wa_status s = read_factors(&list, a->text, err);
    if (s != WA_OK)
        return s;
    char what[WA_UNIT_TEXT + 16];
    snprintf(what, sizeof what, "(%s)^%d", a->text, p);
    if (p == 0)
        list.n = 0;
    for (size_t i = 0; i < list.n; i++) {
        int power = list.at[i].power;
        if (p > MAX_POWER || p < -MAX_POWER || power * p > MAX_POWER || power * p < -MAX_POWER)
            return wa_fail(err, WA_ERR_ARG, "unit '%s' is out of range", what);
        list.at[i].power = power * p;
    }
    return build(out, &list, what, err);
}

wa_status wa_unit_root(wa_unit *out, const wa_unit *a, wa_error *err)
{
    factors list;
    wa_status s = read_factors(&list, a->text, err);
    if (s != WA_OK)
        return s;
    for (size_t i = 0; i < list.n; i++) {
        if (list.at[i].power % 2 != 0)
            return wa_fail(err, WA_ERR_ARG, "the square root of '%s' is no unit", a->text);
        list.at[i].power /= 2;
    }
    return build(out, &list, a->text, err);
}

wa_unit wa_unit_difference(const wa_unit *a)
{
    wa_unit u = *a;
    if (!wa_unit_has_zero(a))
        return u;
    u.offset_num = 0;
    u.offset_den = 1;
    snprintf(u.text, sizeof u.text, "%s", u.scale_den == 1 ? "K" : "degR");
    return u;
}
