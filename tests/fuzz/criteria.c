/* Criteria: what decodes decides an entry, and the decided entry is a record's. */
#include "fuzz.h"

#include "windassay/criteria.h"
#include "windassay/json.h"

static const char ENTRY[] =
    "{'id': 'speed', 'name': 'speed', 'title': 'Speed', 'practice': '', 'status': 'ran', "
    "'parameters': [], 'outcome': 'no decision asked', 'criteria': [], 'requirements': ["
    "{'name': 'slope', 'value': 1.002, 'unit': '1', 'u': 0.001, 'source': 'a budget'}, "
    "{'name': 'offset', 'value': -3, 'unit': 'cm s-1'}], 'values': [], 'tables': [], 'figures': "
    "[], 'exclusions': [], 'accounts': [], 'notes': []}";

static void decide(const wa_criteria *c)
{
    const wa_deciding sets[] = {{c, true}, {c, false}};
    wa_value *entry = fuzz_json(ENTRY);
    wa_error err = {0};
    const wa_value *parameters = NULL;
    for (size_t i = 0; i < wa_criteria_runs(c, "speed"); i++)
        FUZZ_HOLDS(wa_criteria_run(c, "speed", i, &parameters) != NULL && parameters != NULL);
    wa_status s = wa_record_decide(entry, NULL, sets, 2, &err);
    if (s == WA_OK) {
        wa_text t = WA_TEXT_INIT;
        FUZZ_HOLDS(wa_get_string(entry, "outcome") != NULL);
        FUZZ_HOLDS(wa_json_write(&t, entry, WA_JSON_COMPACT, &err) == WA_OK);
        wa_text_release(&t);
    } else {
        fuzz_error_is_clean(s, &err);
    }
    wa_value_free(entry);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    wa_value *v = fuzz_value(data, size);
    if (v == NULL)
        return 0;
    wa_criteria *c = NULL;
    wa_error err = {0};
    wa_status s = wa_criteria_decode(&c, v, "house", "criteria/house.lua", &err);
    if (s == WA_OK)
        decide(c);
    else
        fuzz_error_is_clean(s, &err);
    wa_criteria_free(c);
    wa_value_free(v);
    return 0;
}
