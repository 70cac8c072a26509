#include "report/words.h"

#include "report/digits.h"

#include <string.h>

#define RING "<circle cx='8' cy='8' r='6' fill='none' stroke='currentColor' stroke-width='2'/>"
#define FRAME                                                                                      \
    "<rect x='2' y='2' width='12' height='12' fill='none' stroke='currentColor' "                  \
    "stroke-width='2'/>"
#define DASH "<path d='M2 8h12' stroke='currentColor' stroke-width='2'/>"

const wa_word wa_words[] = {
    {"pass", "good", "\033[1;32m",
     "<circle cx='8' cy='8' r='7' fill='currentColor'/>"
     "<path d='M4.5 8.5l2.5 2.5 4.5-6' fill='none' stroke='#fff' stroke-width='2'/>",
     "The value meets the limits under the decision rule that is named."},
    {"conditional pass", "fair", "\033[32m",
     RING "<path d='M8 2a6 6 0 0 0 0 12z' fill='currentColor'/>",
     "The value lies within the limits, but nearer to one of them than the guard band: the "
     "measurement cannot exclude that the true value lies beyond."},
    {"conditional fail", "poor", "\033[33m", FRAME "<path d='M2 2h6v12h-6z' fill='currentColor'/>",
     "The value lies beyond a limit, but by less than the guard band: the measurement cannot "
     "exclude that the true value lies within."},
    {"fail", "bad", "\033[1;31m",
     "<rect x='1' y='1' width='14' height='14' fill='currentColor'/>"
     "<path d='M4.5 4.5l7 7m0-7l-7 7' stroke='#fff' stroke-width='2'/>",
     "The value does not meet the limits under the decision rule that is named."},
    {"inconclusive", "open", "\033[1;33m",
     RING "<path d='M8 4.5v4.5m0 1.5v1.5' "
          "stroke='currentColor' stroke-width='2'/>",
     "There are not enough data, or the result is not defined: nothing is decided."},
    {"error", "bad", "\033[1;31m",
     "<path d='M8 1l7.5 14h-15z' fill='currentColor'/><path d='M8 5.5v5m0 1.5v1.5' stroke='#fff' "
     "stroke-width='1.8'/>",
     "A check broke; a contractual check that broke makes the whole campaign an error."},
    {"for information", "quiet", "\033[36m",
     "<path d='M8 2l6 6-6 6-6-6z' fill='none' stroke='currentColor' stroke-width='2'/>",
     "Shown beside the limits of the contract; it never changes the outcome of the campaign."},
    {"not tested", "quiet", "\033[2m", DASH,
     "A limit was asked for, but the check did not give the quantity. Never counted as passed: "
     "under the contract it makes the outcome inconclusive."},
    {"not applicable", "quiet", "\033[2m",
     DASH "<path d='M5 13l6-10' stroke='currentColor' "
          "stroke-width='1.5'/>",
     "The campaign has no such channel or phase. Not counted as passed."},
    {"no decision asked", "quiet", "\033[2m", DASH,
     "No criteria were named: the numbers are reported, nothing is decided."},
};
const size_t wa_words_n = sizeof wa_words / sizeof wa_words[0];

const wa_word *wa_word_of(const char *word)
{
    const wa_word *unknown = NULL;
    for (size_t i = 0; i < wa_words_n; i++) {
        if (word != NULL && strcmp(word, wa_words[i].word) == 0)
            return &wa_words[i];
        if (strcmp(wa_words[i].word, "error") == 0)
            unknown = &wa_words[i];
    }
    return unknown;
}

const char *wa_rule_meaning(const char *rule)
{
    static const struct {
        const char *rule, *meaning;
    } rules[] = {
        {"simple", "simple acceptance: pass where the value itself meets the limits, both ends "
                   "included; a value near a limit may be accepted or rejected wrongly with up to "
                   "50 % probability"},
        {"guarded", "guarded acceptance: pass only where the value stays away from each limit by "
                    "the guard band w = k u, else fail"},
        {"non-binary",
         "four outcomes: pass and fail where the value lies away from the limit by "
         "at least the guard band w = k u, conditional pass or conditional fail in between"},
    };
    for (size_t i = 0; rule != NULL && i < sizeof rules / sizeof rules[0]; i++)
        if (strcmp(rule, rules[i].rule) == 0)
            return rules[i].meaning;
    return NULL;
}

void wa_words_limits(wa_text *t, const wa_value *limits)
{
    double lower, upper;
    bool has_lower = wa_number_of(wa_get(limits, "lower"), &lower);
    bool has_upper = wa_number_of(wa_get(limits, "upper"), &upper);
    if (has_lower && has_upper) {
        wa_digits_shortest(t, lower);
        wa_text_add(t, " to ");
        wa_digits_shortest(t, upper);
    } else if (has_lower) {
        wa_text_add(t, "at least ");
        wa_digits_shortest(t, lower);
    } else if (has_upper) {
        wa_text_add(t, "at most ");
        wa_digits_shortest(t, upper);
    }
}

bool wa_words_recalled(const wa_value *item)
{
    const char *evidence = wa_get_string(item, "evidence");
    return evidence != NULL && strcmp(evidence, "recalled") == 0 &&
           wa_value_kind(wa_get(item, "confirmed")) != WA_MAP;
}

const char *wa_words_known(const wa_value *item)
{
    const char *evidence = wa_get_string(item, "evidence");
    if (wa_value_kind(wa_get(item, "confirmed")) == WA_MAP)
        return "confirmed";
    return evidence == NULL || *evidence == '\0' ? "no evidence" : evidence;
}

void wa_words_evidence(wa_text *t, const wa_value *item)
{
    static const char *const parts[] = {"clause", "edition", "by"};
    const char *evidence = wa_get_string(item, "evidence");
    const wa_value *confirmed = wa_get(item, "confirmed");
    if (evidence == NULL || *evidence == '\0')
        wa_text_add(t, "no evidence stated");
    else
        wa_text_add(t, evidence);
    if (wa_words_recalled(item))
        wa_text_add(t, ", check your copy of the standard");
    if (wa_value_kind(confirmed) != WA_MAP)
        return;
    wa_text_add(t, ", confirmed");
    for (int i = 0; i < 3; i++)
        if (wa_get_string(confirmed, parts[i]) != NULL)
            wa_text_printf(t, "%s %s %s", i > 0 ? "," : ":", parts[i],
                           wa_get_string(confirmed, parts[i]));
}

void wa_words_source(wa_text *t, const char *source, const wa_value *item)
{
    static const char practice[] = "common practice";
    if (source != NULL)
        wa_text_add(t, source);
    if (source != NULL && strncmp(source, practice, sizeof practice - 1) == 0 &&
        wa_value_kind(wa_get(item, "confirmed")) != WA_MAP)
        return; /* there is no standard of which a copy could be checked */
    if (source != NULL)
        wa_text_add(t, ": ");
    wa_words_evidence(t, item);
}
