/* budget.h - the userdata of budgets, shared by bind_budget.c and bind_budget_results.c. */
#ifndef WINDASSAY_CELL_BUDGET_H
#define WINDASSAY_CELL_BUDGET_H

#include "script/cell/quantity.h"
#include "windassay/budget.h"

/* User value 1: the centres of the bins, where it was made from bins. */
typedef struct cell_budget {
    wa_budget *b;
    wa_unit unit; /* of every contribution                       */
    bool has_unit;
} cell_budget;

cell_budget *cell_check_budget(lua_State *L, int arg, const char *what);

/** The methods that give results, a NULL-terminated list. */
extern const luaL_Reg cell_budget_results[];

#endif
