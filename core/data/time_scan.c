#include "data/time_scan.h"

#include "windassay/text.h"

#include <stdarg.h>
#include <stdio.h>

bool wa_scan_fault(wa_scan *p, size_t at, const char *format, ...)
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

/* Between `least` and `most` digits. */
bool wa_scan_number(wa_scan *p, int *out, size_t least, size_t most, const char *what)
{
    size_t from = p->at;
    int value = 0;
    while (p->at < p->n && p->at - from < most && wa_is_digit(p->s[p->at]))
        value = value * 10 + (p->s[p->at++] - '0');
    if (p->at - from < least)
        return wa_scan_fault(p, p->at, "%s must have %zu digits", what, most);
    *out = value;
    return true;
}

bool wa_scan_part(wa_scan *p, int *out, size_t least, int lowest, int highest, const char *what)
{
    size_t from = p->at;
    if (!wa_scan_number(p, out, least, 2, what))
        return false;
    if (*out < lowest || *out > highest)
        return wa_scan_fault(p, from, "%s %d is not within %d to %d", what, *out, lowest, highest);
    return true;
}

bool wa_scan_year(wa_scan *p)
{
    size_t from = p->at;
    if (!wa_scan_number(p, &p->c.year, 4, 4, "the year"))
        return false;
    if (p->c.year < WA_TIME_FIRST_YEAR || p->c.year > WA_TIME_LAST_YEAR)
        return wa_scan_fault(p, from, "year %d is not within %d to %d", p->c.year,
                             WA_TIME_FIRST_YEAR, WA_TIME_LAST_YEAR);
    return true;
}

bool wa_scan_second(wa_scan *p, size_t least)
{
    size_t from = p->at;
    if (!wa_scan_number(p, &p->c.second, least, 2, "the second"))
        return false;
    if (p->c.second == 60)
        return wa_scan_fault(p, from, "second 60: the time scale has no leap seconds");
    if (p->c.second > 59)
        return wa_scan_fault(p, from, "second %d is not within 0 to 59", p->c.second);
    return true;
}

bool wa_scan_char(wa_scan *p, char c)
{
    if (p->at < p->n && p->s[p->at] == c) {
        p->at++;
        return true;
    }
    char shown[8];
    wa_shown(shown, sizeof shown, &c, 1);
    if (p->at == p->n)
        return wa_scan_fault(p, p->at, "it ends where '%s' should stand", shown);
    return wa_scan_fault(p, p->at, "'%s' should stand here", shown);
}

bool wa_scan_fraction(wa_scan *p)
{
    size_t from = p->at;
    int32_t value = 0;
    for (; p->at < p->n && wa_is_digit(p->s[p->at]); p->at++) {
        if (p->at - from == 9)
            return wa_scan_fault(p, p->at, "a fraction has at most 9 digits");
        value = value * 10 + (p->s[p->at] - '0');
    }
    if (p->at == from)
        return wa_scan_fault(p, p->at, "a fraction must have digits");
    for (size_t i = p->at - from; i < 9; i++)
        value *= 10;
    p->c.nanosecond = value;
    return true;
}

/* Z, z, +hh:mm, +hhmm, +hh */
bool wa_scan_offset(wa_scan *p)
{
    p->offset_at = p->at;
    if (p->at == p->n)
        return wa_scan_fault(p, p->at, "an offset from UTC should stand here");
    char sign = p->s[p->at++];
    p->has_offset = true;
    p->offset_s = 0;
    if (sign == 'Z' || sign == 'z')
        return true;
    if (sign != '+' && sign != '-')
        return wa_scan_fault(p, p->offset_at, "an offset from UTC should stand here");
    int hours = 0, minutes = 0;
    if (!wa_scan_part(p, &hours, 2, 0, 18, "the offset's hour"))
        return false;
    bool colon = p->at < p->n && p->s[p->at] == ':';
    p->at += colon;
    if ((colon || (p->at < p->n && wa_is_digit(p->s[p->at]))) &&
        !wa_scan_part(p, &minutes, 2, 0, 59, "the offset's minute"))
        return false;
    int32_t seconds = hours * 3600 + minutes * 60;
    p->offset_s = sign == '-' ? -seconds : seconds;
    return true;
}
