#include "data/events.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static wa_event *event_of(wa_records *r, const char *reason)
{
    for (size_t i = 0; i < r->n_events; i++)
        if (strcmp(r->events[i].reason, reason) == 0)
            return &r->events[i];
    wa_event *larger = realloc(r->events, (r->n_events + 1) * sizeof *larger);
    if (larger == NULL)
        return NULL;
    r->events = larger;
    wa_event *e = &larger[r->n_events];
    *e = (wa_event){strdup(reason), calloc(r->n + 1, 1)};
    if (e->reason == NULL || e->mask == NULL) {
        free(e->reason);
        free(e->mask);
        return NULL;
    }
    r->n_events++;
    return e;
}

/* Marks every interval that has a part of [from, to) in it; with from = to the one around it. */
static void mark(const wa_records *r, wa_event *e, int64_t from, int64_t to)
{
    for (size_t i = 0; i < r->n; i++) {
        int64_t start = r->from + (int64_t)i * r->interval_ns, end = start + r->interval_ns;
        if (from < to ? start < to && from < end : start < from && from < end)
            e->mask[i] = 1;
    }
}

static wa_status add(wa_records *r, const char *what, const char *which, int64_t from, int64_t to,
                     wa_error *err)
{
    char *reason = NULL;
    if (asprintf(&reason, "%s: %s", what, which) < 0)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    wa_event *e = event_of(r, reason);
    free(reason);
    if (e == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    mark(r, e, from, to);
    return WA_OK;
}

static wa_status add_changes(wa_records *r, const wa_channel *c, wa_error *err)
{
    wa_status status = WA_OK;
    const char *which = c->instrument != NULL ? c->instrument : c->name;
    for (size_t i = 1; status == WA_OK && i < c->n_affine; i++)
        status = add(r, "instrument changed", which, c->affine[i - 1].to, c->affine[i].from, err);
    return status;
}

wa_status wa_events_add(wa_records *r, const wa_campaign *c, wa_error *err)
{
    wa_status status = WA_OK;
    for (size_t i = 0; status == WA_OK && i < c->n_logbook; i++) {
        const wa_log_entry *e = &c->logbook[i];
        if (e->n_exclude > 0)
            status = add(r, "logbook", e->text, e->from, e->to, err);
    }
    for (size_t s = 0; s < c->n_sources; s++)
        for (size_t k = 0; status == WA_OK && k < c->sources[s].n_channels; k++)
            status = add_changes(r, &c->sources[s].channels[k], err);
    return status;
}
