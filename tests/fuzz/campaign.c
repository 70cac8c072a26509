/* A campaign file's plain value, as a stranger's cell may send it: decodes, or says what is wrong.
 * What decodes keeps its promises: a period of whole intervals, every source with a role's files,
 * distinct names. */
#include "fuzz.h"

#include "windassay/campaign.h"

#include <string.h>

static const char TEXT[] = "return {\n  title = 'x',\n  sources = { mast = {} },\n}\n";

static void look_at(const wa_campaign *c)
{
    FUZZ_HOLDS(c->interval_ns > 0 && c->to > c->from);
    FUZZ_HOLDS((c->to - c->from) % c->interval_ns == 0);
    for (size_t i = 0; i < c->n_sources; i++) {
        const wa_source *s = &c->sources[i];
        FUZZ_HOLDS(s->name != NULL && s->n_files > 0 && s->time.n_columns >= 1);
        FUZZ_HOLDS(s->interval_ns >= 0 && s->time.duration_ns >= 0);
        for (size_t k = 0; k < s->n_channels; k++)
            FUZZ_HOLDS(s->channels[k].name != NULL && s->channels[k].quantity != NULL);
        for (size_t k = 0; k < s->n_keep_if; k++)
            FUZZ_HOLDS(s->keep_if[k].channel < s->n_channels);
        for (size_t k = 0; k < i; k++)
            FUZZ_HOLDS(strcmp(s->name, c->sources[k].name) != 0);
    }
    for (size_t i = 0; i < c->n_checks; i++)
        for (size_t k = 0; k < i; k++)
            FUZZ_HOLDS(strcmp(c->checks[i].id, c->checks[k].id) != 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    wa_value *v = fuzz_value(data, size);
    if (v == NULL)
        return 0;
    wa_campaign *c = NULL;
    wa_error err = {0};
    wa_status s = wa_campaign_decode(&c, v, "/nowhere/NL-0417", "campaign.lua", "/nowhere",
                                     (size & 1) == 0 ? TEXT : NULL, &err);
    if (s == WA_OK)
        look_at(c);
    else
        fuzz_error_is_clean(s, &err);
    wa_campaign_free(c);
    wa_value_free(v);
    return 0;
}
