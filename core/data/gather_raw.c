/* Raw rows, one a sample, into the batches of their cells. */
#include "data/gather_inside.h"
#include "data/quick.h"

#include <string.h>

/* The channels that all rows of a scan share count once a scan. The row's samples lie behind the
 * last row of `from`. */
static wa_status take_shared(wa_gather *g, const wa_source_file *f, const wa_batch *from,
                             wa_error *err)
{
    const wa_source *s = g->plan->source;
    wa_batch *b = &g->shared->batch;
    bool first = g->shared->last != f->middle;
    wa_status status = wa_batch_room(b, 1, err);
    for (size_t c = 0; status == WA_OK && c < s->n_channels; c++) {
        wa_sample here = {from->is[c][from->n], from->tag[c][from->n]};
        if (!s->channels[c].shared)
            here.tag = WA_TAG_MISSING;
        wa_batch_put(b, c, b->n, &here);
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

/* Reads a field of a row: quickly where it is what it nearly always is. */
static wa_status read_field(wa_sample *s, wa_gather *g, const wa_source_file *f, const wa_row *row,
                            size_t c, wa_error *err)
{
    const wa_channel_plan *channel = &g->plan->channel[c];
    const wa_layout *layout = &g->plan->source->layout;
    size_t column = f->column[c][WA_COLUMN_VALUE];
    wa_field field = wa_row_field(row, column);
    if (channel->quick &&
        wa_quick_decimal(&s->is.digits, &s->tag, field.at, field.length, layout->decimal)) {
        g->scale[c] = s->tag;
        if (!wa_decimals_avoid(&channel->expected[s->tag], s->is.digits))
            return WA_OK;
    }
    return wa_sample_read_channel(s, f->rows, &field, column, layout, channel->channel,
                                  channel->to_degree, err);
}

/* Reads the row's samples into the place behind the last row of the batch. */
static wa_status read_samples(wa_gather *g, const wa_source_file *f, wa_batch *b, wa_error *err)
{
    wa_status status = wa_batch_room(b, 1, err);
    for (size_t c = 0; status == WA_OK && c < b->n_channels; c++) {
        wa_sample s;
        status = read_field(&s, g, f, &f->row, c, err);
        if (status == WA_OK)
            wa_batch_put(b, c, b->n, &s);
    }
    return status;
}

wa_status wa_gather_take_row(wa_gather *g, const wa_source_file *f, wa_error *err)
{
    wa_cell *cell = g->recent;
    wa_status status = read_samples(g, f, &cell->batch, err);
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

/* ---- many rows at once, channel by channel ---- */

/* Reads the last column of n plain rows, which has carriage returns behind it, as far as it can. */
static size_t read_last(wa_datum *to, uint8_t *tag, const wa_decimals *d, const wa_source_file *f,
                        size_t first, size_t n)
{
    enum { ROWS = 64 };
    const wa_plain *p = wa_rows_plain(f->rows);
    uint32_t ends[2 * ROWS];
    wa_fields fields = {.text = p->text, .begin = ends, .stride = 2};
    for (size_t i = 0; i < n;) {
        size_t most = n - i < ROWS ? n - i : ROWS;
        for (size_t k = 0; k < most; k++) {
            const uint32_t *last =
                wa_plain_ends(p, first + i + k) + p->index.per * (p->columns - 1);
            ends[2 * k] = last[-1];
            ends[2 * k + 1] = last[0] - wa_plain_cut(p, last);
        }
        size_t read = wa_decimals_read(to + i, tag + i, d, &fields, most, wa_rows_level(f->rows));
        i += read;
        if (read < most)
            return i;
    }
    return n;
}

static size_t read_column(wa_datum *to, uint8_t *tag, const wa_decimals *d, const wa_source_file *f,
                          size_t column, size_t first, size_t n)
{
    const wa_plain *p = wa_rows_plain(f->rows);
    if (column == p->columns - 1u && f->row.cut > 0)
        return read_last(to, tag, d, f, first, n);
    wa_fields fields = {.text = p->text, .stride = wa_plain_stride(p)};
    fields.begin = wa_plain_ends(p, first) + p->index.per * column - 1;
    return wa_decimals_read(to, tag, d, &fields, n, wa_rows_level(f->rows));
}

wa_status wa_gather_read_channel(wa_gather *g, const wa_source_file *f, wa_batch *b, size_t c,
                                 size_t first, size_t n)
{
    const wa_channel_plan *channel = &g->plan->channel[c];
    const wa_plain *p = wa_rows_plain(f->rows);
    size_t column = f->column[c][WA_COLUMN_VALUE];
    for (size_t i = 0; i < n;) {
        size_t at = b->n + i;
        if (channel->quick && column > 0)
            i += read_column(b->is[c] + at, b->tag[c] + at, &channel->expected[g->scale[c]], f,
                             column, first + i, n - i);
        if (i == n)
            break;
        wa_row row;
        wa_sample s;
        wa_plain_at(p, first + i, &row);
        wa_status status = read_field(&s, g, f, &row, c, NULL);
        if (status != WA_OK)
            return status;
        wa_batch_put(b, c, b->n + i++, &s);
    }
    return WA_OK;
}

/* An error in one of n plain rows: it is found again in the order of rows, with its place. */
static wa_status find_error(wa_gather *g, wa_source_file *f, wa_batch *b, size_t first, size_t n,
                            wa_error *err)
{
    wa_plain *p = wa_rows_plain(f->rows);
    for (size_t i = 0; i < n; i++) {
        p->next = first + i + 1;
        wa_plain_at(p, first + i, &f->row);
        wa_status status = read_samples(g, f, b, err);
        if (status != WA_OK)
            return status;
    }
    return wa_fail(err, WA_ERR_INTERNAL, "a field was read in two ways");
}

/* Takes the present row and plain ones after it, none of which repeats a time. */
static wa_status take_rows(wa_gather *g, wa_source_file *f, int64_t limit, wa_error *err)
{
    wa_cell *cell = g->recent;
    wa_batch *b = &cell->batch;
    size_t first = wa_rows_plain(f->rows)->next - 1;
    size_t n = 1 + wa_source_file_run(f, limit, NULL);
    wa_status status = wa_batch_room(b, n, err);
    if (status != WA_OK)
        return status;
    for (size_t c = 0; c < b->n_channels; c++) {
        status = wa_gather_read_channel(g, f, b, c, first, n);
        if (status != WA_OK)
            return status == WA_ERR_DATA ? find_error(g, f, b, first, n, err)
                                         : wa_fail(err, status, "out of memory");
    }
    b->n += n;
    cell->last = f->middle;
    return WA_OK;
}

wa_status wa_gather_take_raw(wa_gather *g, wa_source_file *f, int64_t limit, wa_error *err)
{
    bool split = g->plan->split;
    wa_status status = WA_OK;
    do {
        bool plain = f->row.field == NULL;
        if (plain && split && g->plan->source->time.n_clock == 0) {
            status = wa_gather_take_split(g, f, limit, err);
        } else if (plain && !split && g->recent->last != f->middle) {
            status = take_rows(g, f, limit, err);
        } else {
            if (split)
                status = wa_gather_find_cell(g, f, err);
            if (status == WA_OK)
                status = wa_gather_take_row(g, f, err);
        }
        if (status == WA_OK)
            status = wa_source_file_next(f, err);
    } while (status == WA_OK && f->any && f->middle < limit);
    return status;
}
