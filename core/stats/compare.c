#include "windassay/compare.h"

#include "base/dd.h"

#include <stdlib.h>

void wa_by_bin_free(wa_by_bin *c)
{
    if (c == NULL)
        return;
    wa_bins_free(c->bins);
    free(c->reference_mean); /* one piece with all columns of bins */
    free(c->pair_reference); /* one piece with pair_measured       */
    free(c);
}

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory for a comparison");
}

static bool allocate_columns(wa_by_bin *c)
{
    double **const column[] = {&c->reference_mean, &c->measured_mean,     &c->deviation_mean,
                               &c->deviation_sd,   &c->standard_error,    &c->deviation_min,
                               &c->deviation_max,  &c->relative_deviation};
    size_t n = c->bins->n, columns = sizeof column / sizeof *column;
    double *at = malloc(columns * n * sizeof *at);
    if (at == NULL)
        return false;
    for (size_t k = 0; k < columns; k++)
        *column[k] = at + k * n;
    return true;
}

/* Exact sums of one bin: of both values, and of the deviation and its square, where a deviation
 * is the exact difference as a double-double. */
typedef struct bin_sums {
    wa_exact reference, measured, deviation, squares;
    double least, most;
} bin_sums;

static void take_pair(bin_sums *s, double measured, double reference)
{
    wa_dd d = wa_two_sum(measured, -reference);
    wa_exact_add(&s->reference, reference);
    wa_exact_add(&s->measured, measured);
    wa_exact_add(&s->deviation, measured);
    wa_exact_add(&s->deviation, -reference);
    wa_exact_add_product(&s->squares, d.hi, d.hi);
    wa_exact_add_product(&s->squares, 2 * d.hi, d.lo);
    wa_exact_add_product(&s->squares, d.lo, d.lo);
    s->least = d.hi < s->least ? d.hi : s->least;
    s->most = d.hi > s->most ? d.hi : s->most;
}

static wa_status finish_bin(wa_by_bin *c, size_t k, const bin_sums *s, wa_error *err)
{
    size_t n = c->bins->count[k];
    double sd = (double)NAN;
    c->reference_mean[k] = wa_exact_divide(&s->reference, n);
    c->measured_mean[k] = wa_exact_divide(&s->measured, n);
    c->deviation_mean[k] = wa_exact_divide(&s->deviation, n);
    if (!isfinite(c->reference_mean[k]) || !isfinite(c->measured_mean[k]) ||
        !isfinite(c->deviation_mean[k]))
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "the bin at %g is not defined: values are not finite or too large",
                       c->bins->centre[k]);
    if (n > 1) {
        wa_status status =
            wa_exact_sd(&sd, &s->deviation, &s->squares, n, WA_DIVISOR_N_MINUS_1, err);
        if (status != WA_OK)
            return status;
    }
    c->deviation_sd[k] = sd;
    c->standard_error[k] = sd / sqrt((double)n);
    c->deviation_min[k] = s->least;
    c->deviation_max[k] = s->most;
    /* the quotient of the exact sums: the mean deviation alone would round twice */
    wa_dd part = wa_dd_div(wa_exact_round_dd(&s->deviation), wa_exact_round_dd(&s->reference));
    double percent = wa_dd_mul_d(part, 100).hi;
    c->relative_deviation[k] = isfinite(percent) ? percent : (double)NAN;
    return WA_OK;
}

static wa_status take_bins(wa_by_bin *c, const double *measured, const double *reference,
                           wa_error *err)
{
    const wa_bins *b = c->bins;
    for (size_t k = 0; k < b->n; k++) {
        c->reference_mean[k] = c->measured_mean[k] = c->deviation_mean[k] = (double)NAN;
        c->deviation_sd[k] = c->standard_error[k] = c->relative_deviation[k] = (double)NAN;
        c->deviation_min[k] = c->deviation_max[k] = (double)NAN;
        if (!b->complete[k])
            continue;
        bin_sums s = {.least = (double)INFINITY, .most = -(double)INFINITY};
        for (size_t i = b->start[k]; i < b->start[k + 1]; i++)
            take_pair(&s, measured[b->order[i]], reference[b->order[i]]);
        wa_status status = finish_bin(c, k, &s, err);
        if (status != WA_OK)
            return status;
    }
    return WA_OK;
}

/* Copies the pairs in bins, complete or not, in the order of the records. */
static bool take_pairs(wa_by_bin *c, const double *measured, const double *reference)
{
    const wa_bins *b = c->bins;
    for (size_t k = 0; k < b->n; k++)
        c->pairs += b->count[k];
    c->pair_reference = malloc((2 * c->pairs + 1) * sizeof *c->pair_reference);
    if (c->pair_reference == NULL)
        return false;
    c->pair_measured = c->pair_reference + c->pairs;
    for (size_t i = 0, to = 0; i < b->records; i++) {
        if (b->of_record[i] < 0)
            continue;
        c->pair_reference[to] = reference[i];
        c->pair_measured[to++] = measured[i];
    }
    return true;
}

wa_status wa_compare_by_bin(wa_by_bin **out, const double *measured, const double *reference,
                            const double *sorted_by, const double *time, size_t n,
                            const wa_bin_spec *spec, wa_error *err)
{
    const double *key = sorted_by != NULL ? sorted_by : reference;
    wa_by_bin *c = calloc(1, sizeof *c);
    double *paired = malloc((n + 1) * sizeof *paired); /* the key where all are there */
    wa_status s = WA_OK;
    if (c == NULL || paired == NULL) {
        s = no_memory(err);
        goto out;
    }
    for (size_t i = 0; i < n; i++) {
        bool missing = isnan(measured[i]) || isnan(reference[i]) || isnan(key[i]);
        paired[i] = missing ? (double)NAN : key[i];
        c->left_out += missing;
    }
    if ((s = wa_bins_make(&c->bins, paired, time, n, spec, err)) != WA_OK)
        goto out;
    if (!allocate_columns(c) || !take_pairs(c, measured, reference)) {
        s = no_memory(err);
        goto out;
    }
    s = take_bins(c, measured, reference, err);
out:
    free(paired);
    if (s == WA_OK)
        *out = c;
    else
        wa_by_bin_free(c);
    return s;
}

/* Says what too few records came from. */
static wa_status of_what(wa_status s, wa_fit_of of, wa_error *err)
{
    if (s == WA_ERR_UNDEFINED)
        wa_hint(err, s,
                of == WA_FIT_RECORDS ? "only records in bins are fitted"
                                     : "only the means of complete bins are fitted");
    return s;
}

wa_status wa_compare_through_origin(wa_origin_fit *out, const wa_by_bin *c, wa_fit_of of,
                                    wa_error *err)
{
    wa_origin_fit f;
    wa_status s;
    if (of == WA_FIT_RECORDS)
        s = wa_fit_through_origin(&f, c->pair_reference, c->pair_measured, NULL, c->pairs, err);
    else
        s = wa_fit_through_origin(&f, c->reference_mean, c->measured_mean, NULL, c->bins->n, err);
    if (s != WA_OK)
        return of_what(s, of, err);
    if (of == WA_FIT_RECORDS)
        f.left_out = c->left_out;
    *out = f;
    return WA_OK;
}

wa_status wa_compare_line(wa_line_fit *out, const wa_by_bin *c, wa_fit_of of, wa_error *err)
{
    wa_line_fit f;
    wa_status s;
    if (of == WA_FIT_RECORDS)
        s = wa_fit_line(&f, c->pair_reference, c->pair_measured, c->pairs, err);
    else
        s = wa_fit_line(&f, c->reference_mean, c->measured_mean, c->bins->n, err);
    if (s != WA_OK)
        return of_what(s, of, err);
    if (of == WA_FIT_RECORDS)
        f.left_out = c->left_out;
    *out = f;
    return WA_OK;
}
