/* page.h - the parts that every section of the HTML report is made of. */
#ifndef WA_REPORT_PAGE_H
#define WA_REPORT_PAGE_H

#include "report/footnotes.h"

#include "windassay/text.h"
#include "windassay/value.h"

#include <stdbool.h>
#include <stddef.h>

/* The style sheet: own look, nothing from outside. */
extern const char wa_page_style[], wa_page_style_media[];

typedef struct wa_page {
    wa_text *out;
    wa_text scratch;     /* plain text on its way to the page; empty between calls */
    wa_footnotes notes;  /* of the table that is being written; empty between tables */
    int figures, tables; /* numbered through the report */
} wa_page;

/* Own markup as it is. */
void wa_page_add(wa_page *p, const char *markup);

/* Adds the scratch text, escaped, and empties it. */
void wa_page_flush(wa_page *p);

/* An element around escaped text: `tag` may carry attributes ("td class=n"). */
void wa_page_element(wa_page *p, const char *tag, const char *text);
void wa_page_element_value(wa_page *p, const char *tag, const wa_value *v);
void wa_page_element_scratch(wa_page *p, const char *tag);

/* <table class=CLASS> with its caption (NULL: none) and heads, NULL-terminated; a head that begins
 * with '#' is one of numbers. wa_page_table_end closes it. */
void wa_page_table(wa_page *p, const char *class, const char *caption, const char *const *heads);
void wa_page_table_end(wa_page *p);

/* The raised number of a note, behind own markup; wa_page_notes lists all notes since the last
 * call, below the table. */
void wa_page_mark(wa_page *p, const char *before, const char *note);
void wa_page_notes(wa_page *p);

/* A small line in a cell: own markup, then foreign text; nothing where the text is empty. */
void wa_page_small(wa_page *p, const char *before, const char *text);

/* The title of a check, and which run of it this is. */
void wa_page_title(wa_page *p, const wa_value *check);

/* Shape and word of an outcome. */
void wa_page_outcome(wa_page *p, const char *outcome);

/* "key value, key (key value)" of any value: for what the campaign declares freely. */
void wa_page_plain(wa_text *t, const wa_value *v);

/* A drawing of limits, guard bands, value and U on one line; nothing without value or limits. */
void wa_page_gauge(wa_page *p, const wa_value *requirement);

/* A table of requirements: begin, then the rows of each check (contract: only those that decide;
 * headed by a link to section `number` where that is not 0), then end with the notes. */
void wa_page_requirements_begin(wa_page *p);
void wa_page_requirements_rows(wa_page *p, const wa_value *check, size_t number, bool contract);
void wa_page_requirements_end(wa_page *p);

/* All parameters of a check; of a run only those with another value than in `asked`, the parameters
 * of the check as the campaign asks for it. */
void wa_page_parameters(wa_page *p, const wa_value *list);
void wa_page_differences(wa_page *p, const wa_value *list, const wa_value *asked);

/* Sections, in other files. */
wa_status wa_page_check(wa_page *p, const wa_value *checks, size_t i, wa_error *err);
void wa_page_stability(wa_page *p, const wa_value *check);
void wa_page_campaign(wa_page *p, const wa_value *record);
void wa_page_clocks(wa_page *p, const wa_value *record); /* the corrections, for page one */
void wa_page_files(wa_page *p, const wa_value *record);

/* page_again.c: the appendix with the script of again.h; nothing where that is empty. */
void wa_page_again(wa_page *p, const wa_text *script);

#endif
