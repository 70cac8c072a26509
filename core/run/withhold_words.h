/* withhold_words.h - withheld words and what stands for them; used by withhold.c alone. */
#ifndef WINDASSAY_RUN_WITHHOLD_WORDS_H
#define WINDASSAY_RUN_WITHHOLD_WORDS_H

#include "run/withhold.h"

typedef struct wa_needle {
    char *words, *token;
    size_t n;
} wa_needle;

/** The longest first. */
typedef struct wa_needles {
    wa_needle *at;
    size_t n;
} wa_needles;

wa_status wa_needles_add(wa_needles *to, const char *words, const char *token, wa_error *err);
void wa_needles_release(wa_needles *n);
/** What stands for the words; NULL: nothing yet. */
const char *wa_needles_find(const wa_needles *n, const char *words);

/** Replaces them in a text, also as CSV and JSON write them; tokens are left alone. */
wa_status wa_needles_replace(const wa_needles *n, wa_text *text, bool *changed, wa_error *err);
/** A copy of a tree with every text so replaced. NULL: *s says why. */
wa_value *wa_needles_clean(const wa_needles *n, const wa_value *v, wa_status *s, wa_error *err);

#endif
