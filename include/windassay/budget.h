/* budget.h - an uncertainty budget: named components, bin by bin, combined by the GUM.
 *
 * A budget has one or more bins. A component has a standard uncertainty in each bin, a sensitivity
 * and, where several components hang on the same thing, a correlation group. What a component adds
 * in bin i is s_i = c_i u_i, with the sign of its sensitivity.
 *
 *   within a group      fully correlated:  g_i = sum of s_i over its members    (JCGM 100, 5.2.2 note)
 *   groups, ungrouped   independent:       u_i^2 = sum of g_i^2                 (JCGM 100, 5.1.2)
 *
 * A NaN stands for a value that is missing; a bin in which any component misses has no combined
 * uncertainty. An infinite number of degrees of freedom means: known as well as need be.
 */
#ifndef WINDASSAY_BUDGET_H
#define WINDASSAY_BUDGET_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum wa_component_kind { WA_TYPE_A, WA_TYPE_B } wa_component_kind;

/** What the number given is, so that it becomes a standard uncertainty. */
typedef enum wa_shape {
    WA_SHAPE_NORMAL,      /* a standard uncertainty, or U with its k         divisor 1, or k   */
    WA_SHAPE_RECTANGULAR, /* half width of a rectangle (JCGM 100, 4.3.7)     divisor sqrt(3)   */
    WA_SHAPE_TRIANGULAR,  /* half width of a triangle (4.3.9)                divisor sqrt(6)   */
    WA_SHAPE_U_SHAPED     /* amplitude of a sine, arcsine distribution       divisor sqrt(2)   */
} wa_shape;

/** "normal", "rectangular", "triangular", "u_shaped"; the shape of a word, false when it is none. */
const char *wa_shape_word(wa_shape s);
bool wa_shape_of(wa_shape *out, const char *word);
/** 1, sqrt(3), sqrt(6), sqrt(2). */
double wa_shape_divisor(wa_shape s);

/** One value for all bins, or one for each. */
typedef struct wa_per_bin {
    const double *at;
    size_t n; /* 1, or the bins of the budget */
} wa_per_bin;

/** A component as it is added; texts and numbers are copied. */
typedef struct wa_component {
    const char *name;
    wa_component_kind kind;
    wa_shape shape;
    double k;               /* for WA_SHAPE_NORMAL: the coverage factor of u; 0 counts as 1 */
    wa_per_bin u;           /* not negative; divided by k or the shape's divisor            */
    wa_per_bin sensitivity; /* n = 0: 1                                                    */
    wa_per_bin dof;         /* 1 or more, or infinite; n = 0: infinite                      */
    const char *group;      /* NULL: in none                                                */
    const char *source;     /* NULL: not stated                                             */
} wa_component;

/** A component as it is kept. */
typedef struct wa_budget_row {
    char *name, *group, *source; /* group and source may be NULL                      */
    wa_component_kind kind;
    wa_shape shape;
    double divisor;
    double *u;            /* bins: standard uncertainty                              */
    double *contribution; /* bins: c u, with the sign of c                           */
    double *dof;          /* bins                                                    */
} wa_budget_row;

typedef struct wa_budget wa_budget;

enum { WA_BUDGET_COMPONENTS_MAX = 200, WA_BUDGET_BINS_MAX = 10000 };

/** An empty budget. */
wa_status wa_budget_new(wa_budget **out, size_t bins, wa_error *err);
void wa_budget_free(wa_budget *b);

size_t wa_budget_bins(const wa_budget *b);
size_t wa_budget_count(const wa_budget *b);
const wa_budget_row *wa_budget_at(const wa_budget *b, size_t i); /* borrowed; in order of adding */

/** Adds a component. WA_ERR_ARG: the name is there already (letters' case, blanks, '_' and '-' do
 *  not make another name), an uncertainty below 0, fewer than 1 degree of freedom, a count that is
 *  neither 1 nor the bins, numbers that are infinite, k with another shape than normal. */
wa_status wa_budget_add(wa_budget *b, const wa_component *c, wa_error *err);

/**
 * The combined standard uncertainty of each bin, and its effective degrees of freedom by the
 * Welch-Satterthwaite formula (JCGM 100, G.4.1); `dof` may be NULL. A group counts as one
 * component; its degrees of freedom follow from G.3 with independently estimated members:
 * nu_g = g^2 / sum(s^2 / nu). NaN where a component is missing. WA_ERR_UNDEFINED: no components.
 */
wa_status wa_budget_combined(double *u, double *dof, const wa_budget *b, wa_error *err);

/** The coverage factor of a probability: t for the degrees of freedom cut to a whole number
 *  (JCGM 100, G.4.1), infinite: normal. NaN for NaN or fewer than 1. 0 < probability < 1. */
double wa_coverage_factor(double probability, double dof);

/** Several bins as one number. */
typedef struct wa_overall {
    double u, dof;
    size_t bins, left_out; /* bins that count; bins with something missing, or of weight 0 */
} wa_overall;

/**
 * The uncertainty of the weighted mean over bins of a value with this budget: sum(w_i x_i) /
 * sum(w_i). Components of a group, and every component of type B, are fully correlated over the
 * bins (it is the same cup in each); a component of type A without a group is independent from bin
 * to bin. `weights` (bins, not negative): NULL: all 1. `relative_to` (bins, not 0): each bin's
 * contributions are divided by it, as for a gain or a relative deviation; NULL: not.
 * `contribution` (wa_budget_count values, may be NULL): what each component adds, alone.
 * WA_ERR_ARG: a weight below 0, a 0 in relative_to. WA_ERR_UNDEFINED: no bin counts.
 */
wa_status wa_budget_overall(wa_overall *out, double *contribution, const wa_budget *b,
                            const double *weights, const double *relative_to, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
