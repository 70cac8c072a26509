/* deliver.h - a copy of a dossier for one customer, in which some of it is withheld.
 *
 * Withheld fields of the record stand as salted digests, withheld files by their digest in the
 * original's manifest, which stays in the copy with its signature, in data/original/. What is
 * untouched still verifies against it. data/withheld.json lists everything that is not as it was. The
 * salts stay with the maker, in INTO.salts. docs/design/0007 says what such a copy proves.
 */
#ifndef WINDASSAY_DELIVER_H
#define WINDASSAY_DELIVER_H

#include "windassay/error.h"
#include "windassay/run.h"
#include "windassay/value.h"

#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define WA_WITHHELD_LIST   "withheld.json"
#define WA_WITHHELD_SCHEMA "windassay-withheld-1"

typedef struct wa_deliver_options {
    const char *withhold; /* "inputs,site,/campaign/lidar/serial"                    */
    const char *into;     /* the copy's folder, which must not be there              */
    uint8_t key[32];      /* random: the salts are made from it                      */
} wa_deliver_options;

/**
 * Makes the copy. `told` is { copy, salts, untouched, fields = { { path, digest } }, files = {
 * { path, sha256, what } }, too_short = { path } }: fields whose words have fewer than 4 bytes are
 * withheld where they are declared, but not looked for elsewhere. WA_ERR_DATA where withheld words
 * stand in the original's manifest (names of files), which cannot be changed. WA_ERR_ARG for what
 * cannot be withheld, and where copy or salts are there already.
 */
wa_status wa_deliver(wa_value **told, const char *dossier, const wa_deliver_options *options,
                     const wa_engine *engine, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
