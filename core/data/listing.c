#include "windassay/listing.h"

#include "windassay/time.h"

enum { PIECE = 65536 /* bytes that are gathered before they are handed over */ };

void wa_listing_line(wa_text *out, const wa_listing *l, size_t i)
{
    char time[WA_TIME_TEXT_SIZE];
    if (i > l->n)
        return;
    if (i == 0) {
        wa_text_add(out, "time");
        wa_text_add_bytes(out, l->names.at, l->names.length);
    } else {
        const int64_t start = l->from + (int64_t)(i - 1) * l->interval_ns;
        wa_text_add_bytes(out, time, wa_time_print(time, start));
        l->cells(l->context, i - 1, out);
    }
    wa_text_add_char(out, '\n');
}

wa_status wa_listing_make(const wa_listing *l, wa_listing_taker *take, void *to, wa_error *err)
{
    wa_text piece = WA_TEXT_INIT;
    wa_status s = WA_OK;
    for (size_t i = 0; i <= l->n && s == WA_OK; i++) {
        wa_listing_line(&piece, l, i);
        if (piece.length < PIECE && i < l->n)
            continue;
        s = wa_text_failed(&piece) ? wa_no_memory(err) : take(to, piece.at, piece.length, err);
        wa_text_clear(&piece);
    }
    wa_text_release(&piece);
    return s;
}

void wa_listing_release(wa_listing *l)
{
    if (l->release != NULL)
        l->release(l->context);
    wa_text_release(&l->names);
    *l = (wa_listing){.names = WA_TEXT_INIT};
}
