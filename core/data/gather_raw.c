/* Raw rows, one a sample, into the batches of their cells. */
#include "data/gather_inside.h"
#include "data/quick.h"

/* The channels that all rows of a scan share count once a scan. The row's samples lie behind the
 * last row of `from`. */
static wa_status take_shared(wa_gather *g, const wa_source_file *f, const wa_batch *from,
                             wa_error *err)
{
    const wa_source *s = g->plan->source;
    wa_batch *b = &g->shared->batch;
    bool first = g->shared->last != f->middle;
    wa_status status = wa_batch_room(b, err);
    for (size_t c = 0; status == WA_OK && c < s->n_channels; c++) {
        wa_sample here = {from->is[c][from->n], from->tag[c][from->n]};
        if (!s->channels[c].shared)
            here.tag = WA_TAG_MISSING;
        wa_batch_put(b, c, &here);
        if (first || !s->channels[c].shared)
            continue;
        wa_sample before = {b->is[c][b->n - 1], b->tag[c][b->n - 1]};
        if (!wa_sample_equal(&before, &here)) {
            wa_rows_fail(f->rows, f->column[c][WA_COLUMN_VALUE], err,
                         "channel '%s' differs between rows of one scan", s->channels[c].name);
            return wa_hint(err, WA_ERR_DATA, "it is declared as shared");
        }
    }
    if (status == WA_OK && first) {
        g->shared->last = f->middle;
        b->n++;
    }
    return status;
}

/* A field that is what it nearly always is. False: nothing was read. */
static inline bool read_quickly(wa_sample *s, const wa_field *field, const wa_channel_plan *c,
                                const wa_layout *layout)
{
    return c->quick &&
           wa_quick_decimal(&s->is.digits, &s->tag, field->at, field->length, layout->decimal) &&
           s->is.digits >= c->lowest && s->is.digits < c->below[s->tag];
}

/* Reads the row's samples into the place behind the last row of the batch. */
static wa_status read_samples(const wa_plan *p, const wa_source_file *f, wa_batch *b, wa_error *err)
{
    wa_status status = wa_batch_room(b, err);
    bool plain = f->row.field == NULL;
    const wa_layout *layout = &p->source->layout;
    for (size_t c = 0; status == WA_OK && c < b->n_channels; c++) {
        const wa_channel_plan *channel = &p->channel[c];
        size_t column = f->column[c][WA_COLUMN_VALUE];
        wa_field field = wa_source_field(f, column);
        wa_sample s;
        if (!plain || !read_quickly(&s, &field, channel, layout))
            status = wa_sample_read_channel(&s, f->rows, &field, column, layout, channel->channel,
                                            channel->to_degree, err);
        if (status == WA_OK)
            wa_batch_put(b, c, &s);
    }
    return status;
}

static wa_status take_row(wa_gather *g, const wa_source_file *f, wa_error *err)
{
    wa_cell *cell = g->recent;
    wa_status status = read_samples(g->plan, f, &cell->batch, err);
    if (status == WA_OK && g->shared != NULL)
        status = take_shared(g, f, &cell->batch, err);
    if (status != WA_OK)
        return status;
    bool again = false;
    if (cell->last == f->middle)
        status = wa_gather_check_repeated(&again, f, true, wa_batch_repeats(&cell->batch), err);
    if (status != WA_OK)
        return status;
    cell->last = f->middle;
    if (again)
        cell->repeated++;
    else
        cell->batch.n++;
    return WA_OK;
}

wa_status wa_gather_take_raw(wa_gather *g, wa_source_file *f, int64_t limit, wa_error *err)
{
    wa_status status = WA_OK;
    do {
        if (g->plan->split)
            status = wa_gather_find_cell(g, f, err);
        if (status == WA_OK)
            status = take_row(g, f, err);
        if (status == WA_OK)
            status = wa_source_file_next(f, err);
    } while (status == WA_OK && f->any && f->middle < limit);
    return status;
}
