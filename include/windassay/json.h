/* json.h - plain values as JSON (RFC 8259), and back.
 *
 * The writer is ours, because the bytes are compared: keys in the order of the tree, each number
 * as the shortest text that reads back as the same double, strings with the fewest escapes, a
 * newline at the end. The reader is jansson's, and refuses more than RFC 8259 does: a key that
 * stands twice, U+0000 in a string, numbers that no double holds, nesting deeper than 64.
 */
#ifndef WINDASSAY_JSON_H
#define WINDASSAY_JSON_H

#include "windassay/error.h"
#include "windassay/text.h"
#include "windassay/value.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Reads exactly `n` bytes of JSON. `file` names the place in messages (NULL: none).
 *  WA_ERR_DATA with line and column for what is not JSON or is refused as said above. */
wa_status wa_json_read(wa_value **out, const void *bytes, size_t n, const char *file,
                       wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
