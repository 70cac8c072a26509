/* stability.h - how far the outcome of a check hangs on choices.
 *
 * A check runs again with one thing other than it is: an exclusion not made, a parameter moved by
 * the tolerance that the check states for it, a day left out, the period ended where it was planned
 * to, its records drawn anew in blocks.
 * A check that judges results of others runs again on the results that these have in their variants.
 * Each such variant is decided by the same criteria. The entry gets "stability": what became of
 * each, and one sentence. It changes no outcome.
 */
#ifndef WINDASSAY_STABILITY_H
#define WINDASSAY_STABILITY_H

#include "windassay/campaign.h"
#include "windassay/conformity.h"
#include "windassay/error.h"
#include "windassay/value.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum wa_variant_kind {
    WA_VARIANT_EXCLUSION, /* not made                         */
    WA_VARIANT_PARAMETER, /* moved                            */
    WA_VARIANT_DAY,       /* left out                         */
    WA_VARIANT_PLANNED,   /* the period ends where it was planned to */
    WA_VARIANT_RESAMPLE   /* the records drawn anew in blocks */
} wa_variant_kind;

typedef struct wa_variant {
    wa_variant_kind kind;
    char *name;      /* reason, parameter, date ("2026-03-02"); NULL: a resample               */
    char *account;   /* of an exclusion; NULL else                                             */
    char *of;        /* id of the check whose exclusion or parameter it is; NULL: its own       */
    bool event;      /* the exclusion is an event of the campaign                              */
    int64_t day;     /* since 1970 (UTC)                                                       */
    double before;   /* s since 1970: the planned end; its `name` is that instant as text       */
    double value;    /* of the parameter                                                       */
    char *unit;      /* of the parameter; NULL else                                            */
    uint32_t seed;   /* of the resample                                                        */
    bool same;       /* nothing changes: the exclusion takes out no interval by itself         */
    wa_value *entry; /* the check's entry in this variant, decided; NULL where nothing changes */
} wa_variant;

void wa_variants_free(wa_variant *v, size_t n);

/** The outcome that a decided entry has in the end: that of its contract, else the worst of those
 *  for information. */
wa_outcome wa_record_decided(const wa_value *entry);

/** Whether the variant gives another value or uncertainty of any requirement of `entry`. */
bool wa_variant_moves(const wa_variant *v, const wa_value *entry);

/** Sets "stability" of a decided entry from its variants. */
wa_status wa_record_stability(wa_value *entry, const wa_variant *variants, size_t n,
                              const wa_stability *asked, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
