#include "windassay/exact.h"

#include "base/bits.h"
#include "base/dd.h"

#include <assert.h>
#include <inttypes.h>

enum { CHUNKS = WA_EXACT_CHUNKS, LOWEST = -2148 };

/* Each addition puts less than 2^32 into a chunk, so that 2^29 of them, twice over when two sums
 * are merged, stay far from the end of an int64. */
static const uint32_t ADDS_MAX = (uint32_t)1 << 29;

/* Makes every chunk but the last one 32 bits, not negative; the last one carries the sign. */
static void carry(wa_exact *e)
{
    int64_t over = 0;
    for (size_t i = 0; i + 1 < CHUNKS; i++) {
        int64_t v = e->chunk[i] + over;
        e->chunk[i] = v & 0xffffffff;
        over = v >> 32;
    }
    e->chunk[CHUNKS - 1] += over;
    e->adds = 1;
}

/* Adds +-mantissa * 2^(LOWEST + position). */
static void place(wa_exact *e, bool negative, uint64_t mantissa, int position)
{
    if (e->adds >= ADDS_MAX)
        carry(e);
    e->adds++;
    wa_uint128 wide = (wa_uint128)mantissa << (position & 31);
    int64_t *chunk = e->chunk + (position >> 5);
    int64_t part[3] = {(int64_t)(uint32_t)wide, (int64_t)(uint32_t)(wide >> 32),
                       (int64_t)(uint32_t)(wide >> 64)};
    for (int i = 0; i < 3; i++)
        chunk[i] += negative ? -part[i] : part[i];
}

/* Adds x * 2^shift, which must be a multiple of 2^LOWEST. */
static void add_shifted(wa_exact *e, double x, int shift)
{
    int exponent;
    bool negative;
    uint64_t mantissa = wa_mantissa(x, &exponent, &negative);
    if (mantissa == 0)
        return;
    int zeros = __builtin_ctzll(mantissa);
    place(e, negative, mantissa >> zeros, exponent + zeros + shift - LOWEST);
}

void wa_exact_add(wa_exact *e, double x)
{
    int exponent;
    bool negative;
    uint64_t mantissa = wa_mantissa(x, &exponent, &negative);
    if (exponent == 0x7ff - 1075) {
        e->spoiled = true;
        return;
    }
    place(e, negative, mantissa, exponent - LOWEST);
}

void wa_exact_add_product(wa_exact *e, double a, double b)
{
    int exponent_a, exponent_b;
    bool negative_a, negative_b;
    uint64_t mantissa_a = wa_mantissa(a, &exponent_a, &negative_a);
    uint64_t mantissa_b = wa_mantissa(b, &exponent_b, &negative_b);
    if (exponent_a == 0x7ff - 1075 || exponent_b == 0x7ff - 1075) {
        e->spoiled = true;
        return;
    }
    wa_uint128 product = (wa_uint128)mantissa_a * mantissa_b;
    int position = exponent_a + exponent_b - LOWEST;
    bool negative = negative_a != negative_b;
    place(e, negative, (uint64_t)product, position);
    place(e, negative, (uint64_t)(product >> 64), position + 64);
}

void wa_exact_merge(wa_exact *e, const wa_exact *other)
{
    wa_exact more = *other; /* also right when both are the same sum */
    if (more.adds >= ADDS_MAX)
        carry(&more);
    if (e->adds >= ADDS_MAX)
        carry(e);
    for (size_t i = 0; i < CHUNKS; i++)
        e->chunk[i] += more.chunk[i];
    e->adds += more.adds;
    e->spoiled = e->spoiled || more.spoiled;
}

/* The absolute value in digits of 32 bits; top is the highest that is not 0, or -1. */
typedef struct magnitude {
    uint32_t digit[CHUNKS];
    int top;
    bool negative;
} magnitude;

static void take_magnitude(magnitude *m, const wa_exact *e)
{
    wa_exact c = *e;
    carry(&c);
    m->negative = c.chunk[CHUNKS - 1] < 0;
    m->top = -1;
    uint32_t flip = m->negative ? 0xffffffffu : 0;
    uint64_t one = m->negative ? 1 : 0;
    for (int i = 0; i < CHUNKS; i++) {
        one += (uint32_t)c.chunk[i] ^ flip;
        m->digit[i] = (uint32_t)one;
        one >>= 32;
        if (m->digit[i] != 0)
            m->top = i;
    }
}

static uint32_t digit_at(const magnitude *m, int i)
{
    return i < 0 ? 0 : m->digit[i];
}

/* The value * 2^shift as the nearest double; `sticky`: there is more below the last digit. */
static double round_magnitude(const magnitude *m, int shift, bool sticky)
{
    int top = m->top;
    if (top < 0)
        return 0;
    wa_uint128 wide = (wa_uint128)digit_at(m, top) << 64 | (wa_uint128)digit_at(m, top - 1) << 32 |
                      digit_at(m, top - 2);
    int zeros = __builtin_clz(m->digit[top]);
    wide <<= zeros;
    sticky = sticky || (uint32_t)wide != 0;
    for (int i = top - 3; i >= 0 && !sticky; i--)
        sticky = m->digit[i] != 0;
    return wa_compose(m->negative, (uint64_t)(wide >> 32), 32 * (top - 1) - zeros + LOWEST + shift,
                      sticky);
}

int wa_exact_sign(const wa_exact *e)
{
    magnitude m;
    take_magnitude(&m, e);
    return m.top < 0 || e->spoiled ? 0 : m.negative ? -1 : 1;
}

/* The sum * 2^shift as a double-double. */
static wa_dd round_dd_shifted(const wa_exact *e, int shift)
{
    magnitude m;
    take_magnitude(&m, e);
    double hi = round_magnitude(&m, shift, false);
    if (!isfinite(hi) || hi == 0)
        return wa_dd_of(hi);
    wa_exact rest = *e;
    add_shifted(&rest, -hi, -shift);
    take_magnitude(&m, &rest);
    return (wa_dd){hi, round_magnitude(&m, shift, false)};
}

double wa_exact_round(const wa_exact *e)
{
    if (e->spoiled)
        return (double)NAN;
    magnitude m;
    take_magnitude(&m, e);
    return round_magnitude(&m, 0, false);
}

wa_dd wa_exact_round_dd(const wa_exact *e)
{
    return e->spoiled ? wa_dd_of((double)NAN) : round_dd_shifted(e, 0);
}

double wa_exact_divide(const wa_exact *e, uint64_t n)
{
    if (e->spoiled || n == 0)
        return (double)NAN;
    magnitude m;
    take_magnitude(&m, e);
    if (m.top < 0)
        return 0;
    /* Long division. Of the quotient's first six digits at most three are 0 (n has two digits),
     * which leaves the three that rounding looks at; the others only say that there is more. */
    magnitude q = {.top = -1, .negative = m.negative};
    wa_uint128 rest = 0;
    bool sticky = false;
    int i = m.top;
    for (; i >= 0 && i > m.top - 6; i--) {
        rest = rest << 32 | m.digit[i];
        q.digit[i] = (uint32_t)(rest / n);
        rest %= n;
        if (q.top < 0 && q.digit[i] != 0)
            q.top = i;
    }
    sticky = rest != 0;
    for (; i >= 0 && !sticky; i--)
        sticky = m.digit[i] != 0;
    return round_magnitude(&q, 0, sticky);
}

/* Adds -c * sum, by taking the sum apart into doubles (few, as a rule two). */
static void add_minus_multiple(wa_exact *out, double c, const wa_exact *sum)
{
    wa_exact rest = *sum;
    for (;;) {
        double piece = wa_exact_round(&rest);
        if (piece == 0)
            return;
        wa_exact_add_product(out, -c, piece);
        if (!isfinite(piece))
            return; /* out is spoiled now */
        wa_exact_add(&rest, -piece);
    }
}

void wa_exact_central(wa_exact *out, const wa_exact *sum_xy, const wa_exact *sum_x,
                      const wa_exact *sum_y, uint64_t n, double cx, double cy)
{
    assert(n >> 53 == 0);
    /* sum xy - cx sum y - cy (sum x - n cx) */
    wa_exact total = *sum_xy, shifted_x = *sum_x;
    wa_exact_add_product(&shifted_x, -(double)n, cx);
    add_minus_multiple(&total, cx, sum_y);
    add_minus_multiple(&total, cy, &shifted_x);
    total.spoiled = total.spoiled || sum_x->spoiled || sum_y->spoiled;
    *out = total;
}

wa_status wa_exact_sd(double *sd, const wa_exact *sum, const wa_exact *squares, uint64_t n,
                      wa_divisor divisor, wa_error *err)
{
    uint64_t least = divisor == WA_DIVISOR_N ? 1 : 2;
    if (n < least)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a standard deviation needs at least %d values, but there are %" PRIu64,
                       (int)least, n);
    double c = wa_exact_divide(sum, n);
    wa_exact central = {0}, shifted = *sum;
    if (isfinite(c)) {
        wa_exact_add_product(&shifted, -(double)n, c);
        wa_exact_central(&central, squares, sum, sum, n, c, c);
    }
    if (!isfinite(c) || central.spoiled || shifted.spoiled)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a standard deviation is not defined: values are not finite or too large");
    magnitude m;
    take_magnitude(&m, &central);
    if (m.top < 0) {
        *sd = 0;
        return WA_OK;
    }
    /* Scaled near 1 by an even power of two, so that nothing over- or underflows. c is within
     * half a unit of the mean: at most one bit cancels in square - first^2 / n. */
    int half = -(32 * m.top + LOWEST) / 2;
    wa_dd square = round_dd_shifted(&central, 2 * half);
    wa_dd first = round_dd_shifted(&shifted, half);
    wa_dd count = wa_dd_of((double)n);
    square = wa_dd_sub(square, wa_dd_div(wa_dd_mul(first, first), count));
    wa_dd by = wa_dd_of((double)(divisor == WA_DIVISOR_N ? n : n - 1));
    double root = wa_dd_ldexp(wa_dd_sqrt(wa_dd_div(square, by)), -half);
    if (!isfinite(root))
        return wa_fail(err, WA_ERR_UNDEFINED, "a standard deviation is too large for a number");
    *sd = root;
    return WA_OK;
}

double wa_exact_sum(const double *x, size_t n)
{
    wa_exact e = {0};
    for (size_t i = 0; i < n; i++)
        wa_exact_add(&e, x[i]);
    return wa_exact_round(&e);
}

double wa_exact_dot(const double *x, const double *y, size_t n)
{
    wa_exact e = {0};
    for (size_t i = 0; i < n; i++)
        wa_exact_add_product(&e, x[i], y[i]);
    return wa_exact_round(&e);
}

wa_status wa_mean_sd(double *mean, double *sd, const double *x, size_t n, wa_divisor divisor,
                     wa_error *err)
{
    wa_exact sum = {0}, squares = {0};
    if (n == 0)
        return wa_fail(err, WA_ERR_UNDEFINED, "a mean needs at least 1 value, but there is none");
    for (size_t i = 0; i < n; i++) {
        wa_exact_add(&sum, x[i]);
        if (sd != NULL)
            wa_exact_add_product(&squares, x[i], x[i]);
    }
    if (sum.spoiled)
        return wa_fail(err, WA_ERR_UNDEFINED, "a mean is not defined: a value is not finite");
    if (sd != NULL) {
        wa_status s = wa_exact_sd(sd, &sum, &squares, n, divisor, err);
        if (s != WA_OK)
            return s;
    }
    *mean = wa_exact_divide(&sum, n);
    return WA_OK;
}
