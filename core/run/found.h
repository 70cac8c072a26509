/* found.h - the inputs of a dossier, found again: by their digest, wherever they lie now.
 *
 * A path in a dossier is what the maker called a file; it is a name here, never a place. A file is
 * looked for among the dossier's own copies, then beneath a folder that whoever audits names. No
 * link is followed.
 */
#ifndef WINDASSAY_RUN_FOUND_H
#define WINDASSAY_RUN_FOUND_H

#include "windassay/dossier.h"
#include "windassay/text.h"
#include "windassay/value.h"

typedef enum wa_found_how {
    WA_FOUND_NOT,    /* no file of that digest, and none of that name              */
    WA_FOUND_SAME,   /* the very bytes                                             */
    WA_FOUND_CHANGED /* a file of that name, with other bytes: `now` is its digest */
} wa_found_how;

typedef struct wa_found_file {
    char *path;   /* as the record names it; of a dossier that was used: its record */
    char *source; /* source or table; NULL for the record of a dossier              */
    uint64_t bytes;
    char sha256[65], now[65];
    wa_found_how how;
    char *folder, *file; /* where it lies: `file` beneath `folder`; NULL: nowhere */
} wa_found_file;

/** In the order of the record: the inputs of sources, those of tables, used dossiers, the one
 *  that is replaced. */
typedef struct wa_found {
    wa_found_file *at;
    size_t n;
} wa_found;

/** Looks for everything that the record names. `data` may be NULL. WA_ERR_DATA where the record's
 *  list is not sound; WA_ERR_MISSING where there is no such folder. */
wa_status wa_found_look(wa_found *out, const wa_value *record, const wa_bag *bag, const char *data,
                        wa_error *err);
void wa_found_release(wa_found *f);

/** How many were found so. */
size_t wa_found_count(const wa_found *f, wa_found_how how);

/** Opens one (close-on-exec, at its start); WA_ERR_MISSING where it was not found. */
wa_status wa_found_open(int *fd, const wa_found_file *f, wa_error *err);

/** The file of that path, or of that digest; NULL: none. */
const wa_found_file *wa_found_path(const wa_found *f, const char *path);
const wa_found_file *wa_found_digest(const wa_found *f, const char *sha256);

/** The digest of a file beneath a folder. */
wa_status wa_found_sha256(char to[65], const char *folder, const char *file, wa_error *err);

#endif
