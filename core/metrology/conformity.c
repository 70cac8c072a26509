#include "windassay/conformity.h"
#include "windassay/quantile.h"

#include <math.h>
#include <string.h>

static const char *const outcome_words[WA_OUTCOMES] = {
    [WA_OUTCOME_NO_DECISION] = "no decision asked",
    [WA_OUTCOME_NOT_APPLICABLE] = "not applicable",
    [WA_OUTCOME_NOT_TESTED] = "not tested",
    [WA_OUTCOME_FOR_INFORMATION] = "for information",
    [WA_OUTCOME_PASS] = "pass",
    [WA_OUTCOME_CONDITIONAL_PASS] = "conditional pass",
    [WA_OUTCOME_INCONCLUSIVE] = "inconclusive",
    [WA_OUTCOME_CONDITIONAL_FAIL] = "conditional fail",
    [WA_OUTCOME_FAIL] = "fail",
    [WA_OUTCOME_ERROR] = "error",
};

static const char *const rule_words[] = {
    [WA_RULE_SIMPLE] = "simple",
    [WA_RULE_GUARDED] = "guarded",
    [WA_RULE_NON_BINARY] = "non-binary",
};

/* The place of `word` in `words`, or n. */
static size_t place_of(const char *word, const char *const *words, size_t n)
{
    size_t i = 0;
    while (word != NULL && i < n && strcmp(word, words[i]) != 0)
        i++;
    return word == NULL ? n : i;
}

const char *wa_outcome_word(wa_outcome o)
{
    return outcome_words[o];
}

bool wa_outcome_of(wa_outcome *out, const char *word)
{
    size_t i = place_of(word, outcome_words, WA_OUTCOMES);
    if (i < WA_OUTCOMES)
        *out = (wa_outcome)i;
    return i < WA_OUTCOMES;
}

bool wa_outcome_decides(wa_outcome o)
{
    return o >= WA_OUTCOME_PASS;
}

wa_outcome wa_outcome_worst(wa_outcome a, wa_outcome b)
{
    return a > b ? a : b; /* the enumeration stands in this order */
}

const char *wa_rule_word(wa_rule r)
{
    return rule_words[r];
}

bool wa_rule_of(wa_rule *out, const char *word)
{
    size_t n = sizeof rule_words / sizeof rule_words[0], i = place_of(word, rule_words, n);
    if (i < n)
        *out = (wa_rule)i;
    return i < n;
}

static wa_status check_limits(const wa_tolerance *t, wa_error *err)
{
    if (!t->has_lower && !t->has_upper)
        return wa_fail(err, WA_ERR_ARG, "a requirement needs a lower or an upper limit");
    if ((t->has_lower && !isfinite(t->lower)) || (t->has_upper && !isfinite(t->upper)))
        return wa_fail(err, WA_ERR_ARG, "a limit is not finite");
    if (t->has_lower && t->has_upper && t->lower > t->upper)
        return wa_fail(err, WA_ERR_ARG, "the lower limit lies above the upper one");
    return WA_OK;
}

static wa_status check_measured(double value, bool has_u, double u, wa_error *err)
{
    if (!isfinite(value))
        return wa_fail(err, WA_ERR_ARG, "the measured value is not finite");
    if (has_u && (!isfinite(u) || u < 0))
        return wa_fail(err, WA_ERR_ARG, "a standard uncertainty must be finite and not negative");
    return WA_OK;
}

/* True where `value` lies within the limits moved inwards by w (outwards for w < 0). */
static bool within(double value, const wa_tolerance *t, double w)
{
    return (!t->has_lower || value >= t->lower + w) && (!t->has_upper || value <= t->upper - w);
}

/* Taken from the tails, where the normal distribution function keeps its digits. */
static double probability(double value, double u, const wa_tolerance *t)
{
    if (u == 0)
        return within(value, t, 0) ? 1 : 0;
    double below = t->has_lower ? (t->lower - value) / u : -HUGE_VAL;
    double above = t->has_upper ? (t->upper - value) / u : HUGE_VAL;
    double tail_below = t->has_lower ? wa_normal_cdf(below) : 0;
    double tail_above = t->has_upper ? wa_normal_cdf(-above) : 0;
    if (below <= 0 && above >= 0)
        return 1 - (tail_below + tail_above);
    if (above < 0) /* the value lies above: a piece of the lower tail */
        return wa_normal_cdf(above) - tail_below;
    return wa_normal_cdf(-below) - tail_above;
}

wa_status wa_conformity_probability(double *out, double value, double u, const wa_tolerance *limits,
                                    wa_error *err)
{
    wa_status s = check_limits(limits, err);
    if (s == WA_OK)
        s = check_measured(value, true, u, err);
    if (s == WA_OK)
        *out = probability(value, u, limits);
    return s;
}

static wa_outcome by_rule(double value, const wa_tolerance *t, wa_rule rule, double w)
{
    if (rule == WA_RULE_SIMPLE)
        return within(value, t, 0) ? WA_OUTCOME_PASS : WA_OUTCOME_FAIL;
    if (within(value, t, w))
        return WA_OUTCOME_PASS;
    if (rule == WA_RULE_GUARDED)
        return WA_OUTCOME_FAIL;
    if (within(value, t, 0))
        return WA_OUTCOME_CONDITIONAL_PASS;
    return within(value, t, -w) ? WA_OUTCOME_CONDITIONAL_FAIL : WA_OUTCOME_FAIL;
}

wa_status wa_conformity_decide(wa_decision *out, const wa_measured *m, const wa_tolerance *limits,
                               wa_rule rule, double k, wa_error *err)
{
    wa_status s = check_limits(limits, err);
    if (s == WA_OK)
        s = check_measured(m->value, m->has_u, m->u, err);
    if (s == WA_OK && rule != WA_RULE_SIMPLE && !(k > 0 && isfinite(k)))
        s = wa_fail(err, WA_ERR_ARG, "a guard band needs a coverage factor above zero");
    if (s != WA_OK)
        return s;
    wa_decision d = {.outcome = WA_OUTCOME_INCONCLUSIVE};
    bool whole = m->has_u && !m->scatter_only;
    if (whole) {
        d.has_probability = true;
        d.probability = probability(m->value, m->u, limits);
    }
    if (rule != WA_RULE_SIMPLE && !whole) {
        d.reason = m->has_u ? "uncertainty incomplete (scatter only)"
                            : "the rule needs an uncertainty and there is none";
    } else {
        double w = rule == WA_RULE_SIMPLE ? 0 : k * m->u;
        if (!isfinite(w))
            return wa_fail(err, WA_ERR_ARG, "the guard band is not finite");
        d.has_guard_band = rule != WA_RULE_SIMPLE;
        d.guard_band = w;
        d.outcome = by_rule(m->value, limits, rule, w);
        if (limits->has_lower && limits->has_upper && limits->lower + w > limits->upper - w)
            d.reason = "the guard bands leave no room to pass";
    }
    *out = d;
    return WA_OK;
}
