/* Columns of decimals: every vector level reads what wa_decimal_parse reads, or leaves it. */
#include "base/scaled.h"
#include "data/decimals.h"
#include "windassay/number.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static uint64_t state = 1;

static uint32_t draw(uint32_t below) /* a linear congruential generator: only variety counts */
{
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)((state >> 33) % below);
}

static const char *const oddities[] = {
    "0",          "1",     "-1",    "12",      "1234567", "12345678", "-1234567", "-12345678",
    "0.1",        "-0.1",  "1.25",  "-1.25",   "12.345",  "-99.999",  "0.000001", "1013.25",
    "",           "-",     ".",     "-.",      ".5",      "-.5",      "5.",       "-5.",
    "+1.5",       "1,5",   "1.2.3", "--1",     "1-2",     "1.-5",     "12-.5",    "NaN",
    " 1.5",       "1.5 ",  "1e3",   "12345.6", "0x1",     "1:5",      "1/5",      "123456789",
    "1.23456789", "00.50", "-0",    "-0.00",   "3.1415",  "::::",     "1.x",      "-1.5-",
};
enum { FIELDS = sizeof oddities / sizeof *oddities };

/* A number is no marker, nor is a text with blanks around it. */
static const char *const markers[] = {"NaN", "-1",          " 1.5",  "1.2.3",
                                      "",    "much longer", "-1.5-", "NaN\r"};
static const size_t true_markers[] = {0, 3, 6};

enum { ROWS = 37, WIDTH = 24 };

/* What a field should be read as; false: it is to be left. */
static bool expect(wa_sample *s, const wa_decimals *d, const char *f)
{
    size_t n = strlen(f), sign = *f == '-';
    int64_t digits = 0;
    int scale = 0;
    bool missing = n == 0;
    for (size_t k = 0; d->n_markers > 0 && k < 3; k++)
        missing |= strcmp(f, markers[true_markers[k]]) == 0;
    bool number = n - sign <= 8 && *f != '+' && wa_decimal_parse(&digits, &scale, f, n, '.') &&
                  scale == d->scale && (scale > 0 || strchr(f, '.') == NULL);
    if (!missing && (!number || wa_decimals_avoid(d, digits)))
        return false;
    *s = (wa_sample){.is.digits = missing ? 0 : digits, .tag = missing ? WA_TAG_MISSING : d->scale};
    return true;
}

/* A number with so many decimals; of up to ten characters, seldom with something wrong. */
static void draw_number(char *to, unsigned scale, unsigned whole, bool negative)
{
    char *from = to;
    if (negative && draw(3) > 0)
        *to++ = '-';
    for (unsigned k = draw(whole + 1) + (scale == 0 ? 1 : 0); k > 0; k--)
        *to++ = (char)('0' + draw(10));
    if (scale > 0)
        *to++ = '.';
    for (unsigned k = 0; k < scale; k++)
        *to++ = (char)('0' + draw(10));
    *to = '\0';
    if (draw(60) == 0)
        from[draw((uint32_t)(to - from))] = ".-;:/x0 "[draw(2) == 0 ? 0 : 1 + draw(7)];
    for (; *from != '\0'; from++)
        *from = *from == ';' ? ',' : *from; /* no delimiter */
}

/* Reads the column as gather_raw.c does: what is left is read alone, and then it goes on. */
static void check(const wa_decimals *d, const wa_fields *fields, char field[ROWS][WIDTH],
                  wa_vector_level level)
{
    wa_datum *to = malloc(ROWS * sizeof *to); /* of its own size, for the sanitizer */
    uint8_t *tag = malloc(ROWS);
    for (size_t i = 0; i < ROWS; i++) {
        wa_fields rest = *fields;
        rest.begin += i * rest.stride;
        size_t n = wa_decimals_read(to, tag, d, &rest, ROWS - i, level);
        wa_sample s;
        assert_true(n <= ROWS - i);
        for (size_t k = 0; k < n; k++, i++) {
            assert_true(expect(&s, d, field[i]));
            assert_int_equal(tag[k], s.tag);
            assert_true(to[k].digits == s.is.digits);
        }
        assert_true(i == ROWS || !expect(&s, d, field[i]));
    }
    free(to);
    free(tag);
}

/* A text of rows "0;FIELD\n", some of the fields in quotes. */
static void decimals_are_the_same_at_every_level(void **ctx)
{
    (void)ctx;
    for (int round = 0; round < 3000; round++) {
        char memory[64 + ROWS * (WIDTH + 8)], *text = memory + 64, field[ROWS][WIDTH];
        memset(memory, (int)draw(256), sizeof memory); /* in front of the text: anything */
        uint32_t ends[2 * ROWS];
        wa_decimals d;
        wa_decimals_set(&d, '.', (uint8_t)draw(8));
        if (round % 4 == 0) {
            d.lowest = -20;
            d.below = 2000;
            d.avoided[d.n_avoided++] = 125;
            d.avoided[d.n_avoided++] = 25;
        }
        for (size_t k = 0; round % 5 == 0 && k < sizeof markers / sizeof *markers; k++)
            wa_decimals_add_marker(&d, markers[k]);
        assert_int_equal(d.n_markers, round % 5 == 0 ? 3 : 0); /* the others are left out */
        unsigned whole = draw(6), odd = round % 3 == 0 ? 2 : 30;
        bool negative = draw(2) == 0, quotes = draw(3) == 0;
        size_t at = 0;
        for (size_t i = 0; i < ROWS; i++) {
            draw_number(field[i], d.scale, whole, negative || draw(20) == 0);
            if (draw(odd) == 0)
                strcpy(field[i], oddities[draw(FIELDS)]);
            bool quoted = draw(8) == 0 ? draw(2) == 0 : quotes;
            at += (size_t)sprintf(text + at, quoted ? "0;\"" : "0;");
            ends[2 * i] = (uint32_t)at - 1;
            ends[2 * i + 1] = (uint32_t)(at + strlen(field[i]));
            at += (size_t)sprintf(text + at, quoted ? "%s\"\n" : "%s\n", field[i]);
        }
        const wa_fields column = {text, ends, 2};
        for (wa_vector_level level = WA_VECTOR_PORTABLE; level <= WA_VECTOR_AVX512; level++)
            if (wa_index_level(level) == level)
                check(&d, &column, field, level);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(decimals_are_the_same_at_every_level)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
