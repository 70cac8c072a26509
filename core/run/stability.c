#include "run/stability.h"

#include "windassay/number.h"
#include "windassay/pool.h"
#include "windassay/stability.h"
#include "windassay/time.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

/* The variants of one check. */
typedef struct plan {
    const wa_planned *check;
    const wa_accounts *accounts;
    wa_variant *at;
    size_t n;
} plan;

/* ---- planning ------------------------------------------------------------------------------- */

static wa_variant *add(plan *p, wa_variant_kind kind, const char *name)
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
            wa_variant *v = add(p, WA_VARIANT_EXCLUSION, x->reason);
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
            wa_variant *v = add(p, WA_VARIANT_PARAMETER, name);
            if (v == NULL)
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
        wa_variant *v = add(p, WA_VARIANT_DAY, date);
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
    wa_variant *v = add(p, WA_VARIANT_PLANNED, text);
    if (v == NULL)
        return false;
    v->before = (double)c->planned_to / 1e9;
    return true;
}

static bool plan_resamples(plan *p, const wa_stability *asked)
{
    for (size_t i = 0; i < asked->resamples; i++) {
        wa_variant *v = add(p, WA_VARIANT_RESAMPLE, NULL);
        if (v == NULL)
            return false;
        v->seed = asked->seed + (uint32_t)i;
    }
    return true;
}

/* A check that ran and is decided by some criteria. One that judges results of others is not: they
 * would have to vary with it. */
static bool concerned(const wa_planned *p)
{
    const char *status = wa_get_string(p->entry, "status");
    return p->applicable && !p->last && strcmp(status, "ran") == 0 &&
           wa_outcome_decides(wa_record_decided(p->entry));
}

static wa_status plan_check(plan *to, const wa_execution *e, size_t i, wa_error *err)
{
    const wa_planned *p = &e->agenda->checks[i];
    const wa_stability *asked = &p->asked->stability;
    *to = (plan){.check = p, .accounts = &e->ledgers[i].accounts};
    if (!concerned(p))
        return WA_OK;
    bool good = plan_planned_end(to, e->agenda->campaign) &&
                (!asked->exclusions || plan_exclusions(to)) &&
                (!asked->parameters || plan_parameters(to)) &&
                (!asked->days || plan_days(to, e->records)) && plan_resamples(to, asked);
    return good ? WA_OK : no_memory(err);
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

static wa_value *job_of(const wa_execution *e, const plan *p, const wa_variant *v)
{
    wa_value *job = wa_check_job(e, p->check);
    bool good = job != NULL &&
                wa_map_set(job, "variant", change_of(v, &p->check->asked->stability)) &&
                (v->kind != WA_VARIANT_PARAMETER ||
                 wa_map_set(wa_get_mutable(job, "parameters"), v->name, wa_number(v->value)));
    if (!good) {
        wa_value_free(job);
        return NULL;
    }
    return job;
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

typedef struct task {
    const plan *plan;
    wa_variant *variant;
} task;

typedef struct work {
    const wa_execution *e;
    task *tasks;
} work;

static wa_status run_variant(void *context, size_t i, wa_error *err)
{
    const work *w = context;
    const wa_execution *e = w->e;
    const plan *p = w->tasks[i].plan;
    wa_variant *v = w->tasks[i].variant;
    wa_accounts none = {0};
    wa_value *reply = NULL, *job = job_of(e, p, v);
    wa_error why;
    v->entry = head_of(p->check->entry);
    if (job == NULL || v->entry == NULL) {
        wa_value_free(job);
        return no_memory(err);
    }
    const wa_limits limits = wa_limits_default(e->engine->cell);
    wa_status s = wa_cell_run(&reply, job, e->memory, e->agenda->modules, &limits, &why);
    if (s == WA_OK)
        s = wa_result_accept(&v->entry, &none, reply, e->records->n, e->records->events,
                             e->records->n_events, &why);
    if (s != WA_OK)
        s = wa_check_broke(&v->entry, &why, err);
    if (s == WA_OK)
        s = wa_record_decide(v->entry, p->check->run, p->check->sets, p->check->n_sets, err);
    wa_accounts_release(&none);
    wa_value_free(reply);
    wa_value_free(job);
    return s;
}

static wa_status run_all(const wa_execution *e, plan *plans, wa_error *err)
{
    size_t most = 1, n = 0;
    for (size_t i = 0; i < e->agenda->n_checks; i++)
        most += plans[i].n;
    work w = {.e = e, .tasks = calloc(most, sizeof *w.tasks)};
    if (w.tasks == NULL)
        return no_memory(err);
    for (size_t i = 0; i < e->agenda->n_checks; i++)
        for (size_t k = 0; k < plans[i].n; k++)
            if (!plans[i].at[k].same)
                w.tasks[n++] = (task){&plans[i], &plans[i].at[k]};
    wa_status s = n == 0 ? WA_OK : wa_pool_run(e->engine->jobs, n, run_variant, &w, err);
    free(w.tasks);
    return s;
}

wa_status wa_stability_run(const wa_execution *e, wa_error *err)
{
    size_t n = e->agenda->n_checks;
    plan *plans = calloc(n + 1, sizeof *plans);
    wa_status s = plans == NULL ? no_memory(err) : WA_OK;
    for (size_t i = 0; i < n && s == WA_OK; i++)
        s = plan_check(&plans[i], e, i, err);
    if (s == WA_OK)
        s = run_all(e, plans, err);
    for (size_t i = 0; i < n && s == WA_OK; i++)
        if (plans[i].n > 0)
            s = wa_record_stability(e->agenda->checks[i].entry, plans[i].at, plans[i].n,
                                    &plans[i].check->asked->stability, err);
    for (size_t i = 0; plans != NULL && i < n; i++)
        wa_variants_free(plans[i].at, plans[i].n);
    free(plans);
    return s;
}
