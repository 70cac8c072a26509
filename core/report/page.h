/* page.h - the parts that every section of the HTML report is made of. */
#ifndef WA_REPORT_PAGE_H
#define WA_REPORT_PAGE_H

#include "windassay/text.h"
#include "windassay/value.h"

#include <stddef.h>

/* The style sheet: own look, nothing from outside. */
extern const char wa_page_style[], wa_page_style_media[];

typedef struct wa_page {
    wa_text *out;
    wa_text scratch;     /* plain text on its way to the page; empty between calls */
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

/* Shape and word of an outcome. */
void wa_page_outcome(wa_page *p, const char *outcome);

/* "key value, key (key value)" of any value: for what the campaign declares freely. */
void wa_page_plain(wa_text *t, const wa_value *v);

/* A drawing of limits, guard bands, value and U on one line; nothing without value or limits. */
void wa_page_gauge(wa_page *p, const wa_value *requirement);

/* The rows of requirements: with `check` (its id, and an anchor) in front on the first page. */
void wa_page_requirements_begin(wa_page *p, bool with_check);
void wa_page_requirement(wa_page *p, const wa_value *requirement, const char *check_id,
                         size_t check_number);

/* Sections, in other files. */
wa_status wa_page_check(wa_page *p, const wa_value *check, size_t number, wa_error *err);
void wa_page_campaign(wa_page *p, const wa_value *record);
void wa_page_files(wa_page *p, const wa_value *record);

#endif
