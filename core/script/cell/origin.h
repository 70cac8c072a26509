/* origin.h - what a column or mask was made of, in words that stand in the record.
 *
 * A column of the records is called as in intervals.csv ("mast.t.mean"); one that is computed gets
 * the words of its computation ("abs(lidar.tilt.mean - 1.2 degree)"), a mask those of its
 * comparison ("mast.t.mean below 2 degC"). A mask also remembers the columns that were compared,
 * so that the numbers that met an exclusion can be kept. What would get too long, or comes from a
 * primitive that says nothing of itself, is "computed in checks/x.lua:12".
 *
 * Words are set on the column or mask that lies on top of the stack; arguments are meant by their
 * absolute places.
 */
#ifndef WINDASSAY_CELL_ORIGIN_H
#define WINDASSAY_CELL_ORIGIN_H

#include "script/cell/bind.h"
#include "windassay/text.h"

/** User values of columns and masks; the first is what holds borrowed times. */
enum { CELL_COLUMN_VALUES = 2, CELL_MASK_VALUES = 3 };

/** The column is one of intervals.csv; `more` follows the statistic at once. */
void cell_origin_series(lua_State *L, const wa_value *series, const char *statistic,
                        const char *more);
/** "(A + B)", of what stands at `a` and `b`. */
void cell_origin_operator(lua_State *L, int a, const char *sign, int b);
/** "NAME(A, B)", of the arguments from `first` to `last`. */
void cell_origin_function(lua_State *L, const char *name, int first, int last);
/** The words of the column at `arg`, which the one on top continues. */
void cell_origin_same(lua_State *L, int arg);

/** "A VERB B UNIT", of the mask on top, which then looks at A and B. `b` 0 and `unit` NULL: none. */
void cell_origin_compared(lua_State *L, int a, const char *verb, int b, const char *unit);
/** "A VERB B to C UNIT" in the same way. */
void cell_origin_within(lua_State *L, int a, const char *verb, int b, int c, const char *unit);
/** "A WORD B", WORD being and, or, ...: what both look at, the mask on top looks at. */
void cell_origin_joined(lua_State *L, int a, const char *word, int b);
/** A mask made of one other: "BEFORE(A)AFTER". */
void cell_origin_of_mask(lua_State *L, const char *before, int a, const char *after);
/** Plain words; the mask looks at no column. Formats are those of lua_pushfstring. */
void cell_origin_words(lua_State *L, const char *format, ...);

/** The words for the column at `arg`; where there are none it gets "computed in FILE:LINE". Borrowed
 *  from the column. */
const char *cell_origin_of(lua_State *L, int arg);

/** What an exclusion by the mask at `arg` rests on: sets "rule" and "looks_at" (a list of names) of
 *  `to`. Columns that are not in intervals.csv are added to the list `judged`, each once, as
 *  { name, unit, at }. Only columns that cover `rows`. */
void cell_origin_explain(lua_State *L, int arg, size_t rows, wa_value *to, wa_value *judged);

#endif
