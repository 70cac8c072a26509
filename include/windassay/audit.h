/* audit.h - is a dossier what its own scripts and data give, computed again here?
 *
 * Four levels, each deeper than the one before:
 *   manifest        every file is there with its digest, none beside, no link
 *   decision        outcomes follow from what the record says was measured, by the dossier's criteria
 *   from intervals  every check follows from data/intervals.csv and what else was given
 *   from raw data   all of it follows from the input files, found by digest
 *
 * Evidence is compared byte for byte; presentation only under the same version of the program.
 * Nothing is written, nothing is fetched; the dossier may be a stranger's.
 */
#ifndef WINDASSAY_AUDIT_H
#define WINDASSAY_AUDIT_H

#include "windassay/report.h"
#include "windassay/run.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The namespace of a dossier's signature: ssh-keygen -Y sign -n windassay. */
#define WA_SIGNATURE_NAMESPACE "windassay"

typedef struct wa_audit_options {
    const char *data;            /* a folder in which inputs are looked for; NULL: none beside the
                                    dossier's own copies                                         */
    bool from_intervals;         /* not from raw data, even where all inputs are there           */
    const char *allowed_signers; /* as ssh-keygen has it: the signature must hold; NULL          */
} wa_audit_options;

/**
 * Audits a dossier. What was found is a map, which docs/reference/audit.md describes; "outcome" is
 * "identical", "identical except withheld" (a copy, deliver.h), "differs", or "not all computed again" (what was asked for was not there).
 * WA_ERR_MISSING without the folder, WA_ERR_DATA for what is no dossier, or has an interface that
 * this version does not know (the message names the version that is needed).
 */
wa_status wa_audit(wa_value **found, const char *dossier, const wa_engine *engine,
                   const wa_audit_options *options, wa_error *err);

/** The exit code of what was found: 0 identical (also except withheld), 1 differs, 66 not all computed again. */
int wa_audit_exit(const wa_value *found);

/** The same for people. */
wa_status wa_audit_print(wa_text *out, const wa_value *found, const wa_terminal *how,
                         wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
