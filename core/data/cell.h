/* cell.h - one beam and range of a source (an unsplit source is one cell): its series on the grid,
 * its account of samples, and the samples of the interval that is being read.
 */
#ifndef WINDASSAY_DATA_CELL_H
#define WINDASSAY_DATA_CELL_H

#include "data/averaging.h"
#include "data/batch.h"
#include "data/plan.h"
#include "data/prepare.h"
#include "windassay/records.h"

typedef struct wa_cell {
    const wa_plan *plan;
    bool shared; /* holds the channels that are equal on all rows of a scan, and only those */
    bool has_beam, has_range;
    double beam, range;
    double expected; /* samples an interval; 0: not stated */
    wa_series *series;
    size_t *channel; /* series i is of this channel, or of an added one after the channels */
    size_t n_series;
    uint32_t *read, **dropped; /* dropped: by reason, NULL where nothing was */
    wa_angle_table *angles;    /* by series */
    /* the present interval */
    wa_batch batch;
    uint32_t repeated;
    int64_t last; /* middle of the last row added; INT64_MIN before */
} wa_cell;

/** What closing an interval needs beside: grown as needed, one a thread. */
typedef struct wa_workroom {
    double *numbers;
    uint8_t *out;        /* samples that quality limits drop            */
    uint8_t *out_target; /* and prepare, for one channel or added one   */
    size_t room;
    wa_prepared prepared;
} wa_workroom;
void wa_workroom_release(wa_workroom *w);

/** Makes a cell with all statistics missing. NULL when memory ran out. `key` gives shared, beam
 *  and range. */
wa_cell *wa_cell_make(const wa_plan *plan, const wa_cell *key);
void wa_cell_free(wa_cell *cell);

/** Counts `n` samples of interval i as dropped for a reason. */
wa_status wa_cell_drop(wa_cell *cell, size_t interval, size_t reason, uint32_t n, wa_error *err);

/** Averages the samples gathered into interval i, and starts anew. */
wa_status wa_cell_close_interval(wa_cell *cell, size_t interval, wa_workroom *w, wa_error *err);

/** An averaged row: `sample` holds WA_COLUMNS statistics a channel, missing ones tagged so;
 *  `means` the means alone; `percent` says which channels' availability is in %. */
wa_status wa_cell_put_averages(wa_cell *cell, size_t interval, const wa_sample *sample,
                               const wa_sample *means, const bool *percent, wa_workroom *w,
                               wa_error *err);

/** Moves the series and the account out of the cell. */
wa_status wa_cell_finish(wa_cell *cell, wa_sample_account *account, wa_error *err);

#endif
