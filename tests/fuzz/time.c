/* Stamps: the first byte chooses the rule. What is read lies in the years of time.h, prints as an
 * instant that reads back, and its date is the one that the days say; an error points into the
 * text. The same bytes as a duration, a zone and a pattern. */
#include "fuzz.h"

#include "windassay/time.h"

#include <stdlib.h>
#include <string.h>

static char p_day_first[] = "%d.%m.%Y %H:%M", p_words[] = "%d-%b-%y %I:%M:%S.%f %p",
            p_ordinal[] = "%Y%j%H%M%S", p_offset[] = "%Y/%m/%d %H:%M:%S%z";
static wa_zone_span utc[] = {{INT64_MAX, 0}}, east[] = {{INT64_MAX, 5 * 3600 + 1800}},
                    dated[] = {{1774746000 * (int64_t)1000000000, 3600}, {INT64_MAX, 7200}};

static const wa_time_rule RULES[] = {
    {.format = WA_TIME_ISO8601, .zone = utc, .n_zone = 1},
    {.format = WA_TIME_ISO8601},
    {.format = WA_TIME_ISO8601, .zone = east, .n_zone = 1},
    {.format = WA_TIME_ISO8601, .zone = dated, .n_zone = 2},
    {.format = WA_TIME_UNIX, .zone = utc, .n_zone = 1},
    {.format = WA_TIME_PATTERN, .pattern = p_day_first, .zone = dated, .n_zone = 2},
    {.format = WA_TIME_PATTERN, .pattern = p_words, .zone = utc, .n_zone = 1},
    {.format = WA_TIME_PATTERN, .pattern = p_ordinal, .zone = east, .n_zone = 1},
    {.format = WA_TIME_PATTERN, .pattern = p_offset},
};
enum { N_RULES = sizeof RULES / sizeof *RULES };

static void reads_back(int64_t t)
{
    char text[WA_TIME_TEXT_SIZE];
    int64_t again = 0;
    size_t n = wa_time_print(text, t);
    FUZZ_HOLDS(n == strlen(text) && n < sizeof text);
    FUZZ_HOLDS(wa_instant_parse(&again, text, n, NULL) == WA_OK && again == t);
    wa_civil c = wa_civil_from_time(t);
    FUZZ_HOLDS(c.month >= 1 && c.month <= 12 && c.day >= 1);
    FUZZ_HOLDS(c.day <= wa_days_in_month(c.year, c.month));
    FUZZ_HOLDS(wa_time_from_civil(&c) == t);
    FUZZ_HOLDS(wa_days_from_date(c.year, c.month, c.day) == wa_day_of(t));
}

static void other_texts(const char *s)
{
    char text[WA_TIME_TEXT_SIZE];
    wa_error err = {0};
    int64_t ns = 0, ns_again = 0;
    int32_t offset = 0, offset_again = 0;
    wa_status status = wa_duration_parse(&ns, s, &err);
    if (status == WA_OK) {
        FUZZ_HOLDS(wa_duration_print(text, ns) < sizeof text);
        FUZZ_HOLDS(wa_duration_parse(&ns_again, text, &err) == WA_OK && ns == ns_again);
    } else {
        fuzz_error_is_clean(status, &err);
    }
    status = wa_zone_parse(&offset, s, &err);
    if (status == WA_OK) {
        FUZZ_HOLDS(wa_zone_print(text, offset) < sizeof text);
        FUZZ_HOLDS(wa_zone_parse(&offset_again, text, &err) == WA_OK && offset == offset_again);
    } else {
        fuzz_error_is_clean(status, &err);
    }
    status = wa_time_pattern_check(s, &err);
    if (status != WA_OK)
        fuzz_error_is_clean(status, &err);
}

/* The bytes up to a line feed as a pattern, the rest as a stamp by it. */
static void own_pattern(char *s, size_t n)
{
    char *stamp = memchr(s, '\n', n);
    if (stamp == NULL)
        return;
    *stamp++ = '\0';
    wa_time_rule rule = {.format = WA_TIME_PATTERN, .pattern = s, .zone = utc, .n_zone = 1};
    int64_t t = 0;
    if (wa_time_pattern_check(s, NULL) == WA_OK &&
        wa_time_parse(&t, NULL, &rule, NULL, stamp, n - (size_t)(stamp - s), NULL) == WA_OK)
        reads_back(t);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    const wa_time_rule *rule = &RULES[data[0] % N_RULES];
    char *s = fuzz_string(data + 1, size - 1);
    size_t byte = SIZE_MAX;
    int64_t t = 0;
    wa_error err = {0};
    wa_time_seen seen = {0};
    wa_status status = wa_time_parse(&t, &byte, rule, &seen, s, size - 1, &err);
    if (status == WA_OK) {
        reads_back(t);
        FUZZ_HOLDS(seen.any == (rule->format != WA_TIME_UNIX));
    } else {
        FUZZ_HOLDS(byte <= size - 1);
        fuzz_error_is_clean(status, &err);
    }
    other_texts(s);
    own_pattern(s, size - 1);
    free(s);
    return 0;
}
