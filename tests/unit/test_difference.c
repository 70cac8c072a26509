/* Where two records or two CSV files differ: place, both sides, distance. Expected by hand. */
#include "run/difference.h"
#include "windassay/json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

static wa_value *json(const char *text)
{
    wa_value *v = NULL;
    assert_int_equal(wa_json_read(&v, text, strlen(text), NULL, NULL), WA_OK);
    return v;
}

/* All differences, a line each. */
static void expect(const wa_differences *d, const char *lines)
{
    wa_text t = WA_TEXT_INIT;
    for (size_t i = 0; i < wa_count(d->list); i++) {
        wa_difference_print(&t, wa_at(d->list, i), "before", "after");
        wa_text_add_char(&t, '\n');
    }
    assert_string_equal(wa_text_string(&t), lines);
    wa_text_release(&t);
}

static void records(const char *a, const char *b, const char *const *skip, const char *lines)
{
    wa_differences d;
    wa_value *x = json(a), *y = json(b);
    assert_int_equal(wa_differences_begin(&d, 10, NULL), WA_OK);
    assert_int_equal(wa_difference_records(&d, x, y, skip, NULL), WA_OK);
    expect(&d, lines);
    wa_differences_release(&d);
    wa_value_free(x);
    wa_value_free(y);
}

static void cells_of_a_table(void **state)
{
    (void)state;
    records(
        "{\"checks\": [{\"id\": \"speed\", \"parameters\": [], \"tables\": [{\"name\": \"by bin\","
        "\"columns\": [{\"name\": \"centre\"}, {\"name\": \"n\"}], \"rows\": [[4, 1], [5, 2]]}]}]}",
        "{\"checks\": [{\"id\": \"speed\", \"parameters\": [], \"tables\": [{\"name\": \"by bin\","
        "\"columns\": [{\"name\": \"centre\"}, {\"name\": \"n\"}], \"rows\": [[4, 1],"
        "[5, 2.0000000000000004], [6, 3]]}]}]}",
        NULL,
        "check 'speed', table 'by bin', row 2 (5), column 'n': 2 before, 2.0000000000000004 "
        "after (1 unit in the last place)\n"
        "check 'speed', table 'by bin', row 3 (6): absent before, 2 entries after\n");
}

static void members_by_name(void **state)
{
    static const char *const skip[] = {"scripts", NULL};
    (void)state;
    records(
        "{\"scripts\": 1, \"checks\": [{\"id\": \"a\", \"parameters\": [], \"requirements\": ["
        "{\"name\": \"slope\", \"criteria\": \"x\", \"u\": 0.1},"
        "{\"name\": \"slope\", \"criteria\": \"y\", \"u\": 0.1}]}, {\"id\": \"b\", "
        "\"parameters\": []}], \"outcome\": \"pass\"}",
        "{\"outcome\": \"fail\", \"scripts\": 2, \"checks\": [{\"id\": \"a\", \"parameters\": [],"
        "\"requirements\": [{\"name\": \"slope\", \"criteria\": \"y\", \"u\": 0.2},"
        "{\"name\": \"slope\", \"criteria\": \"x\", \"u\": 0.1}]}], \"new\": null}",
        skip,
        "check 'a', requirements 'slope' [y], u: 0.1 before, 0.2 after (relative 1)\n"
        "check 'b': 2 entries before, absent after\n"
        "outcome: 'pass' before, 'fail' after\n"
        "new: absent before, missing after\n");
}

static void equal_but_for_order_of_keys(void **state)
{
    (void)state;
    records("{\"a\": {\"x\": 1, \"y\": [1, 2]}}", "{\"a\": {\"y\": [1, 2], \"x\": 1}}", NULL, "");
}

/* Compares two texts as `file`; the second comes from a descriptor, as that of a dossier does. */
static void compare(wa_differences *d, const char *file, const char *before, const char *after)
{
    wa_csv_side a = {.bytes = before, .n = strlen(before), .fd = -1}, b = {.fd = -1};
    b.fd = memfd_create("after", 0);
    assert_true(write(b.fd, after, strlen(after)) == (ssize_t)strlen(after));
    assert_int_equal(lseek(b.fd, 0, SEEK_SET), 0);
    assert_int_equal(wa_difference_csv(d, file, &a, &b, NULL), WA_OK);
    wa_csv_side_release(&a);
    wa_csv_side_release(&b);
    close(b.fd);
}

static void csv(void **state)
{
    wa_differences d;
    const char *const a = "time,\"mast.v, top\",x\n1,2,\n2,\"a,\"\"b\",4\n";
    (void)state;
    assert_int_equal(wa_differences_begin(&d, 3, NULL), WA_OK);
    compare(&d, "intervals.csv", a, "time,\"mast.v, top\",x\n1,3,\n2,\"a,\"\"c\",4\n3,4,5\n");
    assert_int_equal(d.n, 5); /* the third row has three cells, of which one is kept */
    expect(&d,
           "'intervals.csv', row 1 (1), column 'mast.v, top': 2 before, 3 after (relative 0.5)\n"
           "'intervals.csv', row 2 (2), column 'mast.v, top': 'a,\"b' before, 'a,\"c' after\n"
           "'intervals.csv', row 3 (3), column 'time': absent before, 3 after\n");
    wa_differences_release(&d);
    assert_int_equal(wa_differences_begin(&d, 9, NULL), WA_OK);
    compare(&d, "f", a, "time,y\n");
    expect(&d, "'f', the row of names, column 'mast.v, top': 'mast.v, top' before, 'y' after\n"
               "'f', the row of names, column 'x': 'x' before, absent after\n");
    wa_differences_release(&d);
}

/* Odd texts of a dossier that may be anybody's: quotes that do not end, line feeds inside of them, rows
 * too long and too short, nothing at all. */
static void odd_csv(void **state)
{
    wa_differences d;
    (void)state;
    assert_int_equal(wa_differences_begin(&d, 9, NULL), WA_OK);
    compare(&d, "f", "a,b\n1,\"x\ny\"\n2", "a,b\n1,\"x\nz\"\n2,\n");
    expect(&d, "'f', row 1 (1), column 'b': 'x\\x0ay' before, 'x\\x0az' after\n"
               "'f', row 2 (2), column 'b': absent before, '' after\n");
    wa_differences_release(&d);
    assert_int_equal(wa_differences_begin(&d, 9, NULL), WA_OK);
    compare(&d, "f", "", "a\n1\n");
    expect(&d, "'f', the row of names: absent before, 'a' after\n");
    wa_differences_release(&d);
    assert_int_equal(wa_differences_begin(&d, 9, NULL), WA_OK);
    compare(&d, "f", "a\n\"1,2\n3\n", "a\n1\"\n3\n");
    expect(&d, "'f', row 1 ('1,2\\x0a3\\x0a'), column 'a': '1,2\\x0a3\\x0a' before, '1\"' after\n"
               "'f', row 2 (3), column 'a': absent before, 3 after\n");
    wa_differences_release(&d);
}

static void no_cells(const void *context, size_t i, wa_text *out)
{
    (void)context;
    wa_text_printf(out, ",%zu", i);
}

/* What is made row by row, beside a file of more than one block: 20 000 rows of which two differ. */
static void long_csv(void **state)
{
    enum { ROWS = 20000 };
    wa_differences d;
    (void)state;
    wa_listing l = {.interval_ns = 1000000000, .n = ROWS, .cells = no_cells, .names = WA_TEXT_INIT};
    wa_text file = WA_TEXT_INIT;
    wa_text_add(&l.names, ",n");
    wa_text_add(&file, "time,n\n");
    for (int i = 0; i < ROWS; i++)
        wa_text_printf(&file, "1970-01-01T%02d:%02d:%02dZ,%d\n", i / 3600, i / 60 % 60, i % 60,
                       i == 7 || i == 19998 ? i + 1 : i);
    wa_csv_side a = {.bytes = file.at, .n = file.length, .fd = -1}, b = {.listing = &l, .fd = -1};
    assert_int_equal(wa_differences_begin(&d, 9, NULL), WA_OK);
    assert_int_equal(wa_difference_csv(&d, "f", &a, &b, NULL), WA_OK);
    expect(&d,
           "'f', row 8 ('1970-01-01T00:00:07Z'), column 'n': 8 before, 7 after (relative 0.12)\n"
           "'f', row 19999 ('1970-01-01T05:33:18Z'), column 'n': 19999 before, 19998 after "
           "(relative 5e-05)\n");
    assert_true(b.held.room < 4096); /* a row at a time */
    wa_differences_release(&d);
    wa_csv_side_release(&a);
    wa_csv_side_release(&b);
    wa_listing_release(&l);
    wa_text_release(&file);
}

static void distances(void **state)
{
    (void)state;
    assert_float_equal(wa_ulps_between(1, 1), 0, 0);
    assert_float_equal(wa_ulps_between(1, 1 + 0x1p-52), 1, 0);
    assert_float_equal(wa_ulps_between(-0x1p-1074, 0x1p-1074), 2, 0);
    assert_float_equal(wa_ulps_between(-0.0, 0.0), 0, 0);
    assert_float_equal(wa_ulps_between(1, 2), 0x1p52, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(cells_of_a_table),
                                       cmocka_unit_test(members_by_name),
                                       cmocka_unit_test(equal_but_for_order_of_keys),
                                       cmocka_unit_test(csv),
                                       cmocka_unit_test(odd_csv),
                                       cmocka_unit_test(long_csv),
                                       cmocka_unit_test(distances)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
