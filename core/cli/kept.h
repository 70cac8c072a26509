/* kept.h - what the commands that leave a dossier have in common. */
#ifndef WINDASSAY_CLI_KEPT_H
#define WINDASSAY_CLI_KEPT_H

#include "windassay/run.h"

#include <stdbool.h>

/** Compiler, host and clock, for data/run.json; the texts are static. */
void wa_kept_machine(wa_run_options *o);

/** Prints the tables and where the dossier lies, or the record as JSON; returns the exit code. */
int wa_kept_show(const wa_run *run, bool json);

#endif
