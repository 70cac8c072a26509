/* Dossiers: whole or absent, provable by outsiders (sha256sum), refused when tampered with. */
#include "windassay/dossier.h"

#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

static char base[64];   /* a fresh folder for each test */
static char target[96]; /* base/NL-0417 */

static int set_up(void **state)
{
    (void)state;
    snprintf(base, sizeof base, "/tmp/windassay-dossier.XXXXXX");
    if (mkdtemp(base) == NULL)
        return -1;
    snprintf(target, sizeof target, "%s/NL-0417", base);
    return 0;
}

static int run(const char *format, ...) __attribute__((format(printf, 1, 2)));
static int run(const char *format, ...)
{
    char command[512];
    va_list args;
    va_start(args, format);
    vsnprintf(command, sizeof command, format, args);
    va_end(args);
    return system(command);
}

static int tear_down(void **state)
{
    (void)state;
    return run("rm -rf %s", base);
}

static void add(wa_dossier *d, const char *path, const char *text)
{
    assert_int_equal(wa_dossier_add(d, path, text, strlen(text), NULL), WA_OK);
}

static wa_dossier *sample(const char *status, const char *host, const char *number)
{
    wa_dossier *d = wa_dossier_new();
    char record[200], row[50];
    snprintf(record, sizeof record, "{\"campaign\": {\"report\": {\"status\": \"%s\"}}}\n", status);
    snprintf(row, sizeof row, "centre\n%s\n", number);
    add(d, "tables/speed.by bin.csv", row);
    add(d, "tables/a.csv", "x\n1\n");
    add(d, "scripts/campaign/campaign.lua", "return {}\n");
    add(d, "result.json", record);
    add(d, "run.json", host);
    add(d, "empty.csv", "");
    assert_int_equal(wa_dossier_note(d, "Bagging-Date", "2026-03-31", NULL), WA_OK);
    return d;
}

static wa_status put(wa_dossier *d, bool replace, wa_written *how, wa_error *err)
{
    wa_status s = wa_dossier_write(d, target, replace, how, err);
    wa_dossier_free(d);
    return s;
}

static void written(void)
{
    wa_written how;
    wa_error err = {0};
    if (put(sample("preliminary", "{}", "4"), false, &how, &err) != WA_OK)
        fail_msg("%s: %s", err.file, err.text);
    assert_int_equal(how, WA_WRITTEN);
}

/* Nothing but the dossier itself lies in the folder. */
static bool alone(void)
{
    return run("test \"$(ls -A %s)\" = NL-0417", base) == 0;
}

static void proven_by_sha256sum(void **state)
{
    (void)state;
    written();
    assert_true(alone());
    assert_int_equal(run("cd %s && sha256sum -c --strict --quiet manifest-sha256.txt", target), 0);
    assert_int_equal(run("cd %s && sha256sum -c --strict --quiet tagmanifest-sha256.txt", target),
                     0);
    assert_int_equal(
        run("cd %s && printf 'BagIt-Version: 1.0\\nTag-File-Character-Encoding: UTF-8\\n'"
            " | cmp - bagit.txt",
            target),
        0);
    /* RFC 8493, 2.2.2: octets and number of files of the payload */
    assert_int_equal(run("cd %s && test \"$(sed -n 's/^Payload-Oxum: //p' bag-info.txt)\" = "
                         "\"$(cat $(find data -type f | tr ' ' '?') | wc -c).6\"",
                         target),
                     0);
    assert_int_equal(run("grep -q '^Bagging-Date: 2026-03-31$' %s/bag-info.txt", target), 0);
    wa_bag *b = NULL;
    wa_text t = WA_TEXT_INIT;
    assert_int_equal(wa_bag_open(&b, target, NULL), WA_OK);
    assert_int_equal(wa_bag_count(b), 6);
    assert_string_equal(wa_bag_path(b, 0), "empty.csv");
    assert_string_equal(wa_bag_path(b, 5), "tables/speed.by bin.csv");
    assert_null(wa_bag_path(b, 6));
    /* SHA-256 of nothing: FIPS 180-4 */
    assert_string_equal(wa_bag_sha256(b, 0),
                        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    assert_int_equal(wa_bag_read(&t, b, "tables/a.csv", NULL), WA_OK);
    assert_string_equal(wa_text_string(&t), "x\n1\n");
    assert_int_equal(wa_bag_read(&t, b, "tables/b.csv", NULL), WA_ERR_MISSING);
    wa_text_release(&t);
    wa_bag_close(b);
}

static void equal_is_success_and_different_is_refused(void **state)
{
    (void)state;
    wa_written how = WA_WRITTEN;
    wa_error err = {0};
    written();
    assert_int_equal(put(sample("preliminary", "{\"host\": 2}", "4"), false, &how, &err), WA_OK);
    assert_int_equal(how, WA_EQUAL);
    assert_int_equal(run("grep -q host %s/data/run.json", target) == 0, 0); /* left alone */
    assert_int_equal(put(sample("preliminary", "{}", "5"), false, &how, &err), WA_ERR_ARG);
    assert_non_null(strstr(err.hint, "--replace"));
    assert_int_equal(run("grep -q 5 '%s/data/tables/speed.by bin.csv'", target) == 0, 0);
    assert_int_equal(put(sample("preliminary", "{}", "5"), true, &how, &err), WA_OK);
    assert_int_equal(how, WA_REPLACED);
    assert_int_equal(run("grep -q 5 '%s/data/tables/speed.by bin.csv'", target), 0);
    assert_true(alone());
}

static void what_was_issued_stays(void **state)
{
    (void)state;
    wa_written how;
    wa_error err = {0};
    assert_int_equal(put(sample("final", "{}", "4"), false, &how, &err), WA_OK);
    assert_int_equal(put(sample("final", "{}", "5"), true, &how, &err), WA_ERR_ARG);
    assert_non_null(strstr(err.text, "issued"));
    assert_int_equal(put(sample("final", "{}", "4"), true, &how, &err), WA_OK);
    assert_int_equal(how, WA_EQUAL);
    assert_true(alone());
}

/* A folder of somebody's, a file, a link, a damaged dossier: none is touched. */
static void what_is_no_dossier_stays(void **state)
{
    (void)state;
    wa_written how;
    for (size_t i = 0; i < 2; i++) {
        if (i == 0)
            assert_int_equal(run("mkdir %s && echo mine > %s/notes.txt", target, target), 0);
        else
            assert_int_equal(run("echo mine > %s", target), 0);
        assert_int_equal(put(sample("preliminary", "{}", "4"), true, &how, NULL), WA_ERR_ARG);
        assert_true(alone());
        assert_int_equal(run("rm -r %s", target), 0);
    }
    assert_int_equal(run("mkdir %s.other && ln -s %s.other %s", target, target, target), 0);
    assert_int_equal(put(sample("preliminary", "{}", "4"), true, &how, NULL), WA_ERR_ARG);
    assert_int_equal(run("rm -r %s %s.other", target, target), 0);
    written();
    assert_int_equal(run("echo x >> %s/data/empty.csv", target), 0);
    assert_int_equal(put(sample("preliminary", "{}", "4"), true, &how, NULL), WA_ERR_ARG);
}

static void without_a_parent_it_is_missing(void **state)
{
    (void)state;
    wa_written how;
    wa_dossier *d = sample("preliminary", "{}", "4");
    char path[128];
    snprintf(path, sizeof path, "%s/none/NL-0417", base);
    assert_int_equal(wa_dossier_write(d, path, false, &how, NULL), WA_ERR_MISSING);
    snprintf(path, sizeof path, "%s/..", base);
    assert_int_equal(wa_dossier_write(d, path, false, &how, NULL), WA_ERR_ARG);
    wa_dossier_free(d);
}

static void unclean_names_are_refused(void **state)
{
    (void)state;
    static const char *const paths[] = {
        "",     "/a",  "../a", "a/../b", "a//b",   "a/",     "./a",           "a\nb",
        "a\rb", "a%b", "a\\b", "\xff",   "a\033b", "tables", "result.json/x", "result.json"};
    wa_dossier *d = sample("preliminary", "{}", "4");
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++)
        if (wa_dossier_add(d, paths[i], "x", 1, NULL) != WA_ERR_ARG)
            fail_msg("'%s' was taken", paths[i]);
    char longest[300];
    memset(longest, 'a', sizeof longest);
    longest[256] = '\0';
    assert_int_equal(wa_dossier_add(d, longest, "x", 1, NULL), WA_ERR_ARG);
    longest[255] = '\0';
    assert_int_equal(wa_dossier_add(d, longest, "x", 1, NULL), WA_OK);
    assert_int_equal(wa_dossier_note(d, "a\nb", "c", NULL), WA_ERR_ARG);
    assert_int_equal(wa_dossier_note(d, "a", "", NULL), WA_ERR_ARG);
    assert_int_equal(wa_dossier_note(d, "Payload-Oxum", "1.1", NULL), WA_ERR_ARG);
    wa_dossier_free(d);
}

/* Each is done to a good dossier in the shell; `says` must stand in the message. */
static void tampering_is_seen(void **state)
{
    (void)state;
    static const struct {
        const char *what, *says;
    } cases[] = {
        {"printf y >> data/tables/a.csv", "not those of the manifest"},
        {"rm data/tables/a.csv", "it is not there"},
        {"rm data/empty.csv", "it is not there"},
        {"rm -r data/tables", "it is not there"},
        {"echo x > data/extra.csv", "no manifest lists it"},
        {"echo x > data/tables/zz.csv", "no manifest lists it"},
        {"echo x > extra.txt", "no manifest lists it"},
        {"mkdir data/hollow", "empty folder"},
        {"ln -s /etc/passwd data/link", "no links"},
        {"rm data/empty.csv; ln -s ../bagit.txt data/empty.csv", "no links"},
        {"mkfifo data/pipe", "files and folders only"},
        {"rm manifest-sha256.txt", "no such file"},
        {"rm bagit.txt", "no such file"},
        {"rm tagmanifest-sha256.txt", "no such file"},
        {"echo 'Note: x' >> bag-info.txt", "not those of the manifest"},
        {"sed -i 1d manifest-sha256.txt", "no manifest lists it"},
        {"sed -i 's/data/date/' manifest-sha256.txt", "not a clean path"},
        {"sed -i '1s,data/,data/../,' manifest-sha256.txt", "not a clean path"},
        {"sed -i '1s/^/Z/' manifest-sha256.txt", "not a digest"},
        {"sed -i 's/  / /' manifest-sha256.txt", "not a digest"},
        {"sort -r manifest-sha256.txt > m; mv m manifest-sha256.txt", "in order"},
        {"sed -i '1p' manifest-sha256.txt", "in order"},
        {"truncate -s -1 manifest-sha256.txt", "ended by a newline"},
        {"echo >> tagmanifest-sha256.txt", "nothing is expected"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wa_bag *b = NULL;
        wa_error err = {0};
        written();
        assert_int_equal(run("cd %s && { %s; }", target, cases[i].what), 0);
        wa_status s = wa_bag_open(&b, target, &err);
        if (s != WA_ERR_DATA || strstr(err.text, cases[i].says) == NULL)
            fail_msg("%s: %d, '%s'", cases[i].what, s, err.text);
        assert_null(b);
        assert_int_equal(run("rm -r %s", target), 0);
    }
    wa_bag *b = NULL;
    assert_int_equal(wa_bag_open(&b, target, NULL), WA_ERR_MISSING);
    written(); /* a signature may lie beside the manifest that it signs */
    assert_int_equal(run("echo x > %s/tagmanifest-sha256.txt.sig", target), 0);
    assert_int_equal(wa_bag_open(&b, target, NULL), WA_OK);
    assert_int_equal(run("printf y >> %s/data/tables/a.csv", target), 0); /* after it was proven */
    wa_text t = WA_TEXT_INIT;
    assert_int_equal(wa_bag_read(&t, b, "tables/a.csv", NULL), WA_ERR_DATA);
    assert_int_equal(t.length, 0);
    wa_bag_close(b);
    wa_text_release(&t);
}

/* ---- files that are made row by row -------------------------------------------------------------- */

/* Interval i has the number at `context`, plus i. */
static void count_on(const void *context, size_t i, wa_text *out)
{
    wa_text_printf(out, ",%zu", *(const size_t *)context + i);
}

/* One of about 26 bytes a row, which looks at `first`. */
static void add_listing(wa_dossier *d, const char *path, size_t rows, size_t *first)
{
    wa_listing l = {.interval_ns = 1000000000,
                    .n = rows,
                    .names = WA_TEXT_INIT,
                    .cells = count_on,
                    .context = first};
    wa_text_add(&l.names, ",n");
    assert_int_equal(wa_dossier_add_listing(d, path, &l, NULL), WA_OK);
}

static void listings_are_written_as_they_are_made(void **state)
{
    (void)state;
    enum { ROWS = 50000 }; /* twenty pieces */
    size_t first = 7;
    const char *before = NULL;
    wa_written how;
    wa_dossier *d = sample("preliminary", "{}", "4");
    add_listing(d, "intervals.csv", ROWS, &first);
    add_listing(d, "none.csv", 0, &first);
    assert_int_equal(wa_dossier_write(d, target, false, &how, NULL), WA_OK);
    assert_int_equal(run("cd %s && sha256sum -c --strict --quiet manifest-sha256.txt", target), 0);
    assert_int_equal(run("cd %s && test \"$(sed -n 's/^Payload-Oxum: //p' bag-info.txt)\" = "
                         "\"$(cat $(find data -type f | tr ' ' '?') | wc -c).8\"",
                         target),
                     0);
    /* the same by other hands: date of GNU coreutils, seconds from 1970 on */
    assert_int_equal(run("cd %s/data && (echo time,n; seq 0 49999 | sed s/^/@/ | "
                         "date -u -f - +%%FT%%TZ | awk '{ print $0 \",\" NR + 6 }') | "
                         "cmp - intervals.csv && echo time,n | cmp - none.csv",
                         target),
                     0);
    /* its digest, known from the writing, is that which is made without it */
    wa_dossier *again = sample("preliminary", "{}", "4");
    add_listing(again, "intervals.csv", ROWS, &first);
    add_listing(again, "none.csv", 0, &first);
    for (size_t i = 0; wa_dossier_path(d, i) != NULL; i++) {
        const char *after = NULL;
        assert_int_equal(wa_dossier_sha256(&before, d, i, NULL), WA_OK);
        assert_int_equal(wa_dossier_sha256(&after, again, i, NULL), WA_OK);
        assert_string_equal(before, after);
    }
    wa_dossier_free(again);
    wa_dossier_free(d);
}

static void listings_that_differ_are_seen(void **state)
{
    (void)state;
    size_t first = 7, other = 8;
    wa_written how;
    for (int i = 0; i < 3; i++) {
        wa_dossier *d = sample("preliminary", "{}", "4");
        add_listing(d, "intervals.csv", 5000, i < 2 ? &first : &other);
        if (i < 2) {
            assert_int_equal(put(d, false, &how, NULL), WA_OK);
            assert_int_equal(how, i == 0 ? WA_WRITTEN : WA_EQUAL);
            continue;
        }
        assert_int_equal(wa_dossier_write(d, target, false, &how, NULL), WA_ERR_ARG);
        assert_int_equal(put(d, true, &how, NULL), WA_OK);
        assert_int_equal(how, WA_REPLACED);
    }
    assert_true(alone());
    assert_int_equal(run("cd %s && sha256sum -c --strict --quiet manifest-sha256.txt && tail -n 1 "
                         "data/intervals.csv | grep -q ',5007$'",
                         target),
                     0);
}

/* A disk that is full in the middle of one. */
static void a_listing_that_breaks_leaves_nothing(void **state)
{
    (void)state;
    struct rlimit before, small = {200000, 200000};
    size_t first = 0;
    wa_written how;
    wa_error err = {0};
    wa_dossier *d = sample("preliminary", "{}", "4");
    add_listing(d, "intervals.csv", 50000, &first);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    small.rlim_max = before.rlim_max;
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    wa_status s = wa_dossier_write(d, target, false, &how, &err);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    signal(SIGXFSZ, SIG_DFL);
    assert_int_equal(s, WA_ERR_IO);
    assert_string_equal(err.file, "data/intervals.csv");
    assert_int_equal(run("test -z \"$(ls -A %s)\"", base), 0);
    assert_int_equal(put(d, false, &how, NULL),
                     WA_OK); /* and once there is room, it goes through */
    assert_int_equal(run("cd %s && sha256sum -c --strict --quiet manifest-sha256.txt", target), 0);
}

/* A disk that is full, as a limit on the size of files has it. */
static void a_full_disk_leaves_nothing(void **state)
{
    (void)state;
    struct rlimit before, small = {5000, 5000};
    wa_written how;
    wa_error err = {0};
    char *big = calloc(1, 20000);
    wa_dossier *d = sample("preliminary", "{}", "4");
    assert_int_equal(wa_dossier_add(d, "tables/z.csv", big, 20000, NULL), WA_OK);
    free(big);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    small.rlim_max = before.rlim_max;
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    wa_status s = wa_dossier_write(d, target, false, &how, &err);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    signal(SIGXFSZ, SIG_DFL);
    wa_dossier_free(d);
    assert_int_equal(s, WA_ERR_IO);
    assert_string_equal(err.file, "data/tables/z.csv");
    assert_int_equal(run("test -z \"$(ls -A %s)\"", base), 0);
}

/* Killed at many moments: the folder is absent, or whole; the next writer sweeps the rest. */
static void killed_runs_leave_it_whole_or_absent(void **state)
{
    (void)state;
    int absent = 0, whole = 0;
    for (unsigned i = 0; i < 40; i++) {
        pid_t child = fork();
        assert_true(child >= 0);
        if (child == 0) {
            wa_dossier *d = sample("preliminary", "{}", "4");
            wa_written how;
            char path[32];
            for (int k = 0; k < 20; k++) {
                snprintf(path, sizeof path, "figures/%d/f.svg", k);
                if (wa_dossier_add(d, path, path, strlen(path), NULL) != WA_OK)
                    _exit(2);
            }
            _exit(wa_dossier_write(d, target, false, &how, NULL) == WA_OK ? 0 : 1);
        }
        usleep(i * 500);
        kill(child, SIGKILL);
        assert_int_equal(waitpid(child, NULL, 0), child);
        wa_bag *b = NULL;
        wa_status s = wa_bag_open(&b, target, NULL);
        wa_bag_close(b);
        absent += s == WA_ERR_MISSING;
        whole += s == WA_OK;
        assert_int_equal(run("rm -rf %s", target), 0);
    }
    assert_int_equal(absent + whole, 40);
    assert_true(absent > 0);
    written();
    assert_true(alone());
}

/* A unit may be computed twice on a cluster: every writer succeeds, one dossier stands. */
static void several_writers_agree(void **state)
{
    (void)state;
    for (int round = 0; round < 10; round++) {
        pid_t children[4];
        for (size_t i = 0; i < 4; i++) {
            children[i] = fork();
            assert_true(children[i] >= 0);
            if (children[i] == 0) {
                wa_written how;
                _exit(put(sample("preliminary", "{}", "4"), false, &how, NULL) == WA_OK ? 0 : 1);
            }
        }
        for (size_t i = 0; i < 4; i++) {
            int status = -1;
            assert_int_equal(waitpid(children[i], &status, 0), children[i]);
            assert_int_equal(status, 0);
        }
        wa_bag *b = NULL;
        assert_int_equal(wa_bag_open(&b, target, NULL), WA_OK);
        wa_bag_close(b);
        assert_true(alone());
        assert_int_equal(run("rm -r %s", target), 0);
    }
}

/* An input file is copied when the dossier is written, if it still is what was read. */
static void input_files_are_copied_unless_they_changed(void **state)
{
    (void)state;
    static const char *const abc = /* FIPS 180-4: SHA-256("abc") */
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    static const struct {
        const char *make;
        wa_status status;
    } cases[] = {
        {"printf abc > raw.csv", WA_OK},        {"printf abd > raw.csv", WA_ERR_DATA},
        {"printf abcd > raw.csv", WA_ERR_DATA}, {"rm raw.csv", WA_ERR_MISSING},
        {"ln -s fstab raw.csv", WA_ERR_DATA},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wa_dossier *d = sample("preliminary", "{}", "4");
        wa_written how;
        assert_int_equal(run("cd %s && %s", base, cases[i].make), 0);
        assert_int_equal(wa_dossier_add_file(d, "inputs/raw.csv", base, "raw.csv", 3, abc, NULL),
                         WA_OK);
        assert_int_equal(wa_dossier_add_file(d, "inputs/raw.csv", base, "raw.csv", 3, abc, NULL),
                         WA_ERR_ARG);
        assert_int_equal(wa_dossier_add_file(d, "b", base, "raw.csv", 3, "xyz", NULL), WA_ERR_ARG);
        assert_int_equal(put(d, false, &how, NULL), cases[i].status);
        if (i == 0)
            assert_int_equal(
                run("cd %s && sha256sum -c --strict --quiet manifest-sha256.txt && cmp "
                    "data/inputs/raw.csv ../raw.csv && rm -r ../NL-0417",
                    target),
                0);
        assert_int_equal(run("test \"$(ls -A %s | grep -v raw.csv)\" = ''", base), 0);
    }
}

/* The folder of a live run is told by its lock. */
static void a_live_neighbour_is_left_alone(void **state)
{
    (void)state;
    char live[128];
    snprintf(live, sizeof live, "%s/.NL-0417.tmp.abcdef", base);
    assert_int_equal(mkdir(live, 0700), 0);
    int fd = open(live, O_RDONLY | O_DIRECTORY);
    assert_int_equal(flock(fd, LOCK_EX), 0);
    written();
    assert_int_equal(run("test -d %s", live), 0);
    close(fd);
    assert_int_equal(run("rm -r %s", target), 0);
    written();
    assert_true(alone());
}

int main(void)
{
#define TEST(f) cmocka_unit_test_setup_teardown(f, set_up, tear_down)
    const struct CMUnitTest tests[] = {
        TEST(proven_by_sha256sum),
        TEST(equal_is_success_and_different_is_refused),
        TEST(what_was_issued_stays),
        TEST(what_is_no_dossier_stays),
        TEST(without_a_parent_it_is_missing),
        TEST(unclean_names_are_refused),
        TEST(tampering_is_seen),
        TEST(a_full_disk_leaves_nothing),
        TEST(listings_are_written_as_they_are_made),
        TEST(listings_that_differ_are_seen),
        TEST(a_listing_that_breaks_leaves_nothing),
        TEST(killed_runs_leave_it_whole_or_absent),
        TEST(a_live_neighbour_is_left_alone),
        TEST(several_writers_agree),
        TEST(input_files_are_copied_unless_they_changed),
    };
    return cmocka_run_group_tests_name("dossier", tests, NULL, NULL);
}
