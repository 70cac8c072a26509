/* look.c - what is there, before weeks are lost: nothing is decided here. */
#include "run/agenda.h"
#include "run/facts.h"
#include "run/sheet.h"
#include "windassay/correlate.h"
#include "windassay/exact.h"
#include "windassay/records.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { GAPS_SHOWN = 10, FILES_SHOWN = 8, LAG_WITHIN = 144 };

/* The stamps of a file or a source; an empty one has none. */
static void show_span(wa_sheet *s, bool any, int64_t first, int64_t last)
{
    if (any) {
        wa_sheet_time(s, first);
        wa_sheet_time(s, last);
    } else {
        wa_sheet_text(s, NULL);
        wa_sheet_text(s, NULL);
    }
}

static void show_sources(wa_sheet *s, const wa_campaign *c, const wa_records *r)
{
    static const char *const HEADS[] = {
        "source",           "files",          "bytes", "rows", "outside the period",
        "first stamp, UTC", "last stamp, UTC"};
    wa_sheet_table(s, "sources");
    for (size_t i = 0; i < sizeof HEADS / sizeof *HEADS; i++)
        wa_sheet_column(s, HEADS[i], NULL);
    for (size_t k = 0; k < c->n_sources; k++) {
        size_t files;
        wa_input all = wa_facts_total(r, k, &files);
        if (files > 0 && all.rows == 0)
            wa_sheet_note(s, "no row in the files of '%s': `run` will refuse it",
                          c->sources[k].name);
        else if (all.rows > 0 && all.outside == all.rows)
            wa_sheet_note(s, "none of the rows of '%s' lies in the period: `run` will refuse it",
                          c->sources[k].name);
        wa_sheet_row(s);
        wa_sheet_text(s, c->sources[k].name);
        wa_sheet_number(s, (double)files);
        wa_sheet_number(s, (double)all.bytes);
        wa_sheet_number(s, (double)all.rows);
        wa_sheet_number(s, (double)all.outside);
        show_span(s, all.rows > 0, all.first, all.last);
    }
}

/* Each file of the sources that have few of them. */
static void show_files(wa_sheet *s, const wa_campaign *c, const wa_records *r)
{
    static const char *const HEADS[] = {"source", "path", "rows", "first stamp, UTC",
                                        "last stamp, UTC"};
    wa_sheet_table(s, "files");
    for (size_t i = 0; i < sizeof HEADS / sizeof *HEADS; i++)
        wa_sheet_column(s, HEADS[i], NULL);
    for (size_t i = 0; i < r->n_inputs; i++) {
        const wa_input *in = &r->inputs[i];
        size_t files;
        wa_facts_total(r, in->source, &files);
        if (files > FILES_SHOWN)
            continue;
        wa_sheet_row(s);
        wa_sheet_text(s, c->sources[in->source].name);
        wa_sheet_text(s, in->path);
        wa_sheet_number(s, (double)in->rows);
        show_span(s, in->rows > 0, in->first, in->last);
    }
    for (size_t k = 0; k < c->n_sources; k++) {
        size_t files;
        wa_facts_total(r, k, &files);
        if (files > FILES_SHOWN)
            wa_sheet_note(s, "the %zu files of '%s' are not listed one by one", files,
                          c->sources[k].name);
    }
}

static void show_rates(wa_sheet *s, const wa_campaign *c, const wa_records *r)
{
    wa_sheet_table(s, "samples");
    wa_sheet_column(s, "source", NULL);
    wa_sheet_column(s, "beam", NULL);
    wa_sheet_column(s, "range", "m");
    wa_sheet_column(s, "expected", NULL);
    wa_sheet_column(s, "read", NULL);
    wa_sheet_column(s, "read of expected", "%");
    wa_sheet_column(s, "dropped", NULL);
    for (size_t i = 0; i < r->n_samples; i++) {
        const wa_sample_account *a = &r->samples[i];
        double expected = a->expected == NULL ? (double)NAN : wa_facts_sum(a->expected, r->n);
        double read = wa_facts_sum(a->read, r->n), dropped = 0;
        for (size_t k = 0; k < a->n_reasons; k++)
            dropped += wa_facts_sum(a->dropped[k], r->n);
        wa_sheet_row(s);
        wa_sheet_text(s, c->sources[a->source].name);
        wa_sheet_number(s, a->has_beam ? a->beam : (double)NAN);
        wa_sheet_number(s, a->has_range ? a->range : (double)NAN);
        wa_sheet_number(s, expected);
        wa_sheet_number(s, read);
        wa_sheet_number(s, expected > 0 ? 100 * read / expected : (double)NAN);
        wa_sheet_number(s, dropped);
    }
}

typedef struct range {
    size_t n;
    double mean, lowest, highest;
} range;

static range range_of(const double *x, size_t n)
{
    range r = {0, (double)NAN, (double)INFINITY, (double)-INFINITY};
    wa_exact sum = {0};
    for (size_t i = 0; i < n; i++) {
        if (isnan(x[i]))
            continue;
        wa_exact_add(&sum, x[i]);
        r.lowest = x[i] < r.lowest ? x[i] : r.lowest;
        r.highest = x[i] > r.highest ? x[i] : r.highest;
        r.n++;
    }
    if (r.n > 0)
        r.mean = wa_exact_round(&sum) / (double)r.n;
    return r;
}

static void show_channels(wa_sheet *s, const wa_campaign *c, const wa_records *r)
{
    static const char *const HEADS[] = {"source", "channel", "quantity", "unit", "use"};
    wa_sheet_table(s, "channels, interval means");
    for (size_t i = 0; i < sizeof HEADS / sizeof *HEADS; i++)
        wa_sheet_column(s, HEADS[i], NULL);
    wa_sheet_column(s, "height", "m");
    wa_sheet_column(s, "beam", NULL);
    wa_sheet_column(s, "range", "m");
    wa_sheet_column(s, "intervals", NULL);
    wa_sheet_column(s, "mean", NULL);
    wa_sheet_column(s, "lowest", NULL);
    wa_sheet_column(s, "highest", NULL);
    for (size_t i = 0; i < r->n_series; i++) {
        const wa_series *x = &r->series[i];
        if (x->mean == NULL)
            continue;
        range all = range_of(x->mean, r->n);
        bool circle = x->kind == WA_CHANNEL_DIRECTION; /* a mean of the plain numbers misleads */
        wa_sheet_row(s);
        wa_sheet_text(s, c->sources[x->source].name);
        wa_sheet_text(s, x->name);
        wa_sheet_text(s, x->quantity);
        wa_sheet_text(s, x->unit.text);
        wa_sheet_text(s, x->use);
        wa_sheet_number(s, x->has_height ? x->height : (double)NAN);
        wa_sheet_number(s, x->has_beam ? x->beam : (double)NAN);
        wa_sheet_number(s, x->has_range ? x->range : (double)NAN);
        wa_sheet_number(s, (double)all.n);
        wa_sheet_number(s, circle ? (double)NAN : all.mean);
        wa_sheet_number(s, all.lowest);
        wa_sheet_number(s, all.highest);
    }
}

/* An interval in which no channel of the source has a value is part of a gap. */
static bool is_gap(const wa_records *r, size_t source, size_t i)
{
    for (size_t k = 0; k < r->n_series; k++)
        if (r->series[k].source == source && r->series[k].mean != NULL &&
            !isnan(r->series[k].mean[i]))
            return false;
    return true;
}

typedef struct gap {
    size_t source, from, length;
} gap;

/* Longest first; then in order of source and time. */
static int by_length(const void *a, const void *b)
{
    const gap *x = a, *y = b;
    if (x->length != y->length)
        return x->length < y->length ? 1 : -1;
    if (x->source != y->source)
        return x->source < y->source ? -1 : 1;
    return x->from < y->from ? -1 : x->from > y->from;
}

static wa_status show_gaps(wa_sheet *s, const wa_campaign *c, const wa_records *r, wa_error *err)
{
    gap *gaps = calloc(c->n_sources * (r->n / 2 + 1) + 1, sizeof *gaps);
    if (gaps == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    size_t n = 0;
    for (size_t k = 0; k < c->n_sources; k++)
        for (size_t i = 0; i < r->n; i++) {
            size_t from = i;
            while (i < r->n && is_gap(r, k, i))
                i++;
            if (i > from)
                gaps[n++] = (gap){k, from, i - from};
        }
    qsort(gaps, n, sizeof *gaps, by_length);
    wa_sheet_table(s, "longest gaps");
    wa_sheet_column(s, "source", NULL);
    wa_sheet_column(s, "from", NULL);
    wa_sheet_column(s, "to", NULL);
    wa_sheet_column(s, "intervals", NULL);
    for (size_t i = 0; i < n && i < GAPS_SHOWN; i++) {
        wa_sheet_row(s);
        wa_sheet_text(s, c->sources[gaps[i].source].name);
        wa_sheet_time(s, r->from + (int64_t)gaps[i].from * r->interval_ns);
        wa_sheet_time(s, r->from + (int64_t)(gaps[i].from + gaps[i].length) * r->interval_ns);
        wa_sheet_number(s, (double)gaps[i].length);
    }
    wa_sheet_note(s, "%zu gaps in all", n);
    free(gaps);
    return WA_OK;
}

static const wa_series *first_speed(const wa_campaign *c, const wa_records *r, wa_role role)
{
    for (size_t i = 0; i < r->n_series; i++)
        if (c->sources[r->series[i].source].role == role && r->series[i].mean != NULL &&
            strcmp(r->series[i].quantity, "wind_speed") == 0)
            return &r->series[i];
    return NULL;
}

static void show_lag(wa_sheet *s, const wa_campaign *c, const wa_records *r)
{
    const wa_series *a = first_speed(c, r, WA_ROLE_REFERENCE);
    const wa_series *b = first_speed(c, r, WA_ROLE_UNIT);
    if (a == NULL || b == NULL) {
        wa_sheet_note(s, "no wind speed on both sides: no lag is looked for");
        return;
    }
    wa_lag lag;
    wa_error why;
    int within = r->n > LAG_WITHIN ? LAG_WITHIN : (int)r->n - 1;
    if (wa_correlate_lag(&lag, NULL, NULL, a->mean, b->mean, r->n, within, false, &why) != WA_OK) {
        wa_sheet_note(s, "lag between %s and %s: %s", a->name, b->name, why.text);
        return;
    }
    wa_sheet_note(s, "lag of %s.%s behind %s.%s: %d intervals (correlation %.4f)%s",
                  c->sources[b->source].name, b->name, c->sources[a->source].name, a->name, lag.lag,
                  lag.greatest,
                  lag.lag == 0 ? "" : "; look at zone and stamp of both sources before you go on");
}

static void show_checks(wa_sheet *s, const wa_agenda *agenda)
{
    wa_sheet_table(s, "checks");
    wa_sheet_column(s, "id", NULL);
    wa_sheet_column(s, "title", NULL);
    wa_sheet_column(s, "will run", NULL);
    for (size_t i = 0; i < agenda->n_checks; i++) {
        const wa_value *e = agenda->checks[i].entry;
        const char *reason = wa_get_string(e, "reason");
        wa_sheet_row(s);
        wa_sheet_text(s, wa_get_string(e, "id"));
        wa_sheet_text(s, wa_get_string(e, "title"));
        wa_sheet_text(s, agenda->checks[i].applicable ? "yes" : reason == NULL ? "no" : reason);
    }
}

wa_status wa_look(wa_value **record, const char *campaign, const wa_engine *engine, wa_error *err)
{
    wa_agenda *agenda = NULL;
    wa_records *r = NULL;
    wa_sheet s = wa_sheet_begin();
    wa_status status = wa_agenda_open(&agenda, campaign, engine, err);
    if (status == WA_OK)
        status = wa_records_read(&r, agenda->campaign, engine->jobs, engine->progress, err);
    if (status == WA_OK) {
        show_sources(&s, agenda->campaign, r);
        show_files(&s, agenda->campaign, r);
        show_rates(&s, agenda->campaign, r);
        show_channels(&s, agenda->campaign, r);
        status = show_gaps(&s, agenda->campaign, r, err);
    }
    if (status == WA_OK) {
        show_checks(&s, agenda);
        show_lag(&s, agenda->campaign, r);
        status = wa_sheet_end(record, &s, agenda->campaign->title, err);
    }
    wa_sheet_release(&s);
    wa_records_free(r);
    wa_agenda_free(agenda);
    return status;
}
