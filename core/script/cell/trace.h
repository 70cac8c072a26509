/* trace.h - `prepare` runs once on placeholders, and leaves a description of its formulas. */
#ifndef WINDASSAY_CELL_TRACE_H
#define WINDASSAY_CELL_TRACE_H

#include <lua.h>
#include <stdbool.h>

/**
 * Replaces the function `prepare` of the source table at `source` by the description that
 * formula.h documents; does nothing where there is none. `name` is the source's name, for
 * messages. Raises at the script's line for whatever the formulas cannot be.
 */
void cell_trace(lua_State *L, int source, const char *name);

bool cell_is_placeholder(lua_State *L, int arg);
/** For functions that take placeholders beside columns: traces op (arg 1), or op (arg 1, arg 2),
 *  and pushes the resulting placeholder. */
int cell_trace_function(lua_State *L, const char *op);
int cell_trace_pair(lua_State *L, const char *op);

#endif
