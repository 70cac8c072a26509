/* records_parts.h - what the two ways to records share: reading the files of a campaign, and
 * reading the interval statistics that an earlier reading left in a dossier.
 */
#ifndef WINDASSAY_DATA_RECORDS_PARTS_H
#define WINDASSAY_DATA_RECORDS_PARTS_H

#include "windassay/records.h"

/** Empty records on the grid of a campaign whose plans were made (so that its period is whole). */
wa_status wa_records_begin(wa_records **out, const wa_campaign *c, wa_error *err);

/** What follows from the series of the sources: derived channels, then events. */
wa_status wa_records_end(wa_records *r, const wa_campaign *c, wa_error *err);

/** Visits the columns of intervals.csv that a series has, in order, each with its name in the row
 *  of names. Stops at the first false, and returns it. */
typedef bool wa_column_visitor(void *context, const char *name, size_t length, double *values);
bool wa_series_columns(const wa_series *s, const wa_campaign *c, wa_column_visitor *visit,
                       void *context);

#endif
