/* kernel_groups.c - kernels of + - * / sqrt and comparisons, in groups of a fixed number of rows.
 *
 * Compilers turn such loops into vector instructions even at -O2, and each is compiled twice: for
 * every processor of the kind, and (`wide`) for those with AVX2. IEEE 754 says how each of these
 * operations is rounded, and none is contracted, so that both give the same bits.
 */
#include "stats/kernel.h"

#include <float.h>
#include <math.h>
#include <string.h>

#define INLINE static inline __attribute__((always_inline))

#if defined(__x86_64__)
#include <immintrin.h>
#define WIDE __attribute__((target("avx2")))
#else
#define WIDE
#endif

enum { GROUP = 8 };

bool wa_kernel_wide(void)
{
#if defined(__x86_64__)
    return __builtin_cpu_supports("avx2");
#else
    return false;
#endif
}

/* A value that is not finite is missing; -0 + 0 is +0. */
INLINE double settle(double x)
{
    double y = x + 0.0;
    return fabs(y) <= DBL_MAX ? y : (double)NAN;
}

/* ---- two operands ---- */

INLINE double operate(wa_operator op, double x, double y)
{
    return op == WA_ADD ? x + y : op == WA_SUBTRACT ? x - y : op == WA_MULTIPLY ? x * y : x / y;
}

/* The output is none of the inputs. Once the operator and the steps are known, nothing of their
 * choice is left in the loop. */
INLINE void combine_rows(double *restrict out, wa_operator op, const double *restrict a,
                         size_t a_step, const double *restrict b, size_t b_step, size_t n)
{
    size_t i = 0;
    for (; i + GROUP <= n; i += GROUP)
        for (size_t k = 0; k < GROUP; k++)
            out[i + k] = settle(operate(op, a[(i + k) * a_step], b[(i + k) * b_step]));
    for (; i < n; i++)
        out[i] = settle(operate(op, a[i * a_step], b[i * b_step]));
}

INLINE void combine_steps(double *out, wa_operator op, const double *a, size_t a_step,
                          const double *b, size_t b_step, size_t n)
{
    if (a_step == 1 && b_step == 1)
        combine_rows(out, op, a, 1, b, 1, n);
    else if (a_step == 1 && b_step == 0)
        combine_rows(out, op, a, 1, b, 0, n);
    else if (a_step == 0 && b_step == 1)
        combine_rows(out, op, a, 0, b, 1, n);
    else
        combine_rows(out, op, a, a_step, b, b_step, n);
}

INLINE void combine_any(double *out, wa_operator op, const double *a, size_t a_step,
                        const double *b, size_t b_step, size_t n)
{
    if (op == WA_ADD)
        combine_steps(out, WA_ADD, a, a_step, b, b_step, n);
    else if (op == WA_SUBTRACT)
        combine_steps(out, WA_SUBTRACT, a, a_step, b, b_step, n);
    else if (op == WA_MULTIPLY)
        combine_steps(out, WA_MULTIPLY, a, a_step, b, b_step, n);
    else
        combine_steps(out, WA_DIVIDE, a, a_step, b, b_step, n);
}

WIDE static void combine_wide(double *out, wa_operator op, const double *a, size_t a_step,
                              const double *b, size_t b_step, size_t n)
{
    combine_any(out, op, a, a_step, b, b_step, n);
}

void wa_kernel_arithmetic(double *out, wa_operator op, const double *a, size_t a_step,
                          const double *b, size_t b_step, size_t n, bool wide)
{
    if (out == a || out == b) /* row by row, for each is read before it is written */
        for (size_t i = 0; i < n; i++)
            out[i] = settle(operate(op, a[i * a_step], b[i * b_step]));
    else if (wide)
        combine_wide(out, op, a, a_step, b, b_step, n);
    else
        combine_any(out, op, a, a_step, b, b_step, n);
}

/* ---- one operand ---- */

INLINE void root_rows(double *x, size_t n)
{
    size_t i = 0;
    for (; i + GROUP <= n; i += GROUP)
        for (size_t k = 0; k < GROUP; k++)
            x[i + k] = settle(sqrt(x[i + k]));
    for (; i < n; i++)
        x[i] = settle(sqrt(x[i]));
}

WIDE static void root_wide(double *x, size_t n)
{
    root_rows(x, n);
}

void wa_kernel_root(double *x, size_t n, bool wide)
{
    if (wide)
        root_wide(x, n);
    else
        root_rows(x, n);
}

static double where(double x, uint8_t state)
{
    return state == WA_TRUE ? x : (double)NAN;
}

#if defined(__x86_64__)
/* Four at a time, by hand: compilers do not widen the states. Returns how many. */
WIDE static size_t where_wide(double *out, const double *x, const uint8_t *mask, size_t n)
{
    const __m256i true_ones = _mm256_set1_epi64x(WA_TRUE);
    const __m256d missing = _mm256_set1_pd((double)NAN);
    size_t i = 0;
    for (; i + 4 <= n; i += 4) {
        int32_t four;
        memcpy(&four, mask + i, sizeof four);
        __m256i states = _mm256_cvtepu8_epi64(_mm_cvtsi32_si128(four));
        __m256d kept = _mm256_castsi256_pd(_mm256_cmpeq_epi64(states, true_ones));
        _mm256_storeu_pd(out + i, _mm256_blendv_pd(missing, _mm256_loadu_pd(x + i), kept));
    }
    return i;
}
#endif

void wa_kernel_where(double *out, const double *x, const uint8_t *mask, size_t n, bool wide)
{
    size_t i = 0;
#if defined(__x86_64__)
    if (wide)
        i = where_wide(out, x, mask, n);
#endif
    (void)wide;
    for (; i < n; i++)
        out[i] = where(x[i], mask[i]);
}

/* ---- comparisons ---- */

static uint8_t compare(wa_comparison c, double x, double bound)
{
    if (isunordered(x, bound))
        return WA_UNKNOWN;
    return c == WA_BELOW ? x < bound : c == WA_ABOVE ? x > bound : x == bound;
}

#if defined(__x86_64__)
/* By hand, for compilers pack the results of comparisons badly: four rows at a time, whose answers
 * are four bits, the first lowest. */

/* The bits as four bytes of 0 or 1. */
INLINE uint32_t spread(int bits)
{
    return (uint32_t)bits * 0x00204081 & 0x01010101;
}

INLINE void put_states(uint8_t *out, int met, int unknown)
{
    uint32_t states = spread(met);
    if (unknown != 0)
        states |= spread(unknown) * WA_UNKNOWN;
    memcpy(out, &states, sizeof states);
}

INLINE int met_by_two(wa_comparison c, __m128d x, __m128d bound)
{
    return _mm_movemask_pd(c == WA_BELOW   ? _mm_cmplt_pd(x, bound)
                           : c == WA_ABOVE ? _mm_cmpgt_pd(x, bound)
                                           : _mm_cmpeq_pd(x, bound));
}

INLINE size_t rows_by_two(uint8_t *out, wa_comparison c, const double *a, const double *bound,
                          size_t step, size_t n)
{
    __m128d low = _mm_set1_pd(*bound), high = low;
    size_t i = 0;
    for (; i + 4 <= n; i += 4) {
        __m128d x = _mm_loadu_pd(a + i), y = _mm_loadu_pd(a + i + 2);
        if (step != 0) {
            low = _mm_loadu_pd(bound + i);
            high = _mm_loadu_pd(bound + i + 2);
        }
        put_states(out + i, met_by_two(c, x, low) | met_by_two(c, y, high) << 2,
                   _mm_movemask_pd(_mm_cmpunord_pd(x, low)) |
                       _mm_movemask_pd(_mm_cmpunord_pd(y, high)) << 2);
    }
    return i;
}

WIDE INLINE size_t rows_by_four(uint8_t *out, wa_comparison c, const double *a, const double *bound,
                                size_t step, size_t n)
{
    __m256d limit = _mm256_set1_pd(*bound);
    size_t i = 0;
    for (; i + 4 <= n; i += 4) {
        __m256d x = _mm256_loadu_pd(a + i);
        limit = step != 0 ? _mm256_loadu_pd(bound + i) : limit;
        __m256d met = c == WA_BELOW   ? _mm256_cmp_pd(x, limit, _CMP_LT_OS)
                      : c == WA_ABOVE ? _mm256_cmp_pd(x, limit, _CMP_GT_OS)
                                      : _mm256_cmp_pd(x, limit, _CMP_EQ_OQ);
        put_states(out + i, _mm256_movemask_pd(met),
                   _mm256_movemask_pd(_mm256_cmp_pd(x, limit, _CMP_UNORD_Q)));
    }
    return i;
}

/* One loop for each comparison and step, so that nothing of their choice is left in it. */
#define CHOOSE(rows)                                                                               \
    if (c == WA_BELOW)                                                                             \
        return step == 0 ? rows(out, WA_BELOW, a, bound, 0, n)                                     \
                         : rows(out, WA_BELOW, a, bound, 1, n);                                    \
    if (c == WA_ABOVE)                                                                             \
        return step == 0 ? rows(out, WA_ABOVE, a, bound, 0, n)                                     \
                         : rows(out, WA_ABOVE, a, bound, 1, n);                                    \
    return step == 0 ? rows(out, WA_EQUALS, a, bound, 0, n) : rows(out, WA_EQUALS, a, bound, 1, n);

static size_t compare_by_two(uint8_t *out, wa_comparison c, const double *a, const double *bound,
                             size_t step, size_t n){CHOOSE(rows_by_two)}

WIDE static size_t compare_by_four(uint8_t *out, wa_comparison c, const double *a,
                                   const double *bound, size_t step, size_t n)
{
    CHOOSE(rows_by_four)
}
#endif

void wa_kernel_compare(uint8_t *out, wa_comparison c, const double *a, const double *bound,
                       size_t step, size_t n, bool wide)
{
    size_t i = 0;
#if defined(__x86_64__)
    if (n >= 4)
        i = wide ? compare_by_four(out, c, a, bound, step, n)
                 : compare_by_two(out, c, a, bound, step, n);
#endif
    (void)wide;
    for (; i < n; i++)
        out[i] = compare(c, a[i], bound[i * step]);
}
