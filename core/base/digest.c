#include "windassay/digest.h"

#include <assert.h>
#include <openssl/crypto.h>
#include <openssl/evp.h>
#include <stdbool.h>

wa_status wa_sha256_init(wa_sha256 *h, wa_error *err)
{
    /* A digest asks no file of the machine how it is made: that is reproducible, and quick.
     * Where memory ran out while libcrypto set itself up, its other functions crash. */
    bool ready = OPENSSL_init_crypto(OPENSSL_INIT_NO_LOAD_CONFIG, NULL) == 1 &&
                 OSSL_LIB_CTX_get0_global_default() != NULL;
    EVP_MD_CTX *context = ready ? EVP_MD_CTX_new() : NULL;
    if (context == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    if (EVP_DigestInit_ex(context, EVP_sha256(), NULL) != 1) {
        EVP_MD_CTX_free(context);
        return wa_fail(err, WA_ERR_INTERNAL, "libcrypto offers no SHA-256");
    }
    h->context = context;
    return WA_OK;
}

wa_status wa_sha256_add(wa_sha256 *h, const void *bytes, size_t n, wa_error *err)
{
    assert(h->context != NULL);
    if (n > 0 && EVP_DigestUpdate(h->context, bytes, n) != 1)
        return wa_fail(err, WA_ERR_INTERNAL, "libcrypto failed to make a SHA-256 digest");
    return WA_OK;
}

wa_status wa_sha256_end(char text[WA_SHA256_TEXT_SIZE], wa_sha256 *h, wa_error *err)
{
    static const char hex[] = "0123456789abcdef";
    unsigned char bytes[EVP_MAX_MD_SIZE];
    unsigned int n = 0;
    assert(h->context != NULL);
    int good = EVP_DigestFinal_ex(h->context, bytes, &n);
    wa_sha256_release(h);
    if (good != 1 || n != WA_SHA256_BYTES)
        return wa_fail(err, WA_ERR_INTERNAL, "libcrypto failed to make a SHA-256 digest");
    for (unsigned int i = 0; i < n; i++) {
        text[2 * i] = hex[bytes[i] >> 4];
        text[2 * i + 1] = hex[bytes[i] & 15];
    }
    text[2 * WA_SHA256_BYTES] = '\0';
    return WA_OK;
}

void wa_sha256_release(wa_sha256 *h)
{
    if (h == NULL)
        return;
    EVP_MD_CTX_free(h->context);
    h->context = NULL;
}

wa_status wa_sha256_of(char text[WA_SHA256_TEXT_SIZE], const void *bytes, size_t n, wa_error *err)
{
    wa_sha256 h = {NULL};
    wa_status s = wa_sha256_init(&h, err);
    if (s == WA_OK)
        s = wa_sha256_add(&h, bytes, n, err);
    if (s == WA_OK)
        s = wa_sha256_end(text, &h, err);
    wa_sha256_release(&h);
    return s;
}
