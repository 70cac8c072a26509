/* lettering.h - text on a drawing: how wide it is, and the elements that write it.
 *
 * Widths come from our own table, so that a layout does not hang on the fonts of a machine. The
 * table is that of a wide sans-serif; a narrower font leaves room, never clips.
 */
#ifndef WA_REPORT_LETTERING_H
#define WA_REPORT_LETTERING_H

#include "windassay/text.h"

#include <stdbool.h>
#include <stddef.h>

/* The fonts that drawings and pages name, in order of wish. */
#define WA_FONTS "'Source Sans 3','Noto Sans','Liberation Sans',Arial,'DejaVu Sans',sans-serif"

/* Width of UTF-8 text in 1/100 px at `size` (1/100 px). */
long wa_lettering_width(const char *text, long size, bool bold);

typedef enum wa_anchor { WA_ANCHOR_START, WA_ANCHOR_MIDDLE, WA_ANCHOR_END } wa_anchor;

/* Adds one <text> element; `text` is foreign and is escaped here; cut with an ellipsis where it
 * is wider than `room` (0: no bound), the whole of it then being its tooltip. */
void wa_lettering_write(wa_text *out, long x, long y, long size, bool bold, wa_anchor anchor,
                        const char *text, long room);

/* Breaks `text` at blanks into lines of at most `room`; writes each `leading` below the last.
 * Returns how many lines there are; with out == NULL it only counts. */
int wa_lettering_paragraph(wa_text *out, long x, long y, long size, bool bold, long leading,
                           const char *text, long room);

#endif
