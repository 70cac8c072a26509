/* scale.h - an axis: its range, its ticks by decimal arithmetic, its way to the paper. */
#ifndef WA_REPORT_SCALE_H
#define WA_REPORT_SCALE_H

#include "windassay/text.h"

#include <stdbool.h>

/* Ticks lie at whole multiples of mantissa * 10^exponent, mantissa 1, 2 or 5
 * (directions: parts of the circle; dates: hours). */
typedef struct wa_scale {
    double low, high; /* the range drawn                                     */
    bool dates;       /* values are seconds since 1970 and printed as dates   */
    int mantissa, exponent;
    double first; /* multiple of the first tick: value = first * step    */
    int ticks;
    long from, to; /* 1/100 px on the paper at low and high               */
} wa_scale;

/* Chooses range and ticks for values in [low, high], some `about` ticks. False where no double
 * arithmetic can draw them (too large, too small). `wide`: the range ends on ticks. */
bool wa_scale_choose(wa_scale *s, double low, double high, int about, bool wide);

/* Seconds since 1970 that must be points in time: a duration is never that long here. */
bool wa_scale_is_time(const char *unit, double low, double high);
/* The same for points in time: ticks at whole days or hours. */
bool wa_scale_choose_dates(wa_scale *s, double low, double high, int about);

/* The same for directions that go round a good part of the circle: ticks at 15, 30, 45 or 90
 * degrees. False where [low, high] is no such range. */
bool wa_scale_choose_directions(wa_scale *s, const char *unit, double low, double high, int about);

double wa_scale_tick(const wa_scale *s, int i);
void wa_scale_label(wa_text *t, const wa_scale *s, int i);

/* Where `x` lies on the paper, in 1/100 px. */
long wa_scale_at(const wa_scale *s, double x);

/* Decimals at which neighbouring values on the paper still differ: for tooltips. */
int wa_scale_decimals(const wa_scale *s);

#endif
