/* cut.h - an input file without the rows outside of the campaign's period. */
#ifndef WINDASSAY_RUN_CUT_H
#define WINDASSAY_RUN_CUT_H

#include "windassay/campaign.h"
#include "windassay/text.h"

#include <stdint.h>

/** Reads a file of `source` (owns `fd`; `name` tells by ".gz" that it is gzip, which is undone) and
 *  appends its lines, but for the rows of which the middle lies outside of the period. What stands
 *  before the first row stays. *cut: how many rows are gone. */
wa_status wa_cut_to_period(wa_text *out, uint64_t *cut, const wa_campaign *c, size_t source, int fd,
                           const char *name, wa_error *err);

#endif
