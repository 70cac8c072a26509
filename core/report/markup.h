/* markup.h - text into XML and HTML: nothing that came from a file or a script is obeyed. */
#ifndef WA_REPORT_MARKUP_H
#define WA_REPORT_MARKUP_H

#include "windassay/text.h"
#include "windassay/value.h"

/* Adds foreign text: what wa_text_add_shown escapes, then the five characters of XML. The result
 * is safe in content and inside quoted attributes. NULL adds nothing. */
void wa_markup_add(wa_text *t, const char *string);
void wa_markup_bytes(wa_text *t, const char *bytes, size_t n);

/* A name of a program: may be broken behind "_", ":" and ".". NULL adds nothing. */
void wa_markup_id(wa_text *t, const char *string);

/* Adds a string value (bytes with a length), or a number as its shortest text, or true/false. */
void wa_markup_value(wa_text *t, const wa_value *v);

/* The same with line breaks kept as they are; every line is escaped on its own. */
void wa_markup_lines(wa_text *t, const wa_value *string);

/* A string value in a terminal: escaped as wa_text_add_shown does. Numbers as above. */
void wa_shown_value(wa_text *t, const wa_value *v);

/* A UDUNITS spelling as people write it, here and in the campaign's own words: "m s-1" is "m/s". One
 * power below 0, at the end, becomes a slash; anything else stays. */
void wa_plain_unit(wa_text *t, const char *unit);

/* The same for a page: "m s-1" is "m/s", "kg m-3" is "kg/m³", "degree" is "°"; "1" and NULL add
 * nothing. The second escapes, the first does not. */
void wa_shown_unit(wa_text *t, const char *unit);
void wa_markup_unit(wa_text *t, const char *unit);

/* "name [unit]" for a page. */
void wa_markup_head(wa_text *t, const char *name, const char *unit);

#endif
