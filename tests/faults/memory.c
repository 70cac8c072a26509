/* Memory that runs out inside the library: the n-th allocation fails, for n = 1, 2, ... until a task
 * goes through. Each time the task says WA_ERR_NOMEM (never another code: what is wrong with the
 * machine is not wrong with the data), outputs stay untouched, and nothing is lost (the same test
 * under AddressSanitizer). The linker puts __wrap_malloc before our own calls (--wrap). */
#include "by_hand.h"
#include "listing_text.h"

#include "windassay/account.h"
#include "windassay/criteria.h"
#include "windassay/dossier.h"
#include "windassay/formula.h"
#include "windassay/json.h"
#include "windassay/report.h"
#include "windassay/result.h"
#include "windassay/table.h"

#include "data/rows.h"
#include "script/frames.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include <cmocka.h>
#include <jansson.h>

static long wanted = -1; /* the allocation that fails, from 0; -1: none does */
static bool onward;      /* and all after it, too                            */
static long seen;
static bool met; /* one has failed */

static bool fails(void)
{
    long n = seen++;
    if (wanted < 0 || n < wanted || (n > wanted && !onward))
        return false;
    met = true;
    return true;
}

void *__real_malloc(size_t n);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *old, size_t n);
void *__wrap_malloc(size_t n);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *old, size_t n);
char *__wrap_strdup(const char *s);
char *__wrap_strndup(const char *s, size_t n);

void *__wrap_malloc(size_t n)
{
    return fails() ? NULL : __real_malloc(n);
}

void *__wrap_calloc(size_t n, size_t size)
{
    return fails() ? NULL : __real_calloc(n, size);
}

void *__wrap_realloc(void *old, size_t n)
{
    return fails() ? NULL : __real_realloc(old, n);
}

char *__wrap_strndup(const char *s, size_t n)
{
    size_t length = strnlen(s, n);
    char *copy = __wrap_malloc(length + 1);
    if (copy != NULL) {
        memcpy(copy, s, length);
        copy[length] = '\0';
    }
    return copy;
}

char *__wrap_strdup(const char *s)
{
    return __wrap_strndup(s, strlen(s));
}

static wa_value *json(const char *text)
{
    char copy[8192];
    wa_value *v = NULL;
    wa_error err = {0};
    snprintf(copy, sizeof copy, "%s", text);
    for (char *c = copy; *c != '\0'; c++)
        if (*c == '\'')
            *c = '"';
    if (wa_json_read(&v, copy, strlen(copy), NULL, &err) != WA_OK)
        fail_msg("%s: %s", text, err.text);
    return v;
}

static void whole_file(wa_text *out, const char *path)
{
    char block[4096];
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    for (size_t n; (n = fread(block, 1, sizeof block, f)) > 0;)
        wa_text_add_bytes(out, block, n);
    fclose(f);
}

typedef wa_status task(const void *input, wa_error *err);

/* Both a single failure and a memory that stays empty. At least `least` runs must have failed. With
 * `caches` the task may go through without some allocation, and proves that its result is the same. */
static void exhaust_with(task *t, const void *input, long least, bool caches)
{
    enum { MOST = 20000 };
    for (int all = 0; all < 2; all++) {
        long n = 0;
        for (;; n += n < 2000 ? 1 : 7) {
            wa_error err = {0};
            assert_true(n < MOST);
            wanted = n;
            onward = all == 1;
            seen = 0;
            met = false;
            wa_status s = t(input, &err);
            wanted = -1;
            if (!met) {
                assert_int_equal(s, WA_OK);
                break;
            }
            if (caches && s == WA_OK)
                continue;
            if (s != WA_ERR_NOMEM || err.code != WA_ERR_NOMEM)
                fail_msg("allocation %ld: status %d, '%s'", n + 1, (int)s, err.text);
        }
        assert_true(n >= least);
    }
}

static void exhaust(task *t, const void *input, long least)
{
    exhaust_with(t, input, least, false);
}

static const char *const everything =
    "{'a': [null, true, 0, -1.5, 1e300], 'text': 'x', '': {}, 'list': [[], [[1]], {'k': "
    "[{'k': 'v'}]}], 'long': 'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx'}";

static wa_status frame(const void *input, wa_error *err)
{
    wa_text t = WA_TEXT_INIT;
    wa_value *copy = wa_value_copy(input), *again = NULL;
    wa_status s = WA_OK;
    if (copy == NULL || !wa_frame_encode(copy, &t))
        s = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    if (s == WA_OK)
        s = wa_value_decode(&again, t.at + WA_FRAME_HEAD, t.length - WA_FRAME_HEAD, err);
    if (s == WA_OK)
        assert_true(wa_value_equal(again, input));
    else
        assert_null(again);
    wa_value_free(again);
    wa_value_free(copy);
    wa_text_release(&t);
    return s;
}

static void frames_and_copies(void **state)
{
    (void)state;
    wa_value *v = json(everything);
    exhaust(frame, v, 20);
    wa_value_free(v);
}

static wa_status read_and_write(const void *input, wa_error *err)
{
    wa_value *v = NULL;
    wa_text t = WA_TEXT_INIT;
    wa_status s = wa_json_read(&v, input, strlen(input), "input.json", err);
    if (s == WA_OK)
        s = wa_json_write(&t, v, WA_JSON_READABLE, err);
    else
        assert_null(v);
    wa_value_free(v);
    wa_text_release(&t);
    return s;
}

static void json_read_and_written(void **state)
{
    (void)state;
    char *text = strdup(everything);
    for (char *c = text; *c != '\0'; c++)
        if (*c == '\'')
            *c = '"';
    exhaust(read_and_write, text, 40);
    /* jansson takes some of its own failures for mistakes of the text and cannot be asked: it fails
     * without harm, under one code or the other. */
    json_set_alloc_funcs(__wrap_malloc, free);
    met = true;
    for (long n = 0; met; n++) {
        wa_error err = {0};
        wanted = n;
        seen = 0;
        met = false;
        wa_status s = read_and_write(text, &err);
        wanted = -1;
        assert_true(met ? s == WA_ERR_NOMEM || s == WA_ERR_DATA : s == WA_OK);
    }
    json_set_alloc_funcs(malloc, free);
    free(text);
}

static int fd_of(const char *text)
{
    int fd = memfd_create("faults", MFD_CLOEXEC);
    assert_int_equal(write(fd, text, strlen(text)), (ssize_t)strlen(text));
    assert_int_equal(lseek(fd, 0, SEEK_SET), 0);
    return fd;
}

static wa_status read_table(const void *input, wa_error *err)
{
    wa_table *t = NULL;
    int fd = fd_of(input);
    wa_status s = wa_table_read(&t, fd, "spots.csv", err);
    assert_int_equal(fcntl(fd, F_GETFD), -1);
    if (s != WA_OK)
        assert_null(t);
    wa_table_free(t);
    return s;
}

static void tables(void **state)
{
    (void)state;
    exhaust(read_table,
            "spot,speed [m/s],time\na,1.5,2026-03-02T00:00:00Z\nb,NaN,\n,\"-2e3\","
            "2026-03-02T00:00:01+01:00\n",
            10);
}

static wa_status keep_account(const void *input, wa_error *err)
{
    wa_listing listing;
    static char why[] = "window cleaned";
    uint8_t mask[6] = {0, 1, 2, 0, 0, 1};
    const wa_event event = {why, mask};
    wa_account *a = NULL;
    wa_text t = WA_TEXT_INIT;
    wa_status s = wa_account_new(&a, input, 6, err);
    if (s == WA_OK)
        s = wa_account_exclude_events(a, &event, 1, err);
    if (s == WA_OK)
        s = wa_account_exclude(a, "unit missing", mask, true, false, err);
    if (s == WA_OK)
        s = wa_account_close(a, NULL, err);
    const wa_ledger_column column = {input, a};
    if (s == WA_OK &&
        (!listing_text(&t, wa_ledger_list(&listing, 0, 600000000000, 6, &column, 1), &listing) ||
         !wa_reasons_write(&t, &column, 1)))
        s = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    wa_account_free(a);
    wa_text_release(&t);
    return s;
}

static void accounts(void **state)
{
    (void)state;
    exhaust(keep_account, "intervals", 6);
}

static wa_status decode_campaign(const void *input, wa_error *err)
{
    wa_campaign *c = NULL;
    wa_status s =
        wa_campaign_decode(&c, input, "/data/NL-0417", "campaign.lua", "/data", NULL, err);
    if (s != WA_OK)
        assert_null(c);
    wa_campaign_free(c);
    return s;
}

static void campaigns(void **state)
{
    (void)state;
    wa_text t = WA_TEXT_INIT;
    wa_value *v = NULL;
    whole_file(&t, WA_TESTS_DIR "/data/campaign.json");
    assert_int_equal(wa_json_read(&v, t.at, t.length, NULL, NULL), WA_OK);
    exhaust(decode_campaign, v, 100);
    wa_value_free(v);
    wa_text_release(&t);
}

static const char *const described =
    "{'title': 'Speeds', 'practice': 'a practice', 'needs': ['unit.wind_speed'], 'parameters': ["
    "{'name': 'width', 'default': 0.5, 'unit': 'm/s', 'text': 'width of a bin', 'source': 'a "
    "clause', 'evidence': 'recalled'}]}";
static const char *const house =
    "{'title': 'House rules', 'source': 'house manual', 'evidence': 'invented', 'rule': "
    "'non-binary', 'k': 2, 'limits': [{'check': 'speed', 'require': 'slope', 'lower': 0.98, "
    "'upper': 1.02, 'unit': '1'}, {'check': 'speed', 'require': 'share', 'upper': 0.1, 'unit': "
    "'1', 'rule': 'simple'}]}";
static const char *const answer =
    "{'values': [{'name': 'slope', 'value': 1.002, 'unit': '1', 'u': 0.001}], 'tables': [{'name': "
    "'by bin', 'columns': [{'name': 'centre', 'unit': 'm s-1'}], 'rows': [[4], [null]]}], "
    "'figures': [{'name': 'scatter', 'title': 'T', 'x': {'label': 'V', 'unit': 'm s-1'}, 'y': "
    "{'label': 'S'}, 'series': [{'kind': 'points', 'label': 'a', 'x': [1, 2], 'y': [3, 4]}, "
    "{'kind': 'level', 'y': 0}]}], 'notes': ['seen'], 'requirements': [{'name': 'slope', 'value': "
    "1.002, 'unit': '1', 'u': 0.001, 'scatter_only': 'why'}], 'accounts': [{'name': 'intervals', "
    "'exclusions': [{'reason': 'late', 'mask': '\\u0001\\u0002', 'unknown': 'keep', 'both_sides': "
    "false}], 'states': 'xu'}], 'printed': 'hello'}";

typedef struct judged {
    wa_value *described, *reply, *criteria;
} judged;

/* A check from its description to the page. */
static wa_status judge(const void *input, wa_error *err)
{
    static const wa_terminal how = {100, true, true};
    const judged *j = input;
    wa_value *entry = NULL, *record = NULL;
    wa_accounts a = {0};
    wa_criteria *c = NULL;
    wa_text t = WA_TEXT_INIT;
    wa_status s = wa_result_begin(&entry, "speed", "speed", j->described, NULL, NULL, err);
    if (s == WA_OK)
        s = wa_result_accept(&entry, &a, j->reply, 2, NULL, 0, err);
    if (s == WA_OK)
        s = wa_criteria_decode(&c, j->criteria, "house", "house.lua", err);
    const wa_deciding set = {c, true};
    const wa_criteria *const contract = c;
    if (s == WA_OK)
        s = wa_record_decide(entry, NULL, &set, 1, err);
    if (s == WA_OK) {
        record = wa_record_new(wa_map());
        bool good = wa_list_add(wa_get_mutable(record, "checks"), entry);
        entry = NULL;
        s = good ? WA_OK : wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    if (s == WA_OK)
        s = wa_record_close(record, &contract, 1, err);
    if (s == WA_OK)
        s = wa_report_html(&t, record, NULL, err);
    wa_text_clear(&t);
    if (s == WA_OK)
        s = wa_report_terminal(&t, record, &how, err);
    wa_text_release(&t);
    wa_accounts_release(&a);
    wa_criteria_free(c);
    wa_value_free(record);
    wa_value_free(entry);
    return s;
}

static void from_answer_to_page(void **state)
{
    (void)state;
    judged j = {json(described), json(answer), json(house)};
    exhaust(judge, &j, 300);
    wa_value_free(j.described);
    wa_value_free(j.reply);
    wa_value_free(j.criteria);
}

static wa_status use_formula(const void *input, wa_error *err)
{
    wa_formula_channel c = {.name = "t", .kind = WA_FORMULA_NUMBER, .unit = wa_unit_one()};
    wa_formula *f = NULL;
    wa_formula_scratch scratch = {0};
    const double samples[3] = {1, 4, 2}, *channel = samples;
    double out[3], *added = out;
    uint8_t mask[3], *drop = mask;
    wa_status s = wa_formula_decode(&f, input, &c, 1, err);
    if (s == WA_OK)
        s = wa_formula_evaluate(f, &channel, 3, &added, &drop, &scratch, err);
    if (s == WA_OK) {
        wa_value *lines = wa_formula_lines(f);
        s = lines != NULL ? WA_OK : wa_fail(err, WA_ERR_NOMEM, "out of memory");
        wa_value_free(lines);
    }
    wa_formula_scratch_release(&scratch);
    wa_formula_free(f);
    return s;
}

static void formulas(void **state)
{
    (void)state;
    wa_value *v = json("{'nodes': [{'op': 'channel', 'name': 't'}, {'op': 'median', 'a': 1}, "
                       "{'op': 'sub', 'a': 1, 'b': 2}, {'op': 'above', 'a': 3, 'b': 2}], 'adds': "
                       "[{'name': 'x', 'node': 3}], 'drops': [{'reason': 'high', 'mask': 4, "
                       "'channels': ['t', 'x']}]}");
    exhaust(use_formula, v, 10);
    wa_value_free(v);
}

typedef struct reading {
    const wa_campaign *campaign;
    wa_text *expected; /* empty: this reading is the first, and fills it */
} reading;

/* A source of several kinds of channel, from its files to what the dossier holds of it. */
static wa_status read_records(const void *input, wa_error *err)
{
    wa_listing listing;
    const reading *in = input;
    const wa_campaign *c = in->campaign;
    wa_records *r = NULL;
    wa_text t = WA_TEXT_INIT;
    wa_status s = wa_records_read(&r, c, 1, NULL, err);
    if (s == WA_OK && !(listing_text(&t, wa_records_list_intervals(&listing, r, c), &listing) &&
                        listing_text(&t, wa_records_list_samples(&listing, r, c), &listing) &&
                        wa_records_write_inputs(r, c, &t)))
        s = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    if (s == WA_OK && in->expected->length == 0)
        wa_text_add(in->expected, wa_text_string(&t));
    if (s == WA_OK)
        assert_string_equal(wa_text_string(&t), wa_text_string(in->expected));
    wa_records_free(r);
    wa_text_release(&t);
    return s;
}

static void records(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    wa_flag bits[] = {{.bit = 0}};
    hand_folder(folder);
    hand_init(&h, folder, "time", "2026-03-02T00:00:00Z", "2026-03-02T01:00:00Z");
    bits[0].name = hand_text(&h, "window wet");
    hand_files(&h, "*.csv");
    hand_channel(&h, "v", WA_CHANNEL_SCALAR, "m s-1");
    hand_channel(&h, "d", WA_CHANNEL_DIRECTION, "degree");
    wa_channel *c = hand_channel(&h, "flags", WA_CHANNEL_BITS, "1");
    c->flags = bits;
    c->n_flags = 1;
    hand_write(folder, "a.csv",
               "time,v,d,flags\n2026-03-02T00:01:00Z,3,350,0\n"
               "2026-03-02T00:02:00Z,5,10,1\n2026-03-02T00:12:00Z,1e-3,,0\n");
    hand_write(folder, "b.csv", "time,v,d,flags\n2026-03-02T00:31:00Z,\"4\",0.5,1\n");
    wa_text expected = WA_TEXT_INIT;
    const reading in = {&h.campaign, &expected};
    assert_int_equal(read_records(&in, NULL), WA_OK);
    assert_true(expected.length > 100);
    exhaust_with(read_records, &in, 40, true); /* the table of sines is only a cache */
    wa_text_release(&expected);
    hand_remove(folder, "a.csv");
    hand_remove(folder, "b.csv");
    assert_int_equal(rmdir(folder), 0);
}

static void one_more(const void *context, size_t i, wa_text *out)
{
    (void)context;
    wa_text_printf(out, ",%zu", i + 1);
}

/* A listing in hands that give it away in any case. */
static wa_status add_listing(wa_dossier *d, wa_error *err)
{
    wa_listing l = {.interval_ns = 600000000000, .n = 3000, .cells = one_more};
    wa_text_add(&l.names, ",n");
    if (!wa_text_failed(&l.names))
        return wa_dossier_add_listing(d, "intervals.csv", &l, err);
    wa_listing_release(&l);
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

/* The folder's place is given; what was there before stays there. Written once, looked at once. */
static wa_status write_dossier(const void *input, wa_error *err)
{
    wa_written how = WA_EQUAL;
    wa_bag *bag = NULL;
    wa_dossier *d = wa_dossier_new();
    wa_text t = WA_TEXT_INIT;
    wa_status s = d == NULL ? wa_fail(err, WA_ERR_NOMEM, "out of memory") : WA_OK;
    if (s == WA_OK)
        s = wa_dossier_add(d, "result.json", "{}", 2, err);
    if (s == WA_OK)
        s = wa_dossier_add(d, "tables/a.csv", "x\n", 2, err);
    if (s == WA_OK)
        s = add_listing(d, err);
    if (s == WA_OK)
        s = wa_dossier_note(d, "Bagging-Date", "2026-03-02", err);
    if (s == WA_OK)
        s = wa_dossier_write(d, input, false, &how, err);
    if (s == WA_OK)
        s = wa_bag_open(&bag, input, err);
    if (s == WA_OK)
        s = wa_bag_read(&t, bag, "result.json", err);
    if (s == WA_OK)
        assert_string_equal(wa_text_string(&t), "{}");
    wa_text_release(&t);
    wa_bag_close(bag);
    wa_dossier_free(d);
    return s;
}

/* Removes the dossier, and proves that nothing else was left. */
static void sweep_up(const char *folder)
{
    static const char *const names[] = {"dossier/data/result.json",
                                        "dossier/data/intervals.csv",
                                        "dossier/data/tables/a.csv",
                                        "dossier/data/tables",
                                        "dossier/data",
                                        "dossier/bagit.txt",
                                        "dossier/bag-info.txt",
                                        "dossier/manifest-sha256.txt",
                                        "dossier/tagmanifest-sha256.txt",
                                        "dossier",
                                        ""};
    char path[128];
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        assert_int_equal(remove(path), 0);
    }
}

static void dossiers(void **state)
{
    (void)state;
    char folder[64], place[80];
    hand_folder(folder);
    snprintf(place, sizeof place, "%s/dossier", folder);
    exhaust(write_dossier, place, 20);
    sweep_up(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frames_and_copies),
        cmocka_unit_test(json_read_and_written),
        cmocka_unit_test(tables),
        cmocka_unit_test(accounts),
        cmocka_unit_test(campaigns),
        cmocka_unit_test(from_answer_to_page),
        cmocka_unit_test(formulas),
        cmocka_unit_test(records),
        cmocka_unit_test(dossiers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
