/* rows.h - the rows of one CSV file, one after another: the only place that knows libcsv.
 *
 * Fields come as UTF-8, NUL-terminated, exactly as written (blanks kept, quotes taken off), and
 * live until the next call. What a file must be like is written in docs/reference/reading.md;
 * in short: RFC 4180, UTF-8 unless the layout says latin-1, no NUL, every row as long as the row
 * of names, names neither empty nor twice. Everything else is an error at its physical line and
 * byte. Memory is one block and one row (at most WA_ROW_LIMIT bytes), whatever the file.
 */
#ifndef WINDASSAY_DATA_ROWS_H
#define WINDASSAY_DATA_ROWS_H

#include "data/lines.h"
#include "data/row.h"
#include "windassay/campaign.h"
#include "windassay/error.h"

#include <stddef.h>
#include <stdint.h>

enum { WA_ROW_LIMIT = 4 * 1024 * 1024 };

typedef struct wa_rows wa_rows;

/** Opens a file and reads as far as its names (and units). Owns `fd` from now on, also when it
 *  fails. `name` is what errors call the file; ".gz" at its end says that it is gzip. */
wa_status wa_rows_open(wa_rows **out, int fd, const char *name, const wa_layout *layout,
                       wa_error *err);

/** The same, to read the head and no more than some rows of a file: no digest is made. */
wa_status wa_rows_open_head(wa_rows **out, int fd, const char *name, const wa_layout *layout,
                            wa_error *err);
/** The rows in a part of a file whose head was read by `head`, which must outlive it. The part begins
 *  with a row; where rows reach beyond its end, that is an error. Lines are counted from 1, and
 *  wa_rows_blank says afterwards whether an empty line ended it. See wa_lines_open_part. */
wa_status wa_rows_open_part(wa_rows **out, const wa_rows *head, int fd, uint64_t from, uint64_t to,
                            bool whole, wa_error *err);
bool wa_rows_blank(const wa_rows *r);
/** Whether the rows of a file can be read in parts, and where the next one begins. */
bool wa_rows_can_part(wa_rows *r);
uint64_t wa_rows_offset(wa_rows *r);
const wa_lines *wa_rows_lines(const wa_rows *r);

size_t wa_rows_columns(const wa_rows *r);
/** The names of the columns, as written; borrowed until close. */
const char *const *wa_rows_names(const wa_rows *r);
/** The column of that name; SIZE_MAX when there is none. */
size_t wa_rows_find(const wa_rows *r, const char *name);
/** Like wa_rows_find, but an absent name is an error at the row of names, with the nearest one
 *  as the hint. `what` says who asks: "channel 'v_top'". */
wa_status wa_rows_column(size_t *out, const wa_rows *r, const char *name, const char *what,
                         wa_error *err);
/** The row of units, NULL where the layout has none; borrowed until close. */
const char *const *wa_rows_units(const wa_rows *r);

/** The next row: wa_rows_columns fields. *fields is NULL at the end of the file (which was then
 *  read whole and did not change meanwhile). */
wa_status wa_rows_next(wa_rows *r, const wa_field **fields, wa_error *err);

/** From now on a last row that nothing ends is left out: the file is still being written. */
void wa_rows_leave_torn(wa_rows *r);
/** The line of the row that was left out so; 0: none was. */
size_t wa_rows_torn(const wa_rows *r);
/** How to take plain rows apart from now on; WA_VECTOR_NONE before this is called. */
void wa_rows_use(wa_rows *r, wa_vector_level level);
/** The next row, as wa_rows_next gives it, but without the parser where the text is plain: its
 *  fields then are not NUL-terminated. *any is false at the end of the file. Values, lines and
 *  errors are the same either way. */
wa_status wa_rows_step(wa_rows *r, wa_row *row, bool *any, wa_error *err);
/** The plain rows that lie ready behind the present one; whoever counts `next` up has stepped. */
wa_plain *wa_rows_plain(wa_rows *r);
wa_vector_level wa_rows_level(const wa_rows *r);

/** Physical line on which the present row starts. */
size_t wa_rows_line(wa_rows *r);
/** Data rows given so far. */
uint64_t wa_rows_count(wa_rows *r);
/** Bytes as stored that were read so far; after the end: the size of the file. */
uint64_t wa_rows_stored(const wa_rows *r);
/** Size of the file when it was opened. */
uint64_t wa_rows_size(const wa_rows *r);
/** SHA-256 of the stored bytes in hexadecimal, once the end was reached; "" before. */
const char *wa_rows_sha256(const wa_rows *r);

/** An error about field `column` (from 0) of the present row: file, physical line and byte are
 *  found by scanning the row again. Returns WA_ERR_DATA. */
wa_status wa_rows_fail(wa_rows *r, size_t column, wa_error *err, const char *format, ...)
    WA_PRINTF(4, 5);
/** The same about the name (or, with `units`, the unit) of a column. */
wa_status wa_rows_fail_name(const wa_rows *r, size_t column, bool units, wa_error *err,
                            const char *format, ...) WA_PRINTF(5, 6);

void wa_rows_close(wa_rows *r);

#endif
