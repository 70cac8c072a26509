/* results.h - read-only results with named fields: what fits, comparisons and lags hand back.
 *
 * A field that is not defined (a coefficient of determination where y does not vary) is there, but
 * reading it raises `undefined` with its reason. An unknown field raises with the nearest one.
 */
#ifndef WINDASSAY_CELL_RESULTS_H
#define WINDASSAY_CELL_RESULTS_H

#include "script/cell/bind.h"

/** Pushes an empty result; `kind` is its name in messages: "fit". `more` bytes of the caller's own
 *  lie in it (cell_result_data). Fields are set while it lies on top of the stack. */
void *cell_new_result(lua_State *L, const char *kind, size_t more);
/** The caller's bytes of the result of that kind at `arg`; NULL for anything else. */
void *cell_result_data(lua_State *L, int arg, const char *kind);

/** Sets a field. A number that is not finite makes the field undefined, with `why`. */
void cell_result_number(lua_State *L, const char *field, double x, const char *why);
void cell_result_whole(lua_State *L, const char *field, uint64_t n);
void cell_result_text(lua_State *L, const char *field, const char *text);
void cell_result_undefined(lua_State *L, const char *field, const char *why);
/** Pops a value from above the result and makes it the field. */
void cell_result_value(lua_State *L, const char *field);

void cell_open_results(lua_State *L);

#endif
