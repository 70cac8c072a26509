/* bag_table.h - a CSV file of a dossier, read as a table and proven by its digest. */
#ifndef WINDASSAY_RUN_BAG_TABLE_H
#define WINDASSAY_RUN_BAG_TABLE_H

#include "windassay/dossier.h"
#include "windassay/table.h"
#include "windassay/value.h"

/** Reads `path` below data/. WA_ERR_DATA where the dossier has no such file or its bytes are not
 *  those of the manifest. */
wa_status wa_bag_table(wa_table **out, const wa_bag *bag, const char *path, wa_error *err);

/** The grid of a record. WA_ERR_DATA where it is not sound. */
typedef struct wa_bag_grid {
    int64_t from, interval_ns; /* ns since 1970 */
    size_t n;
} wa_bag_grid;
wa_status wa_bag_grid_of(wa_bag_grid *out, const wa_value *record, wa_error *err);

/** The same for a table with a row an interval: WA_ERR_DATA unless its first column, `time`, is the
 *  grid. */
wa_status wa_bag_grid_table(wa_table **out, const wa_bag *bag, const char *path,
                            const wa_bag_grid *grid, wa_error *err);

/** The column called `name`, with or without " [unit]" behind it; NULL: none. `unit` gets the text
 *  between the brackets, of at most `size` bytes with its NUL; "1" where there is none. */
const wa_table_column *wa_bag_column(const wa_table *t, const char *name, char *unit, size_t size);

#endif
