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

/** Adds one sample a channel. */
wa_status wa_batch_add(wa_batch *b, const wa_sample *sample, wa_error *err);

/** True where the last row added says the same as `sample`. */
bool wa_batch_last_equals(const wa_batch *b, const wa_sample *sample);

#endif
