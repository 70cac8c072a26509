/* place.h - where a dossier is made: a locked folder beside its place, filled and made safe. */
#ifndef DOSSIER_PLACE_H
#define DOSSIER_PLACE_H

#include "dossier/dossier_files.h"
#include "windassay/error.h"

/* The place of a dossier, and the folder beside it that is being filled. */
typedef struct place {
    const char *folder; /* as the caller named it, for messages */
    char *parent_path;
    char *name;      /* the last component */
    char *temporary; /* ".NAME.tmp.XXXXXX" inside the parent; NULL: none */
    int parent, fd;  /* of the parent, of the temporary folder (with its lock); -1: none */
    wa_error *err;
} place;

/* Finds the parent of `folder` and opens it. Close the place whatever this returns. */
wa_status place_open(place *p, const char *folder, wa_error *err);

/* Sweeps away what killed runs left beside it, and makes a temporary folder of its own. */
wa_status place_make_temporary(place *p);

/* Removes the temporary folder (if there still is one) and lets go of everything. */
void place_close(place *p);

/* Inside the temporary folder, with the folders of `path`: a file of these bytes; a copy of a file
 * of the disk, which must still be what the run has read (WA_ERR_DATA); a listing, whose digest and
 * size are known then. */
wa_status place_write(const place *p, const char *path, const void *bytes, size_t n);
wa_status place_copy(const place *p, const char *path, const dossier_file *f);
wa_status place_list(const place *p, const char *path, dossier_file *f, size_t jobs);

/* Makes a folder safe (fsync): "." is the temporary folder itself. */
wa_status place_sync(const place *p, const char *path);

/* Reads a written file again: what the disk gives must be what was meant. */
wa_status place_prove(const place *p, const char *path, const char *sha256);

/* WA_ERR_IO at `path` with what the system says. */
wa_status place_io(const place *p, const char *path, const char *what);

#endif
