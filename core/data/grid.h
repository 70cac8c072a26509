/* grid.h - what a source gives on the campaign's grid: for each beam and range (an unsplit source
 * has one such cell) its series and its account of samples. Several threads may fill it at once
 * as long as each writes intervals of its own.
 */
#ifndef WINDASSAY_DATA_GRID_H
#define WINDASSAY_DATA_GRID_H

#include "data/plan.h"
#include "windassay/lock.h"
#include "windassay/records.h"

enum { WA_CELLS_MOST = 256 };

typedef struct wa_cell_key {
    bool shared; /* holds the channels that are equal on all rows of a scan, and only those */
    bool has_beam, has_range;
    double beam, range;
} wa_cell_key;

typedef struct wa_grid_cell {
    wa_cell_key key;
    double expected; /* samples an interval; 0: not stated */
    wa_series *series;
    size_t *target; /* series i is of this channel, or of an added one after the channels */
    size_t n_series;
    uint32_t *read, **dropped; /* dropped: by reason, NULL where nothing was */
} wa_grid_cell;

typedef struct wa_grid {
    const wa_plan *plan;
    wa_lock *lock; /* around the list of cells, and around making the lists of dropped samples */
    wa_grid_cell *cell[WA_CELLS_MOST];
    size_t n_cells;
} wa_grid;

wa_status wa_grid_init(wa_grid *g, const wa_plan *plan, wa_error *err);
void wa_grid_release(wa_grid *g);

/** The cell of a key, made where there was none; *out is NULL where there are too many. */
wa_status wa_grid_cell_of(wa_grid_cell **out, wa_grid *g, const wa_cell_key *key, wa_error *err);

/** Counts `n` samples of interval i as dropped for a reason. */
wa_status wa_grid_drop(wa_grid *g, wa_grid_cell *cell, size_t interval, size_t reason, uint32_t n,
                       wa_error *err);

/** Puts the cells in order: the shared one, then by beam and range. */
void wa_grid_sort(wa_grid *g);

/** Moves all accounts and series out of the grid, behind those that the records have. */
wa_status wa_grid_hand_over(wa_records *to, wa_grid *g, wa_error *err);

#endif
