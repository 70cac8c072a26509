/* value.h - a plain value: what a campaign file, a check's answer and the record are made of.
 *
 * null, true/false, number, string (bytes with a length), list, map with string keys in the
 * order in which they were added. The tree owns its children: a value that is added to a list
 * or map belongs to it. Numbers are doubles and always finite; an undefined number is null.
 */
#ifndef WINDASSAY_VALUE_H
#define WINDASSAY_VALUE_H

#include "windassay/error.h"
#include "windassay/text.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum wa_kind { WA_NULL, WA_BOOL, WA_NUMBER, WA_STRING, WA_LIST, WA_MAP } wa_kind;

typedef struct wa_value wa_value;

/* Makers return NULL when memory runs out; wa_number also when x is not finite. */
wa_value *wa_null(void);
wa_value *wa_bool(bool b);
wa_value *wa_number(double x);
wa_value *wa_string(const char *s);
wa_value *wa_bytes(const void *bytes, size_t n);
wa_value *wa_list(void);
wa_value *wa_map(void);
wa_value *wa_value_copy(const wa_value *v);
void wa_value_free(wa_value *v);

/* Adding takes `item`, also on failure (false: memory ran out, or item is NULL, so that makers
 * nest: wa_map_set(m, "n", wa_number(3))). Setting a key again replaces its value in place. */
bool wa_list_add(wa_value *list, wa_value *item);
bool wa_list_set(wa_value *list, size_t i, wa_value *item); /* in place of entry i; false beyond */
bool wa_map_set(wa_value *map, const char *key, wa_value *item);
/** Takes an entry out, which is the caller's then; NULL when absent. */
wa_value *wa_map_take(wa_value *map, const char *key);

/* Reading. Each accepts NULL and the wrong kind and then gives the stated neutral answer. */
wa_kind wa_value_kind(const wa_value *v);                     /* WA_NULL for NULL           */
size_t wa_count(const wa_value *v);                           /* entries of a list or map   */
const wa_value *wa_at(const wa_value *list_or_map, size_t i); /* from 0; NULL outside       */
const char *wa_key(const wa_value *map, size_t i);            /* NULL outside               */
const wa_value *wa_get(const wa_value *map, const char *key); /* NULL when absent           */
wa_value *wa_get_mutable(wa_value *map, const char *key);     /* the same, to change it     */
wa_value *wa_at_mutable(wa_value *list_or_map, size_t i);
const char *wa_string_of(const wa_value *v);                     /* NULL unless a string       */
size_t wa_length_of(const wa_value *v);                          /* bytes of a string, else 0  */
bool wa_number_of(const wa_value *v, double *out);               /* false unless a number      */
bool wa_true(const wa_value *v);                                 /* true only for `true`       */
const char *wa_get_string(const wa_value *map, const char *key); /* wa_string_of(wa_get()) */
bool wa_value_equal(const wa_value *a, const wa_value *b);       /* maps: same order as well   */

/** Appends the wire form (length-framed, self-describing, byte-order fixed). False: memory. */
bool wa_value_encode(const wa_value *v, wa_text *out);

/** Decodes exactly `n` bytes that a stranger may have written. WA_ERR_DATA on anything that
 *  wa_value_encode would not have written, on depth above 64 and on numbers not finite. */
wa_status wa_value_decode(wa_value **out, const void *bytes, size_t n, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
