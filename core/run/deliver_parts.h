/* deliver_parts.h - a copy of a dossier while it is made. */
#ifndef WINDASSAY_RUN_DELIVER_PARTS_H
#define WINDASSAY_RUN_DELIVER_PARTS_H

#include "run/rerun.h"
#include "run/withhold.h"

typedef struct wa_delivery {
    wa_bag *bag;
    wa_value *original, *record; /* the record as it was, and as the customer gets it */
    wa_withholding *w;
    wa_agenda *agenda; /* of the dossier's own campaign; NULL until rows are cut */
    const wa_engine *engine;
    wa_dossier *copy, *tables; /* tables: as they follow from the record that the customer gets */
    wa_text json;              /* of the record */
    wa_value *files;           /* what became of files that are not as they were */
    size_t untouched;
} wa_delivery;

/** Adds all files of the dossier: as they are, altered, made again from the record, cut, or by their
 *  digest alone. `json` holds the record that the customer gets. */
wa_status wa_deliver_files(wa_delivery *d, wa_error *err);

/** Says in the list what became of a file of which the original had that digest. */
wa_status wa_deliver_note(wa_delivery *d, const char *path, const char *sha256, const char *what,
                          wa_error *err);

#endif
