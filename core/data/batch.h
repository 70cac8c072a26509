/* batch.h - the samples of one interval of one beam and range, column by column. */
#ifndef WINDASSAY_DATA_BATCH_H
#define WINDASSAY_DATA_BATCH_H

#include "data/sample.h"

#include <stddef.h>
#include <stdint.h>

typedef struct wa_batch {
    size_t n, room, n_channels;
    wa_datum **is; /* by channel */
    uint8_t **tag;
} wa_batch;

wa_status wa_batch_init(wa_batch *b, size_t n_channels, wa_error *err);
void wa_batch_release(wa_batch *b);

/* Rows are put behind the last one (row n, ...), channel by channel; n then counts them, too. */
/** Makes room for so many more rows. */
wa_status wa_batch_room(wa_batch *b, size_t rows, wa_error *err);

static inline void wa_batch_put(wa_batch *b, size_t channel, size_t row, const wa_sample *s)
{
    b->is[channel][row] = s->is;
    b->tag[channel][row] = s->tag;
}

/** True where the row put says the same as the last one. */
bool wa_batch_repeats(const wa_batch *b);

#endif
