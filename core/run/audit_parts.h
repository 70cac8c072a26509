/* audit_parts.h - an audit while it goes on. */
#ifndef WINDASSAY_RUN_AUDIT_PARTS_H
#define WINDASSAY_RUN_AUDIT_PARTS_H

#include "run/difference.h"
#include "run/rerun.h"
#include "windassay/audit.h"

enum { WA_AUDIT_DIFFERENCES = 2000 /* kept; all are counted */ };

typedef struct wa_audit_state {
    const char *folder;
    const wa_engine *engine;
    const wa_audit_options *options;
    wa_bag *bag; /* NULL: damaged */
    wa_value *record;
    wa_found found;
    wa_rerun rerun;
    wa_differences differences;
    wa_value *out;
    bool same_version, same_arithmetic;
    bool from_intervals;
    bool broke;     /* it cannot be computed                                         */
    bool additions; /* the record differs by what another version adds, and no more  */
    size_t added;   /* fields                                                        */
    bool differs, incomplete;
    bool copy;       /* some of it is withheld: audit_copy.c */
    size_t withheld; /* fields and files */
} wa_audit_state;

/** Adds a level: "identical", "differs" (which is noted) or "not done". */
wa_status wa_audit_level(wa_audit_state *a, const char *name, const char *outcome, wa_error *err,
                         const char *format, ...) WA_PRINTF(5, 6);
/** Adds what explains a difference. */
wa_status wa_audit_cause(wa_audit_state *a, const char *cause, wa_error *err, const char *format,
                         ...) WA_PRINTF(4, 5);

/** True where all that differs so far is what this version of the program writes beside what the one
 *  that made the dossier wrote: new fields, nothing that was there before. */
bool wa_audit_additions(const wa_audit_state *a);

/** Lists the inputs: found, changed, not found. */
wa_status wa_audit_inputs(wa_audit_state *a, wa_error *err);
/** Lists the scripts, beside the record's list and beside those of this release. */
wa_status wa_audit_scripts(wa_audit_state *a, wa_error *err);
/** Whether it is a copy in which some is withheld, and all that can be said of one. */
bool wa_audit_is_copy(const wa_bag *bag);
wa_status wa_audit_copy(wa_audit_state *a, wa_error *err);
/** Compares all files of the dossier with those that were computed; adds the level. */
wa_status wa_audit_files(wa_audit_state *a, const char *level, wa_error *err);

#endif
