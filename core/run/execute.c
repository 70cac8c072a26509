#include "run/execute.h"

#include "run/job.h"
#include "windassay/pool.h"
#include "windassay/result.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

typedef struct execution {
    wa_plan *plan;
    const wa_records *records;
    const wa_engine *engine;
    wa_value *described, *campaign; /* as the cells get them */
    int memory;
    wa_ledger *ledgers;
} execution;

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

static wa_value *check_job(const execution *e, const wa_planned *p)
{
    wa_value *job = wa_map();
    bool good = wa_map_set(job, "job", wa_string("check")) &&
                wa_map_set(job, "check", wa_string(p->asked->name)) &&
                wa_map_set(job, "parameters", wa_result_parameters(p->entry)) &&
                wa_map_set(job, "campaign", wa_value_copy(e->campaign)) &&
                wa_map_set(job, "records", wa_value_copy(e->described));
    if (good && p->phase != NULL)
        good = wa_map_set(job, "phase", wa_value_copy(p->phase->more));
    if (!good) {
        wa_value_free(job);
        return NULL;
    }
    return job;
}

static char *ledger_title(const char *id, const char *account)
{
    wa_text t = WA_TEXT_INIT;
    wa_text_add(&t, id);
    if (strcmp(account, "intervals") != 0)
        wa_text_printf(&t, ".%s", account);
    if (wa_text_failed(&t)) {
        wa_text_release(&t);
        return NULL;
    }
    return t.at;
}

/* One account from its masks and states; wa_result_accept has looked at them already. */
static wa_status recompute(wa_account **out, const wa_value *sent, size_t n, wa_error *err)
{
    wa_account *a = NULL;
    wa_status s = wa_account_new(&a, wa_get_string(sent, "name"), n, err);
    const wa_value *list = wa_get(sent, "exclusions");
    for (size_t i = 0; i < wa_count(list) && s == WA_OK; i++) {
        const wa_value *x = wa_at(list, i);
        const char *unknown = wa_get_string(x, "unknown");
        s = wa_account_exclude(
            a, wa_get_string(x, "reason"), (const uint8_t *)wa_get_string(x, "mask"),
            unknown != NULL && strcmp(unknown, "keep") == 0, wa_true(wa_get(x, "both_sides")), err);
    }
    if (s == WA_OK)
        s = wa_account_close(a, (const uint8_t *)wa_get_string(sent, "states"), err);
    if (s == WA_OK)
        *out = a;
    else
        wa_account_free(a);
    return s;
}

static wa_status fill_ledger(wa_ledger *ledger, const wa_value *reply, const char *id, size_t n,
                             wa_error *err)
{
    const wa_value *accounts = wa_get(reply, "accounts");
    size_t count = wa_count(accounts);
    ledger->accounts = calloc(count + 1, sizeof *ledger->accounts);
    ledger->titles = calloc(count + 1, sizeof *ledger->titles);
    if (ledger->accounts == NULL || ledger->titles == NULL)
        return no_memory(err);
    wa_status s = WA_OK;
    for (size_t i = 0; i < count && s == WA_OK; i++) {
        s = recompute(&ledger->accounts[i], wa_at(accounts, i), n, err);
        if (s != WA_OK)
            return s;
        ledger->n++;
        ledger->titles[i] = ledger_title(id, ledger->accounts[i]->name);
        if (ledger->titles[i] == NULL)
            return no_memory(err);
    }
    return s;
}

/* A fault of the cell or of its answer is a row of the record; only memory and our own faults
 * end the run. */
static wa_status broke(wa_planned *p, const wa_error *why, wa_error *err)
{
    if (why->code == WA_ERR_NOMEM || why->code == WA_ERR_INTERNAL || why->code == WA_ERR_IO) {
        if (err != NULL)
            *err = *why;
        return why->code;
    }
    return wa_result_broke(&p->entry, why, err);
}

static wa_status run_check(void *context, size_t i, wa_error *err)
{
    execution *e = context;
    wa_planned *p = &e->plan->checks[i];
    wa_value *reply = NULL, *job = NULL;
    wa_error why;
    wa_status s = WA_OK;
    if (p->applicable) {
        job = check_job(e, p);
        if (job == NULL)
            return no_memory(err);
        const wa_limits limits = wa_limits_default(e->engine->cell);
        s = wa_cell_run(&reply, job, e->memory, e->plan->modules, &limits, &why);
        wa_value_free(job);
        if (s == WA_OK)
            s = wa_result_accept(&p->entry, reply, e->records->n, &why);
        if (s == WA_OK)
            s = fill_ledger(&e->ledgers[i], reply, wa_get_string(p->entry, "id"), e->records->n,
                            &why);
        if (s != WA_OK)
            s = broke(p, &why, err);
    }
    if (s == WA_OK)
        s = wa_record_decide(p->entry, p->run, p->sets, p->n_sets, err);
    wa_value_free(reply);
    return s;
}

wa_status wa_execute(wa_plan *plan, const wa_records *records, const wa_engine *engine,
                     wa_ledger *ledgers, wa_error *err)
{
    execution e = {plan,
                   records,
                   engine,
                   wa_job_describe(records, plan->campaign),
                   wa_job_campaign(plan->campaign),
                   -1,
                   ledgers};
    wa_status s = WA_OK;
    if (e.described == NULL || e.campaign == NULL)
        s = no_memory(err);
    if (s == WA_OK)
        s = wa_job_memory(&e.memory, records, err);
    if (s == WA_OK)
        s = wa_pool_run(engine->jobs, plan->n_checks, run_check, &e, err);
    if (e.memory >= 0)
        close(e.memory);
    wa_value_free(e.described);
    wa_value_free(e.campaign);
    return s;
}

void wa_ledger_release(wa_ledger *l)
{
    for (size_t i = 0; i < l->n; i++) {
        wa_account_free(l->accounts[i]);
        free(l->titles[i]);
    }
    free(l->accounts);
    free(l->titles);
    *l = (wa_ledger){0};
}
