/* Plain tables: what a column is follows from all its fields. */
#include "windassay/table.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static wa_status read_text(wa_table **t, const char *text, wa_error *err)
{
    char path[] = "/tmp/windassay-table-XXXXXX";
    int fd = mkstemp(path);
    assert_true(fd >= 0);
    size_t n = strlen(text);
    assert_int_equal(write(fd, text, n), (ssize_t)n);
    assert_int_equal(lseek(fd, 0, SEEK_SET), 0);
    unlink(path);
    return wa_table_read(t, fd, "bench/spots.csv", err);
}

static wa_table *good(const char *text)
{
    wa_table *t = NULL;
    wa_error err = {0};
    if (read_text(&t, text, &err) != WA_OK)
        fail_msg("%zu:%zu: %s", err.line, err.column, err.text);
    return t;
}

static bool same(double a, double b)
{
    return !(a < b) && !(a > b);
}

static void three_kinds(void **state)
{
    (void)state;
    wa_table *t = good("time,speed [m/s],note,nothing\n"
                       "2026-03-02T00:00:00Z, 7.25 ,first,\n"
                       "2026-03-02T01:10:00.5+01:00,NaN,12,na\n"
                       ",-1e3,\"a, b\",NA\n");
    assert_int_equal(t->n, 3);
    assert_int_equal(t->n_columns, 4);
    const wa_table_column *c = t->columns;
    assert_int_equal(c[0].kind, WA_TABLE_TIMES);
    assert_true(c[0].has_offset);
    assert_true(same(c[0].at[0], 1772409600) && same(c[0].at[1], 1772410200.5));
    assert_true(isnan(c[0].at[2]));
    assert_string_equal(c[1].name, "speed [m/s]");
    assert_int_equal(c[1].kind, WA_TABLE_NUMBERS);
    assert_true(same(c[1].at[0], 7.25) && isnan(c[1].at[1]) && same(c[1].at[2], -1000));
    assert_int_equal(c[2].kind, WA_TABLE_TEXT);
    assert_null(c[2].at);
    assert_string_equal(c[2].texts[1], "12");
    assert_string_equal(c[2].texts[2], "a, b");
    assert_int_equal(c[2].first_line, 2);
    assert_int_equal(c[3].kind, WA_TABLE_NUMBERS);
    assert_true(isnan(c[3].at[0]) && isnan(c[3].at[2]));
    wa_table_free(t);
}

/* SHA-256 by sha256sum (GNU coreutils). */
static void size_and_digest(void **state)
{
    (void)state;
    wa_table *t = good("a,b\n1,2\n");
    assert_int_equal(t->stored, 8);
    assert_string_equal(t->sha256,
                        "492d5ea496056f1a6a6592241032fab764c321596317930b4fa0e1e8bc3b7470");
    wa_table_free(t);
}

static void times_without_offset_and_mixtures(void **state)
{
    (void)state;
    wa_table *t = good("plain,mixed,wrong\n"
                       "2026-03-02 00:00,2026-03-02 00:00,2026-02-28 00:00\n"
                       "2026-03-02 00:10,2026-03-02 00:10Z,2026-02-29 00:00\n");
    assert_int_equal(t->columns[0].kind, WA_TABLE_TIMES);
    assert_false(t->columns[0].has_offset);
    assert_true(same(t->columns[0].at[1], 1772410200));
    assert_int_equal(t->columns[1].kind, WA_TABLE_TEXT);
    assert_int_equal(t->columns[2].kind, WA_TABLE_TEXT);
    wa_table_free(t);
    t = good("mixed\n2026-03-02 00:10Z\n2026-03-02 00:00\n");
    assert_int_equal(t->columns[0].kind, WA_TABLE_TEXT);
    wa_table_free(t);
}

static void errors_of_use(void **state)
{
    (void)state;
    wa_table *t = good("speed,word\n1,2\n2,\"x\ny\"\n3,12.5.1\n");
    const wa_table_column *c = NULL;
    wa_error err = {0};
    assert_int_equal(wa_table_find(&c, t, "word", &err), WA_OK);
    assert_int_equal(wa_table_not_numbers(t, c, &err), WA_ERR_DATA);
    assert_string_equal(err.file, "bench/spots.csv");
    assert_int_equal(err.line, 3);
    assert_string_equal(err.text, "column 'word': 'x\\x0ay' is not a number");
    assert_int_equal(wa_table_find(&c, t, "sped", &err), WA_ERR_DATA);
    assert_string_equal(err.text, "there is no column 'sped'");
    assert_string_equal(err.hint, "'speed'?");
    wa_table_free(t);
}

static void no_rows(void **state)
{
    (void)state;
    wa_table *t = good("a,b\n");
    assert_int_equal(t->n, 0);
    assert_int_equal(t->columns[1].kind, WA_TABLE_NUMBERS);
    wa_table_free(t);
}

static void refused(void **state)
{
    (void)state;
    static const struct {
        const char *text, *why, *hint;
        size_t line;
    } bad[] = {{"a;b\n1;2\n", "1 column only", "", 1},
               {"a,a\n1,2\n", "a", "", 1},
               {"a,b\n1,2\n1\n", "", "", 3},
               {"", "", "", 0}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        wa_table *t = NULL;
        wa_error err = {0};
        assert_int_equal(read_text(&t, bad[i].text, &err), WA_ERR_DATA);
        assert_null(t);
        assert_string_equal(err.file, "bench/spots.csv");
        if (strstr(err.text, bad[i].why) == NULL || strstr(err.hint, bad[i].hint) == NULL ||
            (bad[i].line > 0 && err.line != bad[i].line))
            fail_msg("%zu: %s (%s)", err.line, err.text, err.hint);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_kinds),
        cmocka_unit_test(size_and_digest),
        cmocka_unit_test(times_without_offset_and_mixtures),
        cmocka_unit_test(errors_of_use),
        cmocka_unit_test(no_rows),
        cmocka_unit_test(refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
