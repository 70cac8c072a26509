#include "run/stability.h"

#include "run/stability_plan.h"
#include "windassay/number.h"
#include "windassay/pool.h"
#include "windassay/time.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef wa_stability_plan plan;

/* ---- planning ------------------------------------------------------------------------------- */

wa_variant *wa_stability_add(plan *p, wa_variant_kind kind, const char *name)
{
    wa_variant *more = realloc(p->at, (p->n + 1) * sizeof *more);
    if (more == NULL)
        return NULL;
    p->at = more;
    wa_variant *v = &more[p->n];
    *v = (wa_variant){.kind = kind};
    if (name != NULL && (v->name = strdup(name)) == NULL)
        return NULL;
    p->n++;
    return v;
}

static bool plan_exclusions(plan *p)
{
    for (size_t k = 0; k < p->accounts->n; k++) {
        const wa_account *a = p->accounts->at[k];
        for (size_t i = 0; i < a->n_exclusions; i++) {
            const wa_exclusion *x = &a->exclusions[i];
            if (x->event && k > 0)
                continue; /* of the whole campaign: once */
            wa_variant *v = wa_stability_add(p, WA_VARIANT_EXCLUSION, x->reason);
            if (v == NULL || (v->account = strdup(a->name)) == NULL)
                return false;
            v->event = x->event;
            v->same = x->only == 0;
        }
    }
    return true;
}

/* 0.2 + 0.1 is 0.3, not 0.30000000000000004: what is moved is a short decimal, too. */
static double moved(double value, double by)
{
    char text[WA_NUMBER_FIXED_SIZE];
    double sum = value + by, rounded = sum;
    size_t n = wa_number_fixed(text, sum, 12);
    wa_number_parse(&rounded, text, n);
    return fabs(rounded - sum) <= 1e-9 * fabs(by) ? rounded : sum;
}

/* What criteria prescribe is no choice of the analyst's: it is not moved. */
static bool plan_parameters(plan *p)
{
    const wa_value *list = wa_get(p->check->entry, "parameters");
    for (size_t i = 0; i < wa_count(list); i++) {
        double value, by;
        const char *name = wa_get_string(wa_at(list, i), "name");
        if (wa_get(p->check->prescribed, name) != NULL)
            continue;
        if (!wa_number_of(wa_get(wa_at(list, i), "value"), &value) ||
            !wa_number_of(wa_get(wa_at(list, i), "tolerance"), &by))
            continue;
        for (int sign = -1; sign <= 1; sign += 2) {
            wa_variant *v = wa_stability_add(p, WA_VARIANT_PARAMETER, name);
            if (v == NULL)
                return false;
            const char *unit = wa_get_string(wa_at(list, i), "unit");
            if (unit != NULL && (v->unit = strdup(unit)) == NULL)
                return false;
            v->value = moved(value, sign * by);
        }
    }
    return true;
}

static bool is_used(const plan *p, size_t interval)
{
    for (size_t k = 0; k < p->accounts->n; k++)
        if (p->accounts->at[k]->states[interval] != WA_STATE_EXCLUDED)
            return true;
    return false;
}

/* Days of which the check used something. */
static bool plan_days(plan *p, const wa_records *r)
{
    int64_t last = INT64_MIN;
    for (size_t i = 0; i < r->n; i++) {
        char date[WA_TIME_TEXT_SIZE];
        int64_t day = wa_day_of(r->from + (int64_t)i * r->interval_ns);
        if (day == last || !is_used(p, i))
            continue;
        last = day;
        wa_time_print(date, day * WA_DAY_NS);
        date[strlen("2026-03-02")] = '\0';
        wa_variant *v = wa_stability_add(p, WA_VARIANT_DAY, date);
        if (v == NULL)
            return false;
        v->day = day;
    }
    return true;
}

/* A period that was extended: what it would have come to at its planned end. Whoever extends until
 * it passes is seen here, so that no campaign can switch it off. */
static bool plan_planned_end(plan *p, const wa_campaign *c)
{
    char text[WA_TIME_TEXT_SIZE];
    if (c->planned_to >= c->to)
        return true;
    wa_time_print(text, c->planned_to);
    wa_variant *v = wa_stability_add(p, WA_VARIANT_PLANNED, text);
    if (v == NULL)
        return false;
    v->before = (double)c->planned_to / 1e9;
    return true;
}

static bool plan_resamples(plan *p, const wa_stability *asked)
{
    for (size_t i = 0; i < asked->resamples; i++) {
        wa_variant *v = wa_stability_add(p, WA_VARIANT_RESAMPLE, NULL);
        if (v == NULL)
            return false;
        v->seed = asked->seed + (uint32_t)i;
    }
    return true;
}

static bool ran(const wa_planned *p)
{
    return p->applicable && strcmp(wa_get_string(p->entry, "status"), "ran") == 0;
}

/* A check that ran and is decided by some criteria. */
static bool concerned(const wa_planned *p)
{
    return ran(p) && wa_outcome_decides(wa_record_decided(p->entry));
}

static wa_status plan_check(plan *to, const wa_execution *e, wa_error *err)
{
    const wa_stability *asked = &to->check->asked->stability;
    bool good = plan_planned_end(to, e->agenda->campaign) &&
                (!asked->exclusions || plan_exclusions(to)) &&
                (!asked->parameters || plan_parameters(to)) &&
                (!asked->days || plan_days(to, e->records)) && plan_resamples(to, asked);
    return good ? WA_OK : wa_no_memory(err);
}

/* ---- running -------------------------------------------------------------------------------- */

static wa_value *change_of(const wa_variant *v, const wa_stability *asked)
{
    wa_value *m = wa_map();
    bool good = m != NULL;
    if (v->kind == WA_VARIANT_EXCLUSION && v->event)
        good = good && wa_map_set(m, "event", wa_string(v->name));
    else if (v->kind == WA_VARIANT_EXCLUSION)
        good = good && wa_map_set(m, "skip", wa_string(v->name)) &&
               wa_map_set(m, "account", wa_string(v->account));
    else if (v->kind == WA_VARIANT_DAY)
        good = good && wa_map_set(m, "day", wa_number((double)v->day));
    else if (v->kind == WA_VARIANT_PLANNED)
        good = good && wa_map_set(m, "before", wa_number(v->before));
    else if (v->kind == WA_VARIANT_RESAMPLE)
        good = good && wa_map_set(m, "seed", wa_number(v->seed)) &&
               wa_map_set(m, "length", wa_number((double)asked->length));
    if (!good) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

/* What an entry begins with: who the check is, and its parameters. */
static wa_value *head_of(const wa_value *entry)
{
    static const char *const keys[] = {"id", "name", "title", "practice", "parameters"};
    wa_value *m = wa_map();
    for (size_t i = 0; i < sizeof keys / sizeof *keys && m != NULL; i++)
        if (!wa_map_set(m, keys[i], wa_value_copy(wa_get(entry, keys[i])))) {
            wa_value_free(m);
            return NULL;
        }
    return m;
}

wa_status wa_stability_try(wa_variant *v, const wa_execution *e, const wa_planned *check,
                           wa_value *change, wa_value *results, wa_error *err)
{
    wa_accounts none = {0};
    wa_value *reply = NULL, *job = wa_check_job(e, check);
    wa_error why;
    v->entry = head_of(check->entry);
    bool good = wa_map_set(job, "variant", change) && v->entry != NULL;
    if (v->kind == WA_VARIANT_PARAMETER && v->of == NULL)
        good = good && wa_map_set(wa_get_mutable(job, "parameters"), v->name, wa_number(v->value));
    if (results != NULL)
        good = wa_map_set(wa_get_mutable(job, "campaign"), "results", results) && good;
    if (!good) {
        wa_value_free(job);
        return wa_no_memory(err);
    }
    const wa_limits limits = wa_limits_default(e->engine->cell);
    wa_status s = wa_cell_run(&reply, job, e->memory, e->agenda->modules, &limits, &why);
    if (s == WA_OK)
        s = wa_result_accept(&v->entry, &none, reply, e->records->n, e->records->events,
                             e->records->n_events, &why);
    if (s != WA_OK)
        s = wa_check_broke(&v->entry, &why, err);
    if (s == WA_OK)
        s = wa_record_decide(v->entry, check->run, check->sets, check->n_sets, err);
    wa_accounts_release(&none);
    wa_value_free(reply);
    wa_value_free(job);
    return s;
}

typedef struct task {
    const plan *plan;
    wa_variant *variant;
} task;

typedef struct work {
    const wa_execution *e;
    const plan *plans;
    task *tasks;
    bool whole; /* some check judges the results */
} work;

static wa_status run_variant(void *context, size_t i, wa_error *err)
{
    const work *w = context;
    const plan *p = w->tasks[i].plan;
    wa_variant *v = w->tasks[i].variant;
    wa_value *results = NULL,
             *change = v->of != NULL ? wa_map() : change_of(v, &p->check->asked->stability);
    bool good = change != NULL && (!w->whole || wa_map_set(change, "whole", wa_bool(true)));
    if (p->check->last && good)
        good = (results = wa_stability_results(w->e, w->plans, v, w->e->agenda->n_checks)) != NULL;
    if (!good) {
        wa_value_free(change);
        return wa_no_memory(err);
    }
    return wa_stability_try(v, w->e, p->check, change, results, err);
}

/* The variants of those checks that judge results of others, or of all others. */
static wa_status run_round(const wa_execution *e, plan *plans, bool last, bool whole, wa_error *err)
{
    size_t most = 1, n = 0;
    for (size_t i = 0; i < e->agenda->n_checks; i++)
        most += plans[i].n;
    work w = {.e = e, .plans = plans, .tasks = calloc(most, sizeof *w.tasks), .whole = whole};
    if (w.tasks == NULL)
        return wa_no_memory(err);
    for (size_t i = 0; i < e->agenda->n_checks; i++)
        for (size_t k = 0; k < plans[i].n; k++)
            if (plans[i].check->last == last && !plans[i].at[k].same)
                w.tasks[n++] = (task){&plans[i], &plans[i].at[k]};
    wa_status s = n == 0 ? WA_OK : wa_pool_run(e->engine->jobs, n, run_variant, &w, err);
    free(w.tasks);
    return s;
}

/* ---- who depends on whom -------------------------------------------------------------------- */

/* depends[judge * n + other]: for every check that judges results and is decided. */
static wa_status find_dependencies(bool *depends, bool *any, const wa_execution *e, wa_error *err)
{
    size_t n = e->agenda->n_checks;
    const wa_planned *checks = e->agenda->checks;
    wa_status s = WA_OK;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n && s == WA_OK; k++)
            if (checks[i].last && concerned(&checks[i]) && !checks[k].last && ran(&checks[k])) {
                s = wa_stability_depends(&depends[i * n + k], e, i, k, err);
                *any = *any || depends[i * n + k];
            }
    return s;
}

static bool needed(const bool *depends, size_t n, size_t other)
{
    bool any = false;
    for (size_t i = 0; i < n; i++)
        any = any || depends[i * n + other];
    return any;
}

static wa_status run_plans(plan *plans, bool *depends, const wa_execution *e, wa_error *err)
{
    size_t n = e->agenda->n_checks;
    wa_planned *checks = e->agenda->checks;
    bool whole = false;
    wa_status s = find_dependencies(depends, &whole, e, err);
    for (size_t i = 0; i < n && s == WA_OK; i++) {
        plans[i] = (plan){.check = &checks[i], .accounts = &e->ledgers[i].accounts};
        if (concerned(&checks[i]) || needed(depends, n, i))
            s = plan_check(&plans[i], e, err);
    }
    if (s == WA_OK)
        s = run_round(e, plans, false, whole, err);
    for (size_t i = 0; i < n && s == WA_OK; i++)
        for (size_t k = 0; k < n && s == WA_OK; k++)
            if (depends[i * n + k] && !wa_stability_carry(&plans[i], &plans[k]))
                s = wa_no_memory(err);
    if (s == WA_OK)
        s = run_round(e, plans, true, false, err);
    for (size_t i = 0; i < n && s == WA_OK; i++)
        if (plans[i].n > 0 && concerned(&checks[i]))
            s = wa_record_stability(checks[i].entry, plans[i].at, plans[i].n,
                                    &checks[i].asked->stability, err);
    return s;
}

wa_status wa_stability_run(const wa_execution *e, wa_error *err)
{
    size_t n = e->agenda->n_checks;
    plan *plans = calloc(n + 1, sizeof *plans);
    bool *depends = calloc(n * n + 1, sizeof *depends);
    wa_status s =
        plans == NULL || depends == NULL ? wa_no_memory(err) : run_plans(plans, depends, e, err);
    for (size_t i = 0; plans != NULL && i < n; i++)
        wa_variants_free(plans[i].at, plans[i].n);
    free(plans);
    free(depends);
    return s;
}
