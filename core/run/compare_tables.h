/* compare_tables.h - the tables in which two records stand side by side. */
#ifndef WINDASSAY_RUN_COMPARE_TABLES_H
#define WINDASSAY_RUN_COMPARE_TABLES_H

#include "run/sheet.h"

/** Adds campaign, outcomes, parameters, exclusions, accounts, values, requirements and tables to the
 *  sheet: what differs, with `all` also what is the same. A table without rows is not there. */
void wa_compare_tables(wa_sheet *sheet, const wa_value *first, const wa_value *second, bool all);

#endif
