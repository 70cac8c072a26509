/* tables.h - plain tables as a sealed cell gets them: a description, and doubles in its memory. */
#ifndef WINDASSAY_RUN_TABLES_H
#define WINDASSAY_RUN_TABLES_H

#include "run/job.h"
#include "windassay/table.h"
#include "windassay/text.h"
#include "windassay/value.h"

/** A table and the name under which scripts know it. Both are the list's. */
typedef struct wa_named_table {
    char *name;
    char *path; /* as the record names it */
    wa_table *table;
    wa_text bytes; /* of its file */
} wa_named_table;

typedef struct wa_tables {
    wa_named_table *at;
    size_t n;
} wa_tables;

/** Reads one more table; owns `fd`. */
wa_status wa_tables_add(wa_tables *t, const char *name, const char *path, int fd, wa_error *err);
void wa_tables_release(wa_tables *t);

/** The list { name, n, columns } for the cell; `*at` counts the doubles that lie before them in
 *  the memory file, and is moved on. NULL: memory. */
wa_value *wa_tables_describe(const wa_tables *t, size_t *at);
/** Their doubles, in the same order. */
wa_status wa_tables_memory(wa_memory *m, const wa_tables *t, wa_error *err);

/** Adds each as an input { path, source, bytes, sha256, rows } to a list. False: memory. */
bool wa_tables_inputs(wa_value *inputs, const wa_tables *t);

#endif
