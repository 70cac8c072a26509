/* gather.h - rows of one source, in order of time, into the intervals of the grid. One thread's. */
#ifndef WINDASSAY_DATA_GATHER_H
#define WINDASSAY_DATA_GATHER_H

#include "data/cell.h"
#include "data/source_file.h"

/* Rows of a split source on their way to their cells. */
typedef struct wa_scan wa_scan;
/** NULL when memory ran out. */
wa_scan *wa_scan_make(size_t n_channels);
void wa_scan_free(wa_scan *s);

typedef struct wa_gather {
    const wa_plan *plan;
    wa_grid *grid;
    wa_cell *cell[WA_CELLS_MOST];
    size_t n_cells;
    wa_cell *recent;   /* the cell of the row before */
    wa_cell *shared;   /* of the channels that all rows of a scan share; or NULL */
    size_t interval;   /* the present one; SIZE_MAX before the first row */
    int64_t low, high; /* its bounds, ns */
    uint8_t *scale;    /* by channel: decimals of the last plain field */
    wa_scan *scan;     /* split raw sources only */
    /* averaged sources only */
    wa_sample *sample;   /* of the present row: WA_COLUMNS a channel */
    wa_sample *previous; /* of the last row of each cell */
    wa_sample *means;    /* of the present row: one a channel */
    wa_workroom work;
} wa_gather;

wa_status wa_gather_init(wa_gather *g, wa_grid *grid, wa_error *err);
void wa_gather_release(wa_gather *g);

/** Takes the present row of `f`, which lies within the period, and, of raw rows, those after it of
 *  the same interval that lie before `limit`; then goes to the next row of `f`. Times must not go
 *  backward from call to call. */
wa_status wa_gather_take(wa_gather *g, wa_source_file *f, int64_t limit, wa_error *err);

/** After the last row: closes the last interval. Rows of any other time may follow then. */
wa_status wa_gather_end(wa_gather *g, wa_error *err);

#endif
