#include "data/rows_inside.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *name_of(const wa_rows *r)
{
    return wa_lines_name(r->lines);
}

/* ---- one row through libcsv ---- */

/* Bytes in front of the text that may be read, for wa_quick_decimal. */
enum { FRONT = 8 };

static void free_text(wa_rows *r)
{
    if (r->text != NULL)
        free(r->text - FRONT);
}

/* Room for the row with `more` bytes of raw text: in UTF-8 at most twice as long, a NUL behind each
 * field. All bytes of the row count, for libcsv holds back those of a field that is still open. */
static bool make_room(wa_rows *r, size_t more)
{
    r->fed += more;
    size_t need = 3 * r->fed + 2;
    if (need <= r->text_room)
        return true;
    char *larger = malloc(FRONT + need * 2);
    if (larger == NULL)
        return false;
    memset(larger, 0, FRONT);
    larger += FRONT;
    if (r->text_length > 0)
        memcpy(larger, r->text, r->text_length);
    for (size_t i = 0; i < r->n_fields; i++)
        r->field[i].at = larger + (r->field[i].at - r->text);
    free_text(r);
    r->text = larger;
    r->text_room = need * 2;
    return true;
}

static size_t put_utf8(char *to, const char *from, size_t n)
{
    size_t made = 0;
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)from[i];
        if (c >= 0x80)
            to[made++] = (char)(0xc0 | c >> 6);
        to[made++] = (char)(c >= 0x80 ? 0x80 | (c & 0x3f) : c);
    }
    return made;
}

static void on_field(void *at, size_t n, void *ctx)
{
    wa_rows *r = ctx;
    if (r->ended) {
        r->stray = true;
        return;
    }
    if (r->n_fields == r->field_room) {
        size_t room = r->field_room ? r->field_room * 2 : 32;
        wa_field *larger = realloc(r->field, room * sizeof *larger);
        if (larger == NULL) {
            r->out_of_memory = true;
            return;
        }
        r->field = larger;
        r->field_room = room;
    }
    char *to = r->text + r->text_length;
    size_t length = n;
    if (r->latin1)
        length = put_utf8(to, at, n);
    else
        memcpy(to, at, n);
    to[length] = '\0';
    r->text_length += length + 1;
    r->field[r->n_fields++] = (wa_field){to, length};
}

static void on_row(int end, void *ctx)
{
    wa_rows *r = ctx;
    (void)end;
    r->stray |= r->ended;
    r->ended = true;
}

/* A blank is a byte like any other (RFC 4180): numbers may have some around them, names keep
 * theirs. libcsv would take them off. */
static int never(unsigned char c)
{
    (void)c;
    return 0;
}

/* Gives one physical line to libcsv. */
static wa_status feed(wa_rows *r, const char *at, size_t n, wa_error *err)
{
    if (!make_room(r, n))
        return wa_no_memory(err);
    size_t used = csv_parse(&r->csv, at, n, on_field, on_row, r);
    size_t number = wa_lines_number(r->lines);
    if (used != n && csv_error(&r->csv) == CSV_EPARSE) {
        wa_fail_at(err, WA_ERR_DATA, name_of(r), number, used + 1,
                   "a quote (\") may only stand around a whole field");
        return wa_hint(err, WA_ERR_DATA, "inside a quoted field it is written twice (RFC 4180)");
    }
    if (used != n || r->out_of_memory)
        return wa_no_memory(err);
    if (r->stray) {
        const char *cr = memchr(at, wa_lines_end(r->lines) == '\n' ? '\r' : '\n', n);
        return wa_fail_at(err, WA_ERR_DATA, name_of(r), number,
                          cr != NULL ? (size_t)(cr - at) + 1 : 0,
                          "another kind of line end inside a line");
    }
    return WA_OK;
}

static bool only_line_end(const char *at, size_t n)
{
    return n == 1 ? *at == '\n' || *at == '\r' : n == 2 && at[0] == '\r' && at[1] == '\n';
}

/* The end of the file ends a row that has no line end; a quote still open is an error there. */
static wa_status end_last_row(wa_rows *r, wa_error *err)
{
    bool open_quote = csv_fini(&r->csv, on_field, on_row, r) != 0;
    if (open_quote && r->leave_torn)
        r->torn = r->line;
    else if (open_quote) {
        wa_rows_fail(r, r->n_fields, err, "a quote (\") is opened here and never closed");
        return wa_hint(err, WA_ERR_DATA, "the file ends at line %zu", wa_lines_number(r->lines));
    }
    return r->out_of_memory ? wa_no_memory(err) : WA_OK;
}

wa_status wa_rows_split(wa_rows *r, const char *at, size_t n, wa_error *err)
{
    wa_status status = WA_OK;
    r->n_fields = r->text_length = r->fed = 0;
    r->ended = r->stray = false;
    r->line = wa_lines_number(r->lines);
    while (status == WA_OK) {
        if ((status = feed(r, at, n, err)) != WA_OK || r->ended)
            break;
        status = wa_lines_next(r->lines, true, &at, &n, err);
        if (status == WA_OK && n == 0)
            return end_last_row(r, err);
    }
    return status;
}

wa_status wa_rows_read(wa_rows *r, bool *empty, wa_error *err)
{
    const char *at = NULL;
    size_t n = 0;
    wa_status status = wa_lines_next(r->lines, false, &at, &n, err);
    if (status != WA_OK)
        return status;
    *empty = only_line_end(at, n);
    if (n > 0 && !*empty)
        return wa_rows_split(r, at, n, err);
    r->n_fields = 0;
    r->line = wa_lines_number(r->lines);
    return WA_OK;
}

/* ---- finding a field's place again ---- */

/* Physical line and byte of field `column` in the raw text of a row that starts on `line`. */
static void place_of(const char *raw, size_t n, char delimiter, size_t column, size_t *line,
                     size_t *byte)
{
    bool quoted = false;
    size_t line_start = 0;
    for (size_t i = 0; i < n && column > 0; i++) {
        if (raw[i] == '"') {
            quoted = !quoted;
        } else if (raw[i] == delimiter && !quoted) {
            if (--column == 0) {
                *byte = i + 2 - line_start;
                return;
            }
        } else if (raw[i] == '\n' || (raw[i] == '\r' && !(i + 1 < n && raw[i + 1] == '\n'))) {
            line_start = i + 1;
            ++*line;
        }
    }
    *byte = 1;
}

WA_PRINTF(7, 0)
static wa_status fail_in(const wa_rows *r, const char *raw, size_t n, size_t line, size_t column,
                         wa_error *err, const char *format, va_list args)
{
    char text[WA_ERROR_TEXT_SIZE];
    size_t byte = 1;
    vsnprintf(text, sizeof text, format, args);
    place_of(raw, n, r->delimiter, column, &line, &byte);
    return wa_fail_at(err, WA_ERR_DATA, name_of(r), line, byte, "%s", text);
}

wa_status wa_rows_fail(wa_rows *r, size_t column, wa_error *err, const char *format, ...)
{
    size_t n;
    if (err == NULL) /* nobody asks where */
        return WA_ERR_DATA;
    wa_rows_settle(r);
    const char *raw = wa_lines_held(r->lines, &n);
    va_list args;
    va_start(args, format);
    wa_status status = fail_in(r, raw, n, r->line, column, err, format, args);
    va_end(args);
    return status;
}

wa_status wa_rows_fail_name(const wa_rows *r, size_t column, bool units, wa_error *err,
                            const char *format, ...)
{
    const kept_row *k = units ? &r->units : &r->names;
    va_list args;
    va_start(args, format);
    wa_status status = fail_in(r, k->raw, k->raw_length, k->line, column, err, format, args);
    va_end(args);
    return status;
}

/* Owns the lines from now on. */
static wa_status begin(wa_rows **out, wa_lines *lines, char delimiter, bool latin1, wa_error *err)
{
    wa_rows *r = calloc(1, sizeof *r);
    if (r == NULL) {
        wa_lines_close(lines);
        return wa_no_memory(err);
    }
    r->lines = lines;
    r->latin1 = latin1;
    r->delimiter = delimiter;
    r->level = WA_VECTOR_NONE;
    if (csv_init(&r->csv, CSV_STRICT | CSV_STRICT_FINI) != 0) {
        wa_rows_close(r);
        return wa_no_memory(err);
    }
    r->csv_open = true;
    csv_set_delim(&r->csv, (unsigned char)delimiter);
    csv_set_space_func(&r->csv, never);
    csv_set_blk_size(&r->csv, 4096);
    *out = r;
    return WA_OK;
}

static wa_status open_whole(wa_rows **out, int fd, const char *name, const wa_layout *layout,
                            bool head, wa_error *err)
{
    bool latin1 = layout->encoding != NULL && strcmp(layout->encoding, "latin-1") == 0;
    wa_lines *lines = NULL;
    wa_rows *r = NULL;
    wa_status status = wa_lines_open(&lines, fd, name, latin1, WA_ROW_LIMIT, head, err);
    if (status == WA_OK)
        status = begin(&r, lines, layout->delimiter, latin1, err);
    if (status != WA_OK)
        return status;
    if ((status = wa_rows_read_head(r, layout, err)) != WA_OK) {
        wa_rows_close(r);
        return status;
    }
    *out = r;
    return WA_OK;
}

wa_status wa_rows_open(wa_rows **out, int fd, const char *name, const wa_layout *layout,
                       wa_error *err)
{
    return open_whole(out, fd, name, layout, false, err);
}

wa_status wa_rows_open_head(wa_rows **out, int fd, const char *name, const wa_layout *layout,
                            wa_error *err)
{
    return open_whole(out, fd, name, layout, true, err);
}

wa_status wa_rows_open_part(wa_rows **out, const wa_rows *head, int fd, uint64_t from, uint64_t to,
                            bool whole, wa_error *err)
{
    wa_lines *lines = NULL;
    wa_rows *r = NULL;
    wa_status status = wa_lines_open_part(&lines, fd, name_of(head), head->latin1, WA_ROW_LIMIT,
                                          from, to, whole, err);
    if (status == WA_OK)
        status = begin(&r, lines, head->delimiter, head->latin1, err);
    if (status != WA_OK)
        return status;
    r->names = head->names;
    r->units = head->units;
    r->borrowed = true;
    *out = r;
    return WA_OK;
}

bool wa_rows_blank(const wa_rows *r)
{
    return r->blank;
}

bool wa_rows_can_part(wa_rows *r)
{
    return !wa_lines_inflates(r->lines) && wa_lines_end(r->lines) == '\n';
}

uint64_t wa_rows_offset(wa_rows *r)
{
    wa_rows_settle(r);
    return wa_lines_offset(r->lines);
}

const wa_lines *wa_rows_lines(const wa_rows *r)
{
    return r->lines;
}

/* ---- rows ---- */

/* Whether the row is the last one and nothing ends it. */
static bool unended(const wa_rows *r)
{
    size_t n;
    const char *raw = wa_lines_held(r->lines, &n);
    return n > 0 && raw[n - 1] != '\n' && raw[n - 1] != '\r';
}

wa_status wa_rows_next(wa_rows *r, const wa_field **fields, wa_error *err)
{
    bool empty = false, torn = false;
    size_t empty_line = 0;
    wa_rows_settle(r);
    r->plain.next = r->plain.ready = r->plain.settled = 0; /* the parser goes its own way */
    do {
        wa_status status = wa_rows_read(r, &empty, err);
        if (status != WA_OK)
            return status;
        torn = r->leave_torn && r->n_fields > 0 && unended(r);
        if (torn)
            r->torn = r->line;
        if (empty && empty_line == 0)
            empty_line = r->line;
    } while (empty || torn); /* behind a torn row only the end of the file follows */
    if (r->n_fields == 0) {
        r->blank = empty_line != 0;
        *fields = NULL;
        return WA_OK;
    }
    if (empty_line != 0)
        return wa_fail_at(err, WA_ERR_DATA, name_of(r), empty_line, 1,
                          "an empty line, and rows after it");
    if (r->n_fields != r->names.n) {
        wa_fail_at(err, WA_ERR_DATA, name_of(r), r->line, 1, "%zu field%s, %zu expected",
                   r->n_fields, r->n_fields == 1 ? "" : "s", r->names.n);
        if (r->n_fields > r->names.n && r->delimiter == ',')
            return wa_hint(err, WA_ERR_DATA,
                           "does the file write decimals with a comma? it then needs another "
                           "delimiter, or quotes");
        if (r->n_fields < r->names.n && unended(r))
            return wa_hint(err, WA_ERR_DATA,
                           "the last row has no line end: torn while it was written? take "
                           "a whole file, or the row out of it");
        return WA_ERR_DATA;
    }
    r->count++;
    *fields = r->field;
    return WA_OK;
}

void wa_rows_leave_torn(wa_rows *r)
{
    r->leave_torn = true;
}

size_t wa_rows_torn(const wa_rows *r)
{
    return r->torn;
}

size_t wa_rows_line(wa_rows *r)
{
    wa_rows_settle(r);
    return r->line;
}

uint64_t wa_rows_count(wa_rows *r)
{
    wa_rows_settle(r);
    return r->count;
}

uint64_t wa_rows_stored(const wa_rows *r)
{
    return wa_lines_stored(r->lines);
}

uint64_t wa_rows_size(const wa_rows *r)
{
    return wa_lines_size(r->lines);
}

const char *wa_rows_sha256(const wa_rows *r)
{
    return wa_lines_sha256(r->lines);
}

static void release(kept_row *k)
{
    for (size_t i = 0; i < k->n; i++)
        free(k->text[i]);
    free(k->text);
    free(k->raw);
}

void wa_rows_close(wa_rows *r)
{
    if (r == NULL)
        return;
    if (r->csv_open)
        csv_free(&r->csv);
    wa_lines_close(r->lines);
    if (!r->borrowed) {
        release(&r->names);
        release(&r->units);
    }
    wa_index_release(&r->plain.index);
    free_text(r);
    free(r->field);
    free(r);
}
