/* lines.h - the physical lines of a text file: where they end, which number they have, and that
 * they are text at all. A piece of rows.h, apart because it knows nothing of fields.
 */
#ifndef WINDASSAY_DATA_LINES_H
#define WINDASSAY_DATA_LINES_H

#include "data/file_stamp.h"
#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct wa_lines wa_lines;

enum { WA_LINES_FRONT = 64 };

/** Owns `fd` from now on. Refuses gzip data under another name, UTF-16 and binary data at 1:1.
 *  `latin1`: bytes from 0x80 on are characters of their own. `head`: only its first lines are wanted,
 *  and no digest. */
wa_status wa_lines_open(wa_lines **out, int fd, const char *name, bool latin1, size_t limit,
                        bool head, wa_error *err);

/** The lines in bytes `from` to below `to` of a file that is no gzip, of which the first begins a
 *  line; they end with a line feed, and are counted from 1. The part is held in memory as a whole
 *  where `whole` says so, and stays there until the end. */
wa_status wa_lines_open_part(wa_lines **out, int fd, const char *name, bool latin1, size_t limit,
                             uint64_t from, uint64_t to, bool whole, wa_error *err);
/** The bytes of a part that is held as a whole. */
const char *wa_lines_part(const wa_lines *l, size_t *n);
/** Where in the file the next line begins (no gzip). */
uint64_t wa_lines_offset(const wa_lines *l);
bool wa_lines_inflates(const wa_lines *l);
/** The file as it was when it was opened, and WA_ERR_DATA unless it is now as it was then. */
wa_file_stamp wa_lines_stamp(const wa_lines *l);
wa_status wa_lines_check(const wa_lines *l, const wa_file_stamp *was, wa_error *err);

/** The next line with its end; *n = 0 at the end of the file. With `extend` what was given
 *  before stays, and both lie one after another at wa_lines_held; without it the held text
 *  starts anew. A held text longer than the limit is an error. */
wa_status wa_lines_next(wa_lines *l, bool extend, const char **at, size_t *n, wa_error *err);

/** The bytes that were read but not given yet; they stay where they are until the next call of
 *  wa_lines_next or wa_lines_more. The WA_LINES_FRONT bytes before them may be read, too. */
const char *wa_lines_unread(const wa_lines *l, size_t *n);
/** Reads on behind the unread bytes; *more is false at the end of the file. */
wa_status wa_lines_more(wa_lines *l, bool *more, wa_error *err);
/** Gives some whole lines of the unread bytes at once: the last `n` bytes of them are one line,
 *  `before` bytes and `lines` lines lie in front of it. No byte may be NUL or above 127. */
void wa_lines_pass(wa_lines *l, size_t before, size_t lines, size_t n);

/** All that is held: the lines since the last call without `extend`. */
const char *wa_lines_held(const wa_lines *l, size_t *n);
/** Number of the line given last, from 1; 0 before the first. */
size_t wa_lines_number(const wa_lines *l);
/** What ends a line: '\n' (also after a '\r'), or '\r' alone. The first line decides. */
char wa_lines_end(const wa_lines *l);
uint64_t wa_lines_stored(const wa_lines *l);
uint64_t wa_lines_size(const wa_lines *l);
const char *wa_lines_sha256(const wa_lines *l);
const char *wa_lines_name(const wa_lines *l);
void wa_lines_close(wa_lines *l);

#endif
