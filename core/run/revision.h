/* revision.h - a dossier that replaces an earlier one: which, why, and what changed by it.
 *
 * A campaign says so itself (report.supersedes), after its data, certificates or checks were
 * corrected; or `decide` does, where other criteria decide what an earlier dossier measured.
 */
#ifndef WINDASSAY_RUN_REVISION_H
#define WINDASSAY_RUN_REVISION_H

#include "windassay/campaign.h"
#include "windassay/error.h"
#include "windassay/text.h"
#include "windassay/value.h"

enum { WA_REVISION_CHANGES = 200 /* listed; all are counted */ };

/** A revision that is no campaign's own: by `decide`. */
typedef struct wa_revising {
    const char *criteria; /* the set that decides now                         */
    const char *reason;
    const char *sha256; /* of the earlier result.json                         */
} wa_revising;

/** What is replaced, as a use (uses.h) whose `as` is the reason; sha256 NULL: nothing is. */
wa_use wa_revision_use(const wa_campaign *c, const wa_revising *by);

/**
 * Adds `revision` to a closed record: { supersedes, reason, criteria, path, bytes, number,
 * revision, outcome, sentence, changes = { { check, place, before, after } }, changes_all }.
 * `earlier` are the bytes of the record that is replaced; empty where only its digest is known:
 * then it says no more than that. By `decide`, report.revision is the earlier one and 1, the status
 * is "preliminary", and nobody has approved it.
 */
wa_status wa_revision_add(wa_value *record, const wa_campaign *c, const wa_revising *by,
                          const wa_text *earlier, wa_error *err);

#endif
