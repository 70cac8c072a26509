/* execute.h - the checks of a plan, each in a sealed cell of its own, several at a time. */
#ifndef WINDASSAY_RUN_EXECUTE_H
#define WINDASSAY_RUN_EXECUTE_H

#include "run/agenda.h"
#include "run/tables.h"
#include "windassay/account.h"
#include "windassay/records.h"
#include "windassay/result.h"

/** The closed accounts of one planned check and their titles in ledger.csv: "CHECKID" or
 *  "CHECKID.ACCOUNT". A check that broke or does not apply has none. */
typedef struct wa_ledger {
    wa_accounts accounts;
    char **titles;
} wa_ledger;

/** What the checks of a plan run on. */
typedef struct wa_execution {
    wa_agenda *agenda;
    const wa_records *records;
    const wa_engine *engine;
    wa_value *described, *campaign, *tables; /* as the cells get them */
    wa_value *results; /* of the first round, for the checks of the second; NULL before that */
    bool last;         /* the second round: the checks that need results of others           */
    int memory;
    wa_ledger *ledgers; /* one place for each planned check */
} wa_execution;

/** The job of a check for its cell; the caller frees. NULL: memory. */
wa_value *wa_check_job(const wa_execution *e, const wa_planned *p);

/** A fault of the cell or of its answer is a row of the record; only memory and our own faults end
 *  the run. */
wa_status wa_check_broke(wa_value **entry, const wa_error *why, wa_error *err);

/**
 * Runs every applicable check of the plan, puts what it found into its entry, and decides it. A
 * check that breaks says so in its entry. `ledgers` has one place for each planned check; `uses` and
 * `calibrations` are what they see of earlier dossiers (uses.h, calibrations.h).
 */
wa_status wa_execute(wa_agenda *agenda, const wa_records *records, const wa_tables *tables,
                     const wa_value *uses, const wa_value *calibrations, const wa_engine *engine,
                     wa_ledger *ledgers, wa_error *err);
void wa_ledger_release(wa_ledger *l);

/** What ledger.csv calls an account: "CHECKID" or "CHECKID.ACCOUNT". The caller frees. NULL: memory. */
char *wa_ledger_title(const char *id, const char *account);

#endif
