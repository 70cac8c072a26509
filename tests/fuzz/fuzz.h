/* fuzz.h - what the fuzz targets share.
 *
 * A target is one file with LLVMFuzzerTestOneInput: it takes any bytes, and whatever they are, what
 * is stated beside its checks holds. The same file is built with libFuzzer (README.md) and with
 * replay.c, which hands it the kept inputs.
 */
#ifndef TESTS_FUZZ_H
#define TESTS_FUZZ_H

#include "windassay/error.h"
#include "windassay/value.h"

#include <stddef.h>
#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/** Ends the program with the place and the statement where it does not hold. */
#define FUZZ_HOLDS(statement)                                                                      \
    do {                                                                                           \
        if (!(statement))                                                                          \
            fuzz_broken(__FILE__, __LINE__, #statement);                                           \
    } while (0)
_Noreturn void fuzz_broken(const char *file, int line, const char *statement);

/** An error that a person can read: one of our codes, and a text. */
void fuzz_error_is_clean(wa_status status, const wa_error *err);

/** A file in memory with these bytes, open at its start. */
int fuzz_fd(const void *bytes, size_t n);
/** True where nobody has this descriptor open. */
bool fuzz_fd_closed(int fd);

/** A NUL-terminated copy in a block of its own size, so that reading beyond it is seen. */
char *fuzz_string(const uint8_t *data, size_t size);

/** The bytes as CSV with quotes around fields that have none: `how` is 0 for no field, 1 for all, 2 for
 *  the first of each row, else some by chance. To be freed; `quoted` is its length. */
uint8_t *fuzz_quote(size_t *quoted, const uint8_t *data, size_t size, char delimiter, unsigned how);

/** The plain value of an input: JSON where it begins with '{' or '[', else the wire form; NULL for
 *  what is neither. */
wa_value *fuzz_value(const uint8_t *data, size_t size);
/** The value of a text of our own, in which '...' stands for "...". */
wa_value *fuzz_json(const char *text);

#endif
