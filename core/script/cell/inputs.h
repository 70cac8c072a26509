/* inputs.h - inputs of a model, as uncertainty.propagate and monte_carlo.propagate take them. */
#ifndef WINDASSAY_CELL_INPUTS_H
#define WINDASSAY_CELL_INPUTS_H

#include "script/cell/quantity.h"
#include "windassay/monte_carlo.h"
#include "windassay/propagate.h"

/** The inputs at a table: a list (the model gets them as arguments), or by name (the model gets a
 *  table). Names are in sorted order, which is that of covariances and random numbers. */
typedef struct cell_inputs {
    size_t n;
    bool named;
    const char *name[WA_INPUTS_MAX]; /* borrowed from the table's keys              */
    wa_input input[WA_INPUTS_MAX];
    wa_distribution distribution[WA_INPUTS_MAX];
    wa_unit unit[WA_INPUTS_MAX]; /* of the columns of trials; "1" where none is stated   */
} cell_inputs;

/** Reads the inputs at `arg`; each { value =, u = or U =, k = or half_width =, shape =, dof = } or
 *  a quantity. */
void cell_read_inputs(lua_State *L, int arg, const char *what, cell_inputs *in);

/** The option `correlation` of the table at `arg`: rows of a matrix, or entries { a, b, r } by
 *  number or name. Pushes n x n scratch; NULL (nothing pushed) where it is absent. */
const double *cell_correlation(lua_State *L, int arg, const char *what, const cell_inputs *in);

#endif
