/* account_reply.h - what the parent is told of an account beside its masks: by what rule each
 * interval went, what was compared in those that stayed, and in which bin. A variant (variant.h)
 * tells nothing of it. */
#ifndef WINDASSAY_CELL_ACCOUNT_REPLY_H
#define WINDASSAY_CELL_ACCOUNT_REPLY_H

#include "script/cell/grid.h"

/** The exclusion that was just made rests on the mask at `arg`. */
void cell_account_explain(lua_State *L, cell_account *a, int arg);

/** What is compared in the kept rows: columns at these places; `deviation` 0: their difference. */
void cell_account_compare(lua_State *L, cell_account *a, int measured, int reference,
                          int deviation);

/** The bins of the kept rows; `by` is the place of the column that they were made from, 0: not
 *  known. */
void cell_account_bin(lua_State *L, cell_account *a, const wa_bins *bins, int by);

#endif
