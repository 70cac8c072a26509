/* Which file a script means by a name: inside three folders and nowhere else. */
#include "script/modules.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

static char top[] = "/tmp/wa_modules_XXXXXX";
static char scripts[64], campaign[64], root[64];

static void write_bytes(const char *path, const void *bytes, size_t n)
{
    char full[256];
    snprintf(full, sizeof full, "%s/%s", top, path);
    FILE *f = fopen(full, "wb");
    assert_non_null(f);
    assert_int_equal(fwrite(bytes, 1, n, f), n);
    fclose(f);
}

static void write_file(const char *path, const char *text)
{
    write_bytes(path, text, strlen(text));
}

static void make_folder(const char *path)
{
    char full[256];
    snprintf(full, sizeof full, "%s/%s", top, path);
    assert_int_equal(mkdir(full, 0700), 0);
}

static void make_link(const char *to, const char *path)
{
    char full[256];
    snprintf(full, sizeof full, "%s/%s", top, path);
    assert_int_equal(symlink(to, full), 0);
}

static int set_up(void **state)
{
    (void)state;
    assert_non_null(mkdtemp(top));
    static const char *const folders[] = {
        "scripts",         "scripts/practice", "scripts/checks", "scripts/criteria", "campaign",
        "campaign/checks", "campaign/site",    "root",           "root/shared",      "outside"};
    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++)
        make_folder(folders[i]);
    snprintf(scripts, sizeof scripts, "%s/scripts", top);
    snprintf(campaign, sizeof campaign, "%s/campaign", top);
    snprintf(root, sizeof root, "%s/root", top);
    write_file("scripts/practice/sectors.lua", "return 1");
    write_file("scripts/checks/clock.lua", "return 2");
    write_file("scripts/checks/both.lua", "return 'the program's'");
    write_file("campaign/checks/both.lua", "return 'the campaign's'");
    write_file("campaign/checks/own.lua", "return 3");
    write_file("campaign/campaign.lua", "return {}");
    write_file("campaign/site/mast.lua", "return 4");
    write_file("root/shared/ravnmoor.lua", "return 5");
    write_file("root/fleet.lua", "return {}");
    write_file("outside/secret.lua", "return 'secret'");
    make_link("../outside/secret.lua", "campaign/linked.lua");
    make_link("../outside", "campaign/away");
    make_folder("campaign/folder.lua");
    write_file("campaign/compiled.lua", "\033Lua");
    write_bytes("campaign/zero.lua", "return\0 1", 9);
    write_file("campaign/latin.lua", "return '\xfc'");
    write_file("campaign/marked.lua", "\xef\xbb\xbfreturn 1");
    char *long_text = malloc(WA_MODULE_MOST + 1);
    assert_non_null(long_text);
    memset(long_text, ' ', WA_MODULE_MOST + 1);
    write_bytes("campaign/longest.lua", long_text, WA_MODULE_MOST);
    write_bytes("campaign/longer.lua", long_text, WA_MODULE_MOST + 1);
    free(long_text);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    char command[128];
    snprintf(command, sizeof command, "rm -rf %s", top);
    return system(command);
}

static wa_modules *all_three(void)
{
    wa_modules *m = NULL;
    assert_int_equal(wa_modules_new(&m, scripts, campaign, root, NULL), WA_OK);
    return m;
}

static void names_lead_to_files(void **state)
{
    (void)state;
    static const struct {
        const char *name, *path, *text;
    } cases[] = {
        {"practice.sectors", "scripts/practice/sectors.lua", "return 1"},
        {"checks.clock", "scripts/checks/clock.lua", "return 2"}, /* the program's comes first */
        {"checks.own", "campaign/checks/own.lua", "return 3"},
        {"site.mast", "campaign/site/mast.lua", "return 4"},
        {"shared.ravnmoor", "root/shared/ravnmoor.lua", "return 5"},
    };
    wa_modules *m = all_three();
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const wa_module *found = NULL;
        assert_int_equal(wa_modules_get(&found, m, cases[i].name, NULL), WA_OK);
        assert_string_equal(found->path, cases[i].path);
        assert_string_equal(found->text, cases[i].text);
        assert_string_equal(found->name, cases[i].name);
    }
    const wa_module *own = NULL;
    assert_int_equal(wa_modules_file(&own, m, "campaign.lua", NULL), WA_OK);
    assert_string_equal(own->path, "campaign/campaign.lua");
    assert_int_equal(wa_modules_count(m), 6);
    for (size_t i = 1; i < wa_modules_count(m); i++)
        assert_true(strcmp(wa_modules_at(m, i - 1)->path, wa_modules_at(m, i)->path) < 0);
    wa_modules_free(m);
}

/* Source of the digest: printf 'return 1' | sha256sum. */
static void each_file_is_hashed(void **state)
{
    (void)state;
    wa_modules *m = all_three();
    const wa_module *found = NULL;
    assert_int_equal(wa_modules_get(&found, m, "practice.sectors", NULL), WA_OK);
    assert_string_equal(found->sha256,
                        "486d9affb60dbb0063b03d8e23a6ccf6364ce203dc3a9f56f20e750eb41ecade");
    wa_modules_free(m);
}

static void each_file_is_read_once(void **state)
{
    (void)state;
    wa_modules *m = all_three();
    const wa_module *first = NULL, *second = NULL;
    write_file("campaign/changing.lua", "return 'before'");
    assert_int_equal(wa_modules_get(&first, m, "changing", NULL), WA_OK);
    write_file("campaign/changing.lua", "return 'after'");
    assert_int_equal(wa_modules_get(&second, m, "changing", NULL), WA_OK);
    assert_ptr_equal(first, second);
    assert_string_equal(second->text, "return 'before'");
    wa_modules_free(m);
}

static void refused(wa_modules *m, const char *name, wa_status code, const char *fragment)
{
    const wa_module *found = NULL;
    wa_error err = {0};
    wa_status got = wa_modules_get(&found, m, name, &err);
    if (got != code || strstr(err.text, fragment) == NULL)
        fail_msg("'%s': %d, '%s'; expected %d, '%s'", name, got, err.text, code, fragment);
    assert_null(found);
}

static void what_may_not_be_is_refused(void **state)
{
    (void)state;
    wa_modules *m = all_three();
    static const char *const names[] = {"",     ".",        "a..b",      ".a",  "a.",
                                        "../a", "/etc/x",   "a/b",       "a b", "a-b",
                                        "a\nb", "\xc3\xa4", "a.b\\c.lua"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        refused(m, names[i], WA_ERR_SCRIPT, "cannot be the name");
    refused(m, "practice", WA_ERR_MISSING, "no script");
    refused(m, "checks.both", WA_ERR_SCRIPT, "in the program's scripts and in the campaign's");
    refused(m, "practice.own", WA_ERR_MISSING, "no script"); /* never the campaign's */
    refused(m, "shared.campaign", WA_ERR_MISSING, "no script");
    refused(m, "fleet", WA_ERR_MISSING, "no script"); /* the root itself is no place */
    refused(m, "linked", WA_ERR_SCRIPT, "a link");
    refused(m, "away.secret", WA_ERR_SCRIPT, "a link");
    refused(m, "folder", WA_ERR_SCRIPT, "not a regular file");
    refused(m, "compiled", WA_ERR_SCRIPT, "not text");
    refused(m, "zero", WA_ERR_SCRIPT, "not text");
    refused(m, "latin", WA_ERR_SCRIPT, "not UTF-8");
    refused(m, "marked", WA_ERR_SCRIPT, "byte order mark");
    refused(m, "longer", WA_ERR_SCRIPT, "more than 65536 bytes");
    const wa_module *found = NULL;
    assert_int_equal(wa_modules_get(&found, m, "longest", NULL), WA_OK);
    assert_int_equal(found->length, WA_MODULE_MOST);
    assert_int_equal(wa_modules_count(m), 1);
    wa_modules_free(m);
}

static void folders_may_be_absent(void **state)
{
    (void)state;
    wa_modules *m = NULL;
    wa_error err = {0};
    const wa_module *found = NULL;
    assert_int_equal(wa_modules_new(&m, scripts, NULL, NULL, NULL), WA_OK);
    refused(m, "site.mast", WA_ERR_MISSING, "no script");
    assert_int_equal(wa_modules_get(&found, m, "shared.ravnmoor", &err), WA_ERR_MISSING);
    assert_non_null(strstr(err.hint, "fleet.lua"));
    assert_int_equal(wa_modules_file(&found, m, "campaign.lua", NULL), WA_ERR_ARG);
    wa_modules_free(m);
    wa_modules_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_lead_to_files),    cmocka_unit_test(each_file_is_hashed),
        cmocka_unit_test(each_file_is_read_once), cmocka_unit_test(what_may_not_be_is_refused),
        cmocka_unit_test(folders_may_be_absent),
    };
    return cmocka_run_group_tests_name("modules", tests, set_up, tear_down);
}
