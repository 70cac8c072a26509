/* part.h - files that several threads read at once, each another part of it.
 *
 * A part begins with a line; that this line begins a row, too, is proven by whoever reads the part
 * before it: his last row then ends where his part does, or he fails. So the parts are right when
 * all of them are, from the first one on. Where anything is wrong in one, the file is read again
 * as a whole, and what is found then is what one thread finds.
 *
 * The digest of such a file is made of its parts in their order: who has read a part waits until
 * it is its turn, with the bytes still at hand.
 */
#ifndef WINDASSAY_DATA_PART_H
#define WINDASSAY_DATA_PART_H

#include "data/source_file.h"

/* Where a part begins, and the true middle of its first sample. */
typedef struct wa_cut {
    uint64_t at;
    int64_t first;
} wa_cut;

typedef struct wa_file_entry {
    size_t source, index; /* of the source; among its files in order of path          */
    int64_t first;        /* true middle of its first sample; INT64_MIN without rows  */
    uint64_t bytes;
    wa_status status; /* of the look at its head */
    wa_error error;
    wa_cut *cut; /* none: it is read as a whole */
    size_t n_cuts;
    struct wa_shared *shared; /* between those who read its parts */
} wa_file_entry;
void wa_file_entry_release(wa_file_entry *e);

typedef struct wa_part {
    wa_file_entry *file;
    size_t index; /* of the part; 0 for a whole file */
    int64_t first;
} wa_part;

/** Opens file `path` of a source (see wa_source_file_open). `out` must be released, also on failure. */
wa_status wa_whole_open(wa_source_file *out, const wa_plan *plan, const char *path, bool head,
                        wa_error *err);

/** Looks at the head of a file and, with `piece` above 0, cuts it into parts of about so many bytes
 *  where it can be cut. What is wrong with the file is kept in the entry. */
void wa_part_look(wa_file_entry *e, const wa_plan *plan, const char *path, size_t piece);

/** Opens a part, or a whole file. `own`: it is this reader who reads all of it, and hashes it. */
wa_status wa_part_open(wa_source_file *out, const wa_part *p, const wa_plan *plan, const char *path,
                       bool own, wa_error *err);

void wa_part_close(wa_source_file *f, const wa_part *p);

/** Hashes an own part if it is its turn. */
wa_status wa_part_hash(bool *hashed, const wa_part *p, const wa_source_file *f, wa_error *err);

/** At the end of an own part: hashes it when its turn comes (unless that was done), and adds it to
 *  what is known of the file. *again: the file must be read as a whole. */
wa_status wa_part_end(wa_input *in, bool *again, bool hashed, const wa_part *p, wa_source_file *f,
                      wa_error *err);

/** This part will not be read to its end, so nobody needs to wait for it. */
void wa_part_give_up(const wa_part *p);

#endif
