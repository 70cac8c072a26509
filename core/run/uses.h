/* uses.h - the earlier dossiers that a campaign uses: proven, read, and shown to its checks.
 *
 * What a check sees of a dossier, or of its own campaign's finished checks:
 *   { title, lidar, period, report, sha256, checks = { ID = { name, title, status,
 *     calibrations (where there are some), values = { NAME = { value, u, unit, text } },
 *     requirements = { NAME = { value, unit, u, dof, k_95, source, scatter_only } },
 *     tables = { NAME = { columns = { name, ... }, units = { column = unit },
 *                         rows = { { column = value }, ... } } } } } }
 * What is missing there is absent here.
 */
#ifndef WINDASSAY_RUN_USES_H
#define WINDASSAY_RUN_USES_H

#include "windassay/campaign.h"
#include "windassay/error.h"
#include "windassay/text.h"
#include "windassay/value.h"

typedef struct wa_uses {
    wa_value *shown;  /* a map by name, as checks get it      */
    wa_value *listed; /* a list, as the record holds it       */
    wa_text *json;    /* their records' bytes, in the order of the campaign */
    size_t n;
} wa_uses;

/** Appends the bytes of the record (result.json) that has a digest. */
typedef wa_status wa_used_record(wa_text *out, void *context, const wa_use *u, wa_error *err);

/**
 * Opens each dossier, which must be whole, and reads its record. WA_ERR_MISSING where there is no
 * such folder; WA_ERR_DATA, with the file, where it is no whole dossier, or its record is not
 * the one whose digest the campaign states. With `from`, no dossier is opened: the records come
 * from there.
 */
wa_status wa_uses_read(wa_uses *out, const wa_campaign *c, wa_used_record *from, void *context,
                       wa_error *err);
void wa_uses_release(wa_uses *u);

/** The bytes of the record of one: from the dossier, which must be whole, or with `from` from there. */
wa_status wa_use_read(wa_text *json, const wa_use *u, const wa_campaign *c, wa_used_record *from,
                      void *context, wa_error *err);

/** What checks see of a record's campaign: a map with an empty `checks`. NULL: memory. */
wa_value *wa_uses_begin(const wa_value *campaign);
/** Adds one entry of a record's `checks`. False: memory. */
bool wa_uses_add(wa_value *shown, const wa_value *entry);

#endif
