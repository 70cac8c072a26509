/* variant.h - a run of a check on other records than it asked for: how far its outcome hangs on
 * choices. The parent says what is other (job field "variant") and decides what comes of it:
 *   { skip = "REASON", account = "NAME" }   the exclusion is not made
 *   { event = "REASON" }                    the campaign's event is not excluded
 *   { day = N }                             the UTC day N since 1970 is excluded
 *   { seed = N, length = N }                what kept() gives is drawn in blocks (0: the usual length)
 *   {}                                      nothing here: the results of other checks are other
 * Such a run answers with its requirements only; with `whole` = true, for checks that judge results,
 * with its values and tables as well. */
#ifndef WINDASSAY_CELL_VARIANT_H
#define WINDASSAY_CELL_VARIANT_H

#include "script/cell/grid.h"

/** True where the exclusion is the one that is not to be made; its account then leaves out of
 *  kept() what is missing instead of raising. */
bool cell_variant_skips(lua_State *L, cell_account *a, const char *reason);
/** True where the event is not to be excluded. */
bool cell_variant_skips_event(lua_State *L, const char *reason);
/** Excludes the day from an account that is new. */
void cell_variant_exclude(lua_State *L, cell_account *a);
/** The rows that kept(...) is about to give for the first time: without those where one of the columns
 *  (arguments 2 to `last`) is missing, where an exclusion was skipped; or drawn in blocks. */
void cell_variant_keep(lua_State *L, cell_account *a, int last);
/** What the parent gets of such a run; NULL where this is none. */
wa_value *cell_variant_reply(const cell_state *cell);

#endif
