/* entry.h - a check's part of the record: always the same keys in the same order. */
#ifndef RESULT_ENTRY_H
#define RESULT_ENTRY_H

#include "windassay/value.h"

/* The map of a list whose "name" is `name` (the first one), or NULL. */
const wa_value *entry_named(const wa_value *list, const char *name);

/* Copies `key` from a map to another where it is there. False: memory. */
bool entry_carry(wa_value *to, const wa_value *from, const char *key);

/* An undecided entry: id, name, title, practice and parameters of `head` (another entry, say),
 * then status, reason and error (each NULL: none), then the lists of `found` (a map; what is absent
 * is empty). NULL: memory. */
wa_value *entry_make(const wa_value *head, const char *status, const char *reason,
                     const wa_value *error, const wa_value *found);

#endif
