/* agreement.h - what was agreed before the data, and every later departure from it.
 *
 * An agreement is a small JSON file beside the campaign: what the campaign says (all but `report`),
 * the parameters of every planned check, the criteria, the digests of the scripts. It can be signed. A run that
 * finds one lists in its record what is no more as agreed.
 */
#ifndef WINDASSAY_RUN_AGREEMENT_H
#define WINDASSAY_RUN_AGREEMENT_H

#include "run/agenda.h"
#include "windassay/digest.h"
#include "windassay/text.h"

#define WA_AGREEMENT_SCHEMA "windassay-agreement-1"

/** The agreement that a campaign has; `value` is NULL where it has none. */
typedef struct wa_agreement {
    char *file; /* its name in the campaign's folder */
    wa_text json;
    wa_value *value;
    char sha256[WA_SHA256_TEXT_SIZE];
} wa_agreement;

/** What is to be agreed, or stands now: { interface, arithmetic, version, campaign, checks,
 *  criteria, scripts }. */
wa_status wa_agreement_make(wa_value **out, const wa_agenda *agenda, const wa_engine *engine,
                            wa_error *err);

/** The file that the campaign names, or "NAME.agreed.json" for a campaign NAME.lua. The caller
 *  frees. NULL: memory. */
char *wa_agreement_file(const wa_campaign *c);

/** Reads it. Where the campaign names none and there is none: WA_OK, no value. WA_ERR_DATA for what
 *  is no agreement. */
wa_status wa_agreement_read(wa_agreement *out, const wa_campaign *c, wa_error *err);
/** The same from its bytes, which are copied. */
wa_status wa_agreement_parse(wa_agreement *out, const char *file, const wa_text *json,
                             wa_error *err);

/** What the record has of it: { file, sha256, by, on, files_there, departures = { { what, agreed,
 *  now } } }, each as text; what was not there before or is not now has no `agreed` or `now`. */
wa_status wa_agreement_record(wa_value **out, const wa_agreement *a, const wa_agenda *agenda,
                              const wa_engine *engine, wa_error *err);

/** The departures alone: from the value of an agreement, which may be a stranger's, to what stands
 *  now. Lists whose entries have names are compared by name, others by position. */
wa_status wa_agreement_departures(wa_value **out, const wa_value *agreed, const wa_value *now,
                                  wa_error *err);

void wa_agreement_release(wa_agreement *a);

#endif
