/* share.h - what the bindings of fits, bins, comparisons and lags use of each other. */
#ifndef WINDASSAY_CELL_SHARE_H
#define WINDASSAY_CELL_SHARE_H

#include "script/cell/bind.h"
#include "windassay/bin.h"
#include "windassay/fit.h"

/** Two columns of the same rows, at `a` and `b`, or raises. */
void cell_check_pair(lua_State *L, int a, int b, const char *what, wa_column **x, wa_column **y);

/** Push the results of fits over columns in these units. */
void cell_push_origin_fit(lua_State *L, const wa_origin_fit *f, const wa_unit *x, const wa_unit *y);
void cell_push_line_fit(lua_State *L, const wa_line_fit *f, const wa_unit *x, const wa_unit *y);

/** Unit of y / x, of differences. */
wa_unit cell_unit_of_slope(lua_State *L, const wa_unit *y, const wa_unit *x);

/** Reads the options of bins at `arg`; numbers in the unit of `reference`, or with their own.
 *  May push (edges): the spec borrows from the stack. */
void cell_bin_spec(lua_State *L, int arg, const char *function, const wa_column *reference,
                   wa_bin_spec *spec);

/** Pushes a copy of bins of a reference in that unit. */
void cell_push_bins(lua_State *L, const wa_bins *bins, const wa_unit *unit, uint8_t side);

/** The columns that bins were made from: by which records are sorted, and what is measured. */
enum { CELL_BINS_BY = 2, CELL_BINS_MEASURED = 3 };

/** The bins on top of the stack keep the columns at these places; `measured` 0: none. */
void cell_bins_keep(lua_State *L, int by, int measured);
/** Pushes such a column of the bins at `arg`; false, with nil pushed, where they have none. */
bool cell_push_bins_column(lua_State *L, int arg, int which);

/** Pushes a column of n values copied from `at`. */
void cell_push_values(lua_State *L, const double *at, size_t n, const wa_unit *unit, uint8_t side);

#endif
