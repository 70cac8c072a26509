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

typedef enum wa_json_layout {
    WA_JSON_COMPACT, /* one line, no blanks                                                    */
    WA_JSON_READABLE /* indented by one blank; a list of scalars (a table's row, a figure's
                        numbers) takes one line, and so does a map of scalars that is short    */
} wa_json_layout;

/** Reads exactly `n` bytes of JSON. `file` names the place in messages (NULL: none).
 *  WA_ERR_DATA for what is not JSON or is refused as said above, with line and column (but for
 *  nesting and for maps of too many keys). */
wa_status wa_json_read(wa_value **out, const void *bytes, size_t n, const char *file,
                       wa_error *err);

/** Appends `v`. WA_ERR_ARG for a string or key that is not UTF-8 or holds U+0000, and for
 *  nesting deeper than 64; WA_ERR_NOMEM. After a failure `out` is as it was. */
wa_status wa_json_write(wa_text *out, const wa_value *v, wa_json_layout layout, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
