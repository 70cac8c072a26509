#include "windassay/formula.h"

#include "stats/formula_check.h"

#include <stdlib.h>
#include <string.h>

/* ---- life ---- */

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "memory ran out");
}

static void free_channel(wa_formula_channel *c)
{
    free((char *)c->name);
    for (size_t i = 0; c->flags != NULL && i < c->n_flags; i++)
        free((char *)c->flags[i].name);
    free((wa_formula_flag *)c->flags);
}

void wa_formula_free(wa_formula *f)
{
    if (f == NULL)
        return;
    for (size_t i = 0; i < f->n_channels; i++)
        free_channel(&f->channels[i]);
    for (size_t i = 0; i < f->n_adds; i++) {
        free(f->adds[i].name);
        free(f->adds[i].quantity);
    }
    for (size_t i = 0; i < f->n_drops; i++) {
        free(f->drops[i].reason);
        free(f->drops[i].channels);
    }
    free(f->channels);
    free(f->nodes);
    free(f);
}

/* On failure `to` holds what free_channel can free. */
static bool copy_channel(wa_formula_channel *to, const wa_formula_channel *from)
{
    *to = *from;
    to->name = strdup(from->name);
    to->flags = NULL;
    if (from->n_flags == 0)
        return to->name != NULL;
    wa_formula_flag *flags = calloc(from->n_flags, sizeof *flags);
    to->flags = flags;
    if (to->name == NULL || flags == NULL)
        return false;
    for (size_t i = 0; i < from->n_flags; i++) {
        flags[i].bit = from->flags[i].bit;
        flags[i].name = strdup(from->flags[i].name);
        if (flags[i].name == NULL)
            return false;
    }
    return true;
}

wa_status wa_formula_new(wa_formula **out, const wa_formula_channel *channels, size_t n_channels,
                         wa_error *err)
{
    wa_formula *f = calloc(1, sizeof *f);
    if (f == NULL)
        return no_memory(err);
    f->channels = calloc(n_channels + 1, sizeof *f->channels);
    f->nodes = calloc(WA_FORMULA_NODES_MOST, sizeof *f->nodes);
    bool ok = f->channels != NULL && f->nodes != NULL;
    for (size_t i = 0; ok && i < n_channels; i++) {
        f->n_channels++;
        ok = copy_channel(&f->channels[i], &channels[i]);
    }
    if (!ok) {
        wa_formula_free(f);
        return no_memory(err);
    }
    *out = f;
    return WA_OK;
}

/* ---- building ---- */

static wa_status too_many(const char *what, int most, wa_error *err)
{
    return wa_fail(err, WA_ERR_ARG, "more than %d %s", most, what);
}

wa_status wa_formula_take_node(wa_formula *f, const wa_value *node, wa_error *err)
{
    if (f->n_nodes == WA_FORMULA_NODES_MOST)
        return too_many("operations", WA_FORMULA_NODES_MOST, err);
    formula_node n;
    wa_status s = wa_check_node(&n, f, node, err);
    if (s != WA_OK)
        return s;
    if (n.row->operands > 0)
        f->nodes[n.a].uses++;
    if (n.row->operands > 1)
        f->nodes[n.b].uses++;
    if (n.row->operands > 2)
        f->nodes[n.c].uses++;
    f->nodes[f->n_nodes++] = n;
    return WA_OK;
}

/* A text of 1 to `most` bytes that can stand in a table: no control characters. */
static wa_status check_text(const char **out, const wa_value *map, const char *key, size_t most,
                            wa_error *err)
{
    const wa_value *v = wa_get(map, key);
    const char *text = wa_string_of(v);
    size_t n = wa_length_of(v);
    bool good = text != NULL && n > 0 && n <= most && wa_utf8_valid(text, n);
    for (size_t i = 0; good && i < n; i++)
        good = (unsigned char)text[i] >= 0x20 && text[i] != 0x7f;
    if (!good)
        return wa_fail(err, WA_ERR_ARG, "the %s is not a text of 1 to %zu characters on one line",
                       key, most);
    *out = text;
    return WA_OK;
}

static wa_status check_name(const char **out, const wa_formula *f, const wa_value *map,
                            wa_error *err)
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_0123456789";
    wa_status s = check_text(out, map, "name", 64, err);
    if (s != WA_OK)
        return s;
    const char *name = *out;
    if (name[strspn(name, letters)] != '\0' || (*name >= '0' && *name <= '9'))
        return wa_fail(err, WA_ERR_ARG, "'%s' is no name: letters, digits and _ make one", name);
    for (size_t i = 0; i < f->n_channels; i++)
        if (strcmp(name, f->channels[i].name) == 0)
            return wa_fail(err, WA_ERR_ARG, "the source has a channel '%s' already", name);
    for (size_t i = 0; i < f->n_adds; i++)
        if (strcmp(name, f->adds[i].name) == 0)
            return wa_fail(err, WA_ERR_ARG, "'%s' is added twice", name);
    return WA_OK;
}

/* The unit of an added channel: one unit for each quantity, but pure numbers as they come. */
static wa_status unit_of_add(wa_unit *out, const formula_node *n, const wa_value *map,
                             wa_error *err)
{
    wa_unit said = n->unit;
    const wa_value *text = wa_get(map, "unit");
    double unused;
    wa_status s = WA_OK;
    if (text != NULL)
        s = wa_unit_parse(&said, wa_string_of(text) != NULL ? wa_string_of(text) : "", err);
    if (s == WA_OK)
        s = wa_unit_convert(&unused, 1, &n->unit, &said, err);
    if (s == WA_OK)
        *out = wa_unit_inside(&said);
    return s;
}

wa_status wa_formula_take_add(wa_formula *f, const wa_value *add, wa_error *err)
{
    static const char *const keys[] = {"name", "node", "quantity", "unit"};
    formula_add a = {0};
    const char *name, *quantity;
    if (f->n_adds == WA_FORMULA_RESULTS_MOST)
        return too_many("added channels", WA_FORMULA_RESULTS_MOST, err);
    wa_status s = wa_check_keys(add, keys, 4, "an added channel", err);
    if (s == WA_OK)
        s = check_name(&name, f, add, err);
    if (s == WA_OK)
        s = wa_check_index(&a.node, add, "node", f->n_nodes, err);
    if (s != WA_OK)
        return s;
    quantity = name;
    if (wa_get(add, "quantity") != NULL)
        s = check_text(&quantity, add, "quantity", 64, err);
    if (s != WA_OK)
        return s;
    formula_node *n = &f->nodes[a.node];
    if (n->kind != KIND_VALUE) {
        wa_fail(err, WA_ERR_ARG, "'%s' is %s and cannot be added as a channel", name,
                n->kind == KIND_MASK       ? "a mask"
                : n->kind == KIND_CONSTANT ? "a plain number"
                                           : "a row of flags");
        return n->kind == KIND_MASK ? wa_hint(err, WA_ERR_ARG,
                                              "drop on it: s:drop(\"why\", mask, "
                                              "{ \"channel\" })")
                                    : WA_ERR_ARG;
    }
    s = unit_of_add(&a.unit, n, add, err);
    if (s != WA_OK)
        return s;
    a.name = strdup(name);
    a.quantity = strdup(quantity);
    if (a.name == NULL || a.quantity == NULL) {
        free(a.name);
        free(a.quantity);
        return no_memory(err);
    }
    n->uses++;
    f->adds[f->n_adds++] = a;
    return WA_OK;
}

static wa_status find_target(size_t *out, const wa_formula *f, const char *name, wa_error *err)
{
    for (size_t i = 0; i < f->n_adds; i++)
        if (strcmp(name, f->adds[i].name) == 0) {
            *out = f->n_channels + i;
            return WA_OK;
        }
    return wa_check_channel(out, f, name, err);
}

/* The channels of a drop; without a list, all that there are so far. */
static wa_status fill_targets(formula_drop *d, const wa_formula *f, const wa_value *names,
                              wa_error *err)
{
    for (size_t i = 0; i < d->n_channels; i++) {
        d->channels[i] = i;
        if (names == NULL)
            continue;
        const char *name = wa_string_of(wa_at(names, i));
        wa_status s = find_target(&d->channels[i], f, name != NULL ? name : "", err);
        if (s != WA_OK)
            return s;
        for (size_t k = 0; k < i; k++)
            if (d->channels[k] == d->channels[i])
                return wa_fail(err, WA_ERR_ARG, "channel '%s' is named twice", name);
    }
    return WA_OK;
}

wa_status wa_formula_take_drop(wa_formula *f, const wa_value *drop, wa_error *err)
{
    static const char *const keys[] = {"reason", "mask", "channels"};
    formula_drop d = {0};
    const char *reason;
    if (f->n_drops == WA_FORMULA_RESULTS_MOST)
        return too_many("drops", WA_FORMULA_RESULTS_MOST, err);
    wa_status s = wa_check_keys(drop, keys, 3, "a drop", err);
    if (s == WA_OK)
        s = check_text(&reason, drop, "reason", 120, err);
    if (s == WA_OK)
        s = wa_check_index(&d.mask, drop, "mask", f->n_nodes, err);
    if (s != WA_OK)
        return s;
    if (f->nodes[d.mask].kind != KIND_MASK)
        return wa_fail(err, WA_ERR_ARG,
                       "\"%s\": a drop needs a mask, as s.x:below(2, \"m/s\") makes one", reason);
    for (size_t i = 0; i < f->n_drops; i++)
        if (strcmp(f->drops[i].reason, reason) == 0)
            return wa_fail(err, WA_ERR_ARG, "the reason \"%s\" is used twice", reason);
    const wa_value *names = wa_get(drop, "channels");
    if (names != NULL && (wa_value_kind(names) != WA_LIST || wa_count(names) == 0))
        return wa_fail(err, WA_ERR_ARG, "\"%s\": the channels are not a list of names", reason);
    d.n_channels = names != NULL ? wa_count(names) : f->n_channels + f->n_adds;
    d.channels = calloc(d.n_channels + 1, sizeof *d.channels);
    d.reason = strdup(reason);
    s = d.channels == NULL || d.reason == NULL ? no_memory(err) : fill_targets(&d, f, names, err);
    if (s != WA_OK) {
        free(d.channels);
        free(d.reason);
        return s;
    }
    f->nodes[d.mask].uses++;
    f->drops[f->n_drops++] = d;
    return WA_OK;
}

/* ---- decoding ---- */

typedef wa_status take(wa_formula *f, const wa_value *item, wa_error *err);

static wa_status take_all(wa_formula *f, const wa_value *described, const char *key, take *one,
                          wa_error *err)
{
    const wa_value *list = wa_get(described, key);
    if (list != NULL && wa_value_kind(list) != WA_LIST)
        return wa_fail(err, WA_ERR_DATA, "prepare: '%s' is not a list", key);
    for (size_t i = 0; i < wa_count(list); i++) {
        wa_error inner = {0};
        wa_status s = one(f, wa_at(list, i), &inner);
        if (s == WA_ERR_NOMEM)
            return no_memory(err);
        if (s != WA_OK) {
            wa_fail(err, WA_ERR_DATA, "prepare: %s %zu: %.400s", key, i + 1, inner.text);
            return wa_hint(err, WA_ERR_DATA, "%s", inner.hint);
        }
    }
    return WA_OK;
}

wa_status wa_formula_decode(wa_formula **out, const wa_value *described,
                            const wa_formula_channel *channels, size_t n_channels, wa_error *err)
{
    static const char *const keys[] = {"nodes", "adds", "drops"};
    wa_formula *f = NULL;
    if (wa_check_keys(described, keys, 3, "prepare", err) != WA_OK)
        return err != NULL ? (err->code = WA_ERR_DATA) : WA_ERR_DATA;
    wa_status s = wa_formula_new(&f, channels, n_channels, err);
    if (s == WA_OK)
        s = take_all(f, described, "nodes", wa_formula_take_node, err);
    if (s == WA_OK)
        s = take_all(f, described, "adds", wa_formula_take_add, err);
    if (s == WA_OK)
        s = take_all(f, described, "drops", wa_formula_take_drop, err);
    if (s == WA_OK)
        *out = f;
    else
        wa_formula_free(f);
    return s;
}

/* ---- what came out ---- */

size_t wa_formula_adds(const wa_formula *f)
{
    return f->n_adds;
}

static bool is_direction(const formula_add *a)
{
    static const char end[] = "_direction";
    wa_unit degree = wa_unit_degree();
    size_t n = strlen(a->quantity), m = sizeof end - 1;
    return n >= m && strcmp(a->quantity + n - m, end) == 0 && wa_unit_equal(&a->unit, &degree);
}

wa_formula_added wa_formula_add_at(const wa_formula *f, size_t i)
{
    const formula_add *a = &f->adds[i];
    return (wa_formula_added){.name = a->name,
                              .quantity = a->quantity,
                              .kind = is_direction(a) ? WA_FORMULA_DIRECTION : WA_FORMULA_NUMBER,
                              .unit = a->unit};
}

size_t wa_formula_drops(const wa_formula *f)
{
    return f->n_drops;
}

wa_formula_dropped wa_formula_drop_at(const wa_formula *f, size_t i)
{
    const formula_drop *d = &f->drops[i];
    return (wa_formula_dropped){
        .reason = d->reason, .channels = d->channels, .n_channels = d->n_channels};
}

bool wa_formula_reads(const wa_formula *f, size_t channel)
{
    for (size_t i = 0; i < f->n_nodes; i++)
        if (f->nodes[i].row->op == OP_CHANNEL && f->nodes[i].channel == channel)
            return true;
    return false;
}
