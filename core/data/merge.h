/* merge.h - the files of a source as one stream of rows in order of time, or a stretch of it.
 *
 * Files that meet or overlap are open together. So that several threads can share a source, its
 * files or their parts (in order of their first samples) are cut into stretches: a stretch owns the
 * intervals after the one in which its first sample lies, up to and with the one in which the next
 * stretch begins. It reads that far into the next stretch's files, and every interval is read by one
 * stretch alone. Files that overlap further than that cannot be cut so: `overlaps` says it, and
 * the source is to be read in one stretch.
 */
#ifndef WINDASSAY_DATA_MERGE_H
#define WINDASSAY_DATA_MERGE_H

#include "data/files.h"
#include "data/gather.h"
#include "data/part.h"

typedef struct wa_stretch {
    const wa_plan *plan;
    const wa_paths *paths;
    const wa_part *order; /* all of the source, in order of time */
    size_t n_order;
    size_t begin, end;   /* the stretch's own                                        */
    int64_t after, upto; /* it owns samples with after <= middle < upto              */
    wa_input *input;     /* filled for its own files, by their place in order of path */
    bool overlaps;       /* or is otherwise not what its parts promised               */
    void (*tell)(void *context, uint64_t more_bytes);
    void *context;
} wa_stretch;

/** Reads a stretch; `g` must be as wa_gather_init or an earlier reading without error left it. */
wa_status wa_merge_read(wa_stretch *s, wa_gather *g, wa_error *err);

#endif
