/* The parent's side of a cell: jobs, limits, crashes, babble, and what a child gets to see. */
#include "script/cell.h"
#include "windassay/pool.h"

#include <dirent.h>
#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

static char folder[] = "/tmp/wa_cell_XXXXXX";

static int set_up(void **state)
{
    (void)state;
    return mkdtemp(folder) == NULL;
}

static int tear_down(void **state)
{
    (void)state;
    char command[128];
    snprintf(command, sizeof command, "rm -rf %s", folder);
    return system(command);
}

static wa_modules *modules(void)
{
    wa_modules *m = NULL;
    assert_int_equal(wa_modules_new(&m, WA_SCRIPTS, folder, NULL, NULL), WA_OK);
    return m;
}

static wa_value *job(const char *kind, const char *key, const char *value)
{
    wa_value *j = wa_map();
    assert_true(wa_map_set(j, "job", wa_string(kind)));
    assert_true(wa_map_set(j, key, wa_string(value)));
    return j;
}

/* Runs and frees the job. */
static wa_value *run(wa_value *j, const wa_limits *limits)
{
    wa_modules *m = modules();
    wa_value *reply = NULL;
    wa_error err = {0};
    if (wa_cell_run(&reply, j, -1, m, limits, &err) != WA_OK)
        fail_msg("%s: %s", err.file, err.text);
    wa_value_free(j);
    wa_modules_free(m);
    return reply;
}

static wa_value *run_text(const char *kind, const char *text)
{
    const wa_limits limits = wa_limits_default(WA_CELL);
    wa_value *j = job(kind, "file", "campaign/test.lua");
    assert_true(wa_map_set(j, "text", wa_string(text)));
    return run(j, &limits);
}

static void error_is(const wa_value *reply, const char *kind, const char *fragment)
{
    const wa_value *error = wa_get(reply, "error");
    const char *message = wa_get_string(error, "message");
    if (error == NULL || strcmp(wa_get_string(error, "kind"), kind) != 0 ||
        strstr(message, fragment) == NULL)
        fail_msg("expected %s '%s', got %s '%s'", kind, fragment,
                 error != NULL ? wa_get_string(error, "kind") : "no error",
                 message != NULL ? message : "");
}

/* ---- jobs ---------------------------------------------------------------------------------- */

static double number_at(const wa_value *map, const char *key)
{
    double x = -1;
    assert_true(wa_number_of(wa_get(map, key), &x));
    return x;
}

static void a_campaign_comes_back_as_written(void **state)
{
    (void)state;
    wa_value *reply =
        run_text("campaign", "return { title = 'x', lens = { 2.10, 'm', u = 0.02 },\n"
                             "  names = { [0] = 'wet', [3] = 'warming up' }, empty = {},\n"
                             "  list = { 1, 2.5, true, missing } }");
    const wa_value *c = wa_get(reply, "campaign");
    assert_string_equal(wa_get_string(c, "title"), "x");
    const wa_value *lens = wa_get(c, "lens");
    assert_int_equal(wa_value_kind(lens), WA_MAP);
    assert_true(number_at(lens, "1") == 2.10 && number_at(lens, "u") == 0.02);
    assert_string_equal(wa_get_string(lens, "2"), "m");
    assert_string_equal(wa_get_string(wa_get(c, "names"), "0"), "wet");
    assert_string_equal(wa_get_string(wa_get(c, "names"), "3"), "warming up");
    assert_int_equal(wa_value_kind(wa_get(c, "empty")), WA_LIST);
    assert_int_equal(wa_count(wa_get(c, "list")), 4);
    assert_int_equal(wa_value_kind(wa_at(wa_get(c, "list"), 3)), WA_NULL);
    wa_value_free(reply);
}

static void what_is_not_plain_is_refused_with_its_path(void **state)
{
    (void)state;
    static const struct {
        const char *text, *fragment;
    } cases[] = {
        {"return { a = { b = { 1, function() end } } }", "campaign.a.b[2]: a function"},
        {"return { sources = { m = { channels = { v = { mean = print } } } } }",
         "campaign.sources.m.channels.v.mean: a function"},
        {"local t = {}; t.t = t; return t", "too deep"},
        {"return { x = 0/0 }", "campaign.x: a number that is not finite"},
        {"return { [1.5] = 1 }", "keys are texts or whole numbers"},
        {"return { 1, ['1'] = 2 }", "the same key as a number and as a text"},
        {"return { s = '\\xff' }", "campaign.s: a text that is not UTF-8"},
        {"return 3", "the campaign file returned number"},
        {"local x = {}", "the campaign file returned nothing"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wa_value *reply = run_text("campaign", cases[i].text);
        error_is(reply, "script", cases[i].fragment);
        wa_value_free(reply);
    }
}

static void prepare_comes_back_traced(void **state)
{
    (void)state;
    wa_value *reply = run_text(
        "campaign",
        "return { sources = { lidar = {\n"
        "  channels = { los_speed = { column = 'speed', unit = 'm/s' },\n"
        "    status = { column = 'flags', kind = 'bits', names = { [0] = 'window wet' } } },\n"
        "  prepare = function(s) s:drop('window wet', s.status:has('window wet'), { 'los_speed' }) "
        "end } } }");
    const wa_value *lidar = wa_get(wa_get(wa_get(reply, "campaign"), "sources"), "lidar");
    const wa_value *prepare = wa_get(lidar, "prepare");
    assert_int_equal(wa_value_kind(wa_get(prepare, "nodes")), WA_LIST);
    assert_int_equal(wa_count(wa_get(prepare, "drops")), 1);
    wa_value_free(reply);
}

static void for_each_script(const char *sub, void (*f)(const char *name))
{
    char path[512], name[256];
    snprintf(path, sizeof path, "%s/%s", WA_SCRIPTS, sub);
    DIR *d = opendir(path);
    int n = 0;
    assert_non_null(d);
    for (struct dirent *e; (e = readdir(d)) != NULL;) {
        size_t length = strlen(e->d_name);
        if (length < 5 || strcmp(e->d_name + length - 4, ".lua") != 0)
            continue;
        snprintf(name, sizeof name, "%.*s", (int)(length - 4), e->d_name);
        f(name);
        n++;
    }
    closedir(d);
    assert_true(n > 0);
}

static void describe(const char *name)
{
    const wa_limits limits = wa_limits_default(WA_CELL);
    wa_value *reply = run(job("describe", "check", name), &limits);
    const wa_value *error = wa_get(reply, "error");
    if (error != NULL)
        fail_msg("check '%s': %s", name, wa_get_string(error, "message"));
    assert_non_null(wa_get_string(reply, "title"));
    const wa_value *list = wa_get(reply, "parameters");
    assert_int_equal(wa_value_kind(list), WA_LIST);
    for (size_t i = 0; i < wa_count(list); i++) {
        assert_non_null(wa_get(wa_at(list, i), "default"));
        assert_non_null(wa_get_string(wa_at(list, i), "unit"));
        assert_non_null(wa_get_string(wa_at(list, i), "text"));
    }
    wa_value_free(reply);
}

static void criteria(const char *name)
{
    const wa_limits limits = wa_limits_default(WA_CELL);
    wa_value *reply = run(job("criteria", "name", name), &limits);
    assert_non_null(wa_get_string(wa_get(reply, "criteria"), "title"));
    wa_value_free(reply);
}

static void every_check_describes_itself(void **state)
{
    (void)state;
    for_each_script("checks", describe);
}

static void every_set_of_criteria_is_plain(void **state)
{
    (void)state;
    for_each_script("criteria", criteria);
}

/* ---- errors -------------------------------------------------------------------------------- */

static void an_error_knows_its_place(void **state)
{
    (void)state;
    wa_value *reply =
        run_text("script", "local function f(x)\n  return x.y.z\nend\n\nlocal r = f({})\n"
                           "print(r)");
    const wa_value *error = wa_get(reply, "error");
    error_is(reply, "script", "attempt to index a nil value (field 'y')");
    assert_string_equal(wa_get_string(error, "file"), "campaign/test.lua");
    assert_true(number_at(error, "line") == 2);
    assert_string_equal(wa_get_string(error, "source"), "  return x.y.z");
    assert_string_equal(wa_get_string(error, "trace"),
                        "campaign/test.lua:2: in function 'f'\ncampaign/test.lua:5: in the file");
    wa_value_free(reply);
}

static void a_syntax_error_too(void **state)
{
    (void)state;
    wa_value *reply = run_text("script", "local a = 1\nlocal b = = 2\n");
    error_is(reply, "script", "unexpected symbol near '='");
    assert_true(number_at(wa_get(reply, "error"), "line") == 2);
    assert_string_equal(wa_get_string(wa_get(reply, "error"), "source"), "local b = = 2");
    wa_value_free(reply);
}

static void what_was_printed_before_stays(void **state)
{
    (void)state;
    wa_value *reply = run_text("script", "print('before')\nerror('no')");
    assert_string_equal(wa_get_string(reply, "printed"), "before\n");
    error_is(reply, "script", "no");
    wa_value_free(reply);
}

static void printing_is_capped(void **state)
{
    (void)state;
    wa_value *reply = run_text("script", "for i = 1, 1000 do print(('x'):rep(999)) end");
    size_t n = wa_length_of(wa_get(reply, "printed"));
    assert_true(n > 64000 && n < 66000);
    assert_non_null(strstr(wa_get_string(reply, "printed"), "beyond 64 KiB"));
    wa_value_free(reply);
}

static void values_raised_by_scripts(void **state)
{
    (void)state;
    wa_value *reply = run_text("script", "error({ code = 3 })");
    error_is(reply, "script", "raised a table");
    wa_value_free(reply);
    reply = run_text("script", "error()");
    error_is(reply, "script", "raised a nil");
    wa_value_free(reply);
    reply = run_text("script", "local ok, e = pcall(undefined, 'why'); e.message = nil; error(e)");
    error_is(reply, "undefined", "no reason given");
    wa_value_free(reply);
    reply = run_text("script",
                     "local ok, e = pcall(error, 'x'); e.kind = 'limit'; e.line = {}; error(e)");
    error_is(reply, "script", "x"); /* what no script may claim */
    wa_value_free(reply);
}

/* The record takes UTF-8 only. */
static void foreign_bytes_are_escaped(void **state)
{
    (void)state;
    wa_value *reply = run_text("script", "print('a\\xffb\\0', 'ü'); print('ü'); error('\\xfe')");
    assert_string_equal(wa_get_string(reply, "printed"), "a\\xffb\\x00\\x09ü\nü\n");
    error_is(reply, "script", "\\xfe");
    wa_value_free(reply);
}

/* The seed of Lua's hashes differs from process to process; no script sees it. */
static void runs_are_alike(void **state)
{
    (void)state;
    static const char text[] = "local t = {}\n"
                               "for i = 1, 200 do t['key' .. i * 7919 % 1000] = i end\n"
                               "for k, v in pairs(t) do print(k, v) end\n"
                               "table.sort(t); print({}, print, 0.1 + 0.2)";
    wa_value *first = run_text("script", text);
    for (int i = 0; i < 5; i++) {
        wa_value *again = run_text("script", text);
        assert_true(wa_value_equal(first, again));
        wa_value_free(again);
    }
    wa_value_free(first);
}

typedef uint64_t *(*which_limit)(wa_limits *limits);

static uint64_t *instructions(wa_limits *limits)
{
    return &limits->instructions;
}

static uint64_t *memory(wa_limits *limits)
{
    return &limits->memory;
}

/* Does the script end well under a limit? */
static bool ends_well(const char *text, which_limit which, uint64_t limit)
{
    wa_limits limits = wa_limits_default(WA_CELL);
    *which(&limits) = limit;
    wa_value *j = job("script", "file", "campaign/test.lua");
    wa_map_set(j, "text", wa_string(text));
    wa_value *reply = run(j, &limits);
    bool well = wa_get(reply, "error") == NULL;
    if (!well)
        error_is(reply, "limit", "the script");
    wa_value_free(reply);
    return well;
}

/* The same limit ends the script in every run, one more is enough in every run. */
static void repeatable(const char *text, which_limit which, uint64_t low, uint64_t high)
{
    assert_true(!ends_well(text, which, low) && ends_well(text, which, high));
    while (high - low > 1) {
        uint64_t middle = low + (high - low) / 2;
        *(ends_well(text, which, middle) ? &high : &low) = middle;
    }
    for (int i = 0; i < 3; i++)
        assert_true(!ends_well(text, which, low) && ends_well(text, which, high));
}

static void the_limits_are_repeatable(void **state)
{
    (void)state;
    repeatable("local x = 0\nfor i = 1, 2e4 do x = x + i end", instructions, 1000, 1000000);
    repeatable("local t = {}\nfor i = 1, 2e4 do t['k' .. i] = { i } end", memory, 1 << 20, 1 << 24);
}

/* ---- children that are none ------------------------------------------------------------------ */

/* A program in place of windassay-cell. */
static wa_value *run_impostor(const char *commands, unsigned wall_s)
{
    char path[128];
    snprintf(path, sizeof path, "%s/impostor", folder);
    int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0700);
    assert_true(fd >= 0 && dprintf(fd, "#!/bin/sh\n%s\n", commands) > 0);
    close(fd);
    wa_limits limits = wa_limits_default(path);
    limits.wall_s = wall_s;
    wa_value *j = job("script", "file", "campaign/test.lua");
    wa_map_set(j, "text", wa_string(""));
    return run(j, &limits);
}

static void a_child_may_send_anything(void **state)
{
    (void)state;
    static const struct {
        const char *commands, *kind, *fragment;
    } cases[] = {
        {"exit 3", "crash", "ended without an answer (code 3)"},
        {"kill -SEGV $$", "crash", "signal 11"},
        {"printf 'junk junk junk' >&0; exec sleep 30", "crash", "what is no answer"},
        {"printf '\\001\\0\\0\\0z' >&0; exec sleep 30", "crash", "what is no answer"},
        {"printf '\\0\\0\\0\\0' >&0; exec sleep 30", "crash", "what is no answer"},
        {"printf '\\001\\000\\000\\0000' >&0; exec sleep 30", "crash", "what is no answer"},
        {"printf '\\377\\377\\0\\0' >&0", "crash", "ended without an answer"},
        {"exec sleep 30", "limit", "more than its 1 s"},
        {"printf '\\012\\0\\0\\0' >&0; exec sleep 30", "limit", "more than its 1 s"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wa_value *reply = run_impostor(cases[i].commands, 1);
        error_is(reply, cases[i].kind, cases[i].fragment);
        wa_value_free(reply);
    }
}

/* No descriptor and no variable of ours reaches a child. */
static void a_child_inherits_nothing(void **state)
{
    (void)state;
    int open_fd = open("/dev/null", O_RDONLY); /* not closed on exec, as a careless library does */
    char commands[200];
    assert_true(open_fd >= 3 && setenv("WA_SECRET", "1", 1) == 0);
    snprintf(commands, sizeof commands,
             "[ -e /proc/self/fd/%d ] && exit 4\n[ -n \"$WA_SECRET$HOME\" ] && exit 5\nexit 6",
             open_fd);
    wa_value *reply = run_impostor(commands, 10);
    error_is(reply, "crash", "(code 6)");
    wa_value_free(reply);
    close(open_fd);
}

static void a_cell_that_is_not_there(void **state)
{
    (void)state;
    const wa_limits limits = wa_limits_default("/nowhere/windassay-cell");
    wa_modules *m = modules();
    wa_value *j = job("describe", "check", "clock"), *reply = NULL;
    wa_error err = {0};
    assert_int_equal(wa_cell_run(&reply, j, -1, m, &limits, &err), WA_ERR_INTERNAL);
    assert_non_null(strstr(err.text, "/nowhere/windassay-cell"));
    assert_null(reply);
    wa_value_free(j);
    wa_modules_free(m);
}

static void a_file_that_is_not_there(void **state)
{
    (void)state;
    const wa_limits limits = wa_limits_default(WA_CELL);
    wa_modules *m = modules();
    wa_value *j = job("campaign", "file", "no.lua"), *reply = NULL;
    assert_int_equal(wa_cell_run(&reply, j, -1, m, &limits, NULL), WA_ERR_MISSING);
    wa_value_free(j);
    wa_modules_free(m);
}

/* ---- many at once -------------------------------------------------------------------------- */

static int open_descriptors(void)
{
    int n = 0;
    DIR *d = opendir("/proc/self/fd");
    assert_non_null(d);
    while (readdir(d) != NULL)
        n++;
    closedir(d);
    return n;
}

static wa_status one_of_many(void *context, size_t index, wa_error *err)
{
    wa_modules *m = context;
    const wa_limits limits = wa_limits_default(WA_CELL);
    static const char *const names[] = {"clock", "availability", "wind_speed_comparison"};
    wa_value *j = wa_map(), *reply = NULL;
    wa_map_set(j, "job", wa_string("describe"));
    wa_map_set(j, "check", wa_string(names[index % 3]));
    wa_status status = wa_cell_run(&reply, j, -1, m, &limits, err);
    if (status == WA_OK && wa_get_string(reply, "title") == NULL)
        status = wa_fail(err, WA_ERR_SCRIPT, "no title");
    wa_value_free(reply);
    wa_value_free(j);
    return status;
}

static void many_at_once_and_nothing_left_open(void **state)
{
    (void)state;
    wa_modules *m = modules();
    int before = open_descriptors();
    assert_int_equal(wa_pool_run(4, 24, one_of_many, m, NULL), WA_OK);
    assert_int_equal(open_descriptors(), before);
    wa_modules_free(m);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_campaign_comes_back_as_written),
        cmocka_unit_test(what_is_not_plain_is_refused_with_its_path),
        cmocka_unit_test(prepare_comes_back_traced),
        cmocka_unit_test(every_check_describes_itself),
        cmocka_unit_test(every_set_of_criteria_is_plain),
        cmocka_unit_test(an_error_knows_its_place),
        cmocka_unit_test(a_syntax_error_too),
        cmocka_unit_test(what_was_printed_before_stays),
        cmocka_unit_test(printing_is_capped),
        cmocka_unit_test(values_raised_by_scripts),
        cmocka_unit_test(foreign_bytes_are_escaped),
        cmocka_unit_test(runs_are_alike),
        cmocka_unit_test(the_limits_are_repeatable),
        cmocka_unit_test(a_child_may_send_anything),
        cmocka_unit_test(a_child_inherits_nothing),
        cmocka_unit_test(a_cell_that_is_not_there),
        cmocka_unit_test(a_file_that_is_not_there),
        cmocka_unit_test(many_at_once_and_nothing_left_open),
    };
    return cmocka_run_group_tests_name("cell", tests, set_up, tear_down);
}
