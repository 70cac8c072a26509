/* Files are found by pattern and never outside their folder. */
#include "data/files.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char top[64], campaign[96];

static void put(const char *path)
{
    char full[256];
    snprintf(full, sizeof full, "%s/%s", top, path);
    int fd = open(full, O_WRONLY | O_CREAT | O_EXCL, 0600);
    assert_true(fd >= 0);
    assert_int_equal(write(fd, "x\n", 2), 2);
    close(fd);
}

static void folder(const char *path)
{
    char full[256];
    snprintf(full, sizeof full, "%s/%s", top, path);
    assert_int_equal(mkdir(full, 0700), 0);
}

static void link_to(const char *target, const char *path)
{
    char full[256];
    snprintf(full, sizeof full, "%s/%s", top, path);
    assert_int_equal(symlink(target, full), 0);
}

static int make_folders(void **state)
{
    (void)state;
    strcpy(top, "/tmp/windassay-test-XXXXXX");
    assert_non_null(mkdtemp(top));
    snprintf(campaign, sizeof campaign, "%s/units/0417", top);
    folder("units");
    folder("units/0417");
    folder("units/0417/raw");
    folder("units/0417/raw/old.csv");
    folder("units/0417/links");
    folder("units/0417/odd");
    folder("units/0417/pipes");
    folder("masts");
    put("masts/2026-01.csv");
    put("masts/2026-02.csv");
    put("secret.csv");
    put("units/0417/raw/b.csv");
    put("units/0417/raw/a.csv");
    put("units/0417/raw/c.csv.gz");
    put("units/0417/raw/.hidden.csv");
    put("units/0417/odd/a\tb.csv");
    link_to("../../../secret.csv", "units/0417/links/out.csv");
    link_to("../raw/a.csv", "units/0417/links/in.csv");
    link_to("../../..", "units/0417/way");
    char pipe[256];
    snprintf(pipe, sizeof pipe, "%s/pipes/p.csv", campaign);
    assert_int_equal(mkfifo(pipe, 0600), 0);
    return 0;
}

static int remove_folders(void **state)
{
    (void)state;
    char command[128];
    snprintf(command, sizeof command, "rm -r '%s'", top);
    return system(command);
}

static void finds(const char *const *patterns, size_t n, const char *const *expected, size_t m)
{
    wa_paths p = {NULL, 0};
    wa_error err = {0};
    if (wa_files_find(&p, campaign, top, patterns, n, &err) != WA_OK)
        fail_msg("%s", err.text);
    assert_int_equal(p.n, m);
    for (size_t i = 0; i < m; i++)
        assert_string_equal(p.at[i], expected[i]);
    wa_paths_release(&p);
}

static void order_and_repeats_do_not_matter(void **state)
{
    (void)state;
    const char *expected[] = {"raw/a.csv", "raw/b.csv", "raw/c.csv.gz"};
    finds((const char *[]){"raw/*.csv", "raw/*.csv.gz"}, 2, expected, 3);
    finds((const char *[]){"raw/*.gz", "raw/b.csv", "raw/[ab].csv", "raw/*.csv"}, 4, expected, 3);
    finds((const char *[]){"r*/?.csv*"}, 1, expected, 3);
}

static void the_root_is_another_folder(void **state)
{
    (void)state;
    const char *masts[] = {"root:masts/2026-01.csv", "root:masts/2026-02.csv"};
    finds((const char *[]){"root:masts/2026-*.csv"}, 1, masts, 2);
    /* one file under both names is one file */
    const char *both[] = {"raw/a.csv", "root:masts/2026-01.csv"};
    finds((const char *[]){"root:units/0417/raw/a.csv", "raw/a.csv", "root:masts/*-01.csv"}, 3,
          both, 2);
}

static void refused(const char *pattern, wa_status code, const char *text, const char *hint)
{
    wa_paths p = {NULL, 7};
    wa_error err = {0};
    assert_int_equal(wa_files_find(&p, campaign, top, &pattern, 1, &err), code);
    assert_int_equal(p.n, 7);
    if (strstr(err.text, text) == NULL || strstr(err.hint, hint) == NULL)
        fail_msg("%s: '%s' '%s'", pattern, err.text, err.hint);
}

static void what_is_not_there_is_said(void **state)
{
    (void)state;
    refused("raw/*.dat", WA_ERR_MISSING, "no file matches 'raw/*.dat'",
            "'raw/' holds a.csv, b.csv, c.csv.gz and 1 more");
    refused("rwa/*.csv", WA_ERR_MISSING, "no file matches", "'raw' is there");
    refused("raw/d.csv", WA_ERR_MISSING, "no file matches", "'raw/a.csv' is there");
    wa_paths p;
    wa_error err = {0};
    const char *pattern = "root:x.csv";
    assert_int_equal(wa_files_find(&p, campaign, NULL, &pattern, 1, &err), WA_ERR_MISSING);
    assert_non_null(strstr(err.hint, "fleet.lua"));
}

static void nothing_leads_out(void **state)
{
    (void)state;
    refused("../0417/raw/a.csv", WA_ERR_DATA, "'..'", "relative");
    refused("/etc/passwd", WA_ERR_DATA, "is absolute", "relative");
    refused("raw//a.csv", WA_ERR_DATA, "empty component", "");
    refused("root:../x", WA_ERR_DATA, "'..'", "");
    refused("raw/a\n.csv", WA_ERR_DATA, "control characters", "");
    refused("links/*.csv", WA_ERR_DATA, "'links/in.csv' is a link", "put the file itself there");
    refused("way/secret.csv", WA_ERR_DATA, "'way' is a link", "");
    refused("odd/*.csv", WA_ERR_DATA, "control characters", "");
    refused("pipes/*.csv", WA_ERR_DATA, "not a regular file", "");
    refused("raw/**/a.csv", WA_ERR_DATA, "'**' is not known", "");
}

static void opening(void **state)
{
    (void)state;
    int fd = -1;
    assert_int_equal(wa_file_open(&fd, campaign, top, "raw/a.csv", NULL), WA_OK);
    assert_true((fcntl(fd, F_GETFD) & FD_CLOEXEC) != 0);
    close(fd);
    assert_int_equal(wa_file_open(&fd, campaign, top, "root:masts/2026-01.csv", NULL), WA_OK);
    close(fd);
    static const struct {
        const char *path;
        wa_status code;
    } bad[] = {{"links/out.csv", WA_ERR_DATA},
               {"links/in.csv", WA_ERR_DATA},
               {"way/secret.csv", WA_ERR_DATA},
               {"../../secret.csv", WA_ERR_DATA},
               {"raw", WA_ERR_DATA},
               {"pipes/p.csv", WA_ERR_DATA},
               {"raw/none.csv", WA_ERR_MISSING}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        fd = -7;
        assert_int_equal(wa_file_open(&fd, campaign, top, bad[i].path, NULL), bad[i].code);
        assert_int_equal(fd, -7);
    }
}

static void names_match(void **state)
{
    (void)state;
    assert_true(wa_name_matches("*", "abc"));
    assert_true(wa_name_matches("*a*b*", "xxaxxbxx"));
    assert_true(wa_name_matches("a?c", "a\xc3\xa4"
                                       "c"));
    assert_true(wa_name_matches("[a-c]*[!x]", "bz"));
    assert_true(wa_name_matches("a[]]b", "a]b"));
    assert_true(wa_name_matches("2026-*.csv", "2026-03.csv"));
    assert_false(wa_name_matches("2026-*.csv", "2026-03.csv.gz"));
    assert_false(wa_name_matches("*", ".hidden"));
    assert_false(wa_name_matches("[a-c]", "d"));
    assert_false(wa_name_matches("a[b", "ab"));
    assert_false(wa_name_matches("", "a"));
    assert_false(wa_name_matches("a*a*a*a*a*a*a*b", "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(order_and_repeats_do_not_matter),
        cmocka_unit_test(the_root_is_another_folder),
        cmocka_unit_test(what_is_not_there_is_said),
        cmocka_unit_test(nothing_leads_out),
        cmocka_unit_test(opening),
        cmocka_unit_test(names_match),
    };
    return cmocka_run_group_tests(tests, make_folders, remove_folders);
}
