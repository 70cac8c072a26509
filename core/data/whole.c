#include "data/whole.h"

#include "data/bytes.h"

wa_status wa_file_whole(wa_text *out, int fd, const char *name, wa_error *err)
{
    char block[65536];
    size_t got = 0;
    wa_bytes *b = NULL;
    wa_status s = wa_bytes_open(&b, fd, name, err);
    while (s == WA_OK) {
        s = wa_bytes_read(b, block, sizeof block, &got, err);
        if (s != WA_OK || got == 0)
            break;
        wa_text_add_bytes(out, block, got);
    }
    wa_bytes_close(b);
    return s == WA_OK && wa_text_failed(out) ? wa_fail(err, WA_ERR_NOMEM, "out of memory") : s;
}
