/* supply.h - where the files of a campaign come from: from its folder and root, found by pattern;
 * or, when a dossier is computed again, from wherever the same bytes were found.
 */
#ifndef WINDASSAY_DATA_SUPPLY_H
#define WINDASSAY_DATA_SUPPLY_H

#include "data/files.h"
#include "windassay/campaign.h"

/** A source of files other than the campaign's own folders (wa_campaign.supply). */
typedef struct wa_supply {
    /** The files of source i by the names that they had, in order of their bytes. */
    wa_status (*list)(wa_paths *out, void *context, size_t source, wa_error *err);
    /** Opens one of them, or a table, by its name (close-on-exec, at its start). From any thread. */
    wa_status (*open)(int *fd, void *context, const char *path, wa_error *err);
    void *context;
} wa_supply;

/** The files of a source; of a campaign that runs, a pattern may match nothing yet. WA_ERR_MISSING and WA_ERR_DATA as wa_files_find. */
wa_status wa_campaign_files(wa_paths *out, const wa_campaign *c, size_t source, wa_error *err);

/** Opens a file of the campaign: of a source, as listed above, or of a table. */
wa_status wa_campaign_open_file(int *fd, const wa_campaign *c, const char *path, wa_error *err);

#endif
