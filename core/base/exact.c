#include "windassay/exact.h"

#include "base/bits.h"
#include "base/dd.h"
#include "base/exact_place.h"

#include <assert.h>
#include <inttypes.h>

enum { CHUNKS = WA_EXACT_CHUNKS, LOWEST = WA_EXACT_LOWEST };

/* Each addition puts less than 2^32 into a chunk, so that 2^29 of them, twice over when two sums
 * are merged, stay far from the end of an int64. */
static const uint32_t ADDS_MAX = (uint32_t)1 << 29;

/* The chunks in use are those from first() to e->end: what values of like size need, not all. */
static size_t first(const wa_exact *e)
{
    return (size_t)CHUNKS - e->span;
}

static void widen(wa_exact *e, size_t from, size_t end)
{
    if (CHUNKS - from > e->span)
        e->span = (uint8_t)(CHUNKS - from);
    if (end > e->end)
        e->end = (uint8_t)end;
}

/* Makes every chunk but the last one 32 bits, not negative; the last one carries the sign. */
static void carry(wa_exact *e)
{
    int64_t over = 0;
    for (size_t i = first(e); i + 1 < CHUNKS; i++) {
        int64_t v = e->chunk[i] + over;
        e->chunk[i] = v & 0xffffffff;
        over = v >> 32;
    }
    e->chunk[CHUNKS - 1] += over;
    e->end = CHUNKS;
    e->adds = 1;
}

void wa_exact_place(wa_exact *e, bool negative, uint64_t mantissa, int position)
{
    if (mantissa == 0)
        return;
    if (e->adds >= ADDS_MAX)
        carry(e);
    e->adds++;
    wa_uint128 wide = (wa_uint128)mantissa << (position & 31);
    size_t at = (size_t)position >> 5;
    int64_t *chunk = e->chunk + at;
    int64_t part[3] = {(int64_t)(uint32_t)wide, (int64_t)(uint32_t)(wide >> 32),
                       (int64_t)(uint32_t)(wide >> 64)};
    for (int i = 0; i < 3; i++)
        chunk[i] += negative ? -part[i] : part[i];
    widen(e, at, at + 3);
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
    wa_exact_place(e, negative, mantissa >> zeros, exponent + zeros + shift - LOWEST);
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
    wa_exact_place(e, negative, mantissa, exponent - LOWEST);
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
    wa_exact_place(e, negative, (uint64_t)product, position);
    wa_exact_place(e, negative, (uint64_t)(product >> 64), position + 64);
}

void wa_exact_merge(wa_exact *e, const wa_exact *other)
{
    wa_exact carried;
    if (e->adds >= ADDS_MAX)
        carry(e);
    if (other->adds >= ADDS_MAX) {
        carried = *other;
        carry(&carried);
        other = &carried;
    }
    widen(e, first(other), other->end);
    for (size_t i = first(other); i < other->end; i++)
        e->chunk[i] += other->chunk[i];
    e->adds += other->adds; /* also right when both are the same sum */
    e->spoiled = e->spoiled || other->spoiled;
}

/* The absolute value in digits of 32 bits. Below `low` all are 0; top is the highest that is not
 * 0, or -1. */
typedef struct magnitude {
    uint32_t digit[CHUNKS + 1];
    int low, top;
    bool negative;
} magnitude;

static void take_magnitude(magnitude *m, const wa_exact *e)
{
    int end = e->end;
    int64_t over = 0;
    m->low = (int)first(e);
    for (int i = m->low; i < end; i++) {
        int64_t v = e->chunk[i] + over;
        m->digit[i] = (uint32_t)v;
        over = v >> 32;
    }
    m->digit[end] = (uint32_t)over; /* a sum of 2^30 numbers of 32 bits goes no further */
    m->negative = over < 0;
    uint64_t one = 1;
    for (int i = m->low; m->negative && i <= end; i++) { /* the complement of two */
        one += (uint32_t)~m->digit[i];
        m->digit[i] = (uint32_t)one;
        one >>= 32;
    }
    m->top = end;
    while (m->top >= m->low && m->digit[m->top] == 0)
        m->top--;
    if (m->top < m->low)
        m->top = -1;
}

static uint32_t digit_at(const magnitude *m, int i)
{
    return i < m->low ? 0 : m->digit[i];
}

/* True where a digit from i downward is not 0. */
static bool more_from(const magnitude *m, int i)
{
    while (i >= m->low && m->digit[i] == 0)
        i--;
    return i >= m->low;
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
    sticky = sticky || (uint32_t)wide != 0 || more_from(m, top - 3);
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

/* The next digit of the quotient; what is left is below n. */
static uint32_t divide_step(wa_uint128 *rest, uint32_t digit, uint64_t n)
{
    wa_uint128 all = *rest << 32 | digit;
    if (n >> 32 == 0) { /* `all` has 64 bits: one instruction instead of a function */
        *rest = (uint64_t)all % n;
        return (uint32_t)((uint64_t)all / n);
    }
    *rest = all % n;
    return (uint32_t)(all / n);
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
    int i = m.top;
    for (; i >= 0 && i > m.top - 6; i--) {
        q.digit[i] = divide_step(&rest, digit_at(&m, i), n);
        if (q.top < 0 && q.digit[i] != 0)
            q.top = i;
    }
    q.low = i + 1;
    return round_magnitude(&q, 0, rest != 0 || more_from(&m, i));
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
