/* difference.h - where two records, or two CSV files of a dossier, say different things.
 *
 * A difference is a map:
 *   check      id of the check; absent: of the campaign as a whole
 *   table      name of the table; row: its number from 1, and `key`, the row's first cell; column
 *   place      where in the record otherwise: "requirements 'slope' [house], u"
 *   file       for CSV files, with row (counted from 1 below the names), key and column
 *   before, after   what each says; absent: nothing there
 *   relative   |after - before| / |before| of two numbers; absent where before is 0
 *   ulps       how many doubles lie between two numbers, counting one end; absent above 2^53
 */
#ifndef WINDASSAY_RUN_DIFFERENCE_H
#define WINDASSAY_RUN_DIFFERENCE_H

#include "run/csv_side.h"
#include "windassay/error.h"
#include "windassay/text.h"
#include "windassay/value.h"

#include <stddef.h>

/** What was found: the first `most`, and how many there are. */
typedef struct wa_differences {
    wa_value *list; /* a list of differences */
    size_t n, most;
} wa_differences;

wa_status wa_differences_begin(wa_differences *d, size_t most, wa_error *err);
void wa_differences_release(wa_differences *d);

/** Walks two plain values: records, or parts of them. Checks, requirements, values, tables and the
 *  like are matched by id or name, rows by their number. Keys of `skip` (NULL-terminated; may be
 *  NULL) are not looked at on the first level. */
wa_status wa_difference_records(wa_differences *d, const wa_value *before, const wa_value *after,
                                const char *const *skip, wa_error *err);

/** Compares two CSV files cell by cell; `file` is what the differences call them. */
wa_status wa_difference_csv(wa_differences *d, const char *file, wa_csv_side *before,
                            wa_csv_side *after, wa_error *err);

/** Appends one line, without its end: "check 'speed', table 'by bin', row 3 (4.5), column 'n': 12
 *  BEFORE, 13 AFTER (relative 0.083)". The words say what the two sides are. */
void wa_difference_print(wa_text *out, const wa_value *difference, const char *before,
                         const char *after);

/** How many doubles lie between two numbers, counting one end: 0 for equal ones. */
double wa_ulps_between(double a, double b);

#endif
