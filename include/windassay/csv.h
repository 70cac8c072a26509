/* csv.h - fields of a CSV file as RFC 4180 writes them; our files use commas and a line feed. */
#ifndef WINDASSAY_CSV_H
#define WINDASSAY_CSV_H

#include "windassay/text.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Adds one field; quoted where a comma, a quote, a line break, or a blank at an end asks for it. */
void wa_csv_add_bytes(wa_text *out, const char *bytes, size_t n);
/** The same for a string; NULL is the empty field. */
void wa_csv_add(wa_text *out, const char *string);

#ifdef __cplusplus
}
#endif
#endif
