#include "stats/kernel.h"

#include "windassay/circular.h"
#include "windassay/portable.h"

#include <math.h>
#include <string.h>

/* A value that is not finite is missing; -0 + 0 is +0. */
static double settle(double x)
{
    return isfinite(x) ? x + 0.0 : (double)NAN;
}

static double power(double x, double y)
{
    if (isnan(x) || isnan(y))
        return (double)NAN; /* wa_pow(x, 0) is 1 even for a NaN */
    return y == 0.5 ? sqrt(x) : wa_pow(x, y);
}

#define ROWS(value)                                                                                \
    for (size_t i = 0; i < n; i++) {                                                               \
        double x = a[i * a_step], y = b[i * b_step];                                               \
        out[i] = settle(value);                                                                    \
    }

void wa_kernel_combine(double *out, wa_operator op, const double *a, size_t a_step, const double *b,
                       size_t b_step, size_t n, bool wide)
{
    if (op == WA_POWER)
        ROWS(power(x, y))
    else
        wa_kernel_arithmetic(out, op, a, a_step, b, b_step, n, wide);
}

void wa_kernel_atan2(double *out, const double *a, size_t a_step, const double *b, size_t b_step,
                     size_t n)
{
    ROWS(wa_atan2_deg(x, y))
}

void wa_kernel_difference(double *out, const double *a, size_t a_step, const double *b,
                          size_t b_step, size_t n)
{
    ROWS(wa_circular_difference(x, y))
}

static double apply(wa_function f, double x)
{
    switch (f) {
    case WA_NEGATE:
        return -x;
    case WA_ABS:
        return fabs(x);
    case WA_SQRT:
        return sqrt(x);
    case WA_EXP:
        return wa_exp(x);
    case WA_LOG:
        return wa_log(x);
    case WA_SIN:
        return wa_sin_deg(x);
    case WA_COS:
        return wa_cos_deg(x);
    case WA_TAN:
        return wa_tan_deg(x);
    case WA_ASIN:
        return wa_asin_deg(x);
    case WA_ACOS:
        return wa_acos_deg(x);
    }
    return (double)NAN;
}

void wa_kernel_apply(double *out, wa_function f, const double *a, size_t n, bool wide)
{
    if (f == WA_SQRT) {
        if (out != a && n > 0)
            memcpy(out, a, n * sizeof *out);
        wa_kernel_root(out, n, wide);
        return;
    }
    for (size_t i = 0; i < n; i++)
        out[i] = isnan(a[i]) ? (double)NAN : settle(apply(f, a[i]));
}

void wa_kernel_lag(double *out, const double *a, size_t n, int64_t by)
{
    uint64_t size = by < 0 ? -(uint64_t)by : (uint64_t)by;
    for (size_t i = 0; i < n; i++) {
        bool inside = by >= 0 ? i >= size : size < n - i;
        size_t from = by >= 0 ? i - (size_t)size : i + (size_t)size;
        out[i] = inside ? a[from] : (double)NAN;
    }
}

/* ---- masks ---- */

/* x modulo 360 in [0, 360); fmod is exact. */
static double wrapped(double x)
{
    double r = fmod(x, 360);
    if (r < 0)
        r += 360;
    return r < 360 ? r : 0; /* -1e-20 + 360 rounds to 360 */
}

void wa_kernel_sector(uint8_t *out, const double *a, double from, double to, size_t n)
{
    bool whole = to - from >= 360;
    double low = wrapped(from), high = wrapped(to);
    for (size_t i = 0; i < n; i++) {
        if (isnan(a[i])) {
            out[i] = WA_UNKNOWN;
            continue;
        }
        double x = wrapped(a[i]);
        bool in = low < high ? x >= low && x < high : x >= low || x < high;
        out[i] = whole || in;
    }
}

void wa_kernel_missing(uint8_t *out, const double *a, size_t n)
{
    for (size_t i = 0; i < n; i++)
        out[i] = a[i] != a[i]; /* only NaN differs from itself */
}

void wa_kernel_unchanged(uint8_t *out, const double *a, size_t n, size_t run)
{
    for (size_t i = 0, end; i < n; i = end) {
        for (end = i + 1; end < n && a[end] == a[i]; end++)
            ;
        uint8_t state = end - i >= run ? WA_TRUE : WA_FALSE;
        if (isnan(a[i]))
            state = WA_UNKNOWN;
        for (size_t k = i; k < end; k++)
            out[k] = state;
    }
}

/* Rules of one row each, for the states 0 (false), 1 (true) and 2 (unknown); of both states the
 * lesser says whether one is false, and the greater whether one is unknown. */
static inline uint8_t and_of(uint8_t a, uint8_t b)
{
    uint8_t lesser = a < b ? a : b, greater = a > b ? a : b;
    return lesser == WA_FALSE ? WA_FALSE : greater;
}

static inline uint8_t or_of(uint8_t a, uint8_t b)
{
    uint8_t either = a | b; /* its lowest bit: one is true */
    return (either & WA_TRUE) != 0 ? WA_TRUE : either;
}

static inline uint8_t not_of(uint8_t a, uint8_t b)
{
    (void)b;
    return a == WA_UNKNOWN ? WA_UNKNOWN : a ^ WA_TRUE;
}

/* In groups of 16, which become vector instructions. */
#define MARKS(of)                                                                                  \
    size_t i = 0;                                                                                  \
    for (; i + 16 <= n; i += 16) {                                                                 \
        uint8_t group[16];                                                                         \
        for (size_t k = 0; k < 16; k++)                                                            \
            group[k] = of(a[i + k], b[i + k]);                                                     \
        memcpy(out + i, group, sizeof group);                                                      \
    }                                                                                              \
    for (; i < n; i++)                                                                             \
        out[i] = of(a[i], b[i]);

void wa_kernel_and(uint8_t *out, const uint8_t *a, const uint8_t *b, size_t n)
{
    MARKS(and_of)
}

void wa_kernel_or(uint8_t *out, const uint8_t *a, const uint8_t *b, size_t n)
{
    MARKS(or_of)
}

void wa_kernel_not(uint8_t *out, const uint8_t *a, size_t n)
{
    const uint8_t *b = a;
    MARKS(not_of)
}

/* Every row of state `state` claims the rows within `by`; one pass, whatever `by` is. */
static void spread(uint8_t *out, const uint8_t *a, size_t n, size_t by, uint8_t state)
{
    size_t next = 0; /* the first row that no claim has reached */
    for (size_t i = 0; i < n; i++) {
        if (a[i] != state)
            continue;
        size_t from = i > by ? i - by : 0;
        size_t to = by < n - i ? i + by + 1 : n;
        for (size_t k = from > next ? from : next; k < to; k++)
            out[k] = state;
        next = to;
    }
}

void wa_kernel_grow(uint8_t *out, const uint8_t *a, size_t n, size_t by)
{
    for (size_t i = 0; i < n; i++)
        out[i] = WA_FALSE;
    spread(out, a, n, by, WA_UNKNOWN);
    spread(out, a, n, by, WA_TRUE);
}
