/* The wire form: what decodes encodes to the same bytes, and its copy is equal. */
#include "fuzz.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    wa_value *v = NULL;
    wa_error err = {0};
    wa_status s = wa_value_decode(&v, data, size, &err);
    if (s != WA_OK) {
        FUZZ_HOLDS(v == NULL);
        fuzz_error_is_clean(s, &err);
        return 0;
    }
    wa_text again = WA_TEXT_INIT;
    FUZZ_HOLDS(wa_value_encode(v, &again));
    FUZZ_HOLDS(again.length == size && memcmp(again.at, data, size) == 0);
    wa_value *copy = wa_value_copy(v);
    FUZZ_HOLDS(copy != NULL && wa_value_equal(copy, v));
    wa_value_free(copy);
    wa_value_free(v);
    wa_text_release(&again);
    return 0;
}
