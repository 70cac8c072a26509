/* progress.h - how far a campaign is that still runs: as a plain value, and as a sheet. */
#ifndef WINDASSAY_RUN_PROGRESS_H
#define WINDASSAY_RUN_PROGRESS_H

#include "run/compute.h"
#include "windassay/value.h"

/** What docs/reference/progress.md describes, of a campaign that was computed as running, up to
 *  where its data end; `end` is that of its period. *state: 0 everything is there, 2 something is missing, 69 a check broke that is waited for. */
wa_status wa_progress_value(wa_value **out, int *state, const wa_computed *c, int64_t end,
                            wa_error *err);

/** The same as tables and notes: a record with one check, for the terminal. */
wa_status wa_progress_sheet(wa_value **record, const wa_value *progress, wa_error *err);

#endif
