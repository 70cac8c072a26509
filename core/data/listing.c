#include "windassay/listing.h"

#include "windassay/pool.h"
#include "windassay/time.h"

#include <stdlib.h>

enum { PIECE = 65536 /* bytes that are gathered before they are handed over */ };

void wa_listing_line(wa_text *out, const wa_listing *l, size_t i)
{
    char time[WA_TIME_TEXT_SIZE];
    if (i > l->n)
        return;
    if (i == 0) {
        wa_text_add(out, "time");
        wa_text_add_bytes(out, l->names.at, l->names.length);
    } else {
        const int64_t start = l->from + (int64_t)(i - 1) * l->interval_ns;
        wa_text_add_bytes(out, time, wa_time_print(time, start));
        l->cells(l->context, i - 1, out);
    }
    wa_text_add_char(out, '\n');
}

/* ---- one piece after the other ------------------------------------------------------------- */

static wa_status make_alone(const wa_listing *l, wa_listing_taker *take, void *to, wa_error *err)
{
    wa_text piece = WA_TEXT_INIT;
    wa_status s = WA_OK;
    for (size_t i = 0; i <= l->n && s == WA_OK; i++) {
        wa_listing_line(&piece, l, i);
        if (piece.length < PIECE && i < l->n)
            continue;
        s = wa_text_failed(&piece) ? wa_no_memory(err) : take(to, piece.at, piece.length, err);
        wa_text_clear(&piece);
    }
    wa_text_release(&piece);
    return s;
}

/* ---- several at once ----------------------------------------------------------------------- */

/* A round: one thread hands over the pieces of the round before, the others make the next. */
typedef struct making {
    const wa_listing *l;
    size_t rows;          /* of a piece                      */
    wa_text *done, *next; /* jobs of them each               */
    size_t n_done, first; /* first: the piece that next[0] is */
    wa_listing_taker *take;
    void *to;
    wa_error *err; /* of the one that hands over */
    wa_status status;
} making;

/* Lines that make a good piece, by the number of columns. */
static size_t rows_of_piece(const wa_listing *l)
{
    enum { TIME = 22, COLUMN = 10 }; /* bytes, about */
    size_t columns = 0;
    for (size_t i = 0; i < l->names.length; i++)
        columns += l->names.at[i] == ',';
    return (size_t)4 * PIECE / (TIME + COLUMN * columns) + 1;
}

static void hand_over(making *m)
{
    for (size_t i = 0; i < m->n_done && m->status == WA_OK; i++) {
        const wa_text *piece = &m->done[i];
        m->status = wa_text_failed(piece) ? wa_no_memory(m->err)
                                          : m->take(m->to, piece->at, piece->length, m->err);
    }
}

static wa_status round_task(void *context, size_t index, wa_error *err)
{
    making *m = context;
    (void)err; /* the caller's is m->err */
    if (index == 0) {
        hand_over(m);
        return WA_OK;
    }
    wa_text *piece = &m->next[index - 1];
    size_t from = (m->first + index - 1) * m->rows;
    wa_text_clear(piece);
    for (size_t i = from; i < from + m->rows && i <= m->l->n; i++)
        wa_listing_line(piece, m->l, i);
    return WA_OK;
}

static wa_status make_together(making *m, size_t jobs)
{
    size_t pieces = m->l->n / m->rows + 1; /* one line is that of the names */
    while (m->first < pieces || m->n_done > 0) {
        size_t n = pieces - m->first < jobs ? pieces - m->first : jobs;
        wa_status s = wa_pool_run(jobs, 1 + n, round_task, m, m->err);
        if (s == WA_OK)
            s = m->status;
        if (s != WA_OK)
            return s;
        wa_text *done = m->done;
        m->done = m->next;
        m->next = done;
        m->n_done = n;
        m->first += n;
    }
    return WA_OK;
}

wa_status wa_listing_make(const wa_listing *l, size_t jobs, wa_listing_taker *take, void *to,
                          wa_error *err)
{
    making m = {.l = l, .rows = rows_of_piece(l), .take = take, .to = to, .err = err};
    if (jobs < 2 || l->n < 2 * m.rows)
        return make_alone(l, take, to, err);
    wa_text *pieces = calloc(2 * jobs, sizeof *pieces);
    if (pieces == NULL)
        return wa_no_memory(err);
    m.done = pieces;
    m.next = pieces + jobs;
    wa_status s = make_together(&m, jobs);
    for (size_t i = 0; i < 2 * jobs; i++)
        wa_text_release(&pieces[i]);
    free(pieces);
    return s;
}

void wa_listing_release(wa_listing *l)
{
    if (l->release != NULL)
        l->release(l->context);
    wa_text_release(&l->names);
    *l = (wa_listing){.names = WA_TEXT_INIT};
}
