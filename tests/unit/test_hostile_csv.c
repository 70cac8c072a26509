/* Nasty CSV files: tests/hostile/csv, with verdicts made outside the project in csv.json: accept
 * (with the values of each row), error (physical line and byte), or choice (a documented option
 * decides). Never a crash, a hang or a silent wrong number. What we chose stands in `special`. */
#include "by_hand.h"

#include "windassay/json.h"

#include <math.h>

/* Files that need other channels or options than time, ws and ref; `verdict` decides a choice. */
static const struct special {
    const char *file, *verdict;
    const char *channels[3];
    const char *missing, *words, *pattern;
    char delimiter;
    bool zone_in_stamp;
} special[] = {
    {.file = "cr_only.csv", .verdict = "accept"},
    {.file = "hundred_k_columns.csv", .channels = {"c99998"}},
    {.file = "latex_lua_injection.csv", .channels = {"]] os.execute('id') --[[", "ref"}},
    {.file = "num_NaN.csv", .verdict = "error"}, /* NaN is no number unless declared as missing */
    {.file = "num_NaN.csv", .verdict = "accept", .missing = "NaN"},
    {.file = "path_traversal_station.csv", .channels = {"ws", "ref", "station"}, .words = "north"},
    {.file = "quote_inside_unquoted.csv", .verdict = "error"}, /* RFC 4180 */
    {.file = "space_in_name.csv", .verdict = "error"},         /* names keep their blanks */
    {.file = "space_in_name.csv", .verdict = "accept", .channels = {" ws ", "ref"}},
    {.file = "tab_delim.csv", .verdict = "error"},
    {.file = "tab_delim.csv", .verdict = "accept", .delimiter = '\t'},
    {.file = "ts_dst_spring_local.csv", .verdict = "accept"}, /* a zone is a fixed offset */
    {.file = "ts_lower_tz.csv", .verdict = "accept"},
    {.file = "ts_offset.csv", .zone_in_stamp = true},
    {.file = "ts_us_date.csv", .verdict = "error"},
    {.file = "ts_us_date.csv", .verdict = "accept", .pattern = "%m/%d/%Y %H:%M"},
};

static void set_up(hand *h, const char *folder, const char *file, const struct special *x)
{
    hand_init(h, folder, "timestamp", "2021-03-01T00:00:00Z", "2021-07-01T00:00:00Z");
    hand_files(h, file);
    const char *const usual[] = {"ws", "ref", NULL};
    const char *const *names = x->channels[0] != NULL ? x->channels : usual;
    for (size_t i = 0; i < 3 && names[i] != NULL; i++) {
        static wa_flag flag;
        bool words = strcmp(names[i], "station") == 0;
        wa_channel *c =
            hand_channel(h, names[i], words ? WA_CHANNEL_WORDS : WA_CHANNEL_SCALAR, "1");
        c->unit = c->unit_in_file; /* a pure number would become % */
        flag = (wa_flag){.word = (char *)(uintptr_t)x->words, .name = c->name};
        c->flags = words ? &flag : NULL;
        c->n_flags = words;
    }
    if (x->missing != NULL)
        hand_missing_text(h, x->missing);
    if (x->delimiter != '\0')
        h->source.layout.delimiter = x->delimiter;
    if (x->zone_in_stamp)
        h->source.time.n_zone = 0;
    if (x->pattern != NULL) {
        h->source.time.format = WA_TIME_PATTERN;
        h->source.time.pattern = (char *)(uintptr_t)x->pattern;
    }
}

static bool same(double got, const wa_value *want)
{
    double x;
    return wa_number_of(want, &x) ? got == x : isnan(got);
}

/* Each row lies in an interval of its own, so that means are the values that were written. */
static bool values_agree(const wa_records *r, const wa_value *rows)
{
    size_t row = 0;
    for (size_t i = 0; i < r->n; i++) {
        if (r->samples[0].read[i] == 0)
            continue;
        const wa_value *want = wa_at(rows, row++);
        if (r->samples[0].read[i] != 1 || wa_count(want) != r->n_series)
            return false;
        for (size_t k = 0; k < r->n_series; k++)
            if (!same(r->series[k].mean[i], wa_at(want, k)))
                return false;
    }
    return row == wa_count(rows);
}

static bool meets(const wa_value *line, const struct special *x, const char *verdict)
{
    const char *file = wa_get_string(line, "file");
    static char folder[256];
    hand h;
    wa_records *r = NULL;
    wa_error e = {0};
    snprintf(folder, sizeof folder, "%s/hostile/csv", WA_TESTS_DIR);
    set_up(&h, folder, file, x);
    wa_status status = wa_records_read(&r, &h.campaign, 1, NULL, &e);
    bool ok = false;
    const wa_value *values = wa_get(line, "values");
    double number = 0;
    if (strcmp(verdict, "accept") == 0) {
        ok = status == WA_OK && r->inputs[0].rows > 0 &&
             (wa_value_kind(values) != WA_LIST || values_agree(r, values));
    } else {
        ok = status == WA_ERR_DATA && strcmp(e.file, file) == 0 && e.text[0] != '\0';
        ok = ok && wa_number_of(wa_get(line, "line"), &number) && (double)e.line == number;
        if (wa_number_of(wa_get(line, "column"), &number))
            ok = ok && (double)e.column == number;
        for (const char *p = e.text; *p != '\0'; p++) /* nothing that a terminal would obey */
            ok = ok && (unsigned char)*p >= 0x20 && *p != 0x7f;
    }
    if (!ok)
        print_error("%s should be '%s' (%s): %d %zu:%zu: %s\n", file, verdict,
                    wa_get_string(line, "expect"), (int)status, e.line, e.column, e.text);
    wa_records_free(r);
    return ok;
}

static void every_verdict_is_met(void **state)
{
    (void)state;
    static char text[65536], path[256];
    snprintf(path, sizeof path, "%s/hostile/csv.json", WA_TESTS_DIR);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    size_t n = fread(text, 1, sizeof text, f), judged = 0, missed = 0;
    fclose(f);
    wa_value *table = NULL;
    assert_int_equal(wa_json_read(&table, text, n, path, NULL), WA_OK);
    for (size_t i = 0; i < wa_count(table); i++) {
        const wa_value *line = wa_at(table, i);
        const char *verdict = wa_get_string(line, "verdict");
        bool done = false;
        for (size_t k = 0; k < sizeof special / sizeof special[0]; k++) {
            if (strcmp(special[k].file, wa_get_string(line, "file")) != 0)
                continue;
            done = true;
            missed += !meets(line, &special[k],
                             special[k].verdict != NULL ? special[k].verdict : verdict);
        }
        if (!done)
            missed += !meets(line, &(struct special){0}, verdict);
        judged++;
    }
    assert_int_equal(judged, 48);
    assert_int_equal(missed, 0);
    wa_value_free(table);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_verdict_is_met)};
    return cmocka_run_group_tests_name("hostile_csv", tests, NULL, NULL);
}
