/* digest.h - SHA-256 (FIPS 180-4), by libcrypto, which uses the processor's instructions. */
#ifndef WINDASSAY_DIGEST_H
#define WINDASSAY_DIGEST_H

#include "windassay/error.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { WA_SHA256_BYTES = 32, WA_SHA256_TEXT_SIZE = 65 };

/** A digest in the making: `wa_sha256 h; wa_sha256_init(&h, err)`, add any number of pieces, end.
 *  Between init and end it owns memory: end frees it, and release where one gives up. */
typedef struct wa_sha256 {
    void *context; /* NULL while no digest is being made */
} wa_sha256;

/** WA_ERR_NOMEM, or WA_ERR_INTERNAL where libcrypto refuses SHA-256. */
wa_status wa_sha256_init(wa_sha256 *h, wa_error *err);

/** Adds n bytes. WA_ERR_INTERNAL where libcrypto fails; the digest must then be released. */
wa_status wa_sha256_add(wa_sha256 *h, const void *bytes, size_t n, wa_error *err);

/** Ends and frees it: 64 lower-case hexadecimal digits and a NUL, as sha256sum writes them. */
wa_status wa_sha256_end(char text[WA_SHA256_TEXT_SIZE], wa_sha256 *h, wa_error *err);

/** Gives up a digest; accepts NULL and one that was ended or zeroed. */
void wa_sha256_release(wa_sha256 *h);

/** The digest of one whole buffer. */
wa_status wa_sha256_of(char text[WA_SHA256_TEXT_SIZE], const void *bytes, size_t n, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
