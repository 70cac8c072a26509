/* open.h - the bindings, one line each: what a cell opens before it seals itself. */
#ifndef WINDASSAY_CELL_OPEN_H
#define WINDASSAY_CELL_OPEN_H

#include <lua.h>

/** Opens every binding (open.c lists them). */
void cell_open_bindings(lua_State *L);

/* The bindings themselves. */
void cell_open_column(lua_State *L); /* masks too */
void cell_open_angle(lua_State *L);
void cell_open_circular(lua_State *L);
void cell_open_trace(lua_State *L);
void cell_open_fit(lua_State *L);
void cell_open_bin(lua_State *L);
void cell_open_compare(lua_State *L);
void cell_open_correlate(lua_State *L);
void cell_open_reconstruct(lua_State *L);
void cell_open_scan(lua_State *L); /* after cell_open_fit, into its table */
void cell_open_resample(lua_State *L);
void cell_open_distributions(lua_State *L); /* quantile */
void cell_open_quantity(lua_State *L);
void cell_open_budget(lua_State *L);
void cell_open_uncertainty(lua_State *L);
void cell_open_conformity(lua_State *L);

#endif
