#include "run/execute.h"

#include "run/job.h"
#include "run/stability.h"
#include "run/uses.h"
#include "windassay/pool.h"
#include "windassay/result.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

wa_value *wa_check_job(const wa_execution *e, const wa_planned *p)
{
    wa_value *job = wa_map();
    bool good = wa_map_set(job, "job", wa_string("check")) &&
                wa_map_set(job, "check", wa_string(p->asked->name)) &&
                wa_map_set(job, "parameters", wa_result_parameters(p->entry)) &&
                wa_map_set(job, "campaign", wa_value_copy(e->campaign)) &&
                wa_map_set(job, "records", wa_value_copy(e->described)) &&
                wa_map_set(job, "tables", wa_value_copy(e->tables));
    if (good && e->agenda->campaign->running)
        good = wa_map_set(job, "coverage", wa_bool(true));
    if (good && p->last)
        good = wa_map_set(wa_get_mutable(job, "campaign"), "results", wa_value_copy(e->results));
    if (good && p->phase != NULL)
        good = wa_map_set(job, "phase", wa_value_copy(p->phase->more));
    if (!good) {
        wa_value_free(job);
        return NULL;
    }
    return job;
}

char *wa_ledger_title(const char *id, const char *account)
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

static wa_status give_titles(wa_ledger *ledger, const char *id, wa_error *err)
{
    ledger->titles = calloc(ledger->accounts.n + 1, sizeof *ledger->titles);
    if (ledger->titles == NULL)
        return wa_no_memory(err);
    for (size_t i = 0; i < ledger->accounts.n; i++) {
        ledger->titles[i] = wa_ledger_title(id, ledger->accounts.at[i]->name);
        if (ledger->titles[i] == NULL)
            return wa_no_memory(err);
    }
    return WA_OK;
}

wa_status wa_check_broke(wa_value **entry, const wa_error *why, wa_error *err)
{
    if (why->code == WA_ERR_NOMEM || why->code == WA_ERR_INTERNAL || why->code == WA_ERR_IO) {
        if (err != NULL)
            *err = *why;
        return why->code;
    }
    return wa_result_broke(entry, why, err);
}

static wa_status run_check(void *context, size_t i, wa_error *err)
{
    wa_execution *e = context;
    wa_planned *p = &e->agenda->checks[i];
    wa_value *reply = NULL, *job = NULL;
    wa_error why;
    wa_status s = WA_OK;
    if (p->last != e->last)
        return WA_OK;
    if (p->applicable) {
        job = wa_check_job(e, p);
        if (job == NULL)
            return wa_no_memory(err);
        const wa_limits limits = wa_limits_default(e->engine->cell);
        s = wa_cell_run(&reply, job, e->memory, e->agenda->modules, &limits, &why);
        const wa_records *r = e->records;
        wa_ledger *ledger = &e->ledgers[i];
        if (s == WA_OK && wa_get(reply, "coverage") != NULL && wa_get(job, "coverage") == NULL)
            s = wa_fail(&why, WA_ERR_SCRIPT, "the answer has a coverage that nobody asked for");
        if (s == WA_OK)
            s = wa_result_accept(&p->entry, &ledger->accounts, reply, r->n, r->events, r->n_events,
                                 &why);
        if (s == WA_OK)
            s = give_titles(ledger, wa_get_string(p->entry, "id"), &why);
        if (s != WA_OK)
            s = wa_check_broke(&p->entry, &why, err);
    }
    if (s == WA_OK)
        s = wa_record_decide(p->entry, p->run, p->sets, p->n_sets, err);
    wa_value_free(reply);
    wa_value_free(job);
    return s;
}

/* One memory for all cells: the records' arrays, then the tables'. */
static wa_status fill_memory(int *fd, const wa_records *records, const wa_tables *tables,
                             wa_error *err)
{
    wa_memory m;
    wa_status s = wa_memory_new(&m, err);
    if (s == WA_OK)
        s = wa_job_memory(&m, records, err);
    if (s == WA_OK)
        s = wa_tables_memory(&m, tables, err);
    return s == WA_OK ? wa_memory_seal(fd, &m, err) : s;
}

/* The checks that need no results of others; then, with these, those that do. */
static wa_status run_rounds(wa_execution *e, wa_error *err)
{
    const wa_agenda *agenda = e->agenda;
    wa_status s = wa_pool_run(e->engine->jobs, agenda->n_checks, run_check, e, err);
    bool any = false;
    for (size_t i = 0; i < agenda->n_checks; i++)
        any = any || agenda->checks[i].last;
    if (s != WA_OK || !any)
        return s;
    e->results = wa_uses_begin(agenda->campaign->described);
    bool good = e->results != NULL;
    for (size_t i = 0; i < agenda->n_checks && good; i++)
        if (!agenda->checks[i].last)
            good = wa_uses_add(e->results, agenda->checks[i].entry);
    if (!good)
        return wa_no_memory(err);
    e->last = true;
    return wa_pool_run(e->engine->jobs, agenda->n_checks, run_check, e, err);
}

wa_status wa_execute(wa_agenda *agenda, const wa_records *records, const wa_tables *tables,
                     const wa_value *uses, const wa_value *calibrations, const wa_engine *engine,
                     wa_ledger *ledgers, wa_error *err)
{
    size_t doubles = wa_job_doubles(records);
    wa_execution e = {.agenda = agenda,
                      .records = records,
                      .engine = engine,
                      .described = wa_job_describe(records, agenda->campaign),
                      .campaign = wa_job_campaign(agenda->campaign),
                      .tables = wa_tables_describe(tables, &doubles),
                      .memory = -1,
                      .ledgers = ledgers};
    wa_status s = WA_OK;
    if (e.described == NULL || e.campaign == NULL || e.tables == NULL ||
        !wa_map_set(e.campaign, "uses", wa_value_copy(uses)) ||
        !wa_map_set(e.campaign, "calibrations", wa_value_copy(calibrations)))
        s = wa_no_memory(err);
    if (s == WA_OK)
        s = fill_memory(&e.memory, records, tables, err);
    if (s == WA_OK)
        s = run_rounds(&e, err);
    if (s == WA_OK && !agenda->campaign->running) /* what varies it, may be asked of a whole one */
        s = wa_stability_run(&e, err);
    if (e.memory >= 0)
        close(e.memory);
    wa_value_free(e.described);
    wa_value_free(e.campaign);
    wa_value_free(e.tables);
    wa_value_free(e.results);
    return s;
}

void wa_ledger_release(wa_ledger *l)
{
    for (size_t i = 0; l->titles != NULL && i < l->accounts.n; i++)
        free(l->titles[i]);
    free(l->titles);
    wa_accounts_release(&l->accounts);
    *l = (wa_ledger){0};
}
