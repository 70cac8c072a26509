#include "data/sample.h"

#include "base/scaled.h"
#include "windassay/number.h"
#include "windassay/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double ten_to[WA_SCALE_MAX + 1] = {1,    1e1,  1e2,  1e3,  1e4,  1e5,  1e6,
                                                1e7,  1e8,  1e9,  1e10, 1e11, 1e12, 1e13,
                                                1e14, 1e15, 1e16, 1e17, 1e18};

double wa_sample_number(wa_datum is, uint8_t tag)
{
    if (tag == WA_TAG_DOUBLE)
        return is.number;
    /* both exact, so the quotient is the double nearest to the decimal */
    return tag == WA_TAG_MISSING ? (double)NAN : (double)is.digits / ten_to[tag];
}

bool wa_sample_equal(const wa_sample *a, const wa_sample *b)
{
    if (a->tag == WA_TAG_MISSING || b->tag == WA_TAG_MISSING)
        return a->tag == b->tag;
    return wa_sample_number(a->is, a->tag) == wa_sample_number(b->is, b->tag);
}

static wa_field trimmed(const wa_field *field)
{
    wa_field f = *field;
    while (f.length > 0 && (f.at[0] == ' ' || f.at[0] == '\t')) {
        f.at++;
        f.length--;
    }
    while (f.length > 0 && (f.at[f.length - 1] == ' ' || f.at[f.length - 1] == '\t'))
        f.length--;
    return f;
}

static bool is_missing_text(const wa_layout *l, const wa_field *f)
{
    for (size_t i = 0; i < l->n_missing; i++)
        if (!l->missing[i].is_number && strlen(l->missing[i].text) == f->length &&
            memcmp(l->missing[i].text, f->at, f->length) == 0)
            return true;
    return f->length == 0;
}

static bool is_missing_number(const wa_layout *l, double x)
{
    for (size_t i = 0; i < l->n_missing; i++)
        if (l->missing[i].is_number && l->missing[i].number == x)
            return true;
    return false;
}

/* A number that is no plain decimal of up to 18 digits: an exponent, or very long. */
static wa_parse parse_general(double *out, const wa_field *f, char decimal)
{
    if (decimal == '.')
        return wa_number_parse(out, f->at, f->length);
    if (memchr(f->at, '.', f->length) != NULL)
        return WA_PARSE_NOT_A_NUMBER;
    char *copy = malloc(f->length + 1);
    if (copy == NULL)
        return WA_PARSE_NOT_A_NUMBER;
    memcpy(copy, f->at, f->length);
    char *comma = memchr(copy, decimal, f->length);
    if (comma != NULL)
        *comma = '.';
    wa_parse answer = wa_number_parse(out, copy, f->length);
    free(copy);
    return answer;
}

static bool looks_infinite(const wa_field *f)
{
    size_t sign = f->length > 0 && (f->at[0] == '-' || f->at[0] == '+');
    const char *at = f->at + sign;
    size_t n = f->length - sign;
    return (n == 3 && strncasecmp(at, "inf", 3) == 0) ||
           (n == 8 && strncasecmp(at, "infinity", 8) == 0);
}

static wa_status not_a_number(wa_rows *r, const wa_field *f, size_t column, const wa_layout *l,
                              wa_parse why, wa_error *err)
{
    char shown[80], name[80];
    const char *column_name = wa_rows_names(r)[column];
    wa_shown(name, sizeof name, column_name, strlen(column_name));
    wa_shown(shown, sizeof shown, f->at, f->length);
    if (looks_infinite(f)) {
        wa_rows_fail(r, column, err, "column '%s': '%s' is infinite", name, shown);
        return wa_hint(err, WA_ERR_DATA, "declare it as missing if it means that");
    }
    if (why == WA_PARSE_OUT_OF_RANGE)
        return wa_rows_fail(r, column, err, "column '%s': '%s' is out of range", name, shown);
    wa_rows_fail(r, column, err, "column '%s': '%s' is not a number", name, shown);
    if (l->decimal == '.' && memchr(f->at, ',', f->length) != NULL)
        return wa_hint(err, WA_ERR_DATA,
                       "the file uses a decimal comma? set decimal = \",\" for the source");
    if (l->decimal == ',' && memchr(f->at, '.', f->length) != NULL)
        return wa_hint(err, WA_ERR_DATA, "the source says decimal = \",\"");
    return wa_hint(err, WA_ERR_DATA, "declare it as missing if it means that");
}

/* Fields that the quick way does not take: blanks, markers, exponents, long numbers, nonsense. */
static wa_status read_slowly(wa_sample *out, wa_rows *r, const wa_field *field, size_t column,
                             const wa_layout *l, wa_error *err)
{
    wa_field f = trimmed(field);
    if (is_missing_text(l, &f)) {
        out->tag = WA_TAG_MISSING;
        return WA_OK;
    }
    int64_t digits;
    int scale;
    double x = 0;
    if (wa_decimal_parse(&digits, &scale, f.at, f.length, l->decimal) && digits <= 1LL << 53 &&
        digits >= -(1LL << 53)) {
        *out = (wa_sample){.is.digits = digits, .tag = (uint8_t)scale};
        x = wa_sample_number(out->is, out->tag);
    } else {
        wa_parse why = parse_general(&x, &f, l->decimal);
        if (why != WA_PARSE_OK)
            return not_a_number(r, &f, column, l, why, err);
        *out = (wa_sample){.is.number = x, .tag = WA_TAG_DOUBLE};
    }
    if (is_missing_number(l, x))
        out->tag = WA_TAG_MISSING;
    return WA_OK;
}

wa_status wa_sample_read(wa_sample *out, wa_rows *r, const wa_field *field, size_t column,
                         const wa_layout *layout, wa_error *err)
{
    int64_t digits;
    int scale;
    if (!wa_decimal_parse(&digits, &scale, field->at, field->length, layout->decimal) ||
        digits > 1LL << 53 || digits < -(1LL << 53))
        return read_slowly(out, r, field, column, layout, err);
    out->is.digits = digits;
    out->tag = (uint8_t)scale;
    if (layout->n_missing > 0 && is_missing_number(layout, wa_sample_number(out->is, out->tag)))
        out->tag = WA_TAG_MISSING;
    return WA_OK;
}

static wa_status read_bits(wa_sample *s, wa_rows *r, const wa_field *field, size_t column,
                           wa_error *err)
{
    double x = wa_sample_number(s->is, s->tag);
    if (!(x >= 0 && x <= 4294967295.0) || floor(x) != x) {
        char shown[80];
        wa_rows_fail(r, column, err, "column '%s': '%s' is no set of bits",
                     wa_rows_names(r)[column],
                     wa_shown(shown, sizeof shown, field->at, field->length));
        return wa_hint(err, WA_ERR_DATA, "a whole number from 0 to 4294967295 is expected");
    }
    *s = (wa_sample){.is.digits = (int64_t)x, .tag = 0};
    return WA_OK;
}

static wa_status read_word(wa_sample *out, wa_rows *r, const wa_field *field, size_t column,
                           const wa_layout *l, const wa_channel *c, wa_error *err)
{
    wa_field f = trimmed(field);
    if (is_missing_text(l, &f)) {
        out->tag = WA_TAG_MISSING;
        return WA_OK;
    }
    double x = 0;
    bool number = wa_number_parse(&x, f.at, f.length) == WA_PARSE_OK;
    if (number && is_missing_number(l, x)) {
        out->tag = WA_TAG_MISSING;
        return WA_OK;
    }
    for (size_t i = 0; i < c->n_flags; i++) {
        const wa_flag *flag = &c->flags[i];
        bool same = flag->word != NULL
                        ? strlen(flag->word) == f.length && memcmp(flag->word, f.at, f.length) == 0
                        : number && x == (double)flag->bit;
        if (same) {
            *out = (wa_sample){.is.digits = (int64_t)i, .tag = 0};
            return WA_OK;
        }
    }
    char shown[80];
    wa_rows_fail(r, column, err, "column '%s': '%s' is none of the words of channel '%s'",
                 wa_rows_names(r)[column], wa_shown(shown, sizeof shown, f.at, f.length), c->name);
    return wa_hint(err, WA_ERR_DATA, "name every word that the files hold");
}

wa_status wa_sample_read_channel(wa_sample *out, wa_rows *r, const wa_field *field, size_t column,
                                 const wa_layout *layout, const wa_channel *channel,
                                 double to_degree, wa_error *err)
{
    if (channel->kind == WA_CHANNEL_WORDS)
        return read_word(out, r, field, column, layout, channel, err);
    wa_status status = wa_sample_read(out, r, field, column, layout, err);
    if (status != WA_OK || channel->kind == WA_CHANNEL_SCALAR || out->tag == WA_TAG_MISSING)
        return status;
    if (channel->kind == WA_CHANNEL_BITS)
        return read_bits(out, r, field, column, err);
    double degrees = wa_sample_number(out->is, out->tag) * to_degree;
    if (!(degrees >= 0 && degrees <= 360)) {
        char shown[80];
        wa_rows_fail(r, column, err, "column '%s': '%s' is no direction", wa_rows_names(r)[column],
                     wa_shown(shown, sizeof shown, field->at, field->length));
        return wa_hint(err, WA_ERR_DATA, "directions lie between 0 and 360 degrees");
    }
    if (degrees == 360)
        *out = (wa_sample){.is.digits = 0, .tag = out->tag == WA_TAG_DOUBLE ? 0 : out->tag};
    return WA_OK;
}
