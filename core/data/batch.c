#include "data/batch.h"

#include <stdlib.h>
#include <string.h>

wa_status wa_batch_init(wa_batch *b, size_t n_channels, wa_error *err)
{
    wa_batch t = {.n_channels = n_channels};
    t.is = calloc(n_channels + 1, sizeof *t.is);
    t.tag = calloc(n_channels + 1, sizeof *t.tag);
    *b = t;
    return t.is == NULL || t.tag == NULL ? wa_no_memory(err) : WA_OK;
}

void wa_batch_release(wa_batch *b)
{
    for (size_t c = 0; c < b->n_channels; c++) {
        if (b->is != NULL)
            free(b->is[c]);
        if (b->tag != NULL)
            free(b->tag[c]);
    }
    free(b->is);
    free(b->tag);
    *b = (wa_batch){0};
}

static wa_status grow(wa_batch *b, size_t rows, wa_error *err)
{
    size_t room = b->room == 0 ? 64 : b->room * 2;
    while (room - b->n < rows)
        room *= 2;
    for (size_t c = 0; c < b->n_channels; c++) {
        wa_datum *is = realloc(b->is[c], room * sizeof *is);
        if (is == NULL)
            return wa_no_memory(err);
        b->is[c] = is;
        uint8_t *tag = realloc(b->tag[c], room);
        if (tag == NULL)
            return wa_no_memory(err);
        b->tag[c] = tag;
    }
    b->room = room;
    return WA_OK;
}

wa_status wa_batch_room(wa_batch *b, size_t rows, wa_error *err)
{
    return b->room - b->n >= rows ? WA_OK : grow(b, rows, err);
}

bool wa_batch_repeats(const wa_batch *b)
{
    for (size_t c = 0; c < b->n_channels; c++) {
        wa_sample last = {b->is[c][b->n - 1], b->tag[c][b->n - 1]};
        wa_sample here = {b->is[c][b->n], b->tag[c][b->n]};
        if (!wa_sample_equal(&last, &here))
            return false;
    }
    return true;
}
