/* The record as a whole: begun, closed, and what it says in one sentence. */
#include "windassay/result.h"

#include "result/entry.h"

#include <string.h>

enum { NAMED_MAX = 3 }; /* requirements that the sentence names */

wa_value *wa_record_new(wa_value *campaign)
{
    wa_value *r = wa_map();
    if (r == NULL) {
        wa_value_free(campaign);
        return NULL;
    }
    bool ok = wa_map_set(r, "schema", wa_string(WA_RECORD_SCHEMA)) &&
              wa_map_set(r, "interface", wa_number(WA_INTERFACE)) &&
              wa_map_set(r, "arithmetic", wa_number(WA_ARITHMETIC));
    if (!ok)
        wa_value_free(campaign);
    ok = ok && wa_map_set(r, "campaign", campaign) && wa_map_set(r, "inputs", wa_list()) &&
         wa_map_set(r, "scripts", wa_list()) && wa_map_set(r, "samples", wa_list()) &&
         wa_map_set(r, "checks", wa_list());
    if (!ok) {
        wa_value_free(r);
        return NULL;
    }
    return r;
}

static bool contractual(const wa_value *row)
{
    const char *use = wa_get_string(row, "use");
    return use != NULL && strcmp(use, "contract") == 0;
}

/* The outcome that a contractual row counts as: what was not tested is no pass. */
static wa_outcome counted(const wa_value *row)
{
    wa_outcome o = WA_OUTCOME_ERROR;
    const char *word = wa_get_string(row, "outcome");
    if (word != NULL)
        wa_outcome_of(&o, word);
    return o == WA_OUTCOME_NOT_TESTED ? WA_OUTCOME_INCONCLUSIVE : o;
}

typedef struct tally {
    size_t all;
    size_t of[WA_OUTCOMES]; /* contractual rows by what they count as */
    wa_outcome worst;
} tally;

static tally count_rows(const wa_value *checks)
{
    tally t = {.worst = WA_OUTCOME_NO_DECISION};
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *rows = wa_get(wa_at(checks, i), "requirements");
        for (size_t k = 0; k < wa_count(rows); k++)
            if (contractual(wa_at(rows, k))) {
                wa_outcome o = counted(wa_at(rows, k));
                t.all++;
                t.of[o]++;
                t.worst = wa_outcome_worst(t.worst, o);
            }
    }
    return t;
}

/* ": 'slope' of speed, ... and 2 more" for the contractual rows that count as `o`. */
static void name_rows(wa_text *t, const wa_value *checks, wa_outcome o)
{
    size_t n = 0;
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *rows = wa_get(wa_at(checks, i), "requirements");
        for (size_t k = 0; k < wa_count(rows); k++) {
            const wa_value *row = wa_at(rows, k);
            if (!contractual(row) || counted(row) != o)
                continue;
            if (n++ < NAMED_MAX)
                wa_text_printf(t, "%s'%s' of %s", n == 1 ? ": " : ", ", wa_get_string(row, "name"),
                               wa_get_string(wa_at(checks, i), "id"));
        }
    }
    if (n > NAMED_MAX)
        wa_text_printf(t, " and %zu more", n - NAMED_MAX);
}

static void say_outcome(wa_text *t, const wa_value *checks, const tally *n)
{
    switch (n->worst) {
    case WA_OUTCOME_PASS:
        if (n->all == 1)
            wa_text_add(t, "Pass: the contractual requirement is met");
        else
            wa_text_printf(t, "Pass: all %zu contractual requirements are met", n->all);
        break;
    case WA_OUTCOME_CONDITIONAL_PASS:
        wa_text_printf(t,
                       "Conditional pass: no limit is exceeded, but %zu of %zu contractual "
                       "requirements stay within the guard band",
                       n->of[WA_OUTCOME_CONDITIONAL_PASS], n->all);
        break;
    case WA_OUTCOME_INCONCLUSIVE:
        wa_text_printf(t, "Inconclusive: %zu of %zu contractual requirements could not be decided",
                       n->of[WA_OUTCOME_INCONCLUSIVE], n->all);
        break;
    case WA_OUTCOME_CONDITIONAL_FAIL:
        wa_text_printf(t,
                       "Conditional fail: %zu of %zu contractual requirements exceed a limit, by "
                       "less than the guard band",
                       n->of[WA_OUTCOME_CONDITIONAL_FAIL], n->all);
        break;
    case WA_OUTCOME_FAIL:
        wa_text_printf(t, "Fail: %zu of %zu contractual requirements are not met",
                       n->of[WA_OUTCOME_FAIL], n->all);
        break;
    case WA_OUTCOME_ERROR:
        wa_text_printf(t, "Error: a check broke, and %zu of %zu contractual requirements with it",
                       n->of[WA_OUTCOME_ERROR], n->all);
        break;
    default:
        wa_text_add(t, "No decision asked: no contract names limits for these checks");
        break;
    }
    if (n->worst > WA_OUTCOME_PASS)
        name_rows(t, checks, n->worst);
    wa_text_add(t, ".");
}

/* A check that broke is said also where nothing of the contract hangs on it. */
static void say_broken(wa_text *t, const wa_value *checks)
{
    size_t n = 0;
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *e = wa_at(checks, i);
        if (strcmp(wa_get_string(e, "status"), "error") == 0)
            wa_text_printf(t, "%s%s", n++ == 0 ? " Broken, without a part in this: " : ", ",
                           wa_get_string(e, "id"));
    }
    if (n > 0)
        wa_text_add(t, ".");
}

/* True where some check of the record has a contractual row for the limit. */
static bool asked_for(const wa_value *checks, const wa_criteria *c, const wa_limit *l)
{
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *e = wa_at(checks, i), *rows = wa_get(e, "requirements");
        for (size_t k = 0; strcmp(wa_get_string(e, "name"), l->check) == 0 && k < wa_count(rows);
             k++) {
            const wa_value *row = wa_at(rows, k);
            if (contractual(row) && strcmp(wa_get_string(row, "criteria"), c->name) == 0 &&
                strcmp(wa_get_string(row, "name"), l->require) == 0)
                return true;
        }
    }
    return false;
}

static bool add_not_tested(wa_value *list, const wa_criteria *c, const wa_limit *l)
{
    wa_value *m = wa_map();
    bool ok = m != NULL && wa_map_set(m, "criteria", wa_string(c->name)) &&
              wa_map_set(m, "check", wa_string(l->check)) &&
              (l->run == NULL || wa_map_set(m, "run", wa_string(l->run))) &&
              wa_map_set(m, "name", wa_string(l->require));
    if (!ok) {
        wa_value_free(m);
        return false;
    }
    return wa_list_add(list, m);
}

wa_status wa_record_close(wa_value *record, const wa_criteria *const *contracts, size_t n,
                          wa_error *err)
{
    const wa_value *checks = wa_get(record, "checks");
    wa_value *not_tested = wa_list();
    bool ok = not_tested != NULL;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; ok && k < contracts[i]->n_limits; k++)
            if (!asked_for(checks, contracts[i], &contracts[i]->limits[k]))
                ok = add_not_tested(not_tested, contracts[i], &contracts[i]->limits[k]);
    tally t = count_rows(checks);
    wa_text sentence = WA_TEXT_INIT;
    say_outcome(&sentence, checks, &t);
    if (t.worst != WA_OUTCOME_ERROR)
        say_broken(&sentence, checks);
    size_t left = wa_count(not_tested);
    if (left > 0)
        wa_text_printf(&sentence, " Not asked for here: %zu further limit%s of the contract.", left,
                       left == 1 ? "" : "s");
    ok = ok && !wa_text_failed(&sentence);
    if (!ok)
        wa_value_free(not_tested);
    ok = ok && wa_map_set(record, "not_tested", not_tested) &&
         wa_map_set(record, "outcome", wa_string(wa_outcome_word(t.worst))) &&
         wa_map_set(record, "sentence", wa_string(wa_text_string(&sentence)));
    wa_text_release(&sentence);
    return ok ? WA_OK : wa_no_memory(err);
}

wa_outcome wa_record_outcome(const wa_value *record)
{
    wa_outcome o = WA_OUTCOME_ERROR;
    wa_outcome_of(&o, wa_get_string(record, "outcome"));
    return o;
}
