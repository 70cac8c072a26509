/* strict.h - looks at what a stranger wrote, key by key, and refuses what nobody agreed on. */
#ifndef RESULT_STRICT_H
#define RESULT_STRICT_H

#include "windassay/error.h"
#include "windassay/value.h"

/* What may stand under a key; several may be joined. */
enum {
    STRICT_NULL = 1 << WA_NULL,
    STRICT_BOOL = 1 << WA_BOOL,
    STRICT_NUMBER = 1 << WA_NUMBER,
    STRICT_TEXT = 1 << WA_STRING, /* UTF-8 without NUL, at most 64 KiB                        */
    STRICT_LIST = 1 << WA_LIST,
    STRICT_MAP = 1 << WA_MAP,
    STRICT_BYTES = 1 << 8, /* a string of any bytes                                           */
    STRICT_NAME = 1 << 9,  /* UTF-8, 1 to 120 bytes, no control characters                    */
    STRICT_REQUIRED = 1 << 10
};

enum { STRICT_TEXT_MAX = 65536, STRICT_NAME_MAX = 120 };

typedef struct strict {
    const char *file; /* for messages; "" without                                             */
    wa_status code;   /* of a refusal                                                         */
    wa_error *err;
} strict;

typedef struct strict_field {
    const char *key;
    unsigned kinds;
} strict_field;

/* Refuses with `where: ...`. */
wa_status strict_refuse(const strict *s, const char *where, const char *format, ...)
    WA_PRINTF(3, 4);

/* "number", "text", "list", ... */
const char *strict_kind_word(const wa_value *v);

/* One value against the kinds allowed. An empty list passes as a map and the other way round:
 * an empty Lua table is both. */
wa_status strict_kind(const strict *s, const wa_value *v, const char *where, unsigned kinds);

/* A map whose keys are all among `fields`, each of the right kind, the required ones there. */
wa_status strict_map(const strict *s, const wa_value *v, const char *where,
                     const strict_field *fields, size_t n);

/* A list of at most `most` entries, each of the kinds allowed. */
wa_status strict_list(const strict *s, const wa_value *v, const char *where, unsigned kinds,
                      size_t most);

#define STRICT_COUNT(array) (sizeof(array) / sizeof(array)[0])

#endif
