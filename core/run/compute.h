/* compute.h - a campaign computed in memory, in three steps: opened, read, computed. Nothing is
 * written and nothing refused for what came out; `run` keeps it, `progress` looks at it. */
#ifndef WINDASSAY_RUN_COMPUTE_H
#define WINDASSAY_RUN_COMPUTE_H

#include "run/agenda.h"
#include "run/execute.h"
#include "run/tables.h"
#include "run/uses.h"
#include "windassay/records.h"

/** Each part is there once its step was made. Begins as { 0 }; released by wa_computed_release, also
 *  after a failure. */
typedef struct wa_computed {
    wa_agenda *agenda;
    wa_uses uses;
    wa_tables tables;
    wa_records *records;
    wa_ledger *ledgers; /* one for each planned check */
    wa_value *record;   /* closed; what result.json holds */
} wa_computed;

/** Evaluates the campaign, loads its checks, criteria, and the earlier dossiers that it uses. */
wa_status wa_compute_open(wa_computed *c, const char *campaign, const wa_engine *engine,
                          wa_error *err);
/** Reads records and tables. A source of which no row lies in the period is an error. */
wa_status wa_compute_read(wa_computed *c, const wa_engine *engine, wa_error *err);
/** Runs the checks, decides, and makes the record. */
wa_status wa_compute_checks(wa_computed *c, const wa_engine *engine, wa_error *err);

void wa_computed_release(wa_computed *c);

#endif
