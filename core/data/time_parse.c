/* Reading stamps: by hand, because every row of every file has one. */
#include "windassay/text.h"
#include "windassay/time.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* A stamp while it is read; the first fault stays. */
typedef struct scan {
    const char *s;
    size_t n, at;
    bool failed;
    size_t fault; /* byte of the fault */
    char why[120];
    /* what was found */
    wa_civil c;
    int day_of_year; /* %j; 0 without          */
    int half;        /* %p: 0 none, 1 am, 2 pm */
    bool has_offset;
    int32_t offset_s;
    /* where the parts began, to place what only the whole can show */
    size_t month_at, day_at, hour_at, offset_at;
} scan;

static bool fault(scan *p, size_t at, const char *format, ...) WA_PRINTF(3, 4);

static bool fault(scan *p, size_t at, const char *format, ...)
{
    if (p->failed)
        return false;
    p->failed = true;
    p->fault = at;
    va_list args;
    va_start(args, format);
    vsnprintf(p->why, sizeof p->why, format, args);
    va_end(args);
    return false;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Between `least` and `most` digits. */
static bool take_number(scan *p, int *out, size_t least, size_t most, const char *what)
{
    size_t from = p->at;
    int value = 0;
    while (p->at < p->n && p->at - from < most && is_digit(p->s[p->at]))
        value = value * 10 + (p->s[p->at++] - '0');
    if (p->at - from < least)
        return fault(p, p->at, "%s must have %zu digits", what, most);
    *out = value;
    return true;
}

static bool take_part(scan *p, int *out, size_t least, int lowest, int highest, const char *what)
{
    size_t from = p->at;
    if (!take_number(p, out, least, 2, what))
        return false;
    if (*out < lowest || *out > highest)
        return fault(p, from, "%s %d is not within %d to %d", what, *out, lowest, highest);
    return true;
}

static bool take_year(scan *p)
{
    size_t from = p->at;
    if (!take_number(p, &p->c.year, 4, 4, "the year"))
        return false;
    if (p->c.year < WA_TIME_FIRST_YEAR || p->c.year > WA_TIME_LAST_YEAR)
        return fault(p, from, "year %d is not within %d to %d", p->c.year, WA_TIME_FIRST_YEAR,
                     WA_TIME_LAST_YEAR);
    return true;
}

static bool take_second(scan *p, size_t least)
{
    size_t from = p->at;
    if (!take_number(p, &p->c.second, least, 2, "the second"))
        return false;
    if (p->c.second == 60)
        return fault(p, from, "second 60: the time scale has no leap seconds");
    if (p->c.second > 59)
        return fault(p, from, "second %d is not within 0 to 59", p->c.second);
    return true;
}

static bool take_char(scan *p, char c)
{
    if (p->at < p->n && p->s[p->at] == c) {
        p->at++;
        return true;
    }
    if (p->at == p->n)
        return fault(p, p->at, "it ends where '%c' should stand", c);
    return fault(p, p->at, "'%c' should stand here", c);
}

static bool take_fraction(scan *p)
{
    size_t from = p->at;
    int32_t value = 0;
    for (; p->at < p->n && is_digit(p->s[p->at]); p->at++) {
        if (p->at - from == 9)
            return fault(p, p->at, "a fraction has at most 9 digits");
        value = value * 10 + (p->s[p->at] - '0');
    }
    if (p->at == from)
        return fault(p, p->at, "a fraction must have digits");
    for (size_t i = p->at - from; i < 9; i++)
        value *= 10;
    p->c.nanosecond = value;
    return true;
}

/* Z, z, +hh:mm, +hhmm, +hh */
static bool take_offset(scan *p)
{
    p->offset_at = p->at;
    if (p->at == p->n)
        return fault(p, p->at, "an offset from UTC should stand here");
    char sign = p->s[p->at++];
    p->has_offset = true;
    p->offset_s = 0;
    if (sign == 'Z' || sign == 'z')
        return true;
    if (sign != '+' && sign != '-')
        return fault(p, p->offset_at, "an offset from UTC should stand here");
    int hours = 0, minutes = 0;
    if (!take_part(p, &hours, 2, 0, 18, "the offset's hour"))
        return false;
    bool colon = p->at < p->n && p->s[p->at] == ':';
    p->at += colon;
    if ((colon || (p->at < p->n && is_digit(p->s[p->at]))) &&
        !take_part(p, &minutes, 2, 0, 59, "the offset's minute"))
        return false;
    int32_t seconds = hours * 3600 + minutes * 60;
    p->offset_s = sign == '-' ? -seconds : seconds;
    return true;
}

static int two_digits(const char *s)
{
    return is_digit(s[0]) && is_digit(s[1]) ? (s[0] - '0') * 10 + s[1] - '0' : 100;
}

/* The usual stamp, "2026-03-02T10:20:30" or longer, in one look; anything unusual about it is left
 * to the long way, which also says what. False, and nothing taken, then. */
static bool quick_iso(scan *p)
{
    const char *s = p->s;
    if (p->n < 19 || s[4] != '-' || s[7] != '-' || (s[10] != 'T' && s[10] != ' ') || s[13] != ':' ||
        s[16] != ':')
        return false;
    int century = two_digits(s), year = two_digits(s + 2), month = two_digits(s + 5);
    int day = two_digits(s + 8), hour = two_digits(s + 11), minute = two_digits(s + 14);
    int second = two_digits(s + 17);
    if (century < 17 || century > 21 || year > 99 || month < 1 || month > 12 || day < 1 ||
        day > 31 || hour > 23 || minute > 59 || second > 59)
        return false;
    p->c = (wa_civil){century * 100 + year, month, day, hour, minute, second, 0};
    p->month_at = 5;
    p->day_at = 8;
    p->hour_at = 11;
    p->at = 19;
    return true;
}

static bool take_iso_fraction(scan *p)
{
    if (p->at < p->n && (p->s[p->at] == '.' || p->s[p->at] == ',')) {
        p->at++;
        return take_fraction(p);
    }
    return true;
}

/* The long way up to the fraction. */
static bool scan_iso_slowly(scan *p)
{
    if (!take_year(p) || !take_char(p, '-'))
        return false;
    p->month_at = p->at;
    if (!take_part(p, &p->c.month, 2, 1, 12, "month") || !take_char(p, '-'))
        return false;
    p->day_at = p->at;
    if (!take_part(p, &p->c.day, 2, 1, 31, "day"))
        return false;
    if (p->at == p->n)
        return fault(p, p->at, "a date without a time of day");
    char between = p->s[p->at];
    if (between != 'T' && between != 't' && between != ' ')
        return fault(p, p->at, "'T' or a blank should stand between date and time");
    p->hour_at = ++p->at;
    if (!take_part(p, &p->c.hour, 2, 0, 24, "hour") || !take_char(p, ':') ||
        !take_part(p, &p->c.minute, 2, 0, 59, "minute"))
        return false;
    if (p->at == p->n || p->s[p->at] != ':')
        return true;
    p->at++;
    return take_second(p, 2) && take_iso_fraction(p);
}

static bool scan_iso(scan *p)
{
    if (quick_iso(p) ? !take_iso_fraction(p) : !scan_iso_slowly(p))
        return false;
    if (p->at < p->n && !take_offset(p))
        return false;
    return p->at == p->n || fault(p, p->at, "more follows than a time");
}

/* True where the directive reads digits only, so that its neighbour needs all of its own. */
static bool numeric_directive(const char *pattern)
{
    return pattern[0] == '%' && pattern[1] != '\0' && strchr("YymdjHIMSf", pattern[1]) != NULL;
}

static bool take_month_name(scan *p)
{
    static const char names[] = "janfebmaraprmayjunjulaugsepoctnovdec";
    p->month_at = p->at;
    if (p->n - p->at >= 3)
        for (int m = 0; m < 12; m++) {
            bool same = true;
            for (size_t k = 0; k < 3; k++)
                same = same && (p->s[p->at + k] | 0x20) == names[3 * m + (int)k];
            if (same) {
                p->c.month = m + 1;
                p->at += 3;
                return true;
            }
        }
    return fault(p, p->at, "an English month name of three letters should stand here");
}

static bool take_half(scan *p)
{
    bool room = p->n - p->at >= 2;
    char first = room ? (char)(p->s[p->at] | 0x20) : '\0';
    if (!room || (first != 'a' && first != 'p') || (p->s[p->at + 1] | 0x20) != 'm')
        return fault(p, p->at, "AM or PM should stand here");
    p->half = first == 'a' ? 1 : 2;
    p->at += 2;
    return true;
}

static bool take_directive(scan *p, char directive, size_t least)
{
    switch (directive) {
    case 'Y':
        return take_year(p);
    case 'y':
        if (!take_number(p, &p->c.year, 2, 2, "the year"))
            return false;
        p->c.year += 2000;
        return true;
    case 'm':
        p->month_at = p->at;
        return take_part(p, &p->c.month, least, 1, 12, "month");
    case 'b':
        return take_month_name(p);
    case 'd':
        p->day_at = p->at;
        return take_part(p, &p->c.day, least, 1, 31, "day");
    case 'j':
        p->day_at = p->at;
        if (!take_number(p, &p->day_of_year, least == 2 ? 3 : 1, 3, "the day of the year"))
            return false;
        return p->day_of_year > 0 || fault(p, p->day_at, "day of the year 0 does not exist");
    case 'H':
        p->hour_at = p->at;
        return take_part(p, &p->c.hour, least, 0, 24, "hour");
    case 'I':
        p->hour_at = p->at;
        return take_part(p, &p->c.hour, least, 1, 12, "hour");
    case 'p':
        return take_half(p);
    case 'M':
        return take_part(p, &p->c.minute, least, 0, 59, "minute");
    case 'S':
        return take_second(p, least);
    case 'f':
        return take_fraction(p);
    case 'z':
        return take_offset(p);
    default:
        return take_char(p, directive); /* %% */
    }
}

static bool scan_pattern(scan *p, const char *pattern)
{
    bool joined = false; /* the directive before reads digits and touches this one */
    for (const char *f = pattern; *f != '\0'; f++) {
        if (*f != '%') {
            joined = false;
            if (!take_char(p, *f))
                return false;
            continue;
        }
        bool numeric = numeric_directive(f);
        bool tight = numeric && (joined || numeric_directive(f + 2));
        if (!take_directive(p, f[1], tight ? 2 : 1))
            return false;
        joined = numeric;
        f++;
    }
    return p->at == p->n || fault(p, p->at, "more follows than the pattern '%s' has", pattern);
}

/* The date must exist; %j and %p become month, day and hour; 24:00 the next midnight. */
static bool settle(scan *p, int64_t *local)
{
    wa_civil *c = &p->c;
    if (p->day_of_year > 0) {
        if (p->day_of_year > (wa_leap_year(c->year) ? 366 : 365))
            return fault(p, p->day_at, "%d has no day %d", c->year, p->day_of_year);
        c->month = c->day = 1;
    } else if (c->month == 2 && c->day == 29 && !wa_leap_year(c->year)) {
        return fault(p, p->day_at, "%d is not a leap year", c->year);
    } else if (c->day > wa_days_in_month(c->year, c->month)) {
        return fault(p, p->day_at, "month %d has no day %d", c->month, c->day);
    }
    if (p->half > 0)
        c->hour = c->hour % 12 + (p->half == 2 ? 12 : 0);
    if (c->hour == 24 && (c->minute > 0 || c->second > 0 || c->nanosecond > 0))
        return fault(p, p->hour_at, "hour 24 can only be 24:00:00");
    *local = wa_time_from_civil(c) + (p->day_of_year > 0 ? (p->day_of_year - 1) * WA_DAY_NS : 0);
    return true;
}

/* Local time to UTC. In a dated list each span owns the instants before its `until`. */
static bool leave_zone(scan *p, const wa_zone_span *zone, size_t n, int64_t local, int64_t *utc)
{
    if (n == 1) {
        *utc = local - zone[0].offset_s * WA_SECOND_NS;
        return true;
    }
    int found = 0;
    int64_t from = INT64_MIN, candidate = 0;
    for (size_t i = 0; i < n; i++) {
        int64_t t = local - zone[i].offset_s * WA_SECOND_NS;
        if (t >= from && t < zone[i].until) {
            candidate = t;
            found++;
        }
        from = zone[i].until;
    }
    if (found == 0)
        return fault(p, p->hour_at, "this local time does not exist: the clock was put forward");
    if (found > 1)
        return fault(p, p->hour_at, "this local time occurs twice: the clock was put back");
    *utc = candidate;
    return true;
}

static bool agree_with_zone(scan *p, const wa_zone_span *zone, size_t n, int64_t utc)
{
    size_t i = 0;
    while (i + 1 < n && utc >= zone[i].until)
        i++;
    if (n == 0 || zone[i].offset_s == p->offset_s)
        return true;
    char stated[WA_TIME_TEXT_SIZE], declared[WA_TIME_TEXT_SIZE];
    wa_zone_print(stated, p->offset_s);
    wa_zone_print(declared, zone[i].offset_s);
    return fault(p, p->offset_at, "the stamp says %s, the campaign %s", stated, declared);
}

static bool to_utc(scan *p, const wa_zone_span *zone, size_t n, wa_time_seen *seen, int64_t local,
                   int64_t *utc)
{
    if (seen != NULL && seen->any && seen->offset != p->has_offset)
        return fault(p, p->has_offset ? p->offset_at : p->n,
                     p->has_offset ? "it has an offset, the stamps before it have none"
                                   : "it has no offset, the stamps before it have one");
    if (p->has_offset) {
        *utc = local - p->offset_s * WA_SECOND_NS;
        if (!agree_with_zone(p, zone, n, *utc))
            return false;
    } else if (n == 0) {
        return fault(p, p->n, "an offset from UTC (or Z) must follow");
    } else if (!leave_zone(p, zone, n, local, utc)) {
        return false;
    }
    if (seen != NULL)
        *seen = (wa_time_seen){true, p->has_offset};
    return true;
}

/* Seconds since 1970 with a fraction: exact, never through a double. */
static bool scan_unix(scan *p, int64_t *utc)
{
    bool negative = p->at < p->n && p->s[p->at] == '-';
    p->at += negative;
    size_t from = p->at;
    int64_t seconds = 0;
    for (; p->at < p->n && is_digit(p->s[p->at]); p->at++) {
        seconds = seconds * 10 + (p->s[p->at] - '0');
        if (seconds > 9190000000)
            return fault(p, from, "it lies after %d (milliseconds, not seconds?)",
                         WA_TIME_LAST_YEAR);
    }
    if (p->at == from)
        return fault(p, p->at, "a number of seconds should stand here");
    if (p->at < p->n && p->s[p->at] == '.') {
        p->at++;
        if (!take_fraction(p))
            return false;
    }
    if (p->at < p->n)
        return fault(p, p->at, "more follows than a number of seconds");
    int64_t t = seconds * WA_SECOND_NS + p->c.nanosecond;
    *utc = negative ? -t : t;
    return true;
}

/* What the text may be instead; leaves no hint where it looks like nothing known. */
static void suggest(const char *s, size_t n, wa_time_format format, wa_error *err)
{
    size_t digits = 0, points = 0;
    int64_t whole = 0;
    for (size_t i = 0; i < n; i++) {
        points += s[i] == '.';
        digits += is_digit(s[i]);
        if (is_digit(s[i]) && points == 0 && whole < INT64_MAX / 100)
            whole = whole * 10 + (s[i] - '0');
    }
    bool number = n > 0 && digits + points == n && points <= 1;
    if (number && whole >= 25569 && whole <= 73050) { /* 1970-01-01 to 2099-12-31 */
        char day[WA_TIME_TEXT_SIZE];
        wa_time_print(day, (whole - 25569) * WA_DAY_NS);
        wa_hint(err, WA_ERR_DATA, "a spreadsheet serial number = %.10s? export times as text", day);
    } else if (number && whole >= 100000000 && whole <= 9190000000) {
        wa_hint(err, WA_ERR_DATA, "seconds since 1970? set format = \"unix\"");
    } else if (n >= 16 && is_digit(s[0]) && s[4] == '-' && s[7] == '-' && s[13] == ':') {
        if (format != WA_TIME_ISO8601)
            wa_hint(err, WA_ERR_DATA, "it looks like format = \"iso8601\"");
    } else if (n >= 10 && is_digit(s[0]) && s[2] == '.' && s[5] == '.') {
        wa_hint(err, WA_ERR_DATA, "set format to a pattern such as \"%%d.%%m.%%Y %%H:%%M\"");
    } else if (n >= 10 && is_digit(s[0]) && (s[2] == '/' || s[4] == '/')) {
        wa_hint(err, WA_ERR_DATA, "set format to a pattern such as \"%%Y/%%m/%%d %%H:%%M\"");
    }
}

static wa_status refuse(const scan *p, size_t *byte, wa_time_format format, wa_error *err)
{
    char shown[64];
    wa_shown(shown, sizeof shown, p->s, p->n < 48 ? p->n : 48);
    if (byte != NULL)
        *byte = p->fault;
    if (p->n == 0)
        return wa_fail(err, WA_ERR_DATA, "the time is empty");
    wa_fail(err, WA_ERR_DATA, "'%s' is not a time: %s", shown, p->why);
    suggest(p->s, p->n, format, err);
    return WA_ERR_DATA;
}

wa_status wa_time_parse(int64_t *out, size_t *byte, const wa_time_rule *rule, wa_time_seen *seen,
                        const char *text, size_t n, wa_error *err)
{
    scan p;
    p.s = text;
    p.n = n;
    p.at = p.fault = p.month_at = p.day_at = p.hour_at = p.offset_at = 0;
    p.failed = p.has_offset = false;
    p.day_of_year = p.half = 0;
    p.offset_s = 0;
    p.why[0] = '\0';
    p.c = (wa_civil){.month = 1, .day = 1};
    int64_t local = 0, utc = 0;
    bool good;
    if (rule->format == WA_TIME_UNIX)
        good = scan_unix(&p, &utc);
    else
        good = (rule->format == WA_TIME_ISO8601 ? scan_iso(&p) : scan_pattern(&p, rule->pattern)) &&
               settle(&p, &local) && to_utc(&p, rule->zone, rule->n_zone, seen, local, &utc);
    if (!good)
        return refuse(&p, byte, rule->format, err);
    *out = utc;
    return WA_OK;
}

wa_status wa_instant_parse(int64_t *out, const char *text, size_t n, wa_error *err)
{
    const wa_time_rule rule = {.format = WA_TIME_ISO8601};
    size_t byte;
    wa_status s = wa_time_parse(out, &byte, &rule, NULL, text, n, err);
    if (s != WA_OK && err != NULL && err->hint[0] == '\0')
        wa_hint(err, s, "write \"2026-03-02T00:00:00Z\"");
    return s;
}

wa_status wa_time_pattern_check(const char *pattern, wa_error *err)
{
    static const char known[] = "YymbdjHIpMSfz%";
    bool has[sizeof known] = {false};
    for (const char *f = pattern; *f != '\0'; f++) {
        if (*f != '%')
            continue;
        const char *k = f[1] == '\0' ? NULL : strchr(known, f[1]);
        if (k == NULL) {
            wa_fail(err, WA_ERR_DATA, "pattern '%s': '%%%c' is not known", pattern,
                    f[1] >= 0x20 && f[1] < 0x7f ? f[1] : '?');
            return wa_hint(err, WA_ERR_DATA,
                           "known are %%Y %%y %%m %%b %%d %%j %%H %%I %%p %%M %%S %%f %%z %%%%");
        }
        if (*k != '%' && has[k - known])
            return wa_fail(err, WA_ERR_DATA, "pattern '%s': '%%%c' stands twice", pattern, *k);
        has[k - known] = true;
        f++;
    }
    bool year = has[0] != has[1], month = has[2] != has[3];
    bool date = year && ((month && has[4] && !has[5]) || (!has[2] && !has[3] && !has[4] && has[5]));
    bool clock = (has[6] && !has[7] && !has[8]) || (!has[6] && has[7] && has[8]);
    if (!date || !clock) {
        wa_fail(err, WA_ERR_DATA, "pattern '%s' does not name %s exactly once", pattern,
                date ? "the hour" : "year, month and day");
        return wa_hint(err, WA_ERR_DATA, "such as \"%%d.%%m.%%Y %%H:%%M\"");
    }
    if (has[10] && !has[9])
        return wa_fail(err, WA_ERR_DATA, "pattern '%s' has seconds but no minutes", pattern);
    return WA_OK;
}
