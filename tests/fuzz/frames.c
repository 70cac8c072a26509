/* Frames, as the parent cuts them out of what a cell sends: any number, one after another. A frame
 * that is taken is written again with the same bytes. */
#include "fuzz.h"

#include "script/frames.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    while (size >= WA_FRAME_HEAD) {
        wa_error err = {0};
        size_t n = 0;
        wa_status s = wa_frame_length(&n, data, &err);
        if (s != WA_OK) {
            fuzz_error_is_clean(s, &err);
            return 0;
        }
        FUZZ_HOLDS(n > 0 && n <= WA_FRAME_MOST);
        if (n > size - WA_FRAME_HEAD)
            return 0;
        wa_value *v = NULL;
        s = wa_value_decode(&v, data + WA_FRAME_HEAD, n, &err);
        if (s != WA_OK) {
            fuzz_error_is_clean(s, &err);
            return 0;
        }
        wa_text again = WA_TEXT_INIT;
        FUZZ_HOLDS(wa_frame_encode(v, &again));
        FUZZ_HOLDS(again.length == n + WA_FRAME_HEAD && memcmp(again.at, data, again.length) == 0);
        wa_text_release(&again);
        wa_value_free(v);
        data += n + WA_FRAME_HEAD;
        size -= n + WA_FRAME_HEAD;
    }
    return 0;
}
