/* events.h - what makes intervals unusable for everyone, from the campaign alone. */
#ifndef WINDASSAY_DATA_EVENTS_H
#define WINDASSAY_DATA_EVENTS_H

#include "windassay/records.h"

/** Adds to `r` (whose grid is set) the logbook's entries that exclude somebody, and changes of
 *  instruments inside an interval. Entries of equal reason are one event. */
wa_status wa_events_add(wa_records *r, const wa_campaign *c, wa_error *err);

#endif
