/* parts.h - the pieces of a check's answer: each is looked at and copied into the record's form. */
#ifndef RESULT_PARTS_H
#define RESULT_PARTS_H

#include "result/strict.h"
#include "windassay/account.h"
#include "windassay/result.h"

/* Each sets the key of its name in `found` to a list; `list` may be NULL (the answer has none). */
wa_status parts_values(wa_value *found, const wa_value *list, const strict *s);
wa_status parts_tables(wa_value *found, const wa_value *list, const strict *s);
wa_status parts_figures(wa_value *found, const wa_value *list, const strict *s);
wa_status parts_requirements(wa_value *found, const wa_value *list, const strict *s);
wa_status parts_notes(wa_value *found, const wa_value *list, const strict *s);

/* "coverage", where the answer has it (only `progress` asks for it; it is no part of a record). */
wa_status parts_coverage(wa_value *found, const wa_value *list, const strict *s);

/* "calibrations", where the answer has some; and whether a list is one of them, as a check gives it or
 * as it is `read` from a file. */
wa_status parts_calibrations(wa_value *found, const wa_value *list, const strict *s);
wa_status parts_calibrations_look(const wa_value *list, bool read, const strict *s);

/* "exclusions" and "accounts" of `found`, and the accounts themselves. */
wa_status parts_accounts(wa_value *found, wa_accounts *accounts, const wa_value *list, size_t n,
                         const wa_event *events, size_t n_events, const strict *s);

/* By what an exclusion goes: { rule, looks_at }. */
wa_status parts_rule(wa_value **why, const wa_value *exclusion, const char *where, const strict *s);
/* Adds what one account compared, or null, to the list. */
wa_status parts_compared(wa_value *list, const wa_value *compared, size_t n, const strict *s);
/* The computed columns that exclusions looked at; each covers the grid of n intervals. */
wa_status parts_judged(wa_value **judged, const wa_value *list, size_t n, const strict *s);

#endif
