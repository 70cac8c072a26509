/* rerun.h - a dossier computed again, in memory, from its own copies of campaign and scripts.
 *
 * Nothing is unpacked and nothing is written. Scripts are served out of the bag, in the sandbox, as
 * in any run; inputs are found by digest (found.h), or the interval statistics of the dossier
 * stand for them. The dossier may be a stranger's: a number in it is checked before it is used, a
 * path in it is never opened.
 */
#ifndef WINDASSAY_RUN_RERUN_H
#define WINDASSAY_RUN_RERUN_H

#include "data/supply.h"
#include "run/contents.h"
#include "run/found.h"

/** Criteria in place of the campaign's contracts. */
typedef struct wa_other_criteria {
    const char *name; /* of the set: letters, digits, underscores */
    const char *text; /* of its file                              */
} wa_other_criteria;

typedef struct wa_rerun_options {
    bool from_intervals;               /* intervals.csv in place of the inputs of sources      */
    bool same_version;                 /* this very version of the program made the dossier    */
    const wa_other_criteria *criteria; /* NULL: as the campaign, or the dossier's record, says */
    const char *reason;                /* with criteria: why; what comes replaces the dossier  */
} wa_rerun_options;

/** Begins zeroed; must stay where it is until it is released, also after a failure. */
typedef struct wa_rerun {
    const wa_bag *bag; /* borrowed, as all that was given */
    const wa_value *record;
    const wa_found *found;
    wa_rerun_options options;
    wa_supply supply;
    wa_revising revising; /* by other criteria, now or in the dossier; criteria NULL: by none */
    wa_computed computed;
    wa_contents made; /* the files of the dossier, but for run.json and inputs/ */
} wa_rerun;

/** Reads data/result.json. WA_ERR_DATA where it is no record of the form that this version reads,
 *  or its interface is not known: the message names the version that is needed. */
wa_status wa_rerun_record(wa_value **record, const wa_bag *bag, wa_error *err);

/** The campaign of a dossier, evaluated, for what it says of sources and files. Its scripts cannot be
 *  asked for more. */
wa_status wa_rerun_agenda(wa_agenda **out, const wa_bag *bag, const wa_value *record,
                          const wa_engine *engine, wa_error *err);

/** Evaluates the dossier's campaign, its checks and criteria. `found` is what wa_found_look found
 *  for its record. Needs no data. */
wa_status wa_rerun_open(wa_rerun *r, const wa_bag *bag, const wa_value *record,
                        const wa_found *found, const wa_rerun_options *options,
                        const wa_engine *engine, wa_error *err);

/** Decides again what the record says was measured, by the dossier's own criteria: a record that is
 *  equal where nobody changed a limit, an outcome or a sentence. */
wa_status wa_rerun_decide(wa_value **decided, const wa_rerun *r, wa_error *err);

/** Computes everything again. A file that is needed and was not found is WA_ERR_MISSING, one that
 *  changed is read as it is now. The record keeps the dossier's number of arithmetic. */
wa_status wa_rerun_compute(wa_rerun *r, const wa_engine *engine, wa_error *err);

void wa_rerun_release(wa_rerun *r);

#endif
