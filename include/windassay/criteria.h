/* criteria.h - a named set of acceptance limits, and the decisions by them.
 *
 * A criteria file is plain data (a Lua table), evaluated in a sealed child. Limits never enter the
 * child that runs a check: the parent joins them here to what the check found, by the names of
 * check, run and requirement. Each limit says where it comes from and how well that is known.
 */
#ifndef WINDASSAY_CRITERIA_H
#define WINDASSAY_CRITERIA_H

#include "windassay/conformity.h"
#include "windassay/error.h"
#include "windassay/unit.h"
#include "windassay/value.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** One limit. */
typedef struct wa_limit {
    char *check;   /* of the check file                                                      */
    char *require; /* name of the requirement that the check reports                         */
    char *run;     /* the run of the check with `parameters`; NULL: the check as it is asked */
    wa_tolerance tolerance;
    wa_unit unit; /* of lower and upper                                                      */
    wa_rule rule;
    double k;             /* coverage factor of the guard band; 0 for the simple rule         */
    wa_value *parameters; /* a map: what the run sets; NULL without a run                    */
    char *source;         /* where the limit comes from                                      */
    char *evidence;       /* one of wa_evidence_words                                        */
    wa_value *confirmed;  /* { clause, edition, by } once the laboratory has seen it; NULL   */
} wa_limit;

typedef struct wa_criteria {
    char *name;
    char *title;
    wa_limit *limits; /* in the order of the file */
    size_t n_limits;
} wa_criteria;

/** How well a default or limit is known: "seen" in its source, "computed", "recalled" from
 *  memory, "common practice" (no source), "agreed" between the parties, "invented" (for an
 *  example). NULL-terminated. A recalled one stands as such in every report until confirmed. */
extern const char *const wa_evidence_words[];

/**
 * Decodes a criteria table:
 *   { title, source, evidence, rule, k, limits = { { check, require, lower, upper, unit, run,
 *     parameters, source, evidence, rule, k }, ... }, confirmed = { ["CHECK.REQUIRE"] = { clause,
 *     edition, by } } }
 * source, evidence, rule and k of a limit default to those of the set. `name` is the module's,
 * `file` names the place in messages. WA_ERR_DATA for unknown keys, limits without source,
 * evidence, rule or unit, guard bands without k, two runs of one name with different parameters,
 * the same requirement limited twice in a run.
 */
wa_status wa_criteria_decode(wa_criteria **out, const wa_value *table, const char *name,
                             const char *file, wa_error *err);
void wa_criteria_free(wa_criteria *c);

/** True where the set limits anything of the check, in any run. */
bool wa_criteria_covers(const wa_criteria *c, const char *check);

/** Runs of the check beside the one asked for that the set needs: how many, and the i-th one's
 *  name and parameters (a map). The id of such a run is "ID:NAME.RUN". */
size_t wa_criteria_runs(const wa_criteria *c, const char *check);
const char *wa_criteria_run(const wa_criteria *c, const char *check, size_t i,
                            const wa_value **parameters);

/** A set under which a check is decided. */
typedef struct wa_deciding {
    const wa_criteria *criteria;
    bool contract; /* decides; else for information */
} wa_deciding;

/**
 * Decides one check: joins the limits to the requirements of `entry` (a check's part of the
 * record, see result.h) and sets its "criteria", "requirements" and "outcome". `run` is NULL for
 * the check as asked (limits without a run apply), else the run's name. May be called again with
 * other sets: only what the check measured is read, never an earlier decision.
 * A requirement without a limit stays, "for information". A limit without its requirement makes a
 * row without value: "inconclusive" where the check itself was, else "not tested".
 * WA_ERR_DATA when a limit's unit does not fit its requirement's.
 */
wa_status wa_record_decide(wa_value *entry, const char *run, const wa_deciding *sets, size_t n,
                           wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
