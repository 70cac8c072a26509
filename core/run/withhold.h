/* withhold.h - what a copy for one customer does not say: fields of a record as salted digests, and
 * the same words wherever else they stand.
 *
 * A withheld field stands as the text "withheld:DIGEST", the SHA-256 of
 *
 *     SALT, a line feed, the value as compact JSON
 *
 * with a salt of 32 hexadecimal digits of its own, which the maker keeps. Who is shown salt and value
 * can compute the digest again. docs/design/0007 says what such a copy proves and what not.
 */
#ifndef WINDASSAY_RUN_WITHHOLD_H
#define WINDASSAY_RUN_WITHHOLD_H

#include "windassay/error.h"
#include "windassay/text.h"
#include "windassay/value.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define WA_WITHHELD "withheld:"

enum {
    WA_WITHHOLD_KEY = 32,
    WA_WITHHOLD_LEAST = 4 /* bytes of words that are looked for elsewhere */
};

/** Groups of fields and files; the names are those of the option. */
enum {
    WA_WITHHOLD_INPUTS = 1 << 0, /* names of input files, and the files                     */
    WA_WITHHOLD_SITE = 1 << 1,   /* positions, and what the check `site` found              */
    WA_WITHHOLD_CUSTOMER = 1 << 2,
    WA_WITHHOLD_PEOPLE = 1 << 3,
    WA_WITHHOLD_NOTES = 1 << 4,   /* logbook, reasons, remarks                              */
    WA_WITHHOLD_USES = 1 << 5,    /* earlier dossiers, agreements                           */
    WA_WITHHOLD_GIVEN = 1 << 6,   /* the campaign's tables                                  */
    WA_WITHHOLD_MACHINE = 1 << 7, /* run.json                                               */
    WA_WITHHOLD_TITLE = 1 << 8,
    WA_WITHHOLD_SCRIPTS = 1 << 9 /* the campaign's own scripts: implied by any field        */
};

typedef struct wa_withholding wa_withholding;

/** `list` is "inputs,site,/campaign/lidar/serial": groups, and JSON pointers (RFC 6901) in which `*`
 *  is every member. `key` makes the salts. WA_ERR_ARG for what is neither. */
wa_status wa_withholding_new(wa_withholding **out, const char *list,
                             const uint8_t key[WA_WITHHOLD_KEY], wa_error *err);
void wa_withholding_free(wa_withholding *w);

/** Replaces the fields in `record`, and their words in all its other texts. WA_ERR_DATA where a
 *  pointer names nothing. */
wa_status wa_withhold_record(wa_withholding *w, wa_value *record, wa_error *err);

/** Replaces the words in a file's text; *changed tells whether any were there. */
wa_status wa_withhold_text(const wa_withholding *w, wa_text *text, bool *changed, wa_error *err);

bool wa_withholds(const wa_withholding *w, unsigned group);
/** { path, digest } of each field; and for the maker { path, salt, value }. Borrowed. */
const wa_value *wa_withheld_fields(const wa_withholding *w);
const wa_value *wa_withheld_salts(const wa_withholding *w);
/** Pointers of fields whose words are too short to be looked for elsewhere. Borrowed. */
const wa_value *wa_withheld_short(const wa_withholding *w);

#endif
