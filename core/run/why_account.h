/* why_account.h - what a dossier says of one account: states, exclusions, what was compared. */
#ifndef WINDASSAY_RUN_WHY_ACCOUNT_H
#define WINDASSAY_RUN_WHY_ACCOUNT_H

#include "run/bag_table.h"

/** The tables of a dossier that have a row an interval; judged and compared are NULL where the
 *  dossier has none (it was made before there were any). */
typedef struct wa_why_tables {
    wa_table *intervals, *samples, *ledger, *judged, *compared;
} wa_why_tables;

/** One of the numbers that were compared. */
typedef struct wa_why_column {
    const wa_table_column *column; /* NULL: not known */
    const char *name;              /* of the record; NULL: none */
    char unit[64];
} wa_why_column;

typedef struct wa_why_account {
    const char *check, *account; /* of the record, borrowed  */
    const wa_value *exclusions;  /* of the whole check       */
    const wa_table_column *ledger;
    wa_why_column reference, measured, deviation, bin;
    size_t n;      /* intervals of the grid */
    double *sizes; /* of the deviations of used records, the largest first */
    size_t n_sizes;
} wa_why_account;

/** Borrows from all three. WA_ERR_DATA where the ledger has no such account. */
wa_status wa_why_account_open(wa_why_account *out, const wa_value *entry, const wa_value *account,
                              const wa_why_tables *tables, wa_error *err);
void wa_why_account_release(wa_why_account *a);

/** What became of interval `row`, as a plain value (docs/guide.md shows one). NULL: memory. */
wa_value *wa_why_account_tell(const wa_why_account *a, const wa_why_tables *tables, size_t row);

/** { name, unit, value }; a NaN is null. NULL: memory. */
wa_value *wa_why_number(const char *name, const char *unit, double x);

#endif
