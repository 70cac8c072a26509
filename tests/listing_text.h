/* listing_text.h - a listing as one text, for tests that look at all of it. */
#ifndef TESTS_LISTING_TEXT_H
#define TESTS_LISTING_TEXT_H

#include "windassay/listing.h"

#include <stdbool.h>

static inline wa_status listing_take(void *to, const char *bytes, size_t n, wa_error *err)
{
    (void)err;
    wa_text_add_bytes((wa_text *)to, bytes, n);
    return WA_OK;
}

/* Appends the text of a listing, which `made` says is there, and releases it. False: no memory. */
static inline bool listing_text(wa_text *out, bool made, wa_listing *l)
{
    if (!made)
        return false;
    wa_status s = wa_listing_make(l, 1, listing_take, out, NULL);
    wa_listing_release(l);
    return s == WA_OK && !wa_text_failed(out);
}

#endif
