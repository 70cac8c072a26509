/* criteria_text.h - what criteria and parameters of checks say about their origin alike. */
#ifndef RESULT_CRITERIA_TEXT_H
#define RESULT_CRITERIA_TEXT_H

#include "result/strict.h"

/* Refuses a word that is not among wa_evidence_words. */
wa_status evidence_known(const strict *s, const char *where, const char *word);

/* Refuses what is not { clause, edition, by }. */
wa_status confirmation_known(const strict *s, const char *where, const wa_value *v);

#endif
