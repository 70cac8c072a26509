#include "data/prepare.h"

#include "data/numbers.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- the plan ---- */

static wa_formula_kind formula_kind(wa_channel_kind kind)
{
    switch (kind) {
    case WA_CHANNEL_DIRECTION:
        return WA_FORMULA_DIRECTION;
    case WA_CHANNEL_BITS:
        return WA_FORMULA_BITS;
    case WA_CHANNEL_WORDS:
        return WA_FORMULA_WORDS;
    case WA_CHANNEL_SCALAR:
        break;
    }
    return WA_FORMULA_NUMBER;
}

wa_status wa_prepare_decode(wa_formula **out, const wa_source *s, wa_error *err)
{
    size_t flags = 0, at = 0;
    for (size_t c = 0; c < s->n_channels; c++)
        flags += s->channels[c].n_flags;
    wa_formula_channel *channel = calloc(s->n_channels + 1, sizeof *channel);
    wa_formula_flag *flag = calloc(flags + 1, sizeof *flag);
    wa_status status = channel == NULL || flag == NULL ? wa_no_memory(err) : WA_OK;
    for (size_t c = 0; status == WA_OK && c < s->n_channels; c++) {
        const wa_channel *from = &s->channels[c];
        channel[c] = (wa_formula_channel){.name = from->name,
                                          .kind = formula_kind(from->kind),
                                          .unit = from->unit,
                                          .flags = flag + at,
                                          .n_flags = from->n_flags};
        for (size_t k = 0; k < from->n_flags; k++)
            flag[at++] = (wa_formula_flag){from->flags[k].name, from->flags[k].bit};
    }
    if (status == WA_OK)
        status = wa_formula_decode(out, s->prepare, channel, s->n_channels, err);
    free(channel);
    free(flag);
    return status;
}

static const char *target_name(const wa_plan *p, size_t target)
{
    size_t n = p->source->n_channels;
    return target < n ? p->source->channels[target].name : p->added[target - n].name;
}

wa_status wa_prepare_plan_drops(wa_plan *p, wa_error *err)
{
    p->place.prepare = p->n_reasons;
    for (size_t d = 0; p->formula != NULL && d < wa_formula_drops(p->formula); d++) {
        wa_formula_dropped drop = wa_formula_drop_at(p->formula, d);
        for (size_t k = 0; k < drop.n_channels; k++) {
            size_t target = drop.channels[k];
            const char *name = target_name(p, target);
            if (p->any_shared && target < p->source->n_channels &&
                p->source->channels[target].shared)
                return wa_fail(err, WA_ERR_DATA,
                               "source '%s', prepare: '%s' is shared by all beams and ranges and "
                               "cannot be dropped for one of them",
                               p->source->name, name);
            if (!wa_plan_add_reason(p, "prepare: %s: %s", drop.reason, name) ||
                !wa_plan_add_reason(p, "prepare: %s: cannot be judged: %s", drop.reason, name))
                return wa_no_memory(err);
        }
    }
    return WA_OK;
}

wa_status wa_prepare_plan(wa_plan *p, wa_error *err)
{
    if (p->source->prepare == NULL)
        return WA_OK;
    wa_error why;
    wa_status status = wa_prepare_decode(&p->formula, p->source, &why);
    if (status != WA_OK) {
        wa_fail(err, status, "source '%s', prepare: %s", p->source->name, why.text);
        return why.hint[0] != '\0' ? wa_hint(err, status, "%s", why.hint) : status;
    }
    size_t n = wa_formula_adds(p->formula);
    if ((p->added = calloc(n + 1, sizeof *p->added)) == NULL)
        return wa_no_memory(err);
    for (; p->n_added < n; p->n_added++) {
        wa_formula_added from = wa_formula_add_at(p->formula, p->n_added);
        wa_channel *to = &p->added[p->n_added];
        *to = (wa_channel){.name = strdup(from.name), .quantity = strdup(from.quantity)};
        to->kind = from.kind == WA_FORMULA_DIRECTION ? WA_CHANNEL_DIRECTION : WA_CHANNEL_SCALAR;
        to->unit = to->unit_in_file = from.unit;
        if (to->name == NULL || to->quantity == NULL) {
            p->n_added++;
            return wa_no_memory(err);
        }
    }
    return WA_OK;
}

size_t wa_prepare_reason(const wa_plan *p, size_t d, size_t target)
{
    size_t place = p->place.prepare;
    for (size_t i = 0; i < d; i++)
        place += 2 * wa_formula_drop_at(p->formula, i).n_channels;
    wa_formula_dropped drop = wa_formula_drop_at(p->formula, d);
    for (size_t k = 0; k < drop.n_channels; k++)
        if (drop.channels[k] == target)
            return place + 2 * k;
    return SIZE_MAX;
}

/* ---- one interval ---- */

static void free_each(void *const *at, size_t n)
{
    for (size_t i = 0; at != NULL && i < n; i++)
        free(at[i]);
}

void wa_prepared_release(wa_prepared *p)
{
    free_each((void *const *)p->channel, p->n_channels);
    free_each((void *const *)p->added, p->n_added);
    free_each((void *const *)p->drop, p->n_drops);
    free(p->channel);
    free(p->added);
    free(p->drop);
    wa_formula_scratch_release(&p->scratch);
    *p = (wa_prepared){0};
}

static bool grow(wa_prepared *p, const wa_plan *plan, size_t n)
{
    if (n <= p->room)
        return true;
    wa_prepared_release(p);
    p->n_channels = plan->source->n_channels;
    p->n_added = plan->n_added;
    p->n_drops = wa_formula_drops(plan->formula);
    p->channel = calloc(p->n_channels + 1, sizeof *p->channel);
    p->added = calloc(p->n_added + 1, sizeof *p->added);
    p->drop = calloc(p->n_drops + 1, sizeof *p->drop);
    bool ok = p->channel != NULL && p->added != NULL && p->drop != NULL;
    for (size_t i = 0; ok && i < p->n_channels; i++)
        if (wa_formula_reads(plan->formula, i))
            ok = (p->channel[i] = malloc(2 * n * sizeof **p->channel)) != NULL;
    for (size_t i = 0; ok && i < p->n_added; i++)
        ok = (p->added[i] = malloc(2 * n * sizeof **p->added)) != NULL;
    for (size_t i = 0; ok && i < p->n_drops; i++)
        ok = (p->drop[i] = malloc(2 * n)) != NULL;
    p->room = ok ? 2 * n : 0;
    return ok;
}

double wa_direction_within(double degrees)
{
    double x = degrees - 360 * floor(degrees / 360);
    return x >= 360 ? 0 : x; /* what lies just below 0 rounds up to 360 */
}

void wa_prepare_values(double *to, const wa_plan *plan, size_t channel, size_t interval,
                       const wa_datum *is, const uint8_t *tag, size_t n)
{
    const wa_channel *c = plan->channel[channel].channel;
    wa_affine a;
    if (!wa_plan_affine(&a, plan, channel, interval)) {
        for (size_t i = 0; i < n; i++)
            to[i] = (double)NAN;
        return;
    }
    wa_numbers(to, is, tag, n, plan->level);
    for (size_t k = 0; k < a.n; k++)
        wa_numbers_affine(to, a.slope[k], a.offset[k], n, plan->level);
    if (c->kind == WA_CHANNEL_DIRECTION)
        for (size_t i = 0; i < n; i++)
            to[i] = wa_direction_within(to[i] + c->north_offset);
}

wa_status wa_prepare_evaluate(wa_prepared *p, const wa_plan *plan, const wa_batch *b,
                              size_t interval, wa_error *err)
{
    if (!grow(p, plan, b->n))
        return wa_no_memory(err);
    for (size_t c = 0; c < p->n_channels; c++)
        if (p->channel[c] != NULL)
            wa_prepare_values(p->channel[c], plan, c, interval, b->is[c], b->tag[c], b->n);
    p->scratch.narrow = plan->level < WA_VECTOR_AVX2;
    return wa_formula_evaluate(plan->formula, (const double *const *)p->channel, b->n, p->added,
                               p->drop, &p->scratch, err);
}
