/* Instants, durations, zones, stamps. Second opinions: the examples of RFC 3339, section 5.8;
 * gmtime_r of the C library; single instants by `date -u -d @N` (GNU coreutils). */
#include "windassay/time.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdlib.h>
#include <string.h>
#include <time.h>

static wa_zone_span utc_only[] = {{INT64_MAX, 0}};
static const wa_time_rule iso = {.format = WA_TIME_ISO8601, .zone = utc_only, .n_zone = 1};
static const wa_time_rule stated = {.format = WA_TIME_ISO8601};

static int64_t good(const wa_time_rule *rule, const char *text)
{
    int64_t t = 0;
    wa_error err = {0};
    if (wa_time_parse(&t, NULL, rule, NULL, text, strlen(text), &err) != WA_OK)
        fail_msg("%s: %s", text, err.text);
    return t;
}

static void bad(const wa_time_rule *rule, const char *text, size_t at, const char *why)
{
    int64_t t = 77;
    size_t byte = 999;
    wa_error err = {0};
    assert_int_equal(wa_time_parse(&t, &byte, rule, NULL, text, strlen(text), &err), WA_ERR_DATA);
    assert_int_equal(t, 77);
    if (byte != at || strstr(err.text, why) == NULL)
        fail_msg("%s: byte %zu, text '%s'", text, byte, err.text);
}

static void shows(int64_t t, const char *text)
{
    char to[WA_TIME_TEXT_SIZE];
    assert_int_equal(wa_time_print(to, t), strlen(text));
    assert_string_equal(to, text);
}

static void civil_agrees_with_the_c_library(void **state)
{
    (void)state;
    for (int64_t day = -106000; day <= 106000; day += 7) {
        int64_t t = day * WA_DAY_NS + 45296 * WA_SECOND_NS;
        time_t seconds = (time_t)(day * 86400 + 45296);
        struct tm tm;
        assert_non_null(gmtime_r(&seconds, &tm));
        wa_civil c = wa_civil_from_time(t);
        assert_int_equal(c.year, tm.tm_year + 1900);
        assert_int_equal(c.month, tm.tm_mon + 1);
        assert_int_equal(c.day, tm.tm_mday);
        assert_int_equal(c.hour, tm.tm_hour);
        assert_int_equal(c.minute, tm.tm_min);
        assert_int_equal(c.second, tm.tm_sec);
        assert_int_equal(wa_time_from_civil(&c), t);
        assert_int_equal(wa_day_of(t), day);
    }
}

static void examples_of_rfc_3339(void **state)
{
    (void)state;
    shows(good(&stated, "1985-04-12T23:20:50.52Z"), "1985-04-12T23:20:50.52Z");
    shows(good(&stated, "1996-12-19T16:39:57-08:00"), "1996-12-20T00:39:57Z");
    shows(good(&stated, "1937-01-01T12:00:27.87+00:20"), "1937-01-01T11:40:27.87Z");
    bad(&stated, "1990-12-31T23:59:60Z", 17, "leap second");
}

static void iso_forms(void **state)
{
    (void)state;
    assert_int_equal(good(&iso, "2026-03-02T00:00:00Z"), 1772409600 * WA_SECOND_NS); /* date -u */
    assert_int_equal(good(&iso, "2026-03-02 00:00"), 1772409600 * WA_SECOND_NS);
    assert_int_equal(good(&iso, "2026-03-02t00:00:00z"), 1772409600 * WA_SECOND_NS);
    assert_int_equal(good(&iso, "2026-03-01T24:00:00"), 1772409600 * WA_SECOND_NS);
    assert_int_equal(good(&iso, "2026-03-02T00:00:00.123456789"),
                     1772409600 * WA_SECOND_NS + 123456789);
    assert_int_equal(good(&iso, "2026-03-02T00:00:00.5+0000"),
                     1772409600 * WA_SECOND_NS + 500000000);
    assert_int_equal(good(&stated, "2026-03-02T05:30+05:30"), 1772409600 * WA_SECOND_NS);
    assert_int_equal(good(&stated, "2026-03-02T05:30+0530"), 1772409600 * WA_SECOND_NS);
    assert_int_equal(good(&stated, "2026-03-02T01:00+01"), 1772409600 * WA_SECOND_NS);
    assert_int_equal(good(&iso, "1969-12-31T23:59:59.5"), -500000000);
    shows(-500000000, "1969-12-31T23:59:59.5Z");
    shows(good(&iso, "2000-02-29 12:00"), "2000-02-29T12:00:00Z");
}

static void faults_are_placed(void **state)
{
    (void)state;
    bad(&iso, "2021-02-29 00:00", 8, "2021 is not a leap year");
    bad(&iso, "1900-02-29 00:00", 8, "1900 is not a leap year");
    bad(&iso, "2026-04-31 00:00", 8, "month 4 has no day 31");
    bad(&iso, "2026-02-30 00:00", 8, "month 2 has no day 30");
    bad(&iso, "2026-13-01 00:00", 5, "month 13");
    bad(&iso, "2026-03-02", 10, "without a time of day");
    bad(&iso, "2026-03-02T0:00", 12, "hour must have 2 digits");
    bad(&iso, "2026-03-02T25:00", 11, "hour 25");
    bad(&iso, "2026-03-02T24:00:01", 11, "24:00:00");
    bad(&iso, "2026-03-02T10:60", 14, "minute 60");
    bad(&iso, "2026-03-02T10:00:61", 17, "second 61");
    bad(&iso, "2026-03-02T10:00:00.1234567891", 29, "9 digits");
    bad(&iso, "2026-03-02T10:00:00.", 20, "must have digits");
    bad(&iso, "2026-03-02T10:00:00Z ", 20, "more follows");
    bad(&iso, "2026-03-02T10:00:00+01:00", 19, "the stamp says UTC+01:00, the campaign UTC");
    bad(&iso, "2026-03-02T10:00:00 Z", 19, "an offset");
    bad(&iso, "26-03-02T10:00:00Z", 2, "year must have 4 digits");
    bad(&iso, "1066-10-14T09:00:00Z", 0, "year 1066");
    bad(&iso, "", 0, "empty");
    bad(&stated, "2026-03-02T10:00:00", 19, "an offset from UTC (or Z) must follow");
}

static void hints_name_what_it_may_be(void **state)
{
    (void)state;
    struct {
        const char *text, *hint;
    } cases[] = {{"44348", "2021-06-01"}, /* spreadsheet day 1 = 1900-01-01; common knowledge */
                 {"44348.5", "2021-06-01"},
                 {"1772409600", "unix"},
                 {"02.03.2026 00:00", "%d.%m.%Y"},
                 {"02/03/2026 00:00", "pattern"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wa_error err = {0};
        int64_t t;
        assert_int_equal(
            wa_time_parse(&t, NULL, &iso, NULL, cases[i].text, strlen(cases[i].text), &err),
            WA_ERR_DATA);
        assert_non_null(strstr(err.hint, cases[i].hint));
    }
}

static void by_pattern(const char *pattern, const char *text, const char *iso_text)
{
    char copy[64];
    strcpy(copy, pattern);
    wa_time_rule rule = {.format = WA_TIME_PATTERN, .pattern = copy, .zone = utc_only, .n_zone = 1};
    wa_error err = {0};
    assert_int_equal(wa_time_pattern_check(pattern, &err), WA_OK);
    shows(good(&rule, text), iso_text);
}

static void patterns(void **state)
{
    (void)state;
    by_pattern("%d.%m.%Y %H:%M", "02.03.2026 10:20", "2026-03-02T10:20:00Z");
    by_pattern("%d.%m.%Y %H:%M", "2.3.2026 9:05", "2026-03-02T09:05:00Z");
    by_pattern("%Y%m%d%H%M%S", "20260302102030", "2026-03-02T10:20:30Z");
    by_pattern("%d-%b-%y %I:%M %p", "02-MAR-26 12:05 am", "2026-03-02T00:05:00Z");
    by_pattern("%d-%b-%y %I:%M %p", "02-mar-26 12:05 PM", "2026-03-02T12:05:00Z");
    by_pattern("%Y/%j %H:%M", "2024/366 23:50", "2024-12-31T23:50:00Z");
    by_pattern("%m/%d/%Y %H:%M:%S.%f", "3/2/2026 1:02:03.25", "2026-03-02T01:02:03.25Z");
    by_pattern("%Y-%m-%d %H%%%M", "2026-03-02 10%20", "2026-03-02T10:20:00Z");
    by_pattern("%d.%m.%Y %H:%M", "01.03.2026 24:00", "2026-03-02T00:00:00Z");
}

static void pattern_faults(void **state)
{
    (void)state;
    char p1[] = "%d.%m.%Y %H:%M", p2[] = "%Y%m%d %H:%M", p3[] = "%Y-%j %H:%M";
    wa_time_rule rule = {.format = WA_TIME_PATTERN, .pattern = p1, .zone = utc_only, .n_zone = 1};
    bad(&rule, "29.02.2021 00:00", 0, "2021 is not a leap year");
    bad(&rule, "02.03.26 10:00", 8, "year must have 4 digits");
    bad(&rule, "02.03.2026 10:00:00", 16, "more follows");
    bad(&rule, "02.03.2026T10:00", 10, "' ' should stand here");
    bad(&rule, "02.03.2026", 10, "it ends");
    rule.pattern = p2;
    bad(&rule, "2026031 10:00", 7, "day must have 2 digits");
    rule.pattern = p3;
    bad(&rule, "2026-366 10:00", 5, "2026 has no day 366");
    static const char *const refused[] = {"%d.%m.%Y",       "%Y-%m-%d %M",    "%Y-%m-%d %H:%M %H",
                                          "%Y-%d %H:%M",    "%Y-%m-%d %q",    "%Y-%m-%d %",
                                          "%Y %y-%m-%d %H", "%Y-%m-%d %I:%M", "%Y-%j %m %H:%M",
                                          "%Y-%m-%d %H %p", "%Y-%m-%d %H:%S", ""};
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
        assert_int_equal(wa_time_pattern_check(refused[i], NULL), WA_ERR_DATA);
}

static void an_iso_time_under_a_pattern(void **state)
{
    (void)state;
    char pattern[] = "%d.%m.%Y %H:%M";
    wa_time_rule rule = {
        .format = WA_TIME_PATTERN, .pattern = pattern, .zone = utc_only, .n_zone = 1};
    wa_error err = {0};
    int64_t t;
    assert_int_equal(wa_time_parse(&t, NULL, &rule, NULL, "2026-03-02T00:00:01Z", 20, &err),
                     WA_ERR_DATA);
    assert_string_equal(err.hint, "it looks like format = \"iso8601\"");
}

static void unix_seconds(void **state)
{
    (void)state;
    wa_time_rule rule = {.format = WA_TIME_UNIX, .zone = utc_only, .n_zone = 1};
    shows(good(&rule, "1772409600"), "2026-03-02T00:00:00Z");
    shows(good(&rule, "1772409600.1"), "2026-03-02T00:00:00.1Z");
    shows(good(&rule, "-0.5"), "1969-12-31T23:59:59.5Z");
    bad(&rule, "1772409600000", 0, "milliseconds");
    bad(&rule, "1.7e9", 3, "more follows");
    bad(&rule, "x", 0, "a number of seconds");
}

/* Central European rules of 2026: forward on 29 March, back on 25 October, both 01:00 UTC
 * (directive 2000/84/EC). */
static void dated_zones(void **state)
{
    (void)state;
    wa_zone_span zone[] = {{good(&stated, "2026-03-29T01:00:00Z"), 3600},
                           {good(&stated, "2026-10-25T01:00:00Z"), 7200},
                           {INT64_MAX, 3600}};
    wa_time_rule rule = {.format = WA_TIME_ISO8601, .zone = zone, .n_zone = 3};
    shows(good(&rule, "2026-03-29 01:59:59"), "2026-03-29T00:59:59Z");
    shows(good(&rule, "2026-03-29 03:00:00"), "2026-03-29T01:00:00Z");
    shows(good(&rule, "2026-10-25 03:00:00"), "2026-10-25T02:00:00Z");
    bad(&rule, "2026-03-29 02:30", 11, "does not exist");
    bad(&rule, "2026-10-25 02:30", 11, "occurs twice");
    shows(good(&rule, "2026-10-25 02:30+02:00"), "2026-10-25T00:30:00Z");
    shows(good(&rule, "2026-10-25 02:30+01:00"), "2026-10-25T01:30:00Z");
    bad(&rule, "2026-07-01 02:30+01:00", 16, "the campaign UTC+02:00");
}

static void offsets_do_not_mix(void **state)
{
    (void)state;
    wa_time_seen seen = {false, false};
    int64_t t;
    size_t byte = 0;
    wa_error err = {0};
    assert_int_equal(wa_time_parse(&t, &byte, &iso, &seen, "2026-03-02 00:00", 16, &err), WA_OK);
    assert_int_equal(wa_time_parse(&t, &byte, &iso, &seen, "2026-03-02 00:10Z", 17, &err),
                     WA_ERR_DATA);
    assert_int_equal(byte, 16);
    assert_non_null(strstr(err.text, "the stamps before it have none"));
    seen = (wa_time_seen){true, true};
    assert_int_equal(wa_time_parse(&t, &byte, &iso, &seen, "2026-03-02 00:10", 16, &err),
                     WA_ERR_DATA);
    assert_non_null(strstr(err.text, "the stamps before it have one"));
}

static void durations(void **state)
{
    (void)state;
    struct {
        const char *text;
        int64_t ns;
        const char *printed;
    } cases[] = {{"10 min", 600 * WA_SECOND_NS, "10 min"},
                 {"0.25 s", 250000000, "0.25 s"},
                 {"1 h", 3600 * WA_SECOND_NS, "1 h"},
                 {"-62 s", -62 * WA_SECOND_NS, "-62 s"},
                 {"500 ms", 500000000, "0.5 s"},
                 {"1.5 h", 5400 * WA_SECOND_NS, "90 min"},
                 {"1 d", WA_DAY_NS, "1 d"},
                 {"-0.5 s", -500000000, "-0.5 s"},
                 {"0 s", 0, "0 s"},
                 {"600 s", 600 * WA_SECOND_NS, "10 min"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        int64_t ns;
        char to[WA_TIME_TEXT_SIZE];
        assert_int_equal(wa_duration_parse(&ns, cases[i].text, NULL), WA_OK);
        assert_int_equal(ns, cases[i].ns);
        assert_int_equal(wa_duration_print(to, ns), strlen(cases[i].printed));
        assert_string_equal(to, cases[i].printed);
    }
    static const char *const refused[] = {"10",
                                          "10min",
                                          "min",
                                          "1 fortnight",
                                          "1e3 s",
                                          "1. s",
                                          "",
                                          "0.0000000001 s",
                                          "1 min ",
                                          "99999999999 d",
                                          "99999999999999999999 s"};
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        int64_t ns = 5;
        assert_int_equal(wa_duration_parse(&ns, refused[i], NULL), WA_ERR_DATA);
        assert_int_equal(ns, 5);
    }
}

static void zones(void **state)
{
    (void)state;
    struct {
        const char *text;
        int32_t offset;
    } cases[] = {{"UTC", 0}, {"UTC+01:00", 3600}, {"UTC-03:30", -12600}};
    for (size_t i = 0; i < 3; i++) {
        int32_t offset = 1;
        char to[WA_TIME_TEXT_SIZE];
        assert_int_equal(wa_zone_parse(&offset, cases[i].text, NULL), WA_OK);
        assert_int_equal(offset, cases[i].offset);
        wa_zone_print(to, offset);
        assert_string_equal(to, cases[i].text);
    }
    static const char *const refused[] = {"utc", "UTC+1", "UTC+01:60", "UTC+19:00", "Europe/X", ""};
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        int32_t offset;
        assert_int_equal(wa_zone_parse(&offset, refused[i], NULL), WA_ERR_DATA);
    }
}

static void clocks_and_stamps(void **state)
{
    (void)state;
    char why[] = "logbook";
    wa_clock_shift clock[] = {
        {INT64_MIN, 100 * WA_SECOND_NS, 62 * WA_SECOND_NS, 0, 2, why},
        {1000 * WA_SECOND_NS, INT64_MAX, -WA_SECOND_NS, 0.5, 2, why},
    };
    wa_time_rule rule = iso;
    rule.clock = clock;
    rule.n_clock = 2;
    assert_int_equal(wa_time_corrected(&rule, 99 * WA_SECOND_NS, 0), 161 * WA_SECOND_NS);
    assert_int_equal(wa_time_corrected(&rule, 100 * WA_SECOND_NS, 0), 100 * WA_SECOND_NS);
    assert_int_equal(wa_time_corrected(&rule, 1000 * WA_SECOND_NS + WA_DAY_NS, 0),
                     1000 * WA_SECOND_NS + WA_DAY_NS - WA_SECOND_NS / 2);
    assert_int_equal(wa_time_corrected(&rule, 0, 600 * WA_SECOND_NS), 0);
    assert_int_equal(wa_time_corrected(&rule, 0, 60 * WA_SECOND_NS), 60 * WA_SECOND_NS);
    clock[0].shift_ns = -3601 * WA_SECOND_NS;
    assert_int_equal(wa_time_corrected(&rule, 0, 600 * WA_SECOND_NS), -3600 * WA_SECOND_NS);
    assert_int_equal(wa_time_start(WA_STAMP_END, 600, 600), 0);
    assert_int_equal(wa_time_start(WA_STAMP_START, 600, 600), 600);
    assert_int_equal(wa_time_start(WA_STAMP_CENTRE, 300, 600), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(civil_agrees_with_the_c_library),
        cmocka_unit_test(examples_of_rfc_3339),
        cmocka_unit_test(iso_forms),
        cmocka_unit_test(faults_are_placed),
        cmocka_unit_test(hints_name_what_it_may_be),
        cmocka_unit_test(patterns),
        cmocka_unit_test(pattern_faults),
        cmocka_unit_test(an_iso_time_under_a_pattern),
        cmocka_unit_test(unix_seconds),
        cmocka_unit_test(dated_zones),
        cmocka_unit_test(offsets_do_not_mix),
        cmocka_unit_test(durations),
        cmocka_unit_test(zones),
        cmocka_unit_test(clocks_and_stamps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
