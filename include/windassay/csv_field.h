/* csv_field.h - one field of a CSV file as RFC 4180 writes it. */
#ifndef WINDASSAY_CSV_FIELD_H
#define WINDASSAY_CSV_FIELD_H

#include "windassay/text.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Adds one text as a field: quoted where a comma, a quote, a line break, a NUL or a blank at an end
 *  asks for it, and where it is empty, so that it is told from nothing at all. */
void wa_csv_add_bytes(wa_text *out, const char *bytes, size_t n);
/** The same for a string; NULL adds nothing at all. */
void wa_csv_add(wa_text *out, const char *string);

#ifdef __cplusplus
}
#endif
#endif
