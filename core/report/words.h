/* words.h - the outcome words: what each means, and the shape and colours that stand beside it. */
#ifndef WA_REPORT_WORDS_H
#define WA_REPORT_WORDS_H

#include "windassay/text.h"
#include "windassay/value.h"

#include <stddef.h>

typedef struct wa_word {
    const char *word;
    const char *class;    /* in the page's style                                   */
    const char *terminal; /* colour sequence                                       */
    const char *shape;    /* SVG within 16 x 16, drawn in the current colour       */
    const char *meaning;  /* a sentence for the glossary                           */
} wa_word;

/* The words in the order of the glossary. */
extern const wa_word wa_words[];
extern const size_t wa_words_n;

/* The entry of `word`; one that nobody knows gets the look of "error" and its own text. */
const wa_word *wa_word_of(const char *word);

/* A decision rule in words; NULL where the name is not known. */
const char *wa_rule_meaning(const char *rule);

/* "0.97 to 1.03", "at least 0.97", "at most 0.5"; "" without limits. Numbers as written. */
void wa_words_limits(wa_text *t, const wa_value *limits);

/* How well a limit or default is known: `item` has "evidence" and may have "confirmed" = { clause,
 * edition, by }. One that is recalled and not confirmed is to be checked by the reader. Foreign
 * text, not escaped. */
const char *wa_words_known(const wa_value *item); /* in one word, or "no evidence" */
void wa_words_evidence(wa_text *t, const wa_value *item);
/* "SOURCE: EVIDENCE" as one note. */
void wa_words_source(wa_text *t, const char *source, const wa_value *item);
bool wa_words_recalled(const wa_value *item);

#endif
