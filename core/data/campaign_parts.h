/* campaign_parts.h - the parts of decoding a campaign; each fills what it is given and leaves
 * faults in the node's decoder. */
#ifndef WINDASSAY_DATA_CAMPAIGN_PARTS_H
#define WINDASSAY_DATA_CAMPAIGN_PARTS_H

#include "data/decode.h"
#include "windassay/campaign.h"

/* lidar, report, disturbed: described, not decoded further, but looked through */
void wa_decode_descriptions(const wa_node *top);

/* period, phases, logbook, checks, tables, instruments' places */
void wa_decode_period(wa_campaign *c, const wa_node *top);
void wa_decode_phases(wa_campaign *c, const wa_node *top);
void wa_decode_logbook(wa_campaign *c, const wa_node *top); /* after the sources */
void wa_decode_checks(wa_campaign *c, const wa_node *top);  /* after the phases */
void wa_decode_tables(wa_campaign *c, const wa_node *top);
void wa_decode_uses(wa_campaign *c, const wa_node *top);
void wa_decode_supersedes(wa_campaign *c, const wa_node *top);
void wa_use_list_free(wa_use *uses, size_t n);
bool wa_sha256_good(const char *digits);
void wa_decode_calibrations(wa_campaign *c, const wa_node *top); /* after the sources */
void wa_calibration_list_free(wa_calibration_use *list, size_t n);
void wa_use_release(wa_use *u);
/* a path below the campaign's folder, or one that begins with root: where there is a root */
void wa_decode_path(const wa_campaign *c, const wa_node *node, const char *path);
void wa_decode_instruments(wa_campaign *c, const wa_node *top);

/* sources and roles; after period and instruments */
void wa_decode_sources(wa_campaign *c, const wa_node *top);

/* channels worked out from others; after the sources */
void wa_decode_derive(wa_campaign *c, const wa_node *top);
void wa_derived_release(wa_derived *d);

/* of one source; `node` is sources.NAME */
void wa_decode_time(wa_source *s, const wa_node *node);
void wa_decode_layout(wa_source *s, const wa_node *node);
void wa_decode_channels(const wa_campaign *c, wa_source *s, const wa_node *node,
                        const wa_node *top);
void wa_decode_keep_if(wa_source *s, const wa_node *node);

/* the calibration history of a channel's instrument; `node` is the channel */
void wa_decode_history(wa_channel *ch, const wa_node *node, const wa_node *top);
/* whether the files hold the instrument's raw signal; *unit is the certificate's, if it has one */
bool wa_holds_signal(const wa_node *top, const char *instrument, const char **unit);

/** A quantity that we know. NULL: it is the campaign's own. */
typedef struct wa_quantity {
    const char *name;
    const char *unit; /* the unit inside */
} wa_quantity;
const wa_quantity *wa_quantity_known(const char *name);

/* freeing */
void wa_source_release(wa_source *s);

#endif
