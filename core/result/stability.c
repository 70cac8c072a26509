/* What variants of a check came to: rows, resamples, one sentence. */
#include "windassay/stability.h"

#include "result/entry.h"
#include "windassay/number.h"
#include "windassay/random.h"
#include "windassay/summary.h"
#include "windassay/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { NAMED_MAX = 3 }; /* variants that the sentence names for each outcome */

void wa_variants_free(wa_variant *v, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        free(v[i].name);
        free(v[i].account);
        free(v[i].of);
        free(v[i].unit);
        wa_value_free(v[i].entry);
    }
    free(v);
}

wa_outcome wa_record_decided(const wa_value *entry)
{
    wa_outcome outcome = WA_OUTCOME_ERROR, worst = WA_OUTCOME_NO_DECISION, one;
    wa_outcome_of(&outcome, wa_get_string(entry, "outcome"));
    const wa_value *sets = wa_get(entry, "criteria");
    if (wa_outcome_decides(outcome))
        return outcome;
    for (size_t i = 0; i < wa_count(sets); i++)
        if (wa_outcome_of(&one, wa_get_string(wa_at(sets, i), "outcome")))
            worst = wa_outcome_worst(worst, one);
    return worst;
}

/* ---- requirements --------------------------------------------------------------------------- */

/* Each requirement once (it may stand under several sets), where it has a value. */
static bool first_with_value(const wa_value *rows, size_t i)
{
    const wa_value *row = wa_at(rows, i);
    return wa_value_kind(wa_get(row, "value")) == WA_NUMBER &&
           entry_named(rows, wa_get_string(row, "name")) == row;
}

static wa_value *values_of(const wa_value *entry)
{
    const wa_value *rows = wa_get(entry, "requirements");
    wa_value *list = wa_list();
    for (size_t i = 0; i < wa_count(rows) && list != NULL; i++) {
        if (!first_with_value(rows, i))
            continue;
        wa_value *m = wa_map();
        bool ok = m != NULL && entry_carry(m, wa_at(rows, i), "name") &&
                  entry_carry(m, wa_at(rows, i), "value") && entry_carry(m, wa_at(rows, i), "u") &&
                  entry_carry(m, wa_at(rows, i), "unit");
        if (!ok) {
            wa_value_free(m);
            m = NULL;
        }
        if (!wa_list_add(list, m)) {
            wa_value_free(list);
            return NULL;
        }
    }
    return list;
}

static bool same_result(const wa_value *row, const wa_value *other)
{
    return wa_value_equal(wa_get(row, "value"), wa_get(other, "value")) &&
           wa_value_equal(wa_get(row, "u"), wa_get(other, "u"));
}

/* Whether a variant has another value of any requirement, or another uncertainty. One that never
 * does tells nothing: the requirement does not come from the records that were changed. */
bool wa_variant_moves(const wa_variant *v, const wa_value *entry)
{
    const wa_value *rows = wa_get(entry, "requirements");
    const wa_value *other = v->same ? rows : wa_get(v->entry, "requirements");
    for (size_t i = 0; i < wa_count(rows); i++) {
        const char *name = wa_get_string(wa_at(rows, i), "name");
        if (first_with_value(rows, i) && !same_result(wa_at(rows, i), entry_named(other, name)))
            return true;
    }
    return false;
}

/* ---- one row a variant ---------------------------------------------------------------------- */

static const char *kind_word(wa_variant_kind kind)
{
    static const char *const words[] = {"exclusion", "parameter", "day", "planned end", "resample"};
    return words[kind];
}

static wa_outcome outcome_of(const wa_variant *v, const wa_value *entry)
{
    return wa_record_decided(v->same ? entry : v->entry);
}

static wa_value *row_of(const wa_variant *v, const wa_value *entry)
{
    const wa_value *decided = v->same ? entry : v->entry;
    wa_value *m = wa_map();
    bool ok = m != NULL && wa_map_set(m, "variant", wa_string(kind_word(v->kind))) &&
              wa_map_set(m, "name", wa_string(v->name)) &&
              (v->of == NULL || wa_map_set(m, "check", wa_string(v->of))) &&
              (v->account == NULL || wa_map_set(m, "account", wa_string(v->account))) &&
              (v->kind != WA_VARIANT_PARAMETER || wa_map_set(m, "value", wa_number(v->value))) &&
              (v->unit == NULL || wa_map_set(m, "unit", wa_string(v->unit))) &&
              wa_map_set(m, "outcome", wa_string(wa_outcome_word(outcome_of(v, entry))));
    if (ok && v->same)
        ok = wa_map_set(m, "reason", wa_string("no interval is excluded by it alone"));
    else if (ok)
        ok = entry_carry(m, v->entry, "reason");
    if (!ok || !wa_map_set(m, "requirements", values_of(decided))) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

static wa_value *rows_of(const wa_variant *v, size_t n, const wa_value *entry)
{
    wa_value *list = wa_list();
    for (size_t i = 0; i < n && list != NULL; i++)
        if (v[i].kind != WA_VARIANT_RESAMPLE && !wa_list_add(list, row_of(&v[i], entry))) {
            wa_value_free(list);
            return NULL;
        }
    return list;
}

/* ---- the resamples -------------------------------------------------------------------------- */

typedef struct tally {
    size_t all, of[WA_OUTCOMES];
    size_t moved; /* resamples with another value */
} tally;

static tally count_resamples(const wa_variant *v, size_t n, const wa_value *entry)
{
    tally t = {0};
    for (size_t i = 0; i < n; i++)
        if (v[i].kind == WA_VARIANT_RESAMPLE) {
            t.of[outcome_of(&v[i], entry)]++;
            t.all++;
            t.moved += wa_variant_moves(&v[i], entry) ? 1 : 0;
        }
    return t;
}

static wa_value *outcomes_of(const tally *t)
{
    wa_value *list = wa_list();
    for (int o = 0; o < WA_OUTCOMES && list != NULL; o++) {
        if (t->of[o] == 0)
            continue;
        wa_value *m = wa_map();
        bool ok = m != NULL &&
                  wa_map_set(m, "outcome", wa_string(wa_outcome_word((wa_outcome)o))) &&
                  wa_map_set(m, "times", wa_number((double)t->of[o]));
        if (!ok) {
            wa_value_free(m);
            m = NULL;
        }
        if (!wa_list_add(list, m)) {
            wa_value_free(list);
            return NULL;
        }
    }
    return list;
}

/* What a requirement came to in the resamples that have it: at least two. */
static bool put_spread(wa_value *m, const double *x, size_t n, double *scratch)
{
    double sd = 0, low = 0, high = 0;
    bool ok = wa_map_set(m, "times", wa_number((double)n));
    if (n < 2)
        return ok;
    wa_status s = wa_summary_sd(&sd, x, n, NULL);
    if (s == WA_OK)
        s = wa_summary_quantile(&low, x, n, 0.025, scratch, NULL);
    if (s == WA_OK)
        s = wa_summary_quantile(&high, x, n, 0.975, scratch, NULL);
    return s != WA_OK
               ? ok
               : ok && wa_map_set(m, "standard_error", wa_number(sd)) &&
                     wa_map_set(m, "low", wa_number(low)) && wa_map_set(m, "high", wa_number(high));
}

static wa_value *spread_of(const wa_value *row, const wa_variant *v, size_t n, double *room)
{
    const char *name = wa_get_string(row, "name");
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        double x;
        if (v[i].kind == WA_VARIANT_RESAMPLE &&
            wa_number_of(wa_get(entry_named(wa_get(v[i].entry, "requirements"), name), "value"),
                         &x))
            room[count++] = x;
    }
    wa_value *m = wa_map();
    bool ok = m != NULL && entry_carry(m, row, "name") && entry_carry(m, row, "unit") &&
              put_spread(m, room, count, room + n);
    if (!ok) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

static wa_value *spreads_of(const wa_value *entry, const wa_variant *v, size_t n)
{
    const wa_value *rows = wa_get(entry, "requirements");
    wa_value *list = wa_list();
    double *room = malloc(2 * n * sizeof *room);
    bool ok = room != NULL && list != NULL;
    for (size_t i = 0; i < wa_count(rows) && ok; i++)
        if (first_with_value(rows, i))
            ok = wa_list_add(list, spread_of(wa_at(rows, i), v, n, room));
    free(room);
    if (!ok) {
        wa_value_free(list);
        return NULL;
    }
    return list;
}

static wa_value *resamples_of(const wa_value *entry, const wa_variant *v, size_t n, const tally *t,
                              const wa_stability *asked)
{
    wa_value *m = wa_map();
    bool ok = m != NULL && wa_map_set(m, "times", wa_number((double)t->all)) &&
              wa_map_set(m, "seed", wa_number(asked->seed)) &&
              wa_map_set(m, "generator", wa_string(WA_RANDOM_GENERATOR)) &&
              (asked->length == 0 || wa_map_set(m, "length", wa_number((double)asked->length))) &&
              wa_map_set(m, "outcomes", outcomes_of(t)) &&
              wa_map_set(m, "requirements", spreads_of(entry, v, n));
    if (!ok) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

/* ---- the sentence --------------------------------------------------------------------------- */

static void name_variant(wa_text *t, const wa_variant *v)
{
    char number[WA_NUMBER_SIZE];
    switch (v->kind) {
    case WA_VARIANT_EXCLUSION:
        wa_text_printf(t, "if '%s' is not excluded", v->name);
        if (strcmp(v->account, "intervals") != 0)
            wa_text_printf(t, " from %s", v->account);
        break;
    case WA_VARIANT_PARAMETER:
        wa_number_print(number, v->value);
        wa_text_printf(t, "if '%s' is %s", v->name, number);
        if (v->unit != NULL && strcmp(v->unit, "1") != 0)
            wa_text_printf(t, " %s", v->unit);
        break;
    case WA_VARIANT_PLANNED:
        wa_text_printf(t, "if the period ends as planned, at %s", v->name);
        break;
    default:
        wa_text_printf(t, "without %s", v->name);
        break;
    }
    if (v->of != NULL)
        wa_text_printf(t, " in %s", v->of);
}

/* "; turns to fail without 2026-03-05, if 'icing possible' is not excluded and 2 more" */
static size_t say_turns(wa_text *t, const wa_variant *v, size_t n, const wa_value *entry,
                        wa_outcome to)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        if (v[i].kind == WA_VARIANT_RESAMPLE || outcome_of(&v[i], entry) != to)
            continue;
        if (count++ >= NAMED_MAX)
            continue;
        if (count == 1 && to == WA_OUTCOME_ERROR)
            wa_text_add(t, "; the check breaks ");
        else if (count == 1)
            wa_text_printf(t, "; turns to %s ", wa_outcome_word(to));
        else
            wa_text_add(t, ", ");
        name_variant(t, &v[i]);
    }
    if (count > NAMED_MAX)
        wa_text_printf(t, " and in %zu more", count - NAMED_MAX);
    return count;
}

static void say_resamples(wa_text *t, const tally *of, wa_outcome outcome)
{
    if (of->moved == 0) {
        wa_text_add(t, "; resampling moves no requirement");
        return;
    }
    wa_text_printf(t, " in %zu of %zu resamples", of->of[outcome], of->all);
    for (int o = 0; o < WA_OUTCOMES; o++)
        if (o != (int)outcome && of->of[o] > 0)
            wa_text_printf(t, ", %s in %zu", wa_outcome_word((wa_outcome)o), of->of[o]);
}

static void say(wa_text *t, const wa_variant *v, size_t n, const wa_value *entry,
                const tally *resamples)
{
    wa_outcome outcome = wa_record_decided(entry);
    const char *word = wa_outcome_word(outcome);
    size_t turned = 0, still = 0, all = n - resamples->all;
    for (size_t i = 0; i < n; i++)
        still += v[i].kind != WA_VARIANT_RESAMPLE && !wa_variant_moves(&v[i], entry) ? 1 : 0;
    wa_text_printf(t, "%c%s", word[0] - 'a' + 'A', word + 1);
    if (resamples->all > 0)
        say_resamples(t, resamples, outcome);
    for (int o = 0; o < WA_OUTCOMES; o++)
        if (o != (int)outcome)
            turned += say_turns(t, v, n, entry, (wa_outcome)o);
    if (turned < all)
        wa_text_printf(t, "; unchanged in %zu of %zu variants", all - turned, all);
    if (still > 0)
        wa_text_printf(t, ", %zu of which move%s no requirement", still, still == 1 ? "s" : "");
    wa_text_add(t, ".");
}

wa_status wa_record_stability(wa_value *entry, const wa_variant *v, size_t n,
                              const wa_stability *asked, wa_error *err)
{
    wa_text sentence = WA_TEXT_INIT;
    tally t = count_resamples(v, n, entry);
    wa_value *m = wa_map();
    say(&sentence, v, n, entry, &t);
    bool ok = m != NULL && !wa_text_failed(&sentence) &&
              wa_map_set(m, "outcome", wa_string(wa_outcome_word(wa_record_decided(entry)))) &&
              wa_map_set(m, "sentence", wa_string(wa_text_string(&sentence))) &&
              wa_map_set(m, "rows", rows_of(v, n, entry)) &&
              (t.all == 0 || wa_map_set(m, "resamples", resamples_of(entry, v, n, &t, asked)));
    wa_text_release(&sentence);
    if (!ok) {
        wa_value_free(m);
        return wa_no_memory(err);
    }
    return wa_map_set(entry, "stability", m) ? WA_OK : wa_no_memory(err);
}
