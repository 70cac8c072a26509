/* why_raw.h - the rows of the input files that an interval was made from: found by digest, read as
 * the dossier's own campaign says. */
#ifndef WINDASSAY_RUN_WHY_RAW_H
#define WINDASSAY_RUN_WHY_RAW_H

#include "run/bag_table.h"
#include "windassay/run.h"

typedef struct wa_why_raw wa_why_raw;

/** Looks for the inputs in the dossier and beneath `data`, and reads those rows that belong to the
 *  intervals `first` to `last` of the grid. WA_ERR_LIMIT for more than WA_WHY_ROWS_MOST rows. */
wa_status wa_why_raw_open(wa_why_raw **out, const wa_bag *bag, const wa_value *record,
                          const char *data, const wa_bag_grid *grid, size_t first, size_t last,
                          const wa_engine *engine, wa_error *err);
void wa_why_raw_close(wa_why_raw *r);

enum { WA_WHY_ROWS_MOST = 200000 };

/** { files = { { path, source, sha256, names, rows = { { line, fields } } } }, not_found = { paths },
 *  changed = { paths } } of one interval. NULL: memory. */
wa_value *wa_why_raw_tell(const wa_why_raw *r, size_t row);

#endif
