/* marks.h - the marks of a drawing: shapes, dashes, colours, and the series made of them. */
#ifndef WA_REPORT_MARKS_H
#define WA_REPORT_MARKS_H

#include "report/figure.h"

/* Colours are told apart by people who confuse red and green, and as greys; shape and dash say
 * the same again, so nothing hangs on colour. */
const char *wa_marks_colour(const wa_series *s);
const char *wa_marks_dash(const wa_series *s);

/* One marker at (x, y), `open` or filled; `tip` (already escaped) is its tooltip, NULL: none. */
void wa_marks_marker(wa_text *out, const wa_series *s, long x, long y, long size, const char *tip);

/* Everything of one series, on the paper that the two scales describe. */
void wa_marks_series(wa_text *out, const wa_figure *f, const wa_series *s, const wa_scale *x,
                     const wa_scale *y);

/* Grids of counts are shaded by doublings: class 0 is one record, 1 two or three, ... */
enum { WA_MARKS_SHADES = 7 };
const char *wa_marks_shade(int class);
int wa_marks_classes(const wa_series *s); /* classes that occur, from 0 */

#endif
