/* pool.h - many tasks on a few threads, with an outcome that does not depend on the threads. */
#ifndef WINDASSAY_POOL_H
#define WINDASSAY_POOL_H

#include "windassay/error.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** One task. It writes its result to a place of its own (by index); `err` is its own, too. */
typedef wa_status (*wa_task)(void *context, size_t index, wa_error *err);

/**
 * Runs task(context, 0) to task(context, tasks - 1) on at most `jobs` threads, the calling one
 * among them (jobs 0 and 1: in the calling thread alone, in order), and waits for all of them.
 *
 * Of several failures the one with the smallest index is reported, whichever came first: tasks
 * with smaller indices than a failed one still run, larger ones are skipped. So results, errors and
 * their text are the same for every number of jobs. Where the system refuses a thread, fewer
 * do the work. Tasks are handed out in order of their index. Borrows `context`.
 */
wa_status wa_pool_run(size_t jobs, size_t tasks, wa_task task, void *context, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
