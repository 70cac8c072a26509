/* source_file.h - one file of a source while it is read: its rows with their times, its columns by
 * channel. Times must not go backward.
 */
#ifndef WINDASSAY_DATA_SOURCE_FILE_H
#define WINDASSAY_DATA_SOURCE_FILE_H

#include "data/plan.h"
#include "data/rows.h"
#include "windassay/time.h"

/* The columns of one channel: raw sources have the first, averaged ones any of them. */
enum {
    WA_COLUMN_VALUE, /* the sample; of averaged sources the mean */
    WA_COLUMN_SD,
    WA_COLUMN_MIN,
    WA_COLUMN_MAX,
    WA_COLUMN_COUNT,
    WA_COLUMN_AVAILABILITY,
    WA_COLUMN_RESULTANT,
    WA_COLUMNS
};

typedef struct wa_source_file {
    const wa_plan *plan;
    char *path;
    bool borrowed; /* path and columns are another's */
    wa_rows *rows;
    size_t time_column[2];
    size_t beam_column, range_column; /* SIZE_MAX: none */
    size_t (*column)[WA_COLUMNS];     /* by channel; SIZE_MAX: none */
    bool *percent;                    /* by channel: its availability is in % */
    wa_time_seen seen;
    /* the present row */
    bool any; /* false: the end of the file                                  */
    wa_row row;
    int64_t stamp;  /* in UTC, as written                                         */
    int64_t start;  /* true start of the sample (or averaged row)                 */
    int64_t middle; /* its true middle: it decides to which interval it belongs   */
    /* what was read so far */
    int64_t first, last; /* stamps in UTC, as written */
    uint64_t rows_read, outside;
    char written[80]; /* the last stamp that was parsed, as written, and its time */
    size_t written_length;
    int64_t written_stamp;
    /* Where its second stands, and the UTC of its minute; others of the same minute need no more. */
    size_t second_at; /* 0: not known */
    size_t rest_at;   /* what follows second and fraction */
    int64_t minute;
} wa_source_file;

/** A field of the present row. */
static inline wa_field wa_source_field(const wa_source_file *f, size_t column)
{
    return wa_row_field(&f->row, column);
}

/** Opens a file as far as its names; `head`: no more than some rows of it will be read. Owns `fd`.
 *  `out` must be released, also on failure. */
wa_status wa_source_file_open(wa_source_file *out, const wa_plan *plan, int fd, const char *path,
                              bool head, wa_error *err);
/** Opens bytes `from` to below `to` of a file whose head `head` has read, which must outlive it; they
 *  begin with a row. Owns `fd`. */
wa_status wa_source_file_open_part(wa_source_file *out, const wa_source_file *head, int fd,
                                   uint64_t from, uint64_t to, bool whole, wa_error *err);
/** Goes to the next row. */
wa_status wa_source_file_next(wa_source_file *f, wa_error *err);
/** Goes on over plain rows that lie ready (wa_rows_plain), as long as each is later than the one
 *  before, earlier than `limit` and nothing is wrong with its time. Returns how many. Where their
 *  middles are asked for (room for all that lie ready is there), rows of the same time are passed,
 *  too. */
size_t wa_source_file_run(wa_source_file *f, int64_t limit, int64_t *middles);
void wa_source_file_release(wa_source_file *f);

#endif
