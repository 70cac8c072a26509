/* cell.h - runs one job in a sealed child process and watches over it.
 *
 * The child is the program windassay-cell. It may send anything: what comes back is decoded with
 * all checks, and a child that crashes, hangs or babbles is an error record, never ours.
 */
#ifndef WINDASSAY_SCRIPT_CELL_H
#define WINDASSAY_SCRIPT_CELL_H

#include "script/modules.h"
#include "windassay/error.h"
#include "windassay/value.h"

#include <stdint.h>

typedef struct wa_limits {
    const char *cell;      /* path of windassay-cell; borrowed                              */
    uint64_t instructions; /* of Lua, and elements touched by primitives: repeatable        */
    uint64_t memory;       /* bytes that Lua may hold: repeatable                           */
    unsigned wall_s;       /* seconds by the wall clock: not repeatable, so wide            */
} wa_limits;

/** 1e9 instructions (some ten seconds), 512 MiB, 120 s. */
wa_limits wa_limits_default(const char *cell);

/**
 * Runs `job` (a map, see the jobs in docs/reference/scripting.md). `records_fd` is a memfd of doubles, or -1; it
 * stays the caller's. A job with `file` and without `text` gets the text of that file of the
 * campaign's folder. From any thread; one call is one process.
 * WA_OK with *reply also when the script failed: then
 *   reply = { error = { kind = "script"|"undefined"|"limit"|"crash", message, file?, line?,
 *             source?, hint?, trace? }, printed? }.
 * Errors: WA_ERR_MISSING, WA_ERR_SCRIPT for the job's own file; WA_ERR_IO, WA_ERR_NOMEM and
 * WA_ERR_INTERNAL for what is our fault.
 */
wa_status wa_cell_run(wa_value **reply, const wa_value *job, int records_fd, wa_modules *modules,
                      const wa_limits *limits, wa_error *err);

#endif
