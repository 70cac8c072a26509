/* merge.h - the files of a source as one stream of rows in order of time, or a stretch of it.
 *
 * Files that meet or overlap are open together. So that several threads can share a source, its
 * files (in order of their first samples) are cut into stretches: a stretch owns the intervals
 * after the one in which its first sample lies, up to and with the one in which the next stretch
 * begins. It reads that far into the next stretch's files, and every interval is read by one
 * stretch alone. Files that overlap further than that cannot be cut so: `overlaps` says it, and
 * the source is to be read in one stretch.
 */
#ifndef WINDASSAY_DATA_MERGE_H
#define WINDASSAY_DATA_MERGE_H

#include "data/files.h"
#include "data/gather.h"

typedef struct wa_file_entry {
    size_t source, index; /* of the source; among its files in order of path          */
    int64_t first;        /* true middle of its first sample; INT64_MIN without rows  */
    uint64_t bytes;
    wa_status status; /* of the look at its head */
    wa_error error;
} wa_file_entry;

typedef struct wa_stretch {
    const wa_plan *plan;
    const wa_paths *paths;
    wa_file_entry *const *order; /* all files, in order of time */
    size_t n_order;
    size_t begin, end;   /* the stretch's own files                                  */
    int64_t after, upto; /* it owns samples with after <= middle < upto              */
    wa_input *input;     /* filled for its own files, by their place in order of path */
    bool overlaps;
    void (*tell)(void *context, uint64_t more_bytes);
    void *context;
} wa_stretch;

/** Opens file `path` of a source. `out` must be released, also on failure. */
wa_status wa_merge_open(wa_source_file *out, const wa_plan *plan, const char *path, wa_error *err);

/** Reads a stretch into the grid. */
wa_status wa_merge_read(wa_stretch *s, wa_grid *grid, wa_error *err);

#endif
