/* keep.h - what was computed becomes a dossier on the disk. */
#ifndef WINDASSAY_RUN_KEEP_H
#define WINDASSAY_RUN_KEEP_H

#include "run/contents.h"
#include "windassay/run.h"

/** Adds what the machine is, writes the dossier as options->into or, without, as `beside`, and
 *  moves record and bytes into `out`. */
wa_status wa_keep(wa_run *out, wa_contents *made, wa_computed *computed, const wa_engine *engine,
                  const wa_run_options *options, const char *beside, wa_error *err);

#endif
