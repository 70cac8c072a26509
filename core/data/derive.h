/* derive.h - channels of the interval worked out from interval means of others. */
#ifndef WINDASSAY_DATA_DERIVE_H
#define WINDASSAY_DATA_DERIVE_H

#include "windassay/records.h"

/** Adds one series for each entry of the campaign's `derive`. WA_ERR_DATA where the beams cannot
 *  determine the wind at all, or a beam of the campaign is not in the files. */
wa_status wa_derive_add(wa_records *r, const wa_campaign *c, wa_error *err);

#endif
