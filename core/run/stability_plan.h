/* stability_plan.h - what is tried of one check (stability.c), and what follows for those that judge
 * the results of others (stability_carried.c). Private to these two. */
#ifndef WINDASSAY_RUN_STABILITY_PLAN_H
#define WINDASSAY_RUN_STABILITY_PLAN_H

#include "run/execute.h"
#include "windassay/stability.h"

typedef struct wa_stability_plan {
    const wa_planned *check;
    const wa_accounts *accounts;
    wa_variant *at;
    size_t n;
} wa_stability_plan;

/** One more variant at the end, the name copied; NULL: memory. */
wa_variant *wa_stability_add(wa_stability_plan *p, wa_variant_kind kind, const char *name);

/** Runs one variant in a cell of its own and decides it: sets its `entry`. `change` is taken: what is
 *  other in the cell (cell/variant.h); `results`, taken as well, stand in place of those of the
 *  campaign where it is not NULL. */
wa_status wa_stability_try(wa_variant *v, const wa_execution *e, const wa_planned *check,
                           wa_value *change, wa_value *results, wa_error *err);

/** The results of the checks, with those of the variant `v` (NULL: none) where the plans of other
 *  checks hold it, and without those of check `without` (n_checks: all). NULL: memory. */
wa_value *wa_stability_results(const wa_execution *e, const wa_stability_plan *plans,
                               const wa_variant *v, size_t without);

/** Whether the results of check `other` matter to check `judge`, which judges results: it runs again
 *  without them. */
wa_status wa_stability_depends(bool *out, const wa_execution *e, size_t judge, size_t other,
                               wa_error *err);

/** Adds to the plan of a check that judges results every variant of check `of`, which has run. */
bool wa_stability_carry(wa_stability_plan *to, const wa_stability_plan *of);

#endif
