/* Rows of a CSV file: what is read, what is refused, and at which physical line and byte.
 * RFC 4180 says what quotes mean; where it is silent docs/reference/reading.md decides. */
#include "data/rows.h"

#include "windassay/digest.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include <zlib.h>

#include <cmocka.h>

static const wa_layout plain = {.delimiter = ',', .decimal = '.', .names_row = 1};

/* An open file that holds these bytes. */
static int file_of(const void *bytes, size_t n)
{
    char path[] = "/tmp/windassay-rows-XXXXXX";
    int fd = mkstemp(path);
    assert_true(fd >= 0);
    unlink(path);
    assert_int_equal(write(fd, bytes, n), (ssize_t)n);
    assert_int_equal(lseek(fd, 0, SEEK_SET), 0);
    return fd;
}

static wa_status open_text(wa_rows **r, const char *text, const wa_layout *l, wa_error *err)
{
    return wa_rows_open(r, file_of(text, strlen(text)), "t.csv", l, err);
}

/* Reads all; the fields of every row joined by '|', rows by '/'. */
static wa_status all_of(char *to, wa_rows *r, wa_error *err)
{
    *to = '\0';
    for (;;) {
        const wa_field *f = NULL;
        wa_status status = wa_rows_next(r, &f, err);
        if (status != WA_OK || f == NULL)
            return status;
        for (size_t i = 0; i < wa_rows_columns(r); i++) {
            assert_int_equal(strlen(f[i].at), f[i].length);
            strcat(strcat(to, f[i].at), i + 1 < wa_rows_columns(r) ? "|" : "/");
        }
    }
}

static void reads(const char *text, const wa_layout *l, const char *expected)
{
    wa_rows *r = NULL;
    char got[4096];
    assert_int_equal(open_text(&r, text, l, NULL), WA_OK);
    assert_int_equal(all_of(got, r, NULL), WA_OK);
    assert_string_equal(got, expected);
    assert_int_equal(wa_rows_stored(r), strlen(text));
    char sha256[WA_SHA256_TEXT_SIZE];
    assert_int_equal(wa_sha256_of(sha256, text, strlen(text), NULL), WA_OK);
    assert_string_equal(wa_rows_sha256(r), sha256);
    wa_rows_close(r);
}

static void refuses(const char *text, const wa_layout *l, size_t line, size_t column,
                    const char *what)
{
    wa_rows *r = NULL;
    wa_error e = {0};
    char got[4096];
    wa_status status = open_text(&r, text, l, &e);
    if (status == WA_OK)
        status = all_of(got, r, &e);
    wa_rows_close(r);
    assert_int_equal(status, WA_ERR_DATA);
    if (strstr(e.text, what) == NULL || e.line != line || e.column != column)
        fail_msg("'%s': %zu:%zu: %s", text, e.line, e.column, e.text);
    assert_string_equal(e.file, "t.csv");
}

static void fields_are_as_written(void **state)
{
    (void)state;
    reads("a,b\n1,2\n3,4\n", &plain, "1|2/3|4/");
    reads("a,b\n1,2\n3,4", &plain, "1|2/3|4/");
    reads("a,b\r\n1,2\r\n3,4\r\n", &plain, "1|2/3|4/");
    reads("a,b\r1,2\r3,4\r", &plain, "1|2/3|4/");
    reads("a,b\n 1 ,\t2\n,\n", &plain, " 1 |\t2/|/");
    reads("a,b\n\"x, \"\"y\"\"\",\"\"\n", &plain, "x, \"y\"|/");
    reads("a,b\n\"two\nlines\",2\n", &plain, "two\nlines|2/");
    reads("\xef\xbb\xbf\x61,b\n1,2\n", &plain, "1|2/");
    reads("a,b\n1,2\n\n\n", &plain, "1|2/"); /* empty lines at the end */
    reads("a,b\n", &plain, "");
    reads("a\n1\n", &plain, "1/");
}

static void the_layout_is_followed(void **state)
{
    (void)state;
    char time[] = "time", latin1[] = "latin-1";
    wa_layout l = {.delimiter = ';', .names_row = 3, .units_row = 4, .first_row = 6};
    const char *text = "station \"x\n\na;b\nm/s;degC\n----\n1,5;2\n";
    reads(text, &l, "1,5|2/");
    wa_rows *r = NULL;
    assert_int_equal(open_text(&r, text, &l, NULL), WA_OK);
    assert_string_equal(wa_rows_units(r)[1], "degC");
    assert_int_equal(wa_rows_find(r, "b"), 1);
    wa_rows_close(r);
    l = (wa_layout){.delimiter = '\t', .names_begin_with = time, .units_row = 2};
    reads("serial NL-0417\ntimes\t1\ntime\tv\ns\tm/s\n0\t8\n", &l, "0|8/");
    reads("serial NL-0417\n\"time\"\tv\ns\tm/s\n0\t8\n", &l, "0|8/");
    refuses("a\n1\n", &l, 2, 0, "no row of names that begins with 'time'");
    l = (wa_layout){.delimiter = ',', .names_row = 1, .encoding = latin1};
    reads("a,\xb0\n\xe4,2\n", &l, "\xc3\xa4|2/");
}

static void what_is_not_csv_is_refused(void **state)
{
    (void)state;
    refuses("", &plain, 1, 1, "the file is empty");
    refuses("\n", &plain, 1, 1, "the header is empty");
    refuses("a,b\n1,2\n1\n", &plain, 3, 1, "1 field, 2 expected");
    refuses("a,b\n1,2\n1,2,3\n", &plain, 3, 1, "3 fields, 2 expected");
    refuses("a,b\n1,2\n\n1,2\n", &plain, 3, 1, "an empty line");
    refuses("a,b\n1,2\n  \n1,2\n", &plain, 3, 1, "1 field, 2 expected");
    refuses("a,b,a\n", &plain, 1, 5, "'a' stands twice");
    refuses("\"x,y\",b,b\n", &plain, 1, 9, "'b' stands twice");
    refuses("a,,b\n", &plain, 1, 3, "the name of column 2 is empty");
    refuses("a;b\n1;2\n", &plain, 1, 1, "1 column only");
    refuses("a,b\n1,5\" pipe\n1,2\n", &plain, 2, 4, "quote");
    refuses("a,b\n1,\"5\"x\n1,2\n", &plain, 2, 6, "quote");
    refuses("a,b\n1,2\n1,\"2\n3,4\n", &plain, 3, 3, "never closed");
    refuses("a,b\n1,2\r1,2\n", &plain, 2, 4, "another kind of line end");
    refuses("a,b\n1,\xff\n", &plain, 2, 3, "byte ff is not UTF-8");
    refuses("a,b\n1,\xe4t\n", &plain, 2, 3, "byte e4 is not UTF-8");
    refuses("\x1f\x8b\x08", &plain, 1, 1, "gzip data");
    refuses("\xff\xfe\x61", &plain, 1, 1, "UTF-16");
    refuses("\x1bLua", &plain, 1, 1, "binary data");
    wa_rows *r = NULL;
    wa_error e = {0};
    const char nul[] = "column,b\0c\n";
    assert_int_equal(wa_rows_open(&r, file_of(nul, sizeof nul - 1), "t.csv", &plain, &e),
                     WA_ERR_DATA);
    assert_int_equal(e.column, 9);
}

static void places_are_physical(void **state)
{
    (void)state;
    wa_rows *r = NULL;
    const wa_field *f = NULL;
    wa_error e = {0};
    assert_int_equal(open_text(&r, "a,b,c\n\"1\n\n2\",\"x,\ny\",3\n4,5,6\n", &plain, NULL), WA_OK);
    assert_int_equal(wa_rows_next(r, &f, NULL), WA_OK);
    assert_int_equal(wa_rows_line(r), 2);
    assert_int_equal(wa_rows_fail(r, 1, &e, "b"), WA_ERR_DATA);
    assert_int_equal(e.line, 4);
    assert_int_equal(e.column, 4);
    wa_rows_fail(r, 2, &e, "c");
    assert_int_equal(e.line, 5);
    assert_int_equal(e.column, 4);
    assert_int_equal(wa_rows_next(r, &f, NULL), WA_OK);
    assert_int_equal(wa_rows_line(r), 6);
    size_t c = 0;
    assert_int_equal(wa_rows_column(&c, r, "B", "channel 'v'", &e), WA_ERR_DATA);
    assert_int_equal(e.line, 1);
    assert_string_equal(e.text, "channel 'v': no column 'B'");
    wa_rows_close(r);
    assert_int_equal(open_text(&r, "a, b ,c\n", &plain, NULL), WA_OK);
    assert_int_equal(wa_rows_column(&c, r, "b", "channel 'v'", &e), WA_ERR_DATA);
    assert_int_equal(e.column, 3);
    assert_string_equal(e.hint, "did you mean ' b '?");
    wa_rows_close(r);
}

/* Rows that lie across the ends of blocks are read as any other. */
static void blocks_do_not_show(void **state)
{
    (void)state;
    enum { ROWS = 60000 };
    char *text = malloc(ROWS * 24 + 16);
    assert_non_null(text);
    size_t n = (size_t)sprintf(text, "number,square\n");
    for (unsigned i = 0; i < ROWS; i++)
        n += (size_t)sprintf(text + n, i % 7 ? "%u,%u\n" : "\"%u\",\"%u\"\n", i, i % 1000);
    wa_rows *r = NULL;
    const wa_field *f = NULL;
    assert_int_equal(wa_rows_open(&r, file_of(text, n), "t.csv", &plain, NULL), WA_OK);
    for (unsigned i = 0; i < ROWS; i++) {
        assert_int_equal(wa_rows_next(r, &f, NULL), WA_OK);
        assert_int_equal(strtoul(f[0].at, NULL, 10), i);
        assert_int_equal(strtoul(f[1].at, NULL, 10), i % 1000);
        assert_int_equal(wa_rows_line(r), i + 2);
    }
    assert_int_equal(wa_rows_next(r, &f, NULL), WA_OK);
    assert_null(f);
    assert_int_equal(wa_rows_count(r), ROWS);
    wa_rows_close(r);
    free(text);
}

static void a_row_has_a_limit(void **state)
{
    (void)state;
    size_t n = WA_ROW_LIMIT + 1024 * 1024;
    char *text = malloc(n);
    assert_non_null(text);
    memset(text, 'x', n);
    wa_rows *r = NULL;
    wa_error e = {0};
    assert_int_equal(wa_rows_open(&r, file_of(text, n), "t.csv", &plain, &e), WA_ERR_DATA);
    assert_non_null(strstr(e.text, "a row of more than"));
    memcpy(text, "a,b\n1,\"", 7); /* a quote that is never closed ends at the limit as well */
    memset(text + 7, '\n', n - 7);
    assert_int_equal(wa_rows_open(&r, file_of(text, n), "t.csv", &plain, &e), WA_OK);
    const wa_field *f = NULL;
    assert_int_equal(wa_rows_next(r, &f, &e), WA_ERR_DATA);
    assert_non_null(strstr(e.text, "a row of more than"));
    wa_rows_close(r);
    free(text);
}

static size_t gzip(unsigned char *to, size_t room, const char *text)
{
    z_stream z = {0};
    assert_int_equal(deflateInit2(&z, 6, Z_DEFLATED, 16 + MAX_WBITS, 8, Z_DEFAULT_STRATEGY), Z_OK);
    z.next_in = (unsigned char *)(uintptr_t)text;
    z.avail_in = (uInt)strlen(text);
    z.next_out = to;
    z.avail_out = (uInt)room;
    assert_int_equal(deflate(&z, Z_FINISH), Z_STREAM_END);
    size_t n = room - z.avail_out;
    deflateEnd(&z);
    return n;
}

static void gzip_is_inflated(void **state)
{
    (void)state;
    unsigned char z[512];
    size_t n = gzip(z, sizeof z, "a,b\n1,2\n");
    n += gzip(z + n, sizeof z - n, "3,4\n"); /* two members are one file */
    wa_rows *r = NULL;
    wa_error e = {0};
    char got[64];
    assert_int_equal(wa_rows_open(&r, file_of(z, n), "t.csv.gz", &plain, NULL), WA_OK);
    assert_int_equal(all_of(got, r, NULL), WA_OK);
    assert_string_equal(got, "1|2/3|4/");
    assert_int_equal(wa_rows_stored(r), n);
    char sha256[WA_SHA256_TEXT_SIZE];
    assert_int_equal(wa_sha256_of(sha256, z, n, NULL), WA_OK);
    assert_string_equal(wa_rows_sha256(r), sha256); /* of what is stored, not of what is inside */
    wa_rows_close(r);
    for (size_t cut = 0; cut < n; cut++) { /* torn anywhere but between the members: an error */
        r = NULL;
        wa_status status = wa_rows_open(&r, file_of(z, cut), "t.csv.gz", &plain, &e);
        if (status == WA_OK)
            status = all_of(got, r, &e);
        wa_rows_close(r);
        if (cut == gzip((unsigned char[256]){0}, 256, "a,b\n1,2\n"))
            assert_int_equal(status, WA_OK);
        else
            assert_int_equal(status, WA_ERR_DATA);
    }
    assert_int_equal(wa_rows_open(&r, file_of("a,b\n", 4), "t.csv.gz", &plain, &e), WA_ERR_DATA);
    assert_non_null(strstr(e.text, "not sound gzip data"));
    assert_int_equal(wa_rows_open(&r, file_of(z, n), "t.csv", &plain, &e), WA_ERR_DATA);
    assert_string_equal(e.hint, "name it .gz");
}

static void a_file_that_grows_is_refused(void **state)
{
    (void)state;
    char path[] = "/tmp/windassay-rows-XXXXXX";
    int fd = mkstemp(path);
    assert_int_equal(write(fd, "a,b\n1,2\n", 8), 8);
    wa_rows *r = NULL;
    wa_error e = {0};
    assert_int_equal(wa_rows_open(&r, open(path, O_RDONLY), "t.csv", &plain, NULL), WA_OK);
    wa_rows_close(r);
    /* a block is read at once, so the file must be longer than one to change meanwhile */
    for (int i = 0; i < 100000; i++)
        assert_int_equal(write(fd, "1,2\n", 4), 4);
    assert_int_equal(wa_rows_open(&r, open(path, O_RDONLY), "t.csv", &plain, NULL), WA_OK);
    assert_int_equal(write(fd, "3,4\n", 4), 4);
    const wa_field *f = NULL;
    wa_status status = WA_OK;
    do {
        status = wa_rows_next(r, &f, &e);
    } while (status == WA_OK && f != NULL);
    assert_int_equal(status, WA_ERR_DATA);
    assert_string_equal(e.text, "changed while it was read");
    wa_rows_close(r);
    close(fd);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fields_are_as_written),
        cmocka_unit_test(the_layout_is_followed),
        cmocka_unit_test(what_is_not_csv_is_refused),
        cmocka_unit_test(places_are_physical),
        cmocka_unit_test(blocks_do_not_show),
        cmocka_unit_test(a_row_has_a_limit),
        cmocka_unit_test(gzip_is_inflated),
        cmocka_unit_test(a_file_that_grows_is_refused),
    };
    return cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}
