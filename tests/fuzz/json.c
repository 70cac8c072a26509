/* JSON: what is read is written, in both layouts, and read again as an equal value; written again
 * it has the same bytes. */
#include "fuzz.h"

#include "windassay/json.h"

#include <string.h>

static void writes_and_reads(const wa_value *v, wa_json_layout layout)
{
    wa_text first = WA_TEXT_INIT, second = WA_TEXT_INIT;
    wa_value *again = NULL;
    wa_error err = {0};
    FUZZ_HOLDS(wa_json_write(&first, v, layout, &err) == WA_OK);
    FUZZ_HOLDS(wa_utf8_valid(first.at, first.length));
    FUZZ_HOLDS(wa_json_read(&again, first.at, first.length, "again", &err) == WA_OK);
    FUZZ_HOLDS(wa_value_equal(v, again));
    FUZZ_HOLDS(wa_json_write(&second, again, layout, &err) == WA_OK);
    FUZZ_HOLDS(first.length == second.length && memcmp(first.at, second.at, first.length) == 0);
    wa_value_free(again);
    wa_text_release(&first);
    wa_text_release(&second);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    wa_value *v = NULL;
    wa_error err = {0};
    wa_status s = wa_json_read(&v, data, size, "input.json", &err);
    if (s != WA_OK) {
        FUZZ_HOLDS(v == NULL);
        fuzz_error_is_clean(s, &err);
        FUZZ_HOLDS(err.line >= 1 || strstr(err.text, "refused") != NULL);
        return 0;
    }
    writes_and_reads(v, WA_JSON_COMPACT);
    writes_and_reads(v, WA_JSON_READABLE);
    wa_value_free(v);
    return 0;
}
