#include "report/scale.h"

#include "report/digits.h"

#include "windassay/time.h"

#include <math.h>
#include <string.h>

/* Exact powers of ten (10^22 is the last one that a double holds). */
static const double ten[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                             1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
enum { LARGEST = 15 }; /* ranges from 1e-15 to 1e15 are drawn */

/* k * mantissa * 10^exponent, rounded once. */
static double decimal(double k, int mantissa, int exponent)
{
    return exponent >= 0 ? k * mantissa * ten[exponent] : k * mantissa / ten[-exponent];
}

bool wa_scale_choose(wa_scale *s, double low, double high, int about, bool wide)
{
    double size = fmax(fabs(low), fabs(high));
    if (!(low <= high) || !(size < ten[LARGEST]))
        return false;
    if (high - low <= size * 1e-9) { /* one value: some room around it */
        double room = size == 0 ? 1 : size * 0.05;
        low -= room;
        high += room;
    }
    if (high - low < 1 / ten[LARGEST])
        return false;
    static const int mantissas[] = {1, 2, 5};
    int exponent = -LARGEST - 2, m = 0;
    while ((high - low) / decimal(1, mantissas[m], exponent) > about) {
        m = (m + 1) % 3;
        exponent += m == 0;
    }
    double step = decimal(1, mantissas[m], exponent);
    double first = ceil(low / step - 1e-9), last = floor(high / step + 1e-9);
    if (wide) {
        first = floor(low / step + 1e-9);
        last = ceil(high / step - 1e-9);
    }
    *s = (wa_scale){.low = low,
                    .high = high,
                    .mantissa = mantissas[m],
                    .exponent = exponent,
                    .first = first,
                    .ticks = (int)(last - first) + 1};
    if (wide) {
        s->low = decimal(first, s->mantissa, exponent);
        s->high = decimal(last, s->mantissa, exponent);
    }
    return true;
}

bool wa_scale_is_time(const char *unit, double low, double high)
{
    return unit != NULL && strcmp(unit, "s") == 0 && low > 6e8 && high < 4e9;
}

bool wa_scale_choose_dates(wa_scale *s, double low, double high, int about)
{
    static const int hours[] = {1, 3, 6, 12, 24, 48, 120, 240, 480, 960, 2400, 9600};
    if (high - low < 3600) {
        low -= 1800;
        high += 1800;
    }
    size_t i = 0;
    while (i + 1 < sizeof hours / sizeof hours[0] && (high - low) / 3600 / hours[i] > about)
        i++;
    double step = 3600.0 * hours[i];
    double first = ceil(low / step), last = floor(high / step);
    *s = (wa_scale){.low = low,
                    .high = high,
                    .dates = true,
                    .mantissa = hours[i],
                    .first = first,
                    .ticks = (int)(last - first) + 1};
    return s->ticks >= 0 && s->ticks < 1000;
}

bool wa_scale_choose_directions(wa_scale *s, const char *unit, double low, double high, int about)
{
    static const int parts[] = {15, 30, 45, 90};
    if (unit == NULL || strcmp(unit, "degree") != 0 || high - low < 80 || low < -200 || high > 400)
        return false;
    size_t i = 0;
    while (i < 3 && (high - low) / parts[i] > about)
        i++;
    double first = ceil(low / parts[i]), last = floor(high / parts[i]);
    *s = (wa_scale){.low = low,
                    .high = high,
                    .mantissa = parts[i],
                    .first = first,
                    .ticks = (int)(last - first) + 1};
    return true;
}

double wa_scale_tick(const wa_scale *s, int i)
{
    if (s->dates)
        return (s->first + i) * 3600.0 * s->mantissa;
    return decimal(s->first + i, s->mantissa, s->exponent);
}

void wa_scale_label(wa_text *t, const wa_scale *s, int i)
{
    double x = wa_scale_tick(s, i);
    if (s->dates) {
        wa_civil at = wa_civil_from_time((int64_t)x * WA_SECOND_NS);
        wa_text_printf(t, "%04d-%02d-%02d", at.year, at.month, at.day);
        if (s->mantissa < 24)
            wa_text_printf(t, " %02dh", at.hour);
        return;
    }
    if (s->exponent >= 7 || s->exponent <= -7) {
        wa_digits_shortest(t, x);
        return;
    }
    wa_digits_fixed(t, x, s->exponent < 0 ? -s->exponent : 0);
}

long wa_scale_at(const wa_scale *s, double x)
{
    double share = (x - s->low) / (s->high - s->low);
    return (long)floor((double)s->from + share * (double)(s->to - s->from) + 0.5);
}

int wa_scale_decimals(const wa_scale *s)
{
    int d = s->dates ? 0 : 3 - s->exponent;
    return d < 0 ? 0 : d > 15 ? 15 : d;
}
