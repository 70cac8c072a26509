/* budget_rows.h - what a budget keeps. */
#ifndef METROLOGY_BUDGET_ROWS_H
#define METROLOGY_BUDGET_ROWS_H

#include "windassay/budget.h"

struct wa_budget {
    size_t bins, n;
    wa_budget_row row[WA_BUDGET_COMPONENTS_MAX]; /* u holds contribution and dof, too */
};

#endif
