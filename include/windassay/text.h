/* text.h - a growing piece of text (or bytes), and how foreign text is made safe to show.
 *
 * A wa_text remembers the first failure (memory) and ignores what follows, so that a writer
 * checks once, at the end: `if (wa_text_failed(&t)) ...`.
 */
#ifndef WINDASSAY_TEXT_H
#define WINDASSAY_TEXT_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct wa_text {
    char *at;      /* NUL-terminated once anything was added; NULL while empty */
    size_t length; /* bytes, without the NUL                                   */
    size_t room;
    bool failed; /* memory ran out at some point                             */
} wa_text;

/** An empty text: `wa_text t = WA_TEXT_INIT;` */
#define WA_TEXT_INIT                                                                               \
    {                                                                                              \
        NULL, 0, 0, false                                                                          \
    }

void wa_text_add(wa_text *t, const char *string);
void wa_text_add_bytes(wa_text *t, const void *bytes, size_t n);
void wa_text_add_char(wa_text *t, char c);
void wa_text_printf(wa_text *t, const char *format, ...) WA_PRINTF(2, 3);

/** Adds foreign text for a terminal or a log: control characters (C0, DEL, C1), marks
 *  that turn the direction of writing, noncharacters and bytes that are not UTF-8 become \xHH. */
void wa_text_add_shown(wa_text *t, const char *bytes, size_t n);

/** True where wa_text_add_shown would change nothing. */
bool wa_is_clean(const char *bytes, size_t n);

/** The text so far; "" where nothing was added. Borrowed. */
const char *wa_text_string(const wa_text *t);
bool wa_text_failed(const wa_text *t);
void wa_text_clear(wa_text *t);   /* empty again, room kept */
void wa_text_release(wa_text *t); /* frees; the text is empty and usable again */

/** Releases a piece that `out` was made from: where the piece had failed, so has `out`. */
void wa_text_spend(wa_text *piece, wa_text *out);

/** True where the bytes are well-formed UTF-8. */
bool wa_utf8_valid(const char *bytes, size_t n);

/** Copies foreign bytes as wa_text_add_shown does into `to` (always NUL-terminated, cut to
 *  `size` between two characters): for error messages. Returns `to`. */
char *wa_shown(char *to, size_t size, const char *bytes, size_t n);

/** The entry of `names` (count n) nearest to `word` by edit distance (transpositions count
 *  one), or NULL when none is near enough to be meant. */
const char *wa_nearest(const char *word, const char *const *names, size_t n);

#ifdef __cplusplus
}
#endif
#endif
