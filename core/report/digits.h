/* digits.h - how many digits a number gets in a report.
 *
 * A table shows why: a value near its limit must not be rounded onto it, and an uncertainty has
 * two significant digits (GUM 7.2.6). Decisions are made on unrounded values elsewhere.
 */
#ifndef WA_REPORT_DIGITS_H
#define WA_REPORT_DIGITS_H

#include "windassay/text.h"
#include "windassay/value.h"

/* `x` with exactly `decimals` digits after the point; the shortest text that reads back. */
void wa_digits_fixed(wa_text *t, double x, int decimals);
void wa_digits_shortest(wa_text *t, double x);

/* `x` with as few decimals as read back to it, but at most `decimals` or three
 * significant digits, whichever is more. */
void wa_digits_at_most(wa_text *t, double x, int decimals);

/* Decimals that a unit usually gets: 5 for pure numbers, 3 for speeds, ... */
int wa_digits_usual(const char *unit);

/* Decimals for a requirement: the usual ones, at least two digits of u, and as many as are needed
 * to keep value and limits apart. */
int wa_digits_requirement(const wa_value *requirement);

/* Decimals that leave two significant digits of an uncertainty. */
int wa_digits_of_u(double u);

/* `d`, or more where a value without uncertainty would be rounded onto a whole number. */
int wa_digits_unround(double x, int d);

/* Decimals of one number alone: as those of a column with this one cell. */
int wa_digits_single(double x, const char *unit);

/* Decimals for column `c` of a table's rows: none for whole numbers, fewer than usual where no
 * cell needs them, more where the largest cell would keep less than three digits. */
int wa_digits_column(const wa_value *rows, size_t c, const char *unit);

#endif
