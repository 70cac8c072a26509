#include "data/plan.h"

#include "data/prepare.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The integer at a scale that is read as the number x, if there is one. */
static bool at_scale(int64_t *digits, double x, uint8_t scale)
{
    double scaled = x;
    for (uint8_t i = 0; i < scale; i++)
        scaled *= 10;
    if (!(fabs(scaled) < 1e15))
        return false;
    *digits = (int64_t)floor(scaled + 0.5);
    return wa_sample_number((wa_datum){.digits = *digits}, scale) == x;
}

/* Which plain decimals of a channel need no second look (wa_sample_read_channel would give them). */
static void plan_quick(wa_channel_plan *to, const wa_source *s)
{
    wa_channel_kind kind = to->channel->kind;
    int64_t turn = 360;
    to->quick = kind == WA_CHANNEL_SCALAR || kind == WA_CHANNEL_BITS ||
                (kind == WA_CHANNEL_DIRECTION && to->to_degree == 1);
    for (uint8_t k = 0; k < WA_PLAIN_SCALES; k++, turn *= 10) {
        wa_decimals *d = &to->expected[k];
        wa_decimals_set(d, s->layout.decimal, k);
        if (kind != WA_CHANNEL_SCALAR) {
            d->lowest = 0;
            d->below = turn;
        }
        if (kind == WA_CHANNEL_BITS)
            d->below = k == 0 ? (int64_t)1 << 32 : 0; /* whole numbers only */
        for (size_t i = 0; i < s->layout.n_missing; i++) {
            const wa_missing *m = &s->layout.missing[i];
            int64_t digits;
            if (!m->is_number)
                wa_decimals_add_marker(d, m->text);
            if (!m->is_number || !at_scale(&digits, m->number, k))
                continue;
            if (d->n_avoided == WA_AVOIDED_MOST)
                to->quick = false;
            else
                d->avoided[d->n_avoided++] = digits;
        }
    }
}

static wa_status plan_channel(wa_channel_plan *to, const wa_source *s, const wa_channel *c,
                              wa_error *err)
{
    *to = (wa_channel_plan){.channel = c, .slope = 1, .to_degree = 1};
    if (c->kind != WA_CHANNEL_SCALAR && c->kind != WA_CHANNEL_DIRECTION)
        return WA_OK;
    wa_error why;
    if (wa_unit_affine(&to->slope, &to->offset, &c->unit_in_file, &c->unit, &why) != WA_OK)
        return wa_fail(err, WA_ERR_DATA, "source '%s', channel '%s': %s", s->name, c->name,
                       why.text);
    if (c->kind == WA_CHANNEL_DIRECTION)
        to->to_degree = to->slope;
    return WA_OK;
}

bool wa_plan_add_reason(wa_plan *p, const char *format, ...)
{
    char *text = NULL;
    va_list args;
    va_start(args, format);
    int n = vasprintf(&text, format, args);
    va_end(args);
    if (n < 0)
        return false;
    char **larger = realloc(p->reason, (p->n_reasons + 1) * sizeof *larger);
    if (larger == NULL) {
        free(text);
        return false;
    }
    p->reason = larger;
    p->reason[p->n_reasons++] = text;
    return true;
}

/* Order of a sample's fate: repeated, keep_if, missing in the file, not calibrated, prepare. The
 * first that applies counts, so that for every channel
 * read = count + repeated + keep_if + missing + not calibrated + prepare. */
static wa_status list_reasons(wa_plan *p, wa_error *err)
{
    const wa_source *s = p->source;
    bool ok = true;
    p->place.repeated = p->n_reasons;
    if (s->overlap == WA_OVERLAP_IDENTICAL)
        ok = ok && wa_plan_add_reason(p, "equal row again");
    p->place.keep_if = p->n_reasons;
    for (size_t i = 0; i < s->n_keep_if; i++) {
        const wa_keep_if *k = &s->keep_if[i];
        ok = ok && wa_plan_add_reason(p, "keep_if: %s", k->reason) &&
             wa_plan_add_reason(p, "keep_if: %s: cannot be judged", k->reason);
    }
    p->place.missing = p->n_reasons;
    for (size_t i = 0; i < s->n_channels; i++)
        ok = ok && wa_plan_add_reason(p, "missing: %s", s->channels[i].name);
    for (size_t i = 0; i < p->n_added; i++)
        ok = ok && wa_plan_add_reason(p, "missing: %s", p->added[i].name);
    p->place.uncalibrated = p->n_reasons;
    for (size_t i = 0; i < s->n_channels; i++)
        ok = ok && wa_plan_add_reason(p, "not calibrated: %s", s->channels[i].name);
    return ok ? wa_prepare_plan_drops(p, err) : wa_no_memory(err);
}

static wa_status check_together(const wa_plan *p, wa_error *err)
{
    const wa_source *s = p->source;
    if (s->interval_ns != 0 && s->interval_ns != p->campaign->interval_ns)
        return wa_fail(err, WA_ERR_DATA,
                       "source '%s': its averages last another interval than the campaign's",
                       s->name);
    if (s->n_expected == 0 || s->interval_ns != 0)
        return WA_OK;
    for (size_t i = 0; i < s->n_expected; i++)
        if (s->expected[i].every_ns <= 0)
            return wa_fail(err, WA_ERR_DATA, "source '%s': expected: every must be above 0",
                           s->name);
    return WA_OK;
}

wa_status wa_plan_make(wa_plan *out, const wa_campaign *campaign, size_t source, wa_error *err)
{
    const wa_source *s = &campaign->sources[source];
    wa_plan p = {.campaign = campaign, .source = s, .index = source};
    if (campaign->interval_ns <= 0 || campaign->to <= campaign->from ||
        (campaign->to - campaign->from) % campaign->interval_ns != 0)
        return wa_fail(err, WA_ERR_DATA, "the period is no whole number of intervals");
    p.n = (size_t)((campaign->to - campaign->from) / campaign->interval_ns);
    p.divisor = s->divisor_n || campaign->divisor_n ? WA_DIVISOR_N : WA_DIVISOR_N_MINUS_1;
    p.raw = s->interval_ns == 0;
    p.split = s->beam_column != NULL || s->range_column != NULL;
    p.channel = calloc(s->n_channels + 1, sizeof *p.channel);
    wa_status status = p.channel == NULL ? wa_no_memory(err) : WA_OK;
    for (size_t i = 0; status == WA_OK && i < s->n_channels; i++) {
        status = plan_channel(&p.channel[i], s, &s->channels[i], err);
        plan_quick(&p.channel[i], s);
        p.any_shared |= p.raw && p.split && s->channels[i].shared;
    }
    if (status == WA_OK)
        status = check_together(&p, err);
    if (status == WA_OK)
        status = wa_prepare_plan(&p, err);
    if (status == WA_OK)
        status = list_reasons(&p, err);
    if (status != WA_OK) {
        wa_plan_release(&p);
        return status;
    }
    *out = p;
    return WA_OK;
}

void wa_plan_release(wa_plan *p)
{
    for (size_t i = 0; i < p->n_reasons; i++)
        free(p->reason[i]);
    for (size_t i = 0; i < p->n_added; i++) {
        free(p->added[i].name);
        free(p->added[i].quantity);
    }
    wa_formula_free(p->formula);
    free(p->added);
    free(p->reason);
    free(p->channel);
    *p = (wa_plan){0};
}

bool wa_plan_covers(const wa_plan *p, int64_t t)
{
    return t >= p->campaign->from && t < p->campaign->to;
}

int64_t wa_plan_start(const wa_plan *p, size_t i)
{
    return p->campaign->from + (int64_t)i * p->campaign->interval_ns;
}

bool wa_plan_affine(wa_affine *out, const wa_plan *p, size_t channel, size_t interval)
{
    const wa_channel_plan *c = &p->channel[channel];
    wa_affine a = {.n = 0};
    if (c->slope != 1 || c->offset != 0) {
        a.slope[a.n] = c->slope;
        a.offset[a.n++] = c->offset;
    }
    if (c->channel->n_affine > 0) {
        int64_t from = wa_plan_start(p, interval), to = from + p->campaign->interval_ns;
        const wa_affine_span *span = c->channel->affine;
        size_t i = 0;
        while (i < c->channel->n_affine && !(span[i].from <= from && to <= span[i].to))
            i++;
        if (i == c->channel->n_affine)
            return false;
        if (span[i].slope != 1 || span[i].offset != 0) {
            a.slope[a.n] = span[i].slope;
            a.offset[a.n++] = span[i].offset;
        }
    }
    *out = a;
    return true;
}

double wa_affine_apply(const wa_affine *a, double x)
{
    for (size_t i = 0; i < a->n; i++)
        x = fma(x, a->slope[i], a->offset[i]);
    return x;
}

double wa_plan_expected(const wa_plan *p, bool has_beam, double beam, bool has_range, double range)
{
    const wa_source *s = p->source;
    for (size_t i = 0; i < s->n_expected; i++) {
        const wa_expected *e = &s->expected[i];
        if ((!e->has_beam || (has_beam && e->beam == beam)) &&
            (!e->has_range || (has_range && e->range == range)))
            return (double)p->campaign->interval_ns / (double)e->every_ns;
    }
    return 0;
}
