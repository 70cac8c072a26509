/* judged.h - the numbers behind a check's account: data/judged.csv and data/compared.csv.
 *
 * judged.csv holds what exclusions looked at where that is computed and so not in intervals.csv;
 * compared.csv what was compared in the intervals that stayed. Both have a row an interval,
 * and look at the ledgers.
 */
#ifndef WINDASSAY_RUN_JUDGED_H
#define WINDASSAY_RUN_JUDGED_H

#include "run/execute.h"
#include "windassay/listing.h"

/** A column NAME [UNIT] for each; the same words with other numbers in another check are
 *  "ID: NAME [UNIT]". False: memory. */
bool wa_judged_list(wa_listing *out, const wa_records *r, const wa_agenda *agenda,
                    const wa_ledger *ledgers);

/** For each account that compares: TITLE.deviation and TITLE.bin (its centre), as far as the check
 *  told them; TITLE.reference and TITLE.measured where those are computed, for the record names
 *  the column of intervals.csv else. False: memory. */
bool wa_compared_list(wa_listing *out, const wa_records *r, const wa_agenda *agenda,
                      const wa_ledger *ledgers);

#endif
