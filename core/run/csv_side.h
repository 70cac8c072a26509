/* csv_side.h - one of two CSV files of a dossier that are compared, field by field: it is read as it
 * goes, wherever it comes from, so that neither is held. */
#ifndef WINDASSAY_RUN_CSV_SIDE_H
#define WINDASSAY_RUN_CSV_SIDE_H

#include "windassay/listing.h"

#include <stdbool.h>

/** What a file is taken from, at its start; released by wa_csv_side_release. */
typedef struct wa_csv_side {
    const wa_listing *listing; /* or */
    const char *bytes;         /* n of them, or */
    size_t n;
    int fd; /* where the other two are NULL; it stays the caller's */
    /* zeroed at first */
    wa_text held; /* what was taken, read up to `at` */
    size_t at, line;
    bool ended;
    wa_status status; /* of taking more: what comes next then is the end */
    wa_error why;
} wa_csv_side;

/** False at the end of the file. */
bool wa_csv_side_more(wa_csv_side *f);

/** Takes the next field; true where more follow in its row. */
bool wa_csv_side_next(wa_text *out, wa_csv_side *f);

void wa_csv_side_release(wa_csv_side *f);

#endif
