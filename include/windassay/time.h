/* time.h - instants, durations and zones, and how they are written.
 *
 * An instant is int64 nanoseconds since 1970-01-01T00:00:00Z on a scale without leap seconds
 * (POSIX time), which reaches from 1678 to 2261. Dates are of the proleptic Gregorian calendar
 * (ISO 8601). Nothing here reads the clock, the locale or a zone database: a zone is a fixed
 * offset, or a dated list of them (campaign.h, wa_zone_span).
 */
#ifndef WINDASSAY_TIME_H
#define WINDASSAY_TIME_H

#include "windassay/campaign.h"
#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define WA_SECOND_NS ((int64_t)1000000000)
#define WA_DAY_NS    (86400 * WA_SECOND_NS)

enum { WA_TIME_TEXT_SIZE = 40, WA_TIME_FIRST_YEAR = 1678, WA_TIME_LAST_YEAR = 2261 };

/** A date and a time of day. */
typedef struct wa_civil {
    int year, month, day;     /* month and day from 1 */
    int hour, minute, second; /* 0..23, 0..59, 0..59  */
    int32_t nanosecond;
} wa_civil;

bool wa_leap_year(int year);
int wa_days_in_month(int year, int month);
/** Days from 1970-01-01 to a date that exists. */
int64_t wa_days_from_date(int year, int month, int day);
/** The UTC date and time of an instant. */
wa_civil wa_civil_from_time(int64_t t);
/** The instant of a UTC date and time that exists, within the years above. */
int64_t wa_time_from_civil(const wa_civil *c);
/** The UTC day of an instant, counted from 1970-01-01 (rounded down). */
int64_t wa_day_of(int64_t t);

/** Prints "2026-03-02T00:00:00Z", with a fraction only where there is one. `to` has
 *  WA_TIME_TEXT_SIZE bytes; returns the length. */
size_t wa_time_print(char *to, int64_t t);

/** Prints "10 min", "0.25 s", "1 h", "1 d": the largest of d, h, min that divides it, else s.
 *  `to` has WA_TIME_TEXT_SIZE bytes; returns the length. */
size_t wa_duration_print(char *to, int64_t ns);

/** Reads "10 min", "0.25 s", "-62 s", "1 h", "500 ms", "1 d", exactly. WA_ERR_DATA for anything
 *  else, and where it is no whole number of nanoseconds. */
wa_status wa_duration_parse(int64_t *ns, const char *text, wa_error *err);

/** Reads "UTC", "UTC+01:00", "UTC-03:30": seconds that local time is ahead of UTC. */
wa_status wa_zone_parse(int32_t *offset_s, const char *text, wa_error *err);
/** Prints "UTC" or "UTC+01:00". `to` has WA_TIME_TEXT_SIZE bytes; returns the length. */
size_t wa_zone_print(char *to, int32_t offset_s);

/** What the stamps of a file have been like so far: stamps with an offset of their own and
 *  stamps without do not mix. Start with {false, false}; one for each file (a reader that cuts
 *  a file into pieces hands each piece the one of the file's first row). */
typedef struct wa_time_seen {
    bool any;
    bool offset;
} wa_time_seen;

/**
 * Reads one stamp as the rule says and gives it in UTC, as written: neither the declared clock
 * corrections nor the meaning of the stamp (start, centre, end) are applied.
 *
 * iso8601: YYYY-MM-DD, one `T`, `t` or blank, hh:mm, then optionally :ss, a fraction of up to 9
 * digits, and an offset (Z, z, +hh:mm, +hhmm, +hh). 24:00:00 is the end of the day. A second 60 is
 * refused: the scale has no leap seconds. Patterns: %Y (4 digits) %y (2000 to 2099) %m %d %j %b
 * (Jan..Dec in any case) %H %I %p %M %S %f (1 to 9 digits of a fraction) %z %% and literals;
 * one or two digits where a literal follows, else two.
 *
 * A stamp without an offset is local time in the rule's zone. Where that zone is a dated list, a
 * local time that occurs twice or never is an error. A stamp with an offset must agree with the
 * zone; with an empty zone list (`zone = "in stamp"`) every stamp must have one.
 *
 * WA_ERR_DATA with the reason, and `*byte` (which may be NULL) the offset inside the text at
 * which it was found. `seen` may be NULL.
 */
wa_status wa_time_parse(int64_t *out, size_t *byte, const wa_time_rule *rule, wa_time_seen *seen,
                        const char *text, size_t n, wa_error *err);

/** Reads an instant as campaign files and criteria write it: ISO 8601 with an offset or Z. */
wa_status wa_instant_parse(int64_t *out, const char *text, size_t n, wa_error *err);

/** Finds out whether a pattern names a date and a time of day once each. */
wa_status wa_time_pattern_check(const char *pattern, wa_error *err);

/** The declared clock correction: the true time of a stamp written at `t`. An averaged source
 *  (interval_ns > 0) is moved by whole intervals only, the nearest ones; halves go towards 0. */
int64_t wa_time_corrected(const wa_time_rule *rule, int64_t t, int64_t interval_ns);

/** Where something that lasts `lasts_ns` begins, of which the stamp `t` names the given instant
 *  (the centre of an odd number of nanoseconds is rounded down). */
int64_t wa_time_start(wa_stamp stamp, int64_t t, int64_t lasts_ns);

#ifdef __cplusplus
}
#endif
#endif
