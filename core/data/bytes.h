/* bytes.h - the bytes of one input file, plain or gzip, read in blocks and once, and hashed as
 * they are stored in the same pass.
 *
 * A file whose name ends in ".gz" is inflated (several members one after another are one
 * stream, as gzip has it); nothing else is. The file must not change while it is read: size and
 * time of change are taken when it is opened and compared at the end.
 */
#ifndef WINDASSAY_DATA_BYTES_H
#define WINDASSAY_DATA_BYTES_H

#include "data/file_stamp.h"
#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct wa_bytes wa_bytes;

/** Takes a file that is open for reading at its start, and owns `fd` from now on (also when this
 *  fails). `name` is what errors call it, and its end says whether it is gzip. */
wa_status wa_bytes_open(wa_bytes **out, int fd, const char *name, wa_error *err);

/** The same for bytes `from` to below `to` of a file that is not gzip: a part. They are not hashed,
 *  and nothing is compared at their end. */
wa_status wa_bytes_open_part(wa_bytes **out, int fd, const char *name, uint64_t from, uint64_t to,
                             wa_error *err);
/** From now on nothing is hashed: only the head of the file is wanted. */
void wa_bytes_leave_digest(wa_bytes *b);
/** The file as it was when it was opened. */
wa_file_stamp wa_bytes_stamp(const wa_bytes *b);
/** WA_ERR_DATA unless the file is now what that says. */
wa_status wa_bytes_check(const wa_bytes *b, const wa_file_stamp *was, wa_error *err);

/** Up to `room` more bytes; *got = 0 at the end only. WA_ERR_DATA for a torn or broken gzip
 *  file and for one that changed meanwhile, WA_ERR_IO where reading fails. */
wa_status wa_bytes_read(wa_bytes *b, void *to, size_t room, size_t *got, wa_error *err);

/** Bytes as stored that were read so far. */
uint64_t wa_bytes_stored(const wa_bytes *b);
/** Size of the file when it was opened. */
uint64_t wa_bytes_size(const wa_bytes *b);
/** SHA-256 of the stored bytes in hexadecimal, once the end was reached; "" before. */
const char *wa_bytes_sha256(const wa_bytes *b);
const char *wa_bytes_name(const wa_bytes *b);
bool wa_bytes_inflates(const wa_bytes *b);
void wa_bytes_close(wa_bytes *b);

#endif
