/* exact_array.c - exact sums of whole arrays.
 *
 * Values of like size, as those of one channel are, need none of the long accumulator: within a
 * window of a few binary exponents each is an integer of 63 bits at a common scale. Their sum has
 * 128 bits, that of their squares 192, and both go into the accumulator once. What lies outside
 * the window goes there by itself. Nothing is rounded, so that both ways give the same sum.
 */
#include "base/bits.h"
#include "base/exact_place.h"
#include "windassay/int128.h"

/* Doubles have 53 bits; so many exponents fit into 63. A value above the window moves it there,
 * with some room above. */
enum { SPAN = 10, ROOM = 2, BIASED_MAX = 0x7fe, BIAS = 1075 };

typedef struct window {
    int bottom; /* the lowest exponent, as doubles hold it: at least 1, or nothing fits */
    wa_int128 sum;
    wa_uint128 squares;
    uint64_t over; /* how often their sum ran over 128 bits */
} window;

static const window nowhere = {.bottom = -SPAN - 1};

static uint64_t bits_of(double x)
{
    uint64_t bits;
    memcpy(&bits, &x, sizeof bits);
    return bits;
}

static int biased(double x)
{
    return (int)(bits_of(x) >> 52 & 0x7ff);
}

/* Adds values up to the first that is not within the window; returns how many. */
static inline __attribute__((always_inline)) size_t add_alike(window *w, const double *x, size_t n,
                                                              bool squared)
{
    const uint64_t one = (uint64_t)1 << 52;
    window t = *w;
    size_t i = 0;
    for (; i < n; i++) {
        uint64_t bits = bits_of(x[i]);
        unsigned up = (unsigned)(bits >> 52 & 0x7ff) - (unsigned)t.bottom;
        if (up > SPAN)
            break;
        uint64_t size = ((bits & (one - 1)) | one) << up;
        t.sum += bits >> 63 != 0 ? -(int64_t)size : (int64_t)size;
        if (squared && __builtin_add_overflow(t.squares, (wa_uint128)size * size, &t.squares))
            t.over++;
    }
    *w = t;
    return i;
}

static void place_wide(wa_exact *e, bool negative, wa_uint128 x, int position)
{
    wa_exact_place(e, negative, (uint64_t)x, position);
    wa_exact_place(e, negative, (uint64_t)(x >> 64), position + 64);
}

/* Puts what the window holds into the sums. */
static void empty(window *w, wa_exact *sum, wa_exact *squares)
{
    bool negative = w->sum < 0;
    int position = w->bottom - BIAS - WA_EXACT_LOWEST;
    place_wide(sum, negative, negative ? -(wa_uint128)w->sum : (wa_uint128)w->sum, position);
    if (squares != NULL) {
        position = 2 * (w->bottom - BIAS) - WA_EXACT_LOWEST;
        place_wide(squares, false, w->squares, position);
        wa_exact_place(squares, false, w->over, position + 128);
    }
    *w = nowhere;
}

/* Moves the window up to where a value with this exponent fits. */
static void move(window *w, int exponent, wa_exact *sum, wa_exact *squares)
{
    int top = exponent + ROOM < BIASED_MAX ? exponent + ROOM : BIASED_MAX;
    empty(w, sum, squares);
    w->bottom = top - SPAN < 1 ? 1 : top - SPAN;
}

void wa_exact_add_all(wa_exact *sum, wa_exact *squares, const double *x, size_t n)
{
    window w = nowhere;
    for (size_t i = 0; i < n;) {
        int exponent = biased(x[i]);
        if (exponent == 0 || exponent > BIASED_MAX || exponent < w.bottom) {
            wa_exact_add(sum, x[i]); /* 0, subnormal, not finite, or far smaller than others */
            if (squares != NULL)
                wa_exact_add_product(squares, x[i], x[i]);
            i++;
            continue;
        }
        if (exponent > w.bottom + SPAN)
            move(&w, exponent, sum, squares);
        i += squares != NULL ? add_alike(&w, x + i, n - i, true)
                             : add_alike(&w, x + i, n - i, false);
    }
    empty(&w, sum, squares);
}

double wa_exact_sum(const double *x, size_t n)
{
    wa_exact e = {0};
    wa_exact_add_all(&e, NULL, x, n);
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
    wa_exact_add_all(&sum, sd != NULL ? &squares : NULL, x, n);
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
