/* again.h - a second way to compute the tables by bin, for whoever has nothing of ours. */
#ifndef WA_REPORT_AGAIN_H
#define WA_REPORT_AGAIN_H

#include "windassay/text.h"
#include "windassay/value.h"

#include <stdbool.h>

/** Adds a script in Python (standard library only) that computes each table `by bin` of a comparison
 *  again from the CSV files of the dossier in whose folder it runs, and the slope through the origin.
 *  False, with nothing added, where the record has no such table. */
bool wa_again_script(wa_text *t, const wa_value *record);

#endif
