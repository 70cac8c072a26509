#include "script/frames.h"

bool wa_frame_encode(const wa_value *v, wa_text *out)
{
    size_t start = out->length;
    wa_text_add_bytes(out, "\0\0\0\0", WA_FRAME_HEAD);
    if (!wa_value_encode(v, out) || wa_text_failed(out))
        return false;
    size_t n = out->length - start - WA_FRAME_HEAD;
    if (n > WA_FRAME_MOST)
        return false;
    for (int i = 0; i < WA_FRAME_HEAD; i++)
        out->at[start + (size_t)i] = (char)(n >> (8 * i) & 0xff);
    return true;
}

wa_status wa_frame_length(size_t *out, const unsigned char head[WA_FRAME_HEAD], wa_error *err)
{
    size_t n = 0;
    for (int i = 0; i < WA_FRAME_HEAD; i++)
        n |= (size_t)head[i] << (8 * i);
    if (n == 0 || n > WA_FRAME_MOST)
        return wa_fail(err, WA_ERR_DATA, "a frame of %zu bytes; 1 to %d are allowed", n,
                       WA_FRAME_MOST);
    *out = n;
    return WA_OK;
}
