/* crate.h - ro-crate-metadata.json: what the dossier is, for programs that know RO-Crates and not us.
 *
 * RO-Crate 1.1 with the Process Run Crate profile 0.5 (both recalled): the payload folder data/ is the
 * crate; one CreateAction made its results with this program from inputs and scripts. It says nothing that
 * the record does not say, and no hour: what the clock and the machine were is in run.json alone.
 */
#ifndef WINDASSAY_RUN_CRATE_H
#define WINDASSAY_RUN_CRATE_H

#include "windassay/dossier.h"
#include "windassay/text.h"
#include "windassay/value.h"

#define WA_CRATE_FILE "ro-crate-metadata.json"

/** Appends the file of a dossier that holds all others but run.json already. */
wa_status wa_crate_write(wa_text *out, const wa_value *record, const wa_dossier *d, wa_error *err);

#endif
