/* Decisions: limits meet what a check measured. The parent decides, never a child. */
#include "windassay/criteria.h"

#include "result/entry.h"
#include "result/strict.h"

#include <string.h>

/* What one row of a decision is made from. */
typedef struct joining {
    const wa_value *entry;
    const wa_deciding *set;
    const wa_limit *limit;
    const wa_value *measured; /* the requirement; NULL: the check did not give it */
    wa_error *err;
} joining;

/* The limits in the unit of the requirement. */
static wa_status tolerance_in(const joining *j, wa_tolerance *t)
{
    const char *text = wa_get_string(j->measured, "unit");
    const char *name = wa_get_string(j->measured, "name");
    wa_unit unit;
    wa_error e = {0};
    *t = j->limit->tolerance;
    wa_status code = wa_unit_parse(&unit, text == NULL ? "" : text, &e);
    if (code == WA_OK && t->has_lower)
        code = wa_unit_convert(&t->lower, t->lower, &j->limit->unit, &unit, &e);
    if (code == WA_OK && t->has_upper)
        code = wa_unit_convert(&t->upper, t->upper, &j->limit->unit, &unit, &e);
    if (code == WA_OK)
        return WA_OK;
    wa_fail(j->err, WA_ERR_DATA,
            "criteria '%s': the limit of '%s' is in '%s', the check '%s' gives it in '%s'",
            j->set->criteria->name, name, j->limit->unit.text, j->limit->check,
            text == NULL ? "1" : text);
    return wa_hint(j->err, WA_ERR_DATA,
                   "the check says its unit in report:require(..., { unit = })");
}

static bool put_limits(wa_value *row, const wa_tolerance *t)
{
    wa_value *limits = wa_map();
    bool ok = limits != NULL;
    if (ok && t->has_lower)
        ok = wa_map_set(limits, "lower", wa_number(t->lower));
    if (ok && t->has_upper)
        ok = wa_map_set(limits, "upper", wa_number(t->upper));
    if (!ok)
        wa_value_free(limits);
    return ok && wa_map_set(row, "limits", limits);
}

static bool put_decision(wa_value *row, const joining *j, const wa_tolerance *t,
                         const wa_decision *d, const char *reason)
{
    const wa_limit *l = j->limit;
    bool ok = wa_map_set(row, "criteria", wa_string(j->set->criteria->name)) &&
              wa_map_set(row, "use", wa_string(j->set->contract ? "contract" : "information")) &&
              put_limits(row, t) && wa_map_set(row, "limit_source", wa_string(l->source)) &&
              wa_map_set(row, "evidence", wa_string(l->evidence)) &&
              (l->confirmed == NULL || wa_map_set(row, "confirmed", wa_value_copy(l->confirmed))) &&
              wa_map_set(row, "rule", wa_string(wa_rule_word(l->rule))) &&
              (l->rule == WA_RULE_SIMPLE || wa_map_set(row, "k", wa_number(l->k)));
    if (ok && d->has_guard_band)
        ok = wa_map_set(row, "guard_band", wa_number(d->guard_band));
    ok = ok && wa_map_set(row, "outcome", wa_string(wa_outcome_word(d->outcome)));
    if (ok && d->has_probability)
        ok = wa_map_set(row, "probability_of_conformity", wa_number(d->probability));
    return ok && (reason == NULL || wa_map_set(row, "reason", wa_string(reason)));
}

/* A requirement that the check gave. An inconclusive check makes it inconclusive. */
static wa_status decide_measured(const joining *j, wa_value *row)
{
    static const char *const keys[] = {"name", "value", "unit",         "u",
                                       "dof",  "k_95",  "scatter_only", "source"};
    wa_tolerance t;
    wa_decision d;
    wa_measured m = {0};
    wa_number_of(wa_get(j->measured, "value"), &m.value);
    m.has_u = wa_number_of(wa_get(j->measured, "u"), &m.u);
    m.scatter_only = wa_get(j->measured, "scatter_only") != NULL;
    wa_status code = tolerance_in(j, &t);
    if (code == WA_OK)
        code = wa_conformity_decide(&d, &m, &t, j->limit->rule, j->limit->k, j->err);
    if (code != WA_OK)
        return code;
    const char *reason = d.reason;
    if (strcmp(wa_get_string(j->entry, "status"), "ran") != 0) {
        d.outcome = WA_OUTCOME_INCONCLUSIVE;
        reason = wa_get_string(j->entry, "reason");
    }
    bool ok = true;
    for (size_t i = 0; ok && i < STRICT_COUNT(keys); i++)
        ok = entry_carry(row, j->measured, keys[i]);
    return ok && put_decision(row, j, &t, &d, reason) ? WA_OK : wa_no_memory(j->err);
}

/* A requirement that the check did not give. */
static wa_status decide_absent(const joining *j, wa_value *row)
{
    const char *status = wa_get_string(j->entry, "status");
    const char *reason = wa_get_string(j->entry, "reason");
    wa_decision d = {.outcome = WA_OUTCOME_NOT_TESTED};
    if (strcmp(status, "inconclusive") == 0)
        d.outcome = WA_OUTCOME_INCONCLUSIVE;
    if (strcmp(status, "error") == 0) {
        d.outcome = WA_OUTCOME_ERROR;
        reason = "the check broke";
    } else if (reason == NULL) {
        reason = "the check does not give this requirement";
    }
    bool ok = wa_map_set(row, "name", wa_string(j->limit->require)) &&
              wa_map_set(row, "value", wa_null()) &&
              wa_map_set(row, "unit", wa_string(j->limit->unit.text)) &&
              put_decision(row, j, &j->limit->tolerance, &d, reason);
    return ok ? WA_OK : wa_no_memory(j->err);
}

/* What the check measured, each requirement once: rows with a value, the first of a name. */
static const wa_value *measured_of(const wa_value *entry, const char *name)
{
    const wa_value *rows = wa_get(entry, "requirements");
    for (size_t i = 0; i < wa_count(rows); i++) {
        const wa_value *row = wa_at(rows, i);
        if (strcmp(wa_get_string(row, "name"), name) == 0)
            return wa_value_kind(wa_get(row, "value")) == WA_NUMBER ? row : NULL;
    }
    return NULL;
}

static bool applies(const wa_limit *l, const char *check, const char *run)
{
    return strcmp(l->check, check) == 0 && (l->run == NULL) == (run == NULL) &&
           (run == NULL || strcmp(l->run, run) == 0);
}

/* A row that could not be tested is no pass: it counts as inconclusive. */
static wa_outcome counted(wa_outcome row)
{
    return row == WA_OUTCOME_NOT_TESTED ? WA_OUTCOME_INCONCLUSIVE : row;
}

static wa_status decide_set(const wa_value *entry, const char *run, const wa_deciding *set,
                            wa_value *rows, size_t *n_rows, wa_outcome *worst, wa_error *err)
{
    const char *check = wa_get_string(entry, "name");
    for (size_t i = 0; i < set->criteria->n_limits; i++) {
        const wa_limit *l = &set->criteria->limits[i];
        if (!applies(l, check, run))
            continue;
        wa_value *row = wa_map();
        if (row == NULL)
            return wa_no_memory(err);
        joining j = {entry, set, l, measured_of(entry, l->require), err};
        wa_status code = j.measured == NULL ? decide_absent(&j, row) : decide_measured(&j, row);
        if (code != WA_OK) {
            wa_value_free(row);
            return code;
        }
        wa_outcome o = WA_OUTCOME_ERROR;
        wa_outcome_of(&o, wa_get_string(row, "outcome"));
        *worst = wa_outcome_worst(*worst, counted(o));
        ++*n_rows;
        if (!wa_list_add(rows, row))
            return wa_no_memory(err);
    }
    return WA_OK;
}

static bool limited(const wa_value *rows, const char *name)
{
    for (size_t i = 0; i < wa_count(rows); i++)
        if (strcmp(wa_get_string(wa_at(rows, i), "name"), name) == 0)
            return true;
    return false;
}

/* Requirements that nobody limits stay, so that other criteria can decide them later. */
static wa_status keep_the_rest(const wa_value *entry, wa_value *rows, wa_error *err)
{
    static const char *const keys[] = {"name", "value", "unit",         "u",
                                       "dof",  "k_95",  "scatter_only", "source"};
    const wa_value *all = wa_get(entry, "requirements");
    for (size_t i = 0; i < wa_count(all); i++) {
        const char *name = wa_get_string(wa_at(all, i), "name");
        const wa_value *measured = measured_of(entry, name);
        if (measured == NULL || limited(rows, name))
            continue;
        wa_value *row = wa_map();
        bool ok = row != NULL;
        for (size_t k = 0; ok && k < STRICT_COUNT(keys); k++)
            ok = entry_carry(row, measured, keys[k]);
        ok = ok &&
             wa_map_set(row, "outcome", wa_string(wa_outcome_word(WA_OUTCOME_FOR_INFORMATION)));
        if (!ok) {
            wa_value_free(row);
            return wa_no_memory(err);
        }
        if (!wa_list_add(rows, row))
            return wa_no_memory(err);
    }
    return WA_OK;
}

/* The check's outcome: what its contract says of it. */
static wa_outcome outcome_of(const wa_value *entry, bool any_set, bool any_row, wa_outcome worst)
{
    const char *status = wa_get_string(entry, "status");
    if (strcmp(status, "error") == 0)
        return WA_OUTCOME_ERROR;
    if (strcmp(status, "not applicable") == 0)
        return WA_OUTCOME_NOT_APPLICABLE;
    if (any_row)
        return worst;
    return any_set ? WA_OUTCOME_FOR_INFORMATION : WA_OUTCOME_NO_DECISION;
}

static bool add_set(wa_value *list, const wa_deciding *set, wa_outcome outcome)
{
    wa_value *m = wa_map();
    bool ok = m != NULL && wa_map_set(m, "name", wa_string(set->criteria->name)) &&
              wa_map_set(m, "title", wa_string(set->criteria->title)) &&
              wa_map_set(m, "use", wa_string(set->contract ? "contract" : "information")) &&
              wa_map_set(m, "outcome", wa_string(wa_outcome_word(outcome)));
    if (!ok)
        wa_value_free(m);
    return ok && wa_list_add(list, m);
}

wa_status wa_record_decide(wa_value *entry, const char *run, const wa_deciding *sets, size_t n,
                           wa_error *err)
{
    wa_value *rows = wa_list(), *criteria = wa_list();
    wa_outcome worst = WA_OUTCOME_NO_DECISION;
    bool any_contract_row = false;
    wa_status code = rows == NULL || criteria == NULL ? wa_no_memory(err) : WA_OK;
    for (size_t i = 0; code == WA_OK && i < n; i++) {
        wa_outcome of_set = WA_OUTCOME_NO_DECISION;
        size_t n_rows = 0;
        code = decide_set(entry, run, &sets[i], rows, &n_rows, &of_set, err);
        if (code == WA_OK && n_rows > 0 && !add_set(criteria, &sets[i], of_set))
            code = wa_no_memory(err);
        if (n_rows > 0 && sets[i].contract) {
            any_contract_row = true;
            worst = wa_outcome_worst(worst, of_set);
        }
    }
    if (code == WA_OK)
        code = keep_the_rest(entry, rows, err);
    wa_outcome o = outcome_of(entry, n > 0, any_contract_row, worst);
    wa_value *outcome = code == WA_OK ? wa_string(wa_outcome_word(o)) : NULL;
    if (code == WA_OK && outcome == NULL)
        code = wa_no_memory(err);
    if (code == WA_OK) { /* keys that an entry always has: replacing them needs no memory */
        wa_map_set(entry, "outcome", outcome);
        wa_map_set(entry, "criteria", criteria);
        wa_map_set(entry, "requirements", rows);
        return WA_OK;
    }
    wa_value_free(rows);
    wa_value_free(criteria);
    return code;
}
