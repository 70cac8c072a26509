/* gather_inside.h - what gather.c and gather_raw.c share. */
#ifndef WINDASSAY_DATA_GATHER_INSIDE_H
#define WINDASSAY_DATA_GATHER_INSIDE_H

#include "data/gather.h"

/* Finds the cell to which the present row of a split source belongs: g->recent. */
wa_status wa_gather_find_cell(wa_gather *g, const wa_source_file *f, wa_error *err);

/* True (in *again) where the row says again what the cell has already. */
wa_status wa_gather_check_repeated(bool *again, const wa_source_file *f, bool at_same_time,
                                   bool equal, wa_error *err);

/* wa_gather_take for raw rows of the open interval: those before `limit`. */
wa_status wa_gather_take_raw(wa_gather *g, wa_source_file *f, int64_t limit, wa_error *err);

/* Reads channel c of the plain rows first, first + 1, ... into the places behind the batch. */
wa_status wa_gather_read_channel(wa_gather *g, const wa_source_file *f, wa_batch *b, size_t c,
                                 size_t first, size_t n);

/* Takes the present row, which belongs to g->recent. */
wa_status wa_gather_take_row(wa_gather *g, const wa_source_file *f, wa_error *err);

/* Takes the present row of a split source, which is plain, and those after it that lie ready before
 * `limit`; the last of them is the present one then. */
wa_status wa_gather_take_split(wa_gather *g, wa_source_file *f, int64_t limit, wa_error *err);

#endif
