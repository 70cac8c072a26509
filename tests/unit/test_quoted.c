/* Text with quotes around fields: the index finds at every vector level what looking at each byte
 * finds, and rows are the same with and without the parser, right or wrong. */
#include "data/index.h"
#include "data/rows.h"
#include "windassay/text.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include <cmocka.h>

static uint64_t state = 1;

static uint32_t draw(uint32_t below) /* a linear congruential generator: only variety counts */
{
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)((state >> 33) % below);
}

/* ---- the index ---- */

typedef enum place { FIRST, BARE, QUOTED, BEHIND_QUOTE, BEHIND_RETURN } place;

/* What byte i makes of the place in front of it; false: a parser is needed. */
static bool step(place *p, const char *text, size_t i, size_t n)
{
    unsigned char c = (unsigned char)text[i];
    if (c == '\n' || c == ';') {
        bool good = *p != QUOTED;
        *p = FIRST;
        return good;
    }
    if (c == '"') {
        bool good = *p == FIRST || *p == QUOTED;
        *p = *p == FIRST ? QUOTED : BEHIND_QUOTE;
        return good;
    }
    if (c == '\r') {
        *p = *p == QUOTED ? QUOTED : BEHIND_RETURN;
        return i + 1 == n || text[i + 1] == '\n';
    }
    bool good = c >= ' ' && c < 128 && *p != BEHIND_QUOTE && *p != BEHIND_RETURN;
    *p = *p == FIRST ? BARE : *p;
    return good;
}

/* How far a text is plain: whole pieces of 64. */
static size_t plain_until(const char *text, size_t n)
{
    place p = FIRST;
    for (size_t i = 0; i < n; i++)
        if (!step(&p, text, i, n))
            return i / 64 * 64;
    return n;
}

static void check_field(const wa_index *x, const char *text, size_t field, size_t from, size_t to)
{
    assert_int_equal(wa_index_begin(x, text, field), from);
    bool quoted = to > from && text[from] == '"', cut = to > from && text[to - 1] == '\r';
    assert_int_equal((uint32_t)((x->end + 2 * field)[-1] + 1), quoted ? from + 1 : from);
    assert_int_equal(x->end[2 * field], quoted && !cut ? to - 1 : to);
}

static void check_index(const char *text, size_t n, wa_vector_level level)
{
    wa_index x = {0};
    size_t until = plain_until(text, n), from = 0, ends = 0, feeds = 0, rows = 0, in_row = 0;
    bool sound = true;
    assert_true(wa_index_reserve(&x, n + 1));
    assert_int_equal(wa_index_make_quoted(&x, text, n, ';', level), until == n);
    for (size_t i = 0; i < until; i++) {
        if (text[i] != ';' && text[i] != '\n')
            continue;
        check_field(&x, text, ends++, from, i);
        from = i + 1;
        in_row++;
        if (text[i] == ';')
            continue;
        feeds++;
        sound = sound && in_row == 3;
        rows += sound;
        in_row = 0;
    }
    assert_int_equal(wa_index_begin(&x, text, ends), from);
    assert_int_equal(x.ends, ends);
    assert_int_equal(x.feeds, feeds);
    assert_int_equal(x.quotes, memchr(text, '"', until) != NULL);
    assert_int_equal(wa_index_rows(&x, text, 3), rows);
    wa_index_release(&x);
}

static void check_levels(const char *text, size_t n)
{
    char *own = malloc(n + (n == 0)); /* of its own size: the sanitizer sees a byte beyond it */
    memcpy(own, text, n);
    for (wa_vector_level level = WA_VECTOR_PORTABLE; level <= WA_VECTOR_AVX512; level++)
        if (wa_index_level(level) == level)
            check_index(own, n, level);
    free(own);
}

static void any_bytes(void **ctx)
{
    (void)ctx;
    static const char common[] = "0123456789.;;\n-", rare[] = "\"\"\"\r\0\x80\xff\t";
    for (int round = 0; round < 6000; round++) {
        char text[400];
        size_t n = draw(sizeof text);
        uint32_t odd = 2 + draw(200);
        for (size_t i = 0; i < n; i++)
            text[i] = draw(odd) == 0 ? rare[draw(8)] : common[draw(15)];
        check_levels(text, n);
    }
}

/* A text of about so many bytes: rows of three fields, bare and quoted in turn or by chance, in every
 * hundredth field something wrong. */
static void draw_text(wa_text *t, size_t most, char delimiter)
{
    static const char *const fields[] = {
        "1",       "-2.25",       "\"-2.25\"", "",          "\"\"",  "\"2026-03-02T00:00:00Z\"",
        "\"NaN\"", "\"x y\"",     "12345678",  "\"0.125\"", "\"7\"", "2026-03-02T00:00:00Z",
        "\"-\"",   "\"1013.25\"",
    };
    static const char *const wrong[] = {
        "\"a\"\"b\"", "\"a;b\"",  "\"a,b\"", "\"a\nb\"", "\"a\r\nb\"", "\"",       "a\"",
        "\"a\" ",     " \"a\"",   "\"a\"b",  "\"\"\"\"", "\xe4",       "\"\xe4\"", "\"\xc3\xa4\"",
        "\r",         "\"a\rb\"", "\t",      "\v",       "1;2",        "1,2",      "\n",
    };
    const uint32_t n = sizeof fields / sizeof *fields, chance = draw(3), wrongs = draw(4);
    bool crlf = draw(3) == 0;
    for (size_t field = 0; t->length < most; field++) {
        const char *f = fields[chance == 0 ? draw(n) : chance == 1 ? 2 : field * 5 % 7];
        if (wrongs == 0 && draw(100) == 0)
            f = wrong[draw(sizeof wrong / sizeof *wrong)];
        wa_text_add(t, f);
        if (field % 3 == 2)
            wa_text_add(t, crlf ? "\r\n" : "\n");
        else
            wa_text_add_char(t, delimiter);
    }
}

static void fields_with_quotes(void **ctx)
{
    (void)ctx;
    for (int round = 0; round < 6000; round++) {
        wa_text t = WA_TEXT_INIT;
        draw_text(&t, draw(500), ';');
        size_t cut = draw(20); /* torn anywhere */
        check_levels(wa_text_string(&t), t.length > cut ? t.length - cut : 0);
        wa_text_release(&t);
    }
}

/* Everything that may happen around quotes, at each place of a piece of 64 bytes and at its borders. */
static void at_the_borders_of_pieces(void **ctx)
{
    (void)ctx;
    static const char *const what[] = {
        "\"12\";\"3\";\"\"\r\n",
        "\"\";\"\";\"\"\n",
        "\"1\"\n",
        "\"1\"\r\n",
        "\"1\"\r1",
        "\"1\"2;\n",
        "\"1;2\";\n",
        "\"1\"\"2\"\n",
        "1\"2\n",
        "\"\n",
        "\"\"\"",
        "\"1\r\n\";",
        ";\"1",
        "\"1\"",
        "\"",
        "\"1\"\r",
        "\r\n",
        ";;;\n",
    };
    for (size_t k = 0; k < sizeof what / sizeof *what; k++)
        for (size_t front = 0; front < 140; front++)
            for (size_t behind = 0; behind < 140; behind += 23) {
                wa_text t = WA_TEXT_INIT;
                for (size_t i = 0; i < front; i++)
                    wa_text_add_char(&t, i + 1 == front ? ';' : '1');
                wa_text_add(&t, what[k]);
                for (size_t i = 0; i < behind; i++)
                    wa_text_add_char(&t, i % 5 == 4 ? '\n' : i % 2 == 0 ? '2' : ';');
                check_levels(wa_text_string(&t), t.length);
                wa_text_release(&t);
            }
}

/* ---- rows ---- */

/* All that is read at a level, as text; every fifth row each of its fields is complained about. */
static void tell(wa_text *out, const wa_text *file, const wa_layout *layout, bool torn,
                 wa_vector_level level)
{
    int fd = memfd_create("quoted", 0);
    assert_true(fd >= 0 && write(fd, file->at, file->length) == (ssize_t)file->length);
    assert_int_equal(lseek(fd, 0, SEEK_SET), 0);
    wa_rows *r = NULL;
    wa_error e = {0};
    bool any = true;
    wa_row row;
    assert_int_equal(wa_rows_open(&r, fd, "quoted.csv", layout, &e), WA_OK);
    if (torn)
        wa_rows_leave_torn(r);
    wa_rows_use(r, level);
    wa_status status = WA_OK;
    while ((status = wa_rows_step(r, &row, &any, &e)) == WA_OK && any) {
        for (size_t i = 0; i < 3; i++) {
            wa_field f = wa_row_field(&row, i);
            wa_text_add_bytes(out, f.at, f.length);
            wa_text_add_char(out, i < 2 ? '|' : '/');
            if (wa_rows_count(r) % 5 == 0) {
                wa_rows_fail(r, i, &e, "field");
                wa_text_printf(out, "%zu:%zu", e.line, e.column);
            }
        }
    }
    wa_text_printf(out, "%d %s:%zu:%zu: %s (%s)", status, e.file, e.line, e.column, e.text, e.hint);
    wa_text_printf(out, "%zu %zu %s", wa_rows_line(r), wa_rows_torn(r), wa_rows_sha256(r));
    wa_rows_close(r);
}

static void rows_are_those_of_the_parser(void **ctx)
{
    (void)ctx;
    char latin1[] = "latin-1";
    for (int round = 0; round < 600; round++) {
        wa_layout layout = {
            .delimiter = round % 2 == 0 ? ',' : ';', .decimal = '.', .names_row = 1};
        layout.encoding = round % 3 == 0 ? latin1 : NULL;
        wa_text file = WA_TEXT_INIT, parser = WA_TEXT_INIT;
        wa_text_printf(&file, "\"a\"%cb%c\"c\"\n", layout.delimiter, layout.delimiter);
        draw_text(&file, round % 20 == 0 ? 200000 : draw(1500), layout.delimiter);
        size_t cut = draw(3) == 0 ? draw(20) : 0;
        file.length -= file.length > 40 ? cut : 0;
        bool torn = draw(2) == 0;
        tell(&parser, &file, &layout, torn, WA_VECTOR_NONE);
        for (wa_vector_level level = WA_VECTOR_PORTABLE; level <= WA_VECTOR_AVX512; level++) {
            wa_text plain = WA_TEXT_INIT;
            tell(&plain, &file, &layout, torn, level);
            assert_string_equal(wa_text_string(&plain), wa_text_string(&parser));
            wa_text_release(&plain);
        }
        wa_text_release(&parser);
        wa_text_release(&file);
    }
}

/* That rows with quotes are not the parser's: but for those in the piece of 64 bytes that needs it. */
static void the_parser_is_not_asked(void **ctx)
{
    (void)ctx;
#define LONG "0123456789 123456789 123456789 123456789 123456789 123456789 123456789"
    static const char text[] = "a,b,c\n\"1\",2,\"\"\r\n1,\"2\",\"" LONG "\"\n1,2,3\n"
                               "\"" LONG "\",\"a\"\"b\",3\n\"4\",\"5\",\"6\"\n";
    wa_layout layout = {.delimiter = ',', .decimal = '.', .names_row = 1};
    static const bool parsed[] = {false, false, false, true, false};
    int fd = memfd_create("quoted", 0);
    assert_int_equal(write(fd, text, sizeof text - 1), (ssize_t)sizeof text - 1);
    assert_int_equal(lseek(fd, 0, SEEK_SET), 0);
    wa_rows *r = NULL;
    wa_row row;
    bool any;
    assert_int_equal(wa_rows_open(&r, fd, "quoted.csv", &layout, NULL), WA_OK);
    wa_rows_use(r, WA_VECTOR_BEST);
    for (size_t i = 0; i < sizeof parsed / sizeof *parsed; i++) {
        assert_int_equal(wa_rows_step(r, &row, &any, NULL), WA_OK);
        assert_true(any && (row.field != NULL) == parsed[i]);
    }
    wa_rows_close(r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_bytes),
        cmocka_unit_test(fields_with_quotes),
        cmocka_unit_test(at_the_borders_of_pieces),
        cmocka_unit_test(rows_are_those_of_the_parser),
        cmocka_unit_test(the_parser_is_not_asked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
