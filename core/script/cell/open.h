/* open.h - the bindings, one line each: what a cell opens before it seals itself. */
#ifndef WINDASSAY_CELL_OPEN_H
#define WINDASSAY_CELL_OPEN_H

#include <lua.h>

/** Opens every binding (open.c lists them). */
void cell_open_bindings(lua_State *L);

#endif
