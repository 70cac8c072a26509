/* operands.h - what columns, masks, angles and placeholders share in the bindings. */
#ifndef WINDASSAY_CELL_OPERANDS_H
#define WINDASSAY_CELL_OPERANDS_H

#include "script/cell/bind.h"
#include "windassay/column.h"
#include "windassay/mask.h"

/** The operand at `arg`: a column, a finite number, or a number with its unit { 0.5, "m/s" }.
 *  Raises "WHAT: expected ..." for anything else. */
wa_operand cell_operand(lua_State *L, int arg, const char *what);

/** A bound of a comparison: as an operand, and a plain number takes the unit (a text) at
 *  `unit_arg` where there is one. */
wa_operand cell_bound(lua_State *L, int arg, int unit_arg, const char *what);

/** A direction in degrees: a number, or { 30, "degree" }. */
double cell_degrees(lua_State *L, int arg, const char *what);

/** Parses the unit at `arg` or raises. */
wa_unit cell_unit(lua_State *L, int arg, const char *what);

/** Rows that an operation on both touches. */
size_t cell_rows(const wa_operand *a, const wa_operand *b);

/** The result of an operation, a column or mask, lies on top of the stack: if it borrows the times
 *  of the one at `arg`, it keeps that alive. */
void cell_keep_times(lua_State *L, int arg);

/** Raises unless `s` is WA_OK. */
void cell_need(lua_State *L, wa_status s, const wa_error *err);

/* bind_summary.c: methods of columns that give a number, a NULL-terminated list. */
extern const luaL_Reg cell_summary_methods[];
/* bind_rolling.c: methods of columns that give a column of neighbours' statistics. */
extern const luaL_Reg cell_rolling_methods[];
/* bind_mask.c: methods of columns that give a mask, and the mask's own type. */
extern const luaL_Reg cell_comparison_methods[];
void cell_open_mask(lua_State *L);

#endif
