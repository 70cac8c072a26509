/* Rows that need no CSV parser: blocks of plain text, indexed at once. */
#include "data/rows_inside.h"

/* Text, index and samples together stay in the first cache: each column goes through them again. */
enum { BLOCK = 16 * 1024 };

void wa_rows_use(wa_rows *r, wa_vector_level level)
{
    r->level = wa_index_level(level);
    r->plain.columns = (uint32_t)r->names.n;
    if (wa_lines_end(r->lines) != '\n' || r->names.n > WA_ROW_LIMIT)
        r->level = WA_VECTOR_NONE;
}

wa_plain *wa_rows_plain(wa_rows *r)
{
    return &r->plain;
}

wa_vector_level wa_rows_level(const wa_rows *r)
{
    return r->level;
}

void wa_rows_settle(wa_rows *r)
{
    wa_plain *p = &r->plain;
    if (p->next == p->settled)
        return;
    uint32_t from = wa_plain_start(p, p->settled), last = wa_plain_start(p, p->next - 1);
    size_t rows = p->next - p->settled;
    wa_lines_pass(r->lines, last - from, rows - 1, wa_plain_start(p, p->next) - last);
    r->line = wa_lines_number(r->lines);
    r->count += rows;
    p->settled = p->next;
}

/* How many of the indexed rows are as they should be; the parser says what is wrong with others. */
static size_t sound_rows(const wa_plain *p)
{
    size_t rows = wa_index_rows(&p->index, p->text, p->columns);
    for (size_t i = 0; p->columns == 1 && i < rows; i++) { /* a row of one field may be empty */
        size_t length = wa_plain_start(p, i + 1) - wa_plain_start(p, i);
        if (length == 1 || (length == 2 && p->text[wa_plain_start(p, i)] == '\r'))
            return i;
    }
    return rows;
}

/* Indexes the n bytes at p->text: first as those before, then the other way. Whether all is plain. */
static bool index_text(wa_rows *r, size_t n)
{
    wa_plain *p = &r->plain;
    bool quoted = p->quoted, plain = false;
    for (int tries = 0; tries < 2; tries++, quoted = !quoted) {
        plain = quoted ? wa_index_make_quoted(&p->index, p->text, n, r->delimiter, r->level)
                       : wa_index_make(&p->index, p->text, n, r->delimiter, r->level);
        p->ready = sound_rows(p);
        if (plain || p->ready > 0) {
            p->quoted = p->index.quotes;
            return plain;
        }
    }
    return false;
}

/* Makes rows ready. None where the next row needs the parser, or there is none. */
static wa_status index_more(wa_rows *r, wa_error *err)
{
    wa_plain *p = &r->plain;
    size_t wanted = BLOCK;
    bool more = true;
    p->next = p->ready = p->settled = 0;
    for (;;) {
        size_t n = 0;
        p->text = wa_lines_unread(r->lines, &n);
        size_t length = n < wanted ? n : wanted;
        if (!wa_index_reserve(&p->index, length + 1))
            return wa_fail(err, WA_ERR_NOMEM, "out of memory");
        bool plain = index_text(r, length);
        if (p->index.feeds > 0 || !plain || length > WA_ROW_LIMIT || !more)
            return WA_OK;
        if (length < n) {
            wanted *= 2; /* a row longer than a block */
            continue;
        }
        wa_status status = wa_lines_more(r->lines, &more, err);
        if (status != WA_OK)
            return status;
    }
}

wa_status wa_rows_step(wa_rows *r, wa_row *row, bool *any, wa_error *err)
{
    *any = true;
    if (wa_plain_next(&r->plain, row))
        return WA_OK;
    wa_status status = WA_OK;
    if (r->level != WA_VECTOR_NONE) {
        wa_rows_settle(r);
        if ((status = index_more(r, err)) != WA_OK || wa_plain_next(&r->plain, row))
            return status;
    }
    status = wa_rows_next(r, &row->field, err);
    *any = status == WA_OK && row->field != NULL;
    return status;
}
