/* compute.h - a campaign computed in memory, in three steps: opened, read, computed. Nothing is
 * written and nothing refused for what came out; `run` keeps it, `progress` looks at it. */
#ifndef WINDASSAY_RUN_COMPUTE_H
#define WINDASSAY_RUN_COMPUTE_H

#include "run/agenda.h"
#include "run/agreement.h"
#include "run/calibrations.h"
#include "run/execute.h"
#include "run/revision.h"
#include "run/tables.h"
#include "run/uses.h"
#include "windassay/records.h"

/** Where the data come from in place of the campaign's files and of the dossiers that it uses. */
typedef struct wa_origin {
    /* Opens what an earlier reading left; NULL: the files are read (wa_campaign.supply). */
    wa_status (*intervals)(wa_records_files *out, void *context, wa_error *err);
    wa_used_record *used; /* the records of earlier dossiers; NULL: from the dossiers */
    /* The bytes of the agreement; nothing where there is none. NULL: from the campaign's folder. */
    wa_status (*agreement)(wa_text *out, void *context, wa_error *err);
    void *context; /* of all */
    /* Of a dossier that is computed again: what it says of the release that made it stands. */
    const wa_value *record;
    bool same_version;           /* unless this very version made it: then it is found out anew */
    const wa_revising *revising; /* NULL: the campaign alone says what it replaces */
} wa_origin;

/** Each part is there once its step was made. Begins as { 0 }; released by wa_computed_release, also
 *  after a failure. */
typedef struct wa_computed {
    wa_origin from; /* zeroed: from the files, each where the campaign says */
    wa_agenda *agenda;
    wa_agreement agreement;
    wa_uses uses;
    wa_calibrations calibrations;
    wa_text superseded; /* bytes of the record that this one replaces; empty: none, or not known */
    wa_tables tables;
    wa_records *records;
    wa_ledger *ledgers; /* one for each planned check */
    wa_value *record;   /* closed; what result.json holds */
} wa_computed;

/** Evaluates the campaign, loads its checks, criteria, the earlier dossiers that it uses and the
 *  calibrations that it takes. */
wa_status wa_compute_open(wa_computed *c, const char *campaign, const wa_engine *engine,
                          wa_error *err);
/** The same for an agenda that is there, owned from now on, whose data come from elsewhere. */
wa_status wa_compute_opened(wa_computed *c, wa_agenda *agenda, const wa_origin *from,
                            wa_error *err);
/** Reads records and tables. A source of which no row lies in the period is an error. */
wa_status wa_compute_read(wa_computed *c, const wa_engine *engine, wa_error *err);
/** Runs the checks, decides, and makes the record. */
wa_status wa_compute_checks(wa_computed *c, const wa_engine *engine, wa_error *err);

/** Closes a record by the contracts of the agenda. */
wa_status wa_compute_close(wa_value *record, const wa_agenda *agenda, wa_error *err);

void wa_computed_release(wa_computed *c);

#endif
