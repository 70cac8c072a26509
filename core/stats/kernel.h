/* kernel.h - arithmetic and comparisons on plain arrays, without units; shared by columns (in
 * scripts) and by formulas (on the samples of an interval).
 *
 * A step of 0 repeats one value for every row. Results that are not finite become NaN (missing)
 * and minus zero becomes zero. Outputs may be inputs where not said otherwise.
 *
 * `wide`: with AVX2, which wa_kernel_wide says that the processor has; the bits are the same. */
#ifndef STATS_KERNEL_H
#define STATS_KERNEL_H

#include "windassay/column.h"
#include "windassay/mask.h"

bool wa_kernel_wide(void);

void wa_kernel_combine(double *out, wa_operator op, const double *a, size_t a_step, const double *b,
                       size_t b_step, size_t n, bool wide);
void wa_kernel_apply(double *out, wa_function f, const double *a, size_t n, bool wide);
void wa_kernel_atan2(double *out, const double *y, size_t y_step, const double *x, size_t x_step,
                     size_t n);
void wa_kernel_difference(double *out, const double *a, size_t a_step, const double *b,
                          size_t b_step, size_t n);
/* The value where the mask is true, else NaN; out is not x. */
void wa_kernel_where(double *out, const double *x, const uint8_t *mask, size_t n, bool wide);
void wa_kernel_lag(double *out, const double *a, size_t n, int64_t by); /* out is not a */

void wa_kernel_compare(uint8_t *out, wa_comparison c, const double *a, const double *bound,
                       size_t step, size_t n, bool wide);
void wa_kernel_sector(uint8_t *out, const double *a, double from, double to, size_t n);
void wa_kernel_missing(uint8_t *out, const double *a, size_t n);
void wa_kernel_unchanged(uint8_t *out, const double *a, size_t n, size_t run);
void wa_kernel_and(uint8_t *out, const uint8_t *a, const uint8_t *b, size_t n);
void wa_kernel_or(uint8_t *out, const uint8_t *a, const uint8_t *b, size_t n);
void wa_kernel_not(uint8_t *out, const uint8_t *a, size_t n);
void wa_kernel_grow(uint8_t *out, const uint8_t *a, size_t n, size_t by); /* out is not a */

/* What the above are made of: + - * / (not a power), and the square root in place. */
void wa_kernel_arithmetic(double *out, wa_operator op, const double *a, size_t a_step,
                          const double *b, size_t b_step, size_t n, bool wide);
void wa_kernel_root(double *x, size_t n, bool wide);

/* The unit in which the bound of a comparison with `a` is to be given: a's own. WA_ERR_ARG where
 * the bound cannot be compared with it. */
wa_status wa_bound_fits(const wa_unit *a, const wa_operand *bound, wa_error *err);

/* WA_ERR_ARG unless `unit` is the degree and the bounds are a sector. */
wa_status wa_sector_fits(const wa_unit *unit, double from, double to, wa_error *err);

/* The unit in which `f` takes its argument, and the one in which it gives its result. */
wa_status wa_function_units(wa_unit *in, wa_unit *out, wa_function f, const wa_unit *a,
                            wa_error *err);

/* Times of two things of n rows: false where both are known and differ. */
bool wa_same_times(const double *a, const double *b, size_t n);

/* WA_ERR_ARG unless both masks have the same rows; `what` names the operation in the message. */
wa_status wa_masks_aligned(const wa_mask *a, const wa_mask *b, const char *what, wa_error *err);

/* The unit that an operand has, NULL for a bare number. */
const wa_unit *wa_operand_unit(const wa_operand *o);

#endif
