/* decode.h - reading a campaign's plain value, key by key, with the place of every fault.
 *
 * A node is a value with the way to it. The first fault stays in the decoder and everything after
 * it does nothing, so that decoding reads as a list of what a campaign has; who asks for the status
 * at the end gets the first fault. Takers of an absent value give the neutral answer without a
 * fault: what must be there is asked for by wa_node_need.
 */
#ifndef WINDASSAY_DATA_DECODE_H
#define WINDASSAY_DATA_DECODE_H

#include "windassay/error.h"
#include "windassay/unit.h"
#include "windassay/value.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct wa_decoder {
    const char *file; /* what errors call the campaign file */
    const char *text; /* the file itself, or NULL           */
    wa_error *err;
    wa_status status;
} wa_decoder;

typedef struct wa_node {
    wa_decoder *d;
    const struct wa_node *up; /* NULL: the whole file */
    const char *key;          /* NULL: an item of a list */
    size_t index;
    const wa_value *v; /* NULL: absent */
} wa_node;

wa_node wa_node_child(const wa_node *n, const char *key);
wa_node wa_node_entry(const wa_node *n, size_t i); /* i-th entry of a map or item of a list */
/** What stands at position i (from 1) of a table that may have named entries too. */
wa_node wa_node_position(const wa_node *n, size_t i);

bool wa_node_there(const wa_node *n);
bool wa_node_failed(const wa_node *n);

/** Reports a fault at the node: line of its key (or of the nearest thing around it that the text
 *  holds), "path: text", hint (may be NULL). */
void wa_node_refuse(const wa_node *n, const char *hint, const char *format, ...) WA_PRINTF(3, 4);
/** Reports an error that a parser left in `e`, at the node. */
void wa_node_pass(const wa_node *n, const wa_error *e);
void wa_node_no_memory(const wa_node *n);

/** A table with named entries, of which only those in `known` (ending with NULL) may occur;
 *  `known` NULL: any. Returns the number of entries. */
size_t wa_node_map(const wa_node *n, const char *const *known);
size_t wa_node_list(const wa_node *n);
/** The entry must be there. */
void wa_node_need(const wa_node *n, const char *key, const char *hint);

char *wa_node_text(const wa_node *n);                  /* a copy; not empty */
char *wa_node_name(const wa_node *n);                  /* the same, an identifier */
bool wa_name_good(const char *name);                   /* [A-Za-z_][A-Za-z0-9_]*, at most 64 */
char **wa_node_texts(const wa_node *n, size_t *count); /* a list of texts */
double wa_node_number(const wa_node *n, double absent);
size_t wa_node_whole(const wa_node *n, size_t lowest, size_t highest, size_t absent);
/** A number, which is then in `unit`, or { 2.10, "m", u = 0.02, ... }, which is converted. */
double wa_node_quantity(const wa_node *n, const wa_unit *unit, double absent);
int64_t wa_node_instant(const wa_node *n, int64_t absent);
int64_t wa_node_duration(const wa_node *n, int64_t absent);
/** One of `names` (ending with NULL): its index. */
size_t wa_node_choice(const wa_node *n, const char *const *names, size_t absent);
/** Zeroed room for count entries; NULL only after a failure (or for 0). */
void *wa_node_room(const wa_node *n, size_t count, size_t size);

#endif
