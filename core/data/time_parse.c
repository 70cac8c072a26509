/* Reading stamps: by hand, because every row of every file has one. */
#include "data/time_scan.h"

#include "windassay/text.h"

static int two_digits(const char *s)
{
    return wa_is_digit(s[0]) && wa_is_digit(s[1]) ? (s[0] - '0') * 10 + s[1] - '0' : 100;
}

/* The usual stamp, "2026-03-02T10:20:30" or longer, in one look; anything unusual about it is left
 * to the long way, which also says what. False, and nothing taken, then. */
static bool quick_iso(wa_scan *p)
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
    p->day_at = 8;
    p->hour_at = 11;
    p->at = 19;
    return true;
}

static bool take_iso_fraction(wa_scan *p)
{
    if (p->at < p->n && (p->s[p->at] == '.' || p->s[p->at] == ',')) {
        p->at++;
        return wa_scan_fraction(p);
    }
    return true;
}

/* The long way up to the fraction. */
static bool scan_iso_slowly(wa_scan *p)
{
    if (!wa_scan_year(p) || !wa_scan_char(p, '-'))
        return false;
    if (!wa_scan_part(p, &p->c.month, 2, 1, 12, "month") || !wa_scan_char(p, '-'))
        return false;
    p->day_at = p->at;
    if (!wa_scan_part(p, &p->c.day, 2, 1, 31, "day"))
        return false;
    if (p->at == p->n)
        return wa_scan_fault(p, p->at, "a date without a time of day");
    char between = p->s[p->at];
    if (between != 'T' && between != 't' && between != ' ')
        return wa_scan_fault(p, p->at, "'T' or a blank should stand between date and time");
    p->hour_at = ++p->at;
    if (!wa_scan_part(p, &p->c.hour, 2, 0, 24, "hour") || !wa_scan_char(p, ':') ||
        !wa_scan_part(p, &p->c.minute, 2, 0, 59, "minute"))
        return false;
    if (p->at == p->n || p->s[p->at] != ':')
        return true;
    p->at++;
    return wa_scan_second(p, 2) && take_iso_fraction(p);
}

static bool scan_iso(wa_scan *p)
{
    if (quick_iso(p) ? !take_iso_fraction(p) : !scan_iso_slowly(p))
        return false;
    if (p->at < p->n && !wa_scan_offset(p))
        return false;
    return p->at == p->n || wa_scan_fault(p, p->at, "more follows than a time");
}

/* The date must exist; %j and %p become month, day and hour; 24:00 the next midnight. */
static bool settle(wa_scan *p, int64_t *local)
{
    wa_civil *c = &p->c;
    if (p->day_of_year > 0) {
        if (p->day_of_year > (wa_leap_year(c->year) ? 366 : 365))
            return wa_scan_fault(p, p->day_at, "%d has no day %d", c->year, p->day_of_year);
        c->month = c->day = 1;
    } else if (c->month == 2 && c->day == 29 && !wa_leap_year(c->year)) {
        return wa_scan_fault(p, p->day_at, "%d is not a leap year", c->year);
    } else if (c->day > wa_days_in_month(c->year, c->month)) {
        return wa_scan_fault(p, p->day_at, "month %d has no day %d", c->month, c->day);
    }
    if (p->half > 0)
        c->hour = c->hour % 12 + (p->half == 2 ? 12 : 0);
    if (c->hour == 24 && (c->minute > 0 || c->second > 0 || c->nanosecond > 0))
        return wa_scan_fault(p, p->hour_at, "hour 24 can only be 24:00:00");
    *local = wa_time_from_civil(c) + (p->day_of_year > 0 ? (p->day_of_year - 1) * WA_DAY_NS : 0);
    return true;
}

/* Local time to UTC. In a dated list each span owns the instants before its `until`. */
static bool leave_zone(wa_scan *p, const wa_zone_span *zone, size_t n, int64_t local, int64_t *utc)
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
        return wa_scan_fault(p, p->hour_at,
                             "this local time does not exist: the clock was put forward");
    if (found > 1)
        return wa_scan_fault(p, p->hour_at, "this local time occurs twice: the clock was put back");
    *utc = candidate;
    return true;
}

static bool agree_with_zone(wa_scan *p, const wa_zone_span *zone, size_t n, int64_t utc)
{
    size_t i = 0;
    while (i + 1 < n && utc >= zone[i].until)
        i++;
    if (n == 0 || zone[i].offset_s == p->offset_s)
        return true;
    char stated[WA_TIME_TEXT_SIZE], declared[WA_TIME_TEXT_SIZE];
    wa_zone_print(stated, p->offset_s);
    wa_zone_print(declared, zone[i].offset_s);
    return wa_scan_fault(p, p->offset_at, "the stamp says %s, the campaign %s", stated, declared);
}

static bool to_utc(wa_scan *p, const wa_zone_span *zone, size_t n, wa_time_seen *seen,
                   int64_t local, int64_t *utc)
{
    if (seen != NULL && seen->any && seen->offset != p->has_offset)
        return wa_scan_fault(p, p->has_offset ? p->offset_at : p->n,
                             p->has_offset ? "it has an offset, the stamps before it have none"
                                           : "it has no offset, the stamps before it have one");
    if (p->has_offset) {
        *utc = local - p->offset_s * WA_SECOND_NS;
        if (!agree_with_zone(p, zone, n, *utc))
            return false;
    } else if (n == 0) {
        return wa_scan_fault(p, p->n, "an offset from UTC (or Z) must follow");
    } else if (!leave_zone(p, zone, n, local, utc)) {
        return false;
    }
    /* An offset can lead out of the years that can be printed and read. */
    static const int64_t first = -106650 * WA_DAY_NS, end = 106651 * WA_DAY_NS;
    if (*utc < first || *utc >= end)
        return wa_scan_fault(p, 0, "it lies before %d or after %d", WA_TIME_FIRST_YEAR,
                             WA_TIME_LAST_YEAR);
    if (seen != NULL)
        *seen = (wa_time_seen){true, p->has_offset};
    return true;
}

/* Seconds since 1970 with a fraction: exact, never through a double. */
static bool scan_unix(wa_scan *p, int64_t *utc)
{
    bool negative = p->at < p->n && p->s[p->at] == '-';
    p->at += negative;
    size_t from = p->at;
    int64_t seconds = 0;
    for (; p->at < p->n && wa_is_digit(p->s[p->at]); p->at++) {
        seconds = seconds * 10 + (p->s[p->at] - '0');
        if (seconds > 9190000000)
            return wa_scan_fault(p, from, "it lies after %d (milliseconds, not seconds?)",
                                 WA_TIME_LAST_YEAR);
    }
    if (p->at == from)
        return wa_scan_fault(p, p->at, "a number of seconds should stand here");
    if (p->at < p->n && p->s[p->at] == '.') {
        p->at++;
        if (!wa_scan_fraction(p))
            return false;
    }
    if (p->at < p->n)
        return wa_scan_fault(p, p->at, "more follows than a number of seconds");
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
        digits += wa_is_digit(s[i]);
        if (wa_is_digit(s[i]) && points == 0 && whole < INT64_MAX / 100)
            whole = whole * 10 + (s[i] - '0');
    }
    bool number = n > 0 && digits + points == n && points <= 1;
    if (number && whole >= 25569 && whole <= 73050) { /* 1970-01-01 to 2099-12-31 */
        char day[WA_TIME_TEXT_SIZE];
        wa_time_print(day, (whole - 25569) * WA_DAY_NS);
        wa_hint(err, WA_ERR_DATA, "a spreadsheet serial number = %.10s? export times as text", day);
    } else if (number && whole >= 100000000 && whole <= 9190000000) {
        wa_hint(err, WA_ERR_DATA, "seconds since 1970? set format = \"unix\"");
    } else if (n >= 16 && wa_is_digit(s[0]) && s[4] == '-' && s[7] == '-' && s[13] == ':') {
        if (format != WA_TIME_ISO8601)
            wa_hint(err, WA_ERR_DATA, "it looks like format = \"iso8601\"");
    } else if (n >= 10 && wa_is_digit(s[0]) && s[2] == '.' && s[5] == '.') {
        wa_hint(err, WA_ERR_DATA, "set format to a pattern such as \"%%d.%%m.%%Y %%H:%%M\"");
    } else if (n >= 10 && wa_is_digit(s[0]) && (s[2] == '/' || s[4] == '/')) {
        wa_hint(err, WA_ERR_DATA, "set format to a pattern such as \"%%Y/%%m/%%d %%H:%%M\"");
    }
}

static wa_status refuse(const wa_scan *p, size_t *byte, wa_time_format format, wa_error *err)
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
    wa_scan p;
    p.s = text;
    p.n = n;
    p.at = p.fault = p.day_at = p.hour_at = p.offset_at = 0;
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
        good =
            (rule->format == WA_TIME_ISO8601 ? scan_iso(&p) : wa_scan_pattern(&p, rule->pattern)) &&
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
