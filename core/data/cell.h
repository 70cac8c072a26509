/* cell.h - the samples of the interval that is being read, of one beam and range, and how they
 * become its statistics on the grid. One thread fills a cell.
 */
#ifndef WINDASSAY_DATA_CELL_H
#define WINDASSAY_DATA_CELL_H

#include "data/averaging.h"
#include "data/batch.h"
#include "data/grid.h"
#include "data/integers.h"
#include "data/prepare.h"

typedef struct wa_cell {
    wa_grid *grid;
    wa_grid_cell *to;
    wa_angle_table *angles; /* by series */
    wa_batch batch;
    uint32_t repeated; /* equal rows that were not taken again               */
    int64_t last;      /* middle of the last row added; INT64_MIN before     */
} wa_cell;

/** What closing an interval needs beside: grown as needed, one a thread. */
typedef struct wa_workroom {
    double *numbers;
    uint8_t *out;        /* samples that quality limits drop            */
    size_t n_out;        /* how many                                    */
    uint8_t *out_target; /* and prepare, for one channel or added one   */
    bool tags_alone;     /* no: the channel's tags say what is left out */
    wa_tags tags;        /* of that channel                             */
    size_t room;
    wa_prepared prepared;
} wa_workroom;
void wa_workroom_release(wa_workroom *w);

/** NULL when memory ran out. */
wa_cell *wa_cell_make(wa_grid *grid, wa_grid_cell *to);
void wa_cell_free(wa_cell *cell);

/** Averages the samples gathered into interval i, and starts anew. */
wa_status wa_cell_close_interval(wa_cell *cell, size_t interval, wa_workroom *w, wa_error *err);

/** An averaged row: `sample` holds WA_COLUMNS statistics a channel, missing ones tagged so;
 *  `means` the means alone; `percent` says which channels' availability is in %. */
wa_status wa_cell_put_averages(wa_cell *cell, size_t interval, const wa_sample *sample,
                               const wa_sample *means, const bool *percent, wa_workroom *w,
                               wa_error *err);

#endif
