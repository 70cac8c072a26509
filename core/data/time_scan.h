/* time_scan.h - one stamp while it is read: what its parts are, and the first fault in it. */
#ifndef WINDASSAY_DATA_TIME_SCAN_H
#define WINDASSAY_DATA_TIME_SCAN_H

#include "windassay/time.h"

/* A stamp while it is read; the first fault stays. */
typedef struct wa_scan {
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
    size_t day_at, hour_at, offset_at;
} wa_scan;

static inline bool wa_is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/** Notes a fault at a byte; returns false. */
bool wa_scan_fault(wa_scan *p, size_t at, const char *format, ...) WA_PRINTF(3, 4);

/* Each takes what stands at p->at and moves on; false after a fault. */
bool wa_scan_number(wa_scan *p, int *out, size_t least, size_t most, const char *what);
bool wa_scan_part(wa_scan *p, int *out, size_t least, int lowest, int highest, const char *what);
bool wa_scan_year(wa_scan *p);
bool wa_scan_second(wa_scan *p, size_t least);
bool wa_scan_char(wa_scan *p, char c);
bool wa_scan_fraction(wa_scan *p);
bool wa_scan_offset(wa_scan *p);

/** Reads the whole stamp by a pattern that wa_time_pattern_check knows. */
bool wa_scan_pattern(wa_scan *p, const char *pattern);

#endif
