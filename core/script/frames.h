/* frames.h - a frame on the socket between parent and cell: its length in four bytes, lowest
 * first, then one plain value in its wire form.
 *
 * The parent sends the job. The cell sends { ask = MODULE } and gets { path =, text = } or
 * { error =, hint = } back, as often as it needs, and at the end { reply = ... }.
 */
#ifndef WINDASSAY_SCRIPT_FRAMES_H
#define WINDASSAY_SCRIPT_FRAMES_H

#include "windassay/error.h"
#include "windassay/text.h"
#include "windassay/value.h"

enum { WA_FRAME_HEAD = 4, WA_FRAME_MOST = 1 << 28 };

/** The code with which a cell ends when its answer does not fit into memory or a frame. */
enum { WA_FRAMES_MEMORY = 71 };

/** Appends one frame. False when memory ran out or the value is too large for a frame. */
bool wa_frame_encode(const wa_value *v, wa_text *out);

/** The length that a head announces. WA_ERR_DATA when no frame may be so long or so short. */
wa_status wa_frame_length(size_t *out, const unsigned char head[WA_FRAME_HEAD], wa_error *err);

#endif
