/* conformity.h - is a measured value within its limits, given its uncertainty?
 *
 * Probabilities: JCGM 106:2012, 7 (a normal distribution about the value). Rules: ILAC-G8:09/2019,
 * 4.2. Limits belong to what passes (a convention; the guide leaves it to the agreement): a value
 * that equals its limit, or its acceptance limit, gets the better of the two outcomes.
 */
#ifndef WINDASSAY_CONFORMITY_H
#define WINDASSAY_CONFORMITY_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** What came of a requirement, a check or a campaign. Those from WA_OUTCOME_PASS on decide something
 *  and stand from best to worst; those before decide nothing. */
typedef enum wa_outcome {
    WA_OUTCOME_NO_DECISION, /* nobody named criteria that decide */
    WA_OUTCOME_NOT_APPLICABLE,
    WA_OUTCOME_NOT_TESTED,
    WA_OUTCOME_FOR_INFORMATION,
    WA_OUTCOME_PASS,
    WA_OUTCOME_CONDITIONAL_PASS,
    WA_OUTCOME_INCONCLUSIVE,
    WA_OUTCOME_CONDITIONAL_FAIL,
    WA_OUTCOME_FAIL,
    WA_OUTCOME_ERROR,
    WA_OUTCOMES /* how many there are */
} wa_outcome;

/** The outcome in words: "pass", "conditional pass", "no decision asked", ... Never NULL. */
const char *wa_outcome_word(wa_outcome o);

/** The outcome of a word; false when it is none. */
bool wa_outcome_of(wa_outcome *out, const char *word);

/** True for those that decide something. */
bool wa_outcome_decides(wa_outcome o);

/** The worse of two; one that decides nothing yields to one that does. */
wa_outcome wa_outcome_worst(wa_outcome a, wa_outcome b);

typedef enum wa_rule {
    WA_RULE_SIMPLE,    /* ILAC-G8 4.2.1: within the limits or not; no uncertainty is used       */
    WA_RULE_GUARDED,   /* 4.2.2: passes within the limits narrowed by w = U = k u, else fails   */
    WA_RULE_NON_BINARY /* 4.2.3: pass, conditional pass, conditional fail, fail, w = U = k u    */
} wa_rule;

/** "simple", "guarded", "non-binary". */
const char *wa_rule_word(wa_rule r);
bool wa_rule_of(wa_rule *out, const char *word);

/** The limits of what is tolerated; at least one, and lower <= upper. */
typedef struct wa_tolerance {
    bool has_lower, has_upper;
    double lower, upper;
} wa_tolerance;

/** A measured value. `u` is its standard uncertainty (k = 1). */
typedef struct wa_measured {
    double value;
    bool has_u;
    bool scatter_only; /* u holds the scatter of the records only: it decides nothing */
    double u;
} wa_measured;

typedef struct wa_decision {
    wa_outcome outcome;
    bool has_guard_band; /* false for the simple rule and without a whole uncertainty */
    double guard_band;   /* w = k u, in the unit of the value                         */
    bool has_probability;
    double probability; /* of conformity; only with a whole uncertainty              */
    const char *reason; /* a constant text: why it is inconclusive, or that guard bands
                           leave no room to pass; NULL: nothing to say                */
} wa_decision;

/**
 * Probability that the measurand lies within the limits, for a normal distribution with mean
 * `value` and standard deviation `u` (JCGM 106:2012, 7.4, 7.5): Phi((TU-y)/u) - Phi((TL-y)/u).
 * u = 0 gives 1 or 0. WA_ERR_ARG when a number is not finite, u < 0, or the limits are none.
 */
wa_status wa_conformity_probability(double *out, double value, double u, const wa_tolerance *limits,
                                    wa_error *err);

/**
 * Decides by a rule; `k` (> 0) is the coverage factor of the guard band. A rule that needs an
 * uncertainty and has none, or only one of scatter, is inconclusive and says why.
 * WA_ERR_ARG as above.
 */
wa_status wa_conformity_decide(wa_decision *out, const wa_measured *measured,
                               const wa_tolerance *limits, wa_rule rule, double k, wa_error *err);

/** Many items, each measured once and accepted or not (JCGM 106:2012, 9.5): true values are normal
 *  about `prior` with `prior_u`; a measurement of one is normal about its true value with `u`. */
typedef struct wa_process {
    double prior, prior_u; /* prior_u > 0                                             */
    double u;              /* standard uncertainty of the measurement, > 0            */
    wa_tolerance tolerance;
    wa_tolerance acceptance; /* what a measured value must be within to be accepted     */
} wa_process;

/** Probabilities, each of all items. */
typedef struct wa_risks {
    double consumer;   /* accepted and yet outside the tolerance (global consumer's risk, 9.5.2) */
    double producer;   /* rejected and yet within it (global producer's risk, 9.5.3)           */
    double conforming; /* within the tolerance                                                 */
    double accepted;   /* measured within the acceptance limits                                */
} wa_risks;

/**
 * The global risks, by adaptive Gauss-Kronrod quadrature (7 and 15 points, Kronrod 1965) of the
 * prior's density times the probability of acceptance or rejection; relative error about 1e-12.
 * WA_ERR_ARG: limits that are none or the wrong way round, an uncertainty that is not above 0.
 */
wa_status wa_conformity_global_risk(wa_risks *out, const wa_process *p, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
