/* series.h - making, filling and freeing one wa_series. */
#ifndef WINDASSAY_DATA_SERIES_H
#define WINDASSAY_DATA_SERIES_H

#include "data/averaging.h"
#include "data/plan.h"
#include "windassay/records.h"

/** A series of `plan->n` intervals for a channel with all that its kind gives, missing everywhere
 *  (counts of raw sources are 0). False: memory ran out; the series can be released. */
bool wa_series_make(wa_series *s, const wa_plan *plan, const wa_channel *channel,
                    bool availability);
void wa_series_release(wa_series *s);

/** Puts the statistics that the series has; availability where `expected` is above 0. */
void wa_series_put(wa_series *s, size_t interval, const wa_statistics *t, double expected);
void wa_series_put_shares(wa_series *s, size_t interval, const wa_channel *channel,
                          const wa_samples *samples);

#endif
