/* Stamps that a pattern describes: "%d.%m.%Y %H:%M" */
#include "data/time_scan.h"

#include "windassay/text.h"

#include <string.h>

/* True where the directive reads digits only, so that its neighbour needs all of its own. */
static bool numeric_directive(const char *pattern)
{
    return pattern[0] == '%' && pattern[1] != '\0' && strchr("YymdjHIMSf", pattern[1]) != NULL;
}

static bool take_month_name(wa_scan *p)
{
    static const char names[] = "janfebmaraprmayjunjulaugsepoctnovdec";
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
    return wa_scan_fault(p, p->at, "an English month name of three letters should stand here");
}

static bool take_half(wa_scan *p)
{
    bool room = p->n - p->at >= 2;
    char first = room ? (char)(p->s[p->at] | 0x20) : '\0';
    if (!room || (first != 'a' && first != 'p') || (p->s[p->at + 1] | 0x20) != 'm')
        return wa_scan_fault(p, p->at, "AM or PM should stand here");
    p->half = first == 'a' ? 1 : 2;
    p->at += 2;
    return true;
}

static bool take_directive(wa_scan *p, char directive, size_t least)
{
    switch (directive) {
    case 'Y':
        return wa_scan_year(p);
    case 'y':
        if (!wa_scan_number(p, &p->c.year, 2, 2, "the year"))
            return false;
        p->c.year += 2000;
        return true;
    case 'm':
        return wa_scan_part(p, &p->c.month, least, 1, 12, "month");
    case 'b':
        return take_month_name(p);
    case 'd':
        p->day_at = p->at;
        return wa_scan_part(p, &p->c.day, least, 1, 31, "day");
    case 'j':
        p->day_at = p->at;
        if (!wa_scan_number(p, &p->day_of_year, least == 2 ? 3 : 1, 3, "the day of the year"))
            return false;
        return p->day_of_year > 0 ||
               wa_scan_fault(p, p->day_at, "day of the year 0 does not exist");
    case 'H':
        p->hour_at = p->at;
        return wa_scan_part(p, &p->c.hour, least, 0, 24, "hour");
    case 'I':
        p->hour_at = p->at;
        return wa_scan_part(p, &p->c.hour, least, 1, 12, "hour");
    case 'p':
        return take_half(p);
    case 'M':
        return wa_scan_part(p, &p->c.minute, least, 0, 59, "minute");
    case 'S':
        return wa_scan_second(p, least);
    case 'f':
        return wa_scan_fraction(p);
    case 'z':
        return wa_scan_offset(p);
    default:
        return wa_scan_char(p, directive); /* %% */
    }
}

bool wa_scan_pattern(wa_scan *p, const char *pattern)
{
    bool joined = false; /* the directive before reads digits and touches this one */
    for (const char *f = pattern; *f != '\0'; f++) {
        if (*f != '%') {
            joined = false;
            if (!wa_scan_char(p, *f))
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
    return p->at == p->n ||
           wa_scan_fault(p, p->at, "more follows than the pattern '%s' has", pattern);
}

wa_status wa_time_pattern_check(const char *pattern, wa_error *err)
{
    static const char known[] = "YymbdjHIpMSfz%";
    char shown[80];
    wa_shown(shown, sizeof shown, pattern, strlen(pattern));
    bool has[sizeof known] = {false};
    for (const char *f = pattern; *f != '\0'; f++) {
        if (*f != '%')
            continue;
        const char *k = f[1] == '\0' ? NULL : strchr(known, f[1]);
        if (k == NULL) {
            wa_fail(err, WA_ERR_DATA, "pattern '%s': '%%%c' is not known", shown,
                    f[1] >= 0x20 && f[1] < 0x7f ? f[1] : '?');
            return wa_hint(err, WA_ERR_DATA,
                           "known are %%Y %%y %%m %%b %%d %%j %%H %%I %%p %%M %%S %%f %%z %%%%");
        }
        if (*k != '%' && has[k - known])
            return wa_fail(err, WA_ERR_DATA, "pattern '%s': '%%%c' stands twice", shown, *k);
        has[k - known] = true;
        f++;
    }
    bool year = has[0] != has[1], month = has[2] != has[3];
    bool date = year && ((month && has[4] && !has[5]) || (!has[2] && !has[3] && !has[4] && has[5]));
    bool clock = (has[6] && !has[7] && !has[8]) || (!has[6] && has[7] && has[8]);
    if (!date || !clock) {
        wa_fail(err, WA_ERR_DATA, "pattern '%s' does not name %s exactly once", shown,
                date ? "the hour" : "year, month and day");
        return wa_hint(err, WA_ERR_DATA, "such as \"%%d.%%m.%%Y %%H:%%M\"");
    }
    if (has[10] && !has[9])
        return wa_fail(err, WA_ERR_DATA, "pattern '%s' has seconds but no minutes", shown);
    return WA_OK;
}
