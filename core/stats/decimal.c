#include "stats/decimal.h"

#include <math.h>

enum { DIGITS_MAX = 16 };

static const double SCALED_MAX = 1e15;

static double power_of_ten(int digits)
{
    double p = 1; /* exact to 10^22 */
    for (int i = 0; i < digits; i++)
        p *= 10;
    return p;
}

double decimal_value(int64_t scaled, int by, int digits)
{
    /* one division of two exact numbers: rounded once. No minus zero. */
    return (double)scaled / (by * power_of_ten(digits)) + 0.0;
}

bool decimals_of(int64_t *scaled, int *digits, const double *x, size_t n)
{
    for (int d = 0; d <= DIGITS_MAX; d++) {
        double power = power_of_ten(d);
        size_t i = 0;
        for (; i < n; i++) {
            double s = rint(x[i] * power);
            if (!(fabs(s) < SCALED_MAX) || s / power != x[i])
                break;
            scaled[i] = (int64_t)s;
        }
        if (i == n) {
            *digits = d;
            return true;
        }
    }
    return false;
}
