/* quantity.h - quantities: a value with its standard uncertainty, coverage factor, unit and
 * degrees of freedom. What budgets, propagation and certificates hand to each other. */
#ifndef WINDASSAY_CELL_QUANTITY_H
#define WINDASSAY_CELL_QUANTITY_H

#include "script/cell/results.h"

typedef struct cell_quantity {
    bool has_value, has_unit;
    double value;
    double u;   /* standard uncertainty                                              */
    double k;   /* the coverage factor that it was stated with: U = k u              */
    double dof; /* infinite: known as well as need be                                */
    wa_unit unit;
    char source[80]; /* where u comes from; "": not stated                           */
} cell_quantity;

/** Pushes a quantity; further fields may be set while it lies on top (results.h). */
void cell_push_quantity(lua_State *L, const cell_quantity *q);
/** The quantity at `arg`: one of these, or a budget of one bin; false for anything else. A budget
 *  of several bins, or whose uncertainty is missing, raises. */
bool cell_test_quantity(lua_State *L, int arg, cell_quantity *out);

/** The budget at `arg` as a quantity (bind_budget.c); false where there is none. */
bool cell_test_budget(lua_State *L, int arg, cell_quantity *out);

/** What options say of a standard uncertainty: u =, or U = with k =, or half_width = with shape =;
 *  and dof =. Raises where there is none, or several. `what` names the place in messages. */
void cell_stated_uncertainty(lua_State *L, int arg, const char *what, cell_quantity *out);

#endif
