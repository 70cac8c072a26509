#include "windassay/time.h"

#include "base/digits.h"
#include "windassay/text.h"

#include <stdio.h>
#include <string.h>

bool wa_leap_year(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

int wa_days_in_month(int year, int month)
{
    static const int days[12] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return month == 2 && wa_leap_year(year) ? 29 : days[month - 1];
}

/* Counting years from March puts the leap day last, so that the days before a month follow one
 * line: (153 * months + 2) / 5. An era is the 400 years, 146097 days, after which it repeats. */
int64_t wa_days_from_date(int year, int month, int day)
{
    int64_t y = month > 2 ? year : year - 1;
    int64_t era = (y >= 0 ? y : y - 399) / 400;
    int64_t year_of_era = y - era * 400;
    int64_t day_of_year = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5 + day - 1;
    int64_t day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + day_of_era - 719468;
}

static int64_t divide_down(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

int64_t wa_day_of(int64_t t)
{
    return divide_down(t, WA_DAY_NS);
}

/* Days of this count, from 0000-03-01 on, are positive for every time in 64 bits of nanoseconds
 * (1677 to 2262), and small: 32 bits take half as long as 64. */
static void set_date(wa_civil *c, uint32_t days)
{
    uint32_t era = days / 146097, doe = days % 146097;
    uint32_t yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    uint32_t doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    uint32_t march = (5 * doy + 2) / 153;
    c->month = (int)(march < 10 ? march + 3 : march - 9);
    c->year = (int)(yoe + era * 400) + (c->month <= 2);
    c->day = (int)(doy - (153 * march + 2) / 5 + 1);
}

wa_civil wa_civil_from_time(int64_t t)
{
    int64_t days = wa_day_of(t), rest = t - days * WA_DAY_NS;
    uint32_t second = (uint32_t)(rest / WA_SECOND_NS);
    wa_civil c = {.hour = (int)(second / 3600),
                  .minute = (int)(second / 60 % 60),
                  .second = (int)(second % 60),
                  .nanosecond = (int32_t)(rest - second * WA_SECOND_NS)};
    set_date(&c, (uint32_t)(days + 719468));
    return c;
}

int64_t wa_time_from_civil(const wa_civil *c)
{
    int64_t days = wa_days_from_date(c->year, c->month, c->day);
    int64_t second = days * 86400 + c->hour * 3600 + c->minute * 60 + c->second;
    return second * WA_SECOND_NS + c->nanosecond;
}

static char *put_digits(char *to, int value, int digits)
{
    uint32_t rest = (uint32_t)value; /* never negative */
    for (int i = digits - 1; i >= 0; i--, rest /= 10)
        to[i] = (char)('0' + rest % 10);
    return to + digits;
}

/* A fraction of nine digits without its trailing zeros; nothing for 0. */
static char *put_fraction(char *to, int32_t nanosecond)
{
    if (nanosecond == 0)
        return to;
    *to++ = '.';
    to = put_digits(to, nanosecond, 9);
    while (to[-1] == '0')
        to--;
    return to;
}

/* "-05": a sign and two digits. */
static char *put_part(char *to, char before, int value)
{
    *to = before;
    wa_put_pair(to + 1, (uint32_t)value);
    return to + 3;
}

size_t wa_time_print(char *to, int64_t t)
{
    wa_civil c = wa_civil_from_time(t);
    wa_put_pair(to, (uint32_t)c.year / 100);
    wa_put_pair(to + 2, (uint32_t)c.year % 100);
    char *at = put_part(to + 4, '-', c.month);
    at = put_part(at, '-', c.day);
    at = put_part(at, 'T', c.hour);
    at = put_part(at, ':', c.minute);
    at = put_part(at, ':', c.second);
    at = put_fraction(at, c.nanosecond);
    *at++ = 'Z';
    *at = '\0';
    return (size_t)(at - to);
}

size_t wa_duration_print(char *to, int64_t ns)
{
    static const struct {
        int64_t size;
        const char *name;
    } units[] = {{WA_DAY_NS, "d"}, {3600 * WA_SECOND_NS, "h"}, {60 * WA_SECOND_NS, "min"}};
    for (size_t i = 0; i < 3; i++)
        if (ns != 0 && ns % units[i].size == 0)
            return (size_t)snprintf(to, WA_TIME_TEXT_SIZE, "%lld %s",
                                    (long long)(ns / units[i].size), units[i].name);
    char fraction[16];
    *put_fraction(fraction, (int32_t)(ns % WA_SECOND_NS < 0 ? -(ns % WA_SECOND_NS)
                                                            : ns % WA_SECOND_NS)) = '\0';
    long long whole = (long long)(ns / WA_SECOND_NS);
    return (size_t)snprintf(to, WA_TIME_TEXT_SIZE, "%s%lld%s s", ns < 0 ? "-" : "",
                            whole < 0 ? -whole : whole, fraction);
}

/* The number of a duration as integer * 10^-decimals; false where there is none. */
static bool take_decimal(const char **at, int64_t *integer, int *decimals)
{
    const char *s = *at;
    int64_t value = 0;
    int digits = 0, after = -1;
    for (;; s++) {
        if (*s == '.' && after < 0 && digits > 0) {
            after = 0;
        } else if (*s >= '0' && *s <= '9') {
            if (value > (INT64_MAX - 9) / 10)
                return false;
            value = value * 10 + (*s - '0');
            digits++;
            after += after >= 0;
        } else {
            break;
        }
    }
    if (digits == 0 || after == 0)
        return false;
    *integer = value;
    *decimals = after < 0 ? 0 : after;
    *at = s;
    return true;
}

static int64_t duration_unit(const char *name)
{
    static const struct {
        const char *name;
        int64_t size;
    } units[] = {{"ns", 1},
                 {"us", 1000},
                 {"ms", 1000000},
                 {"s", WA_SECOND_NS},
                 {"min", 60 * WA_SECOND_NS},
                 {"h", 3600 * WA_SECOND_NS},
                 {"d", WA_DAY_NS},
                 {"day", WA_DAY_NS},
                 {"days", WA_DAY_NS}};
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strcmp(name, units[i].name) == 0)
            return units[i].size;
    return 0;
}

wa_status wa_duration_parse(int64_t *ns, const char *text, wa_error *err)
{
    char shown[80];
    wa_shown(shown, sizeof shown, text, strlen(text));
    const char *at = text;
    bool negative = *at == '-';
    at += *at == '-' || *at == '+';
    int64_t value, size;
    int decimals;
    if (!take_decimal(&at, &value, &decimals) || *at != ' ' ||
        (size = duration_unit(at + 1)) == 0) {
        wa_fail(err, WA_ERR_DATA, "'%s' is not a duration", shown);
        return wa_hint(err, WA_ERR_DATA,
                       "write a number, a blank and ms, s, min, h or d: \"10 min\"");
    }
    /* value * size / 10^decimals, exactly */
    __extension__ __int128 exact = (__int128)value * size;
    for (; decimals > 0; decimals--) {
        if (exact % 10 != 0)
            return wa_fail(err, WA_ERR_DATA, "'%s' is no whole number of nanoseconds", shown);
        exact /= 10;
    }
    if (exact > INT64_MAX)
        return wa_fail(err, WA_ERR_DATA, "'%s' is longer than 292 years", shown);
    *ns = negative ? -(int64_t)exact : (int64_t)exact;
    return WA_OK;
}

enum { LARGEST_OFFSET_S = 18 * 3600 };

wa_status wa_zone_parse(int32_t *offset_s, const char *text, wa_error *err)
{
    const char *s = text;
    if (strcmp(s, "UTC") == 0) {
        *offset_s = 0;
        return WA_OK;
    }
    bool shape =
        strlen(s) == 9 && memcmp(s, "UTC", 3) == 0 && (s[3] == '+' || s[3] == '-') && s[6] == ':';
    for (size_t i = 4; shape && i < 9; i++)
        shape = i == 6 || (s[i] >= '0' && s[i] <= '9');
    int hours = shape ? (s[4] - '0') * 10 + s[5] - '0' : 0;
    int minutes = shape ? (s[7] - '0') * 10 + s[8] - '0' : 0;
    int32_t seconds = hours * 3600 + minutes * 60;
    if (!shape || minutes > 59 || seconds > LARGEST_OFFSET_S) {
        char shown[80];
        wa_fail(err, WA_ERR_DATA, "'%s' is not a zone",
                wa_shown(shown, sizeof shown, s, strlen(s)));
        return wa_hint(err, WA_ERR_DATA,
                       "zones are fixed offsets: \"UTC\", \"UTC+01:00\", or a dated list of them");
    }
    *offset_s = s[3] == '-' ? -seconds : seconds;
    return WA_OK;
}

size_t wa_zone_print(char *to, int32_t offset_s)
{
    if (offset_s == 0)
        return (size_t)snprintf(to, WA_TIME_TEXT_SIZE, "UTC");
    int32_t size = offset_s < 0 ? -offset_s : offset_s;
    return (size_t)snprintf(to, WA_TIME_TEXT_SIZE, "UTC%c%02d:%02d", offset_s < 0 ? '-' : '+',
                            (int)(size / 3600), (int)(size / 60 % 60));
}

/* drift (s a day) over a span of time, in ns, rounded to the nearest. */
static int64_t drifted(double drift, int64_t span_ns)
{
    double ns = drift * ((double)span_ns / 86400.0);
    return (int64_t)(ns < 0 ? ns - 0.5 : ns + 0.5);
}

int64_t wa_time_corrected(const wa_time_rule *rule, int64_t t, int64_t interval_ns)
{
    for (size_t i = 0; i < rule->n_clock; i++) {
        const wa_clock_shift *c = &rule->clock[i];
        if (t < c->from || t >= c->to)
            continue;
        int64_t shift = c->shift_ns;
        if (c->drift < 0 || c->drift > 0)
            shift += drifted(c->drift, t - c->from);
        if (interval_ns > 0) {
            int64_t size = shift < 0 ? -shift : shift;
            int64_t whole = size / interval_ns;
            whole += size - whole * interval_ns > interval_ns / 2;
            shift = (shift < 0 ? -whole : whole) * interval_ns;
        }
        return t + shift;
    }
    return t;
}

int64_t wa_time_start(wa_stamp stamp, int64_t t, int64_t lasts_ns)
{
    switch (stamp) {
    case WA_STAMP_START:
        return t;
    case WA_STAMP_CENTRE:
        return t - (lasts_ns - lasts_ns / 2);
    case WA_STAMP_END:
        return t - lasts_ns;
    }
    return t;
}
