#include "windassay/records.h"

#include "data/derive.h"
#include "data/events.h"
#include "data/records_parts.h"
#include "data/series.h"

#include <stdlib.h>

static void release_account(wa_sample_account *a)
{
    for (size_t i = 0; i < a->n_reasons; i++) {
        free(a->reason[i]);
        free(a->dropped[i]);
    }
    free(a->reason);
    free(a->dropped);
    free(a->expected);
    free(a->read);
}

void wa_records_free(wa_records *r)
{
    if (r == NULL)
        return;
    for (size_t i = 0; i < r->n_series; i++)
        wa_series_release(&r->series[i]);
    for (size_t i = 0; i < r->n_samples; i++)
        release_account(&r->samples[i]);
    for (size_t i = 0; i < r->n_inputs; i++)
        free(r->inputs[i].path);
    for (size_t i = 0; i < r->n_events; i++) {
        free(r->events[i].reason);
        free(r->events[i].mask);
    }
    free(r->series);
    free(r->samples);
    free(r->inputs);
    free(r->events);
    free(r);
}

wa_status wa_records_begin(wa_records **out, const wa_campaign *c, wa_error *err)
{
    wa_records *r = calloc(1, sizeof *r);
    if (r == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    *r = (wa_records){.from = c->from, .interval_ns = c->interval_ns};
    r->n = (size_t)((c->to - c->from) / c->interval_ns);
    *out = r;
    return WA_OK;
}

wa_status wa_records_end(wa_records *r, const wa_campaign *c, wa_error *err)
{
    wa_status status = wa_derive_add(r, c, err);
    return status == WA_OK ? wa_events_add(r, c, err) : status;
}
