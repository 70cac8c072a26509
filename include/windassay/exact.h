/* exact.h - sums of doubles without any rounding, rounded once at the end.
 *
 * A wa_exact is one long fixed-point integer that can hold every sum of doubles and of products
 * of two doubles. Adding is exact, so the order of adding, the number of threads and the width
 * of vectors cannot change a result. It is a plain struct: `wa_exact e = {0};` is an empty sum,
 * copying it by assignment is fine, nothing has to be freed. About 1.1 KB, a few ns an addition.
 *
 * What is not finite cannot be summed: an infinity or NaN spoils the sum, and rounding it then
 * gives NaN. A sum outside the range of doubles rounds to an infinity. Both are seen with one
 * isfinite(); the functions that return a wa_status say it as an error.
 *
 * Source of the method: the long accumulator of Kulisch, "Computer Arithmetic and Validity"
 * (2nd ed. 2013), with carries put off as in Neal, "Fast exact summation using small and large
 * superaccumulators", arXiv:1505.05571 (2015).
 */
#ifndef WINDASSAY_EXACT_H
#define WINDASSAY_EXACT_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A number as the unevaluated sum hi + lo, |lo| at most half a unit in the last place of hi:
 *  about 106 bits. */
typedef struct wa_dd {
    double hi, lo;
} wa_dd;

enum { WA_EXACT_CHUNKS = 136 };

/** An exact sum. Look inside only through the functions. Good for 2^62 additions. */
typedef struct wa_exact {
    int64_t chunk[WA_EXACT_CHUNKS]; /* 32 bits each from 2^-2148 on, carries put off */
    uint32_t adds;                  /* additions since the last carry               */
    bool spoiled;                   /* something not finite was added               */
    uint8_t span, end;              /* chunks in use: from CHUNKS - span, below end */
} wa_exact;

/** Adds x, or the exact product of a and b. Infinity and NaN spoil the sum. */
void wa_exact_add(wa_exact *e, double x);
void wa_exact_add_product(wa_exact *e, double a, double b);

/** Adds n values to `sum` and, unless NULL, their squares to `squares`: the same sums as one by one,
 *  a tenth of the time where the values are of like size. */
void wa_exact_add_all(wa_exact *sum, wa_exact *squares, const double *x, size_t n);

/** Adds another sum. */
void wa_exact_merge(wa_exact *e, const wa_exact *other);

/** The sign of the exact sum: -1, 0 or 1 (0 also when it is spoiled). */
int wa_exact_sign(const wa_exact *e);

/** The double nearest to the exact sum (ties to even); +-infinity when it is out of range, NaN
 *  when the sum is spoiled; never minus zero. */
double wa_exact_round(const wa_exact *e);

/** The same as a double-double: hi is wa_exact_round, lo the rounded rest. */
wa_dd wa_exact_round_dd(const wa_exact *e);

/** The double nearest to (exact sum) / n, rounded once; NaN when n is 0 or the sum spoiled. */
double wa_exact_divide(const wa_exact *e, uint64_t n);

/** Makes `out` the exact sum of (x - cx)(y - cy) over n pairs from the exact sums of x, of y
 *  and of x y. With cx, cy near the means nothing cancels when `out` is rounded. n below 2^53.
 *  Spoiled where a sum is out of the range of doubles. `out` may be one of the sums. */
void wa_exact_central(wa_exact *out, const wa_exact *sum_xy, const wa_exact *sum_x,
                      const wa_exact *sum_y, uint64_t n, double cx, double cy);

/** What the sum of squared deviations is divided by. */
typedef enum wa_divisor { WA_DIVISOR_N_MINUS_1 = 0, WA_DIVISOR_N = 1 } wa_divisor;

/** Standard deviation, in the unit of x, from the exact sums of x and of x^2 over n values
 *  (n below 2^53): the root of (sum (x - mean)^2) / (n - 1 or n), finished in double-double from
 *  an exact sum around the rounded mean. WA_ERR_UNDEFINED: fewer than 2 values (1 with
 *  WA_DIVISOR_N), a value not finite, or a sum out of range. */
wa_status wa_exact_sd(double *sd, const wa_exact *sum, const wa_exact *squares, uint64_t n,
                      wa_divisor divisor, wa_error *err);

/* The same over arrays. n may be 0 in the sums (x may then be NULL): the sum of nothing is 0. */
double wa_exact_sum(const double *x, size_t n);                  /* sum of x, rounded once     */
double wa_exact_dot(const double *x, const double *y, size_t n); /* sum of x y, rounded once */

/** Mean (rounded once) and standard deviation of n values; `sd` may be NULL.
 *  WA_ERR_UNDEFINED as in wa_exact_sd; the mean alone needs 1 value. */
wa_status wa_mean_sd(double *mean, double *sd, const double *x, size_t n, wa_divisor divisor,
                     wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
