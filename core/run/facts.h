/* facts.h - the parts of the record that describe the campaign, its inputs and its scripts. */
#ifndef WINDASSAY_RUN_FACTS_H
#define WINDASSAY_RUN_FACTS_H

#include "script/modules.h"
#include "windassay/campaign.h"
#include "windassay/records.h"
#include "windassay/value.h"

/* Each is made anew for the caller; NULL: memory. docs/reference/record.md says what is in them. */
wa_value *wa_facts_campaign(const wa_campaign *c, const wa_records *r);
wa_value *wa_facts_inputs(const wa_campaign *c, const wa_records *r);
wa_value *wa_facts_scripts(const wa_modules *m);
wa_value *wa_facts_samples(const wa_campaign *c, const wa_records *r);

/* The files of a source as one: bytes, rows, those outside the period, first and last stamp. */
wa_input wa_facts_total(const wa_records *r, size_t source, size_t *files);

/** Sum over the n intervals of the grid. */
double wa_facts_sum(const uint32_t *counts, size_t n);

#endif
