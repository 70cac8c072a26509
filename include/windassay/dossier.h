/* dossier.h - the folder that a run leaves: a BagIt bag (RFC 8493), whole or absent.
 *
 *   bagit.txt  bag-info.txt  manifest-sha256.txt  tagmanifest-sha256.txt  data/...
 *
 * `sha256sum -c manifest-sha256.txt` proves it without this program. It is written beside its
 * place and renamed at the end, so that whatever happens there is the old folder, the new one, or
 * none. The same files give the same bytes, whatever the hour and the place.
 */
#ifndef WINDASSAY_DOSSIER_H
#define WINDASSAY_DOSSIER_H

#include "windassay/error.h"
#include "windassay/listing.h"
#include "windassay/text.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Facts about the run that are no part of the result (engine version, compiler, host clock): in
 *  the bag, but never compared. Two dossiers are equal when all their other files are. */
#define WA_DOSSIER_RUN "run.json"
/** The tables once more, for people: a library outside writes it, so that another release of that may
 *  give other bytes. Never compared either. */
#define WA_DOSSIER_WORKBOOK "tables.xlsx"

/* ---- making one ---------------------------------------------------------------------- */

typedef struct wa_dossier wa_dossier; /* files that wait to be written */

/** An empty one. NULL: memory. */
wa_dossier *wa_dossier_new(void);
void wa_dossier_free(wa_dossier *d);

/**
 * Adds a file; copies the bytes. `path` is below data/, as "tables/speed.by bin.csv".
 * WA_ERR_ARG for a path that is not relative, clean UTF-8 without "..", control characters, '%'
 * or '\', for a component above 255 bytes, for a path added before, and for one that would be file
 * and folder at once.
 */
wa_status wa_dossier_add(wa_dossier *d, const char *path, const void *bytes, size_t n,
                         wa_error *err);

/**
 * Adds a file of the disk, copied when the dossier is written: `file` beneath `folder` (no link is
 * followed), which had `n` bytes and the digest `sha256` when it was read. WA_ERR_ARG as above;
 * wa_dossier_write gives WA_ERR_DATA where the file has changed since.
 */
wa_status wa_dossier_add_file(wa_dossier *d, const char *path, const char *folder, const char *file,
                              uint64_t n, const char *sha256, wa_error *err);

/**
 * Adds a file that is made while the dossier is written, and never held. The dossier owns the listing
 * from now on, also where this fails; what it looks at must outlive the dossier. WA_ERR_ARG as above.
 */
wa_status wa_dossier_add_listing(wa_dossier *d, const char *path, wa_listing *listing,
                                 wa_error *err);

/** Adds a line to bag-info.txt: "Bagging-Date" with a date of the campaign, never today's.
 *  Payload-Oxum is added by the writer. WA_ERR_ARG for an empty or unclean key or value. */
wa_status wa_dossier_note(wa_dossier *d, const char *key, const char *value, wa_error *err);

/** What was added, in order of path (below data/); NULL beyond. */
const char *wa_dossier_path(const wa_dossier *d, size_t i);
/** The digest of the i-th; that of a listing is made when it is first asked for, or written. */
wa_status wa_dossier_sha256(const char **sha256, wa_dossier *d, size_t i, wa_error *err);
/** The bytes of the i-th, or its listing; NULL where it has none. */
const void *wa_dossier_bytes(const wa_dossier *d, size_t i, size_t *n);
const wa_listing *wa_dossier_listing(const wa_dossier *d, size_t i);
/** The lines of bag-info.txt that were noted. */
const char *wa_dossier_notes(const wa_dossier *d);

/** How many threads make listings and prove what was written; one where nothing is said. */
void wa_dossier_use(wa_dossier *d, size_t jobs);

typedef enum wa_written {
    WA_WRITTEN, /* the folder was not there                      */
    WA_EQUAL,   /* an equal dossier was there and was left alone */
    WA_REPLACED /* another one was there                         */
} wa_written;

/**
 * Writes the dossier as `folder`, whose parent must exist. A folder that is there already:
 * equal (but for run.json): success; a different dossier: WA_ERR_ARG, unless `replace`; one whose
 * campaign.report.status is "final" was issued and is never replaced, nor is anything that is not
 * a dossier (WA_ERR_ARG). WA_ERR_MISSING without the parent, WA_ERR_IO when the system refuses.
 * Left-overs of killed runs beside it are swept away; those of live ones are told by their lock.
 */
wa_status wa_dossier_write(wa_dossier *d, const char *folder, bool replace, wa_written *how,
                           wa_error *err);

/* ---- reading one ---------------------------------------------------------------------- */

typedef struct wa_bag wa_bag; /* a dossier that was found whole */

/** The most that is read into memory of one file of a dossier, which may be anybody's. */
#define WA_BAG_FILE_MOST ((size_t)2 << 30)

/**
 * Opens a dossier and proves it: every file is in the manifests and has its digest, no file is
 * missing, none is there beside (but a signature, tagmanifest-sha256.txt.sig), no link anywhere.
 * WA_ERR_MISSING without the folder, WA_ERR_DATA with the file for whatever is not as it must be.
 */
wa_status wa_bag_open(wa_bag **out, const char *folder, wa_error *err);
void wa_bag_close(wa_bag *b);

/** The files below data/, in order of their bytes; `i` from 0, NULL beyond. */
size_t wa_bag_count(const wa_bag *b);
const char *wa_bag_path(const wa_bag *b, size_t i);
const char *wa_bag_sha256(const wa_bag *b, size_t i);

/** Appends one file below data/. WA_ERR_MISSING when it is not in the dossier, WA_ERR_DATA when
 *  its digest is not that of the manifest (any more). */
wa_status wa_bag_read(wa_text *out, const wa_bag *b, const char *path, wa_error *err);

/** Opens one file below data/ for reading (close-on-exec), not proven again: for files that are too
 *  large to be held. WA_ERR_MISSING when it is not in the dossier. */
wa_status wa_bag_open_file(int *fd, const wa_bag *b, const char *path, wa_error *err);

/** The text of bag-info.txt. */
const char *wa_bag_info(const wa_bag *b);

/** The folder that was opened. */
const char *wa_bag_folder(const wa_bag *b);

#ifdef __cplusplus
}
#endif
#endif
