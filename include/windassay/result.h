/* result.h - what a check found, and the record that is made of it.
 *
 * The record is one plain value (docs/reference/record.md, result.schema.json); the report and the
 * dossier are functions of it alone. A check's part of it, its entry, is made in three steps:
 * begun from what the check says of itself, accepted from what the sealed child answered, decided
 * by the criteria (criteria.h). The answer is a stranger's: everything in it is looked at, and what
 * can be computed again is computed again.
 */
#ifndef WINDASSAY_RESULT_H
#define WINDASSAY_RESULT_H

#include "windassay/account.h"
#include "windassay/conformity.h"
#include "windassay/criteria.h"
#include "windassay/error.h"
#include "windassay/records.h"
#include "windassay/value.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

#define WA_RECORD_SCHEMA "windassay-result-1"

enum {
    WA_INTERFACE = 1, /* of campaign files and checks                                        */
    WA_ARITHMETIC = 2 /* rises with every change of the program that can alter a result      */
};

/**
 * Begins the entry of check `name` under the unique `id`. `described` is the child's answer to
 * "describe": { title, practice, needs, parameters = { { name, default, unit, text, source,
 * evidence } } }. `set` (a map or NULL) holds the parameters that the campaign or a run of criteria
 * sets; each must exist and be of the kind of its default. `confirmed` (a map or NULL) holds, by
 * name of a parameter, { clause, edition, by }. Until it is accepted, the entry says that the check
 * broke.
 * WA_ERR_SCRIPT for a description that is not as it must be, WA_ERR_DATA for a parameter that is
 * not the check's (the hint names the nearest).
 */
wa_status wa_result_begin(wa_value **entry, const char *id, const char *name,
                          const wa_value *described, const wa_value *set, const wa_value *confirmed,
                          wa_error *err);

/** The parameters of the run as a map by name, for the child. NULL: memory. */
wa_value *wa_result_parameters(const wa_value *entry);

/** The accounts of one check, recomputed, closed: for the ledger; and the numbers behind them, each
 *  a double an interval (NaN: missing) as bytes. */
typedef struct wa_accounts {
    wa_account **at;
    size_t n;
    wa_value *judged;   /* columns that exclusions looked at and intervals.csv has not: a list of
                           { name, unit, at }                                               */
    wa_value *compared; /* one entry an account, null or { measured, reference, unit,
                           deviation_unit, measured_at, reference_at, deviation_at, binned_by,
                           bin_unit, bin_at }, each part where the check told it            */
} wa_accounts;

void wa_accounts_release(wa_accounts *a);

enum { WA_FIGURE_POINTS = 5000 };

/**
 * Accepts the child's answer to "check" into a begun entry. `n` is the number of intervals of the
 * grid, which every mask must have; `events` are the campaign's, which come first in every account
 * (an answer may repeat them, then with the same masks). The accounts are made again from the
 * masks, and every count is theirs. An answer { error = ... } makes the status "error" (of kind
 * "undefined": "inconclusive"), `undefined` makes it "inconclusive". Series of more than
 * WA_FIGURE_POINTS points become a grid of counts. WA_ERR_SCRIPT where the answer is not as it
 * must be ("coverage" is taken where it is there: who did not ask for it refuses it before):
 * entry and accounts then are as they were, and wa_result_broke tells the record so.
 */
wa_status wa_result_accept(wa_value **entry, wa_accounts *accounts, const wa_value *reply, size_t n,
                           const wa_event *events, size_t n_events, wa_error *err);

/** The entry of a check that could not run because something that it needs is not there. */
wa_status wa_result_not_applicable(wa_value **entry, const char *reason, wa_error *err);

/** The entry of a check that broke by an error that the parent met. */
wa_status wa_result_broke(wa_value **entry, const wa_error *why, wa_error *err);

/** A record with schema, interface, arithmetic, `campaign` (which it takes, also on failure) and
 *  empty lists "inputs", "scripts", "samples", "checks". NULL: memory. */
wa_value *wa_record_new(wa_value *campaign);

/**
 * Ends a record whose "checks" are decided: sets "outcome" (the worst over the requirements of
 * every contract; one that could not be tested counts as inconclusive, a contractual check that
 * broke as error), "not_tested" (limits of the `n` contracts whose check the campaign does not ask
 * for: said, not counted) and "sentence".
 */
wa_status wa_record_close(wa_value *record, const wa_criteria *const *contracts, size_t n,
                          wa_error *err);

/** The outcome of a closed record. */
wa_outcome wa_record_outcome(const wa_value *record);

/** Defaults and contractual limits that are recalled and not confirmed: while there are any, a
 *  report cannot be final. */
size_t wa_record_recalled(const wa_value *record);

/** Adds their names, a line for each check ("los_speed: defaults step, width; limit gain\n"), each
 *  name once however many runs a check has. What would go beyond `size` bytes is counted instead. */
wa_status wa_record_recalled_names(wa_text *to, const wa_value *record, size_t size, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
