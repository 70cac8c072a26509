/* formula_evaluate.c - all formulas over the samples of one interval. */
#include "stats/formula_nodes.h"

#include "windassay/circular.h"
#include "windassay/summary.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CHUNK = 256 };

/* What a node came to. Values are one a sample, or (step 0) one number. */
typedef struct slot {
    const double *value;
    size_t step;
    double *room; /* of a node that computes values */
    uint8_t *mask;
} slot;

typedef struct evaluation {
    const wa_formula *f;
    const double *const *channel;
    size_t n;
    slot *slots;
    double *temporary; /* n values */
    bool wide;         /* of kernel.h */
} evaluation;

static bool computes_values(const formula_node *n)
{
    return n->kind != KIND_MASK && n->row->op != OP_CHANNEL && n->row->op != OP_NUMBER;
}

static void fill(double *out, double value, size_t n)
{
    for (size_t i = 0; i < n; i++)
        out[i] = value;
}

/* Operand b in the unit of a: where its unit differs, converted into `room`. */
static const double *converted(const evaluation *e, size_t index, const wa_unit *to, double *room)
{
    const formula_node *o = &e->f->nodes[index];
    const slot *s = &e->slots[index];
    bool bare = o->kind == KIND_CONSTANT && o->bare;
    if (bare || wa_unit_equal(&o->unit, to))
        return s->value;
    /* cannot fail: the units were converted when the formula was checked */
    if (wa_unit_convert_all(room, s->value, s->step == 0 ? 1 : e->n, &o->unit, to, NULL) != WA_OK)
        fill(room, (double)NAN, e->n);
    return room;
}

static void combine(const evaluation *e, const formula_node *n, double *out)
{
    const slot *a = &e->slots[n->a], *b = &e->slots[n->b];
    const formula_node *left = &e->f->nodes[n->a];
    const double *right = b->value;
    bool like_left = n->row->op == OP_ATAN2 || n->row->sub == WA_ADD || n->row->sub == WA_SUBTRACT;
    /* 0.5 - x: a bare number takes the other's unit, the pure number */
    if (like_left && !(left->kind == KIND_CONSTANT && left->bare))
        right = converted(e, n->b, &left->unit, e->temporary);
    if (n->row->op == OP_ATAN2)
        wa_kernel_atan2(out, a->value, a->step, right, b->step, e->n);
    else
        wa_kernel_combine(out, (wa_operator)n->row->sub, a->value, a->step, right, b->step, e->n,
                          e->wide);
}

static void difference(const evaluation *e, const formula_node *n, double *out)
{
    const slot *a = &e->slots[n->a], *b = &e->slots[n->b];
    wa_kernel_difference(out, a->value, a->step, b->value, b->step, e->n);
}

static void convert(const evaluation *e, size_t from, const wa_unit *to, double *out)
{
    const double *v = converted(e, from, to, out);
    if (v != out && e->n > 0)
        memcpy(out, v, e->n * sizeof *out);
}

static void apply(const evaluation *e, const formula_node *n, double *out)
{
    wa_unit in, result;
    const formula_node *a = &e->f->nodes[n->a];
    if (wa_function_units(&in, &result, (wa_function)n->row->sub, &a->unit, NULL) == WA_OK)
        convert(e, n->a, &in, out);
    wa_kernel_apply(out, (wa_function)n->row->sub, out, e->n, e->wide);
}

/* One number for the whole interval; what is not defined is missing. */
static void statistic(const evaluation *e, const formula_node *n, double *out)
{
    const double *x = e->slots[n->a].value;
    double value = 0;
    wa_status s = WA_OK;
    switch ((node_statistic)n->row->sub) {
    case STAT_MEAN:
        s = wa_summary_mean(&value, x, e->n, NULL);
        break;
    case STAT_SD:
        s = wa_summary_sd(&value, x, e->n, NULL);
        break;
    case STAT_MIN:
        s = wa_summary_min(&value, x, e->n, NULL);
        break;
    case STAT_MAX:
        s = wa_summary_max(&value, x, e->n, NULL);
        break;
    case STAT_COUNT:
        value = (double)wa_summary_count(x, e->n);
        break;
    case STAT_QUANTILE:
        s = wa_summary_quantile(&value, x, e->n, n->x, e->temporary, NULL);
        break;
    case STAT_CIRCULAR_MEAN:
        s = wa_circular_mean(&value, x, e->n, NULL);
        break;
    }
    fill(out, s == WA_OK ? value : (double)NAN, e->n);
}

static void compute_values(const evaluation *e, const formula_node *n, double *out)
{
    switch (n->row->op) {
    case OP_COMBINE:
    case OP_ATAN2:
        combine(e, n, out);
        break;
    case OP_DIFFERENCE:
        difference(e, n, out);
        break;
    case OP_APPLY:
        apply(e, n, out);
        break;
    case OP_TO:
        convert(e, n->a, &n->unit, out);
        break;
    case OP_LAG:
        wa_kernel_lag(out, e->slots[n->a].value, e->n, n->rows);
        break;
    case OP_WHERE:
        wa_kernel_where(out, e->slots[n->a].value, e->slots[n->b].mask, e->n, e->wide);
        break;
    default:
        statistic(e, n, out);
    }
}

/* ---- masks ---- */

static void between(const evaluation *e, const formula_node *n, uint8_t *out)
{
    const double *x = e->slots[n->a].value;
    const wa_unit *unit = &e->f->nodes[n->a].unit;
    const double *bound = converted(e, n->c, unit, e->temporary);
    wa_kernel_compare(out, WA_BELOW, x, bound, e->slots[n->c].step, e->n, e->wide);
    bound = converted(e, n->b, unit, e->temporary);
    for (size_t i = 0; i < e->n; i += CHUNK) {
        uint8_t under[CHUNK];
        size_t step = e->slots[n->b].step, some = e->n - i < CHUNK ? e->n - i : CHUNK;
        wa_kernel_compare(under, WA_BELOW, x + i, bound + i * step, step, some, e->wide);
        wa_kernel_not(under, under, some);
        wa_kernel_and(out + i, out + i, under, some);
    }
}

static void has(const double *x, uint32_t bit, uint8_t *out, size_t n)
{
    const double most = 4294967295.0;
    for (size_t i = 0; i < n; i++) {
        if (!(x[i] >= 0 && x[i] <= most))
            out[i] = WA_UNKNOWN;
        else
            out[i] = (uint8_t)((uint32_t)x[i] >> bit & 1);
    }
}

/* Words are held as indices of flags; flags of the same name mean the same. */
static void is(const double *x, const wa_formula_channel *c, size_t flag, uint8_t *out, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!(x[i] >= 0 && x[i] < (double)c->n_flags))
            out[i] = WA_UNKNOWN;
        else
            out[i] = strcmp(c->flags[(size_t)x[i]].name, c->flags[flag].name) == 0;
    }
}

static void compute_mask(const evaluation *e, const formula_node *n, uint8_t *out)
{
    const slot *a = &e->slots[n->a], *b = &e->slots[n->b];
    const formula_node *left = &e->f->nodes[n->a];
    switch (n->row->op) {
    case OP_COMPARE:
        wa_kernel_compare(out, (wa_comparison)n->row->sub, a->value,
                          converted(e, n->b, &left->unit, e->temporary), b->step, e->n, e->wide);
        break;
    case OP_BETWEEN:
        between(e, n, out);
        break;
    case OP_SECTOR:
        wa_kernel_sector(out, a->value, n->x, n->y, e->n);
        break;
    case OP_MISSING:
        wa_kernel_missing(out, a->value, e->n);
        break;
    case OP_UNCHANGED:
        wa_kernel_unchanged(out, a->value, e->n, (size_t)n->rows);
        break;
    case OP_HAS:
        has(a->value, e->f->channels[n->channel].flags[n->flag].bit, out, e->n);
        break;
    case OP_IS:
        is(a->value, &e->f->channels[n->channel], n->flag, out, e->n);
        break;
    case OP_AND:
        wa_kernel_and(out, a->mask, b->mask, e->n);
        break;
    case OP_OR:
        wa_kernel_or(out, a->mask, b->mask, e->n);
        break;
    case OP_NOT:
        wa_kernel_not(out, a->mask, e->n);
        break;
    default:
        wa_kernel_grow(out, a->mask, e->n, (size_t)n->rows);
    }
}

/* ---- the whole ---- */

/* Lays slots, value rooms and mask rooms into the scratch memory. */
static wa_status lay_out(evaluation *e, wa_formula_scratch *scratch, wa_error *err)
{
    const wa_formula *f = e->f;
    size_t values = 1, masks = 0;
    for (size_t i = 0; i < f->n_nodes; i++) {
        values += computes_values(&f->nodes[i]);
        masks += f->nodes[i].kind == KIND_MASK;
    }
    size_t a_sample = values * sizeof(double) + masks;
    if (e->n > (SIZE_MAX - f->n_nodes * sizeof(slot)) / a_sample)
        return wa_fail(err, WA_ERR_NOMEM, "memory ran out");
    size_t bytes = f->n_nodes * sizeof(slot) + e->n * a_sample;
    if (bytes > scratch->room) {
        void *more = realloc(scratch->at, bytes);
        if (more == NULL)
            return wa_fail(err, WA_ERR_NOMEM, "memory ran out");
        scratch->at = more;
        scratch->room = bytes;
    }
    e->slots = scratch->at;
    double *next = (double *)(void *)(e->slots + f->n_nodes);
    uint8_t *next_mask = (uint8_t *)(next + values * e->n);
    e->temporary = next;
    for (size_t i = 0; i < f->n_nodes; i++) {
        const formula_node *n = &f->nodes[i];
        e->slots[i] = (slot){.step = 1};
        if (n->kind == KIND_MASK) {
            e->slots[i].mask = next_mask;
            next_mask += e->n;
        } else if (computes_values(n)) {
            next += e->n;
            e->slots[i].value = e->slots[i].room = next;
        } else if (n->row->op == OP_NUMBER) {
            e->slots[i].value = &n->x;
            e->slots[i].step = 0;
        } else {
            e->slots[i].value = e->channel[n->channel];
        }
    }
    return WA_OK;
}

wa_status wa_formula_evaluate(const wa_formula *f, const double *const *channel, size_t n,
                              double *const *added, uint8_t *const *drop,
                              wa_formula_scratch *scratch, wa_error *err)
{
    evaluation e = {.f = f, .channel = channel, .n = n};
    e.wide = !scratch->narrow && wa_kernel_wide();
    wa_status s = n > 0 ? lay_out(&e, scratch, err) : WA_OK;
    if (s != WA_OK || n == 0)
        return s;
    for (size_t i = 0; i < f->n_nodes; i++) {
        const formula_node *node = &f->nodes[i];
        if (node->kind == KIND_MASK)
            compute_mask(&e, node, e.slots[i].mask);
        else if (computes_values(node))
            compute_values(&e, node, e.slots[i].room);
    }
    for (size_t i = 0; i < f->n_adds; i++)
        convert(&e, f->adds[i].node, &f->adds[i].unit, added[i]);
    for (size_t i = 0; i < f->n_drops; i++)
        memcpy(drop[i], e.slots[f->drops[i].mask].mask, n);
    return WA_OK;
}

void wa_formula_scratch_release(wa_formula_scratch *s)
{
    free(s->at);
    *s = (wa_formula_scratch){0};
}
