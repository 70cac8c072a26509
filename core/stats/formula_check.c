/* formula_check.c - takes one node of a description: knows its op, its operands, its unit. */
#include "stats/formula_nodes.h"

#include "stats/formula_check.h"

#include <math.h>
#include <string.h>

static const op_row ops[] = {
    {"channel", OP_CHANNEL, 0, 0, KIND_VALUE},
    {"number", OP_NUMBER, 0, 0, KIND_VALUE},
    {"add", OP_COMBINE, WA_ADD, 2, KIND_VALUE},
    {"sub", OP_COMBINE, WA_SUBTRACT, 2, KIND_VALUE},
    {"mul", OP_COMBINE, WA_MULTIPLY, 2, KIND_VALUE},
    {"div", OP_COMBINE, WA_DIVIDE, 2, KIND_VALUE},
    {"pow", OP_COMBINE, WA_POWER, 2, KIND_VALUE},
    {"atan2", OP_ATAN2, 0, 2, KIND_VALUE},
    {"difference", OP_DIFFERENCE, 0, 2, KIND_VALUE},
    {"neg", OP_APPLY, WA_NEGATE, 1, KIND_VALUE},
    {"abs", OP_APPLY, WA_ABS, 1, KIND_VALUE},
    {"sqrt", OP_APPLY, WA_SQRT, 1, KIND_VALUE},
    {"exp", OP_APPLY, WA_EXP, 1, KIND_VALUE},
    {"log", OP_APPLY, WA_LOG, 1, KIND_VALUE},
    {"sin", OP_APPLY, WA_SIN, 1, KIND_VALUE},
    {"cos", OP_APPLY, WA_COS, 1, KIND_VALUE},
    {"tan", OP_APPLY, WA_TAN, 1, KIND_VALUE},
    {"asin", OP_APPLY, WA_ASIN, 1, KIND_VALUE},
    {"acos", OP_APPLY, WA_ACOS, 1, KIND_VALUE},
    {"to", OP_TO, 0, 1, KIND_VALUE},
    {"lag", OP_LAG, 0, 1, KIND_VALUE},
    {"where", OP_WHERE, 0, 2, KIND_VALUE},
    {"mean", OP_STATISTIC, STAT_MEAN, 1, KIND_VALUE},
    {"sd", OP_STATISTIC, STAT_SD, 1, KIND_VALUE},
    {"min", OP_STATISTIC, STAT_MIN, 1, KIND_VALUE},
    {"max", OP_STATISTIC, STAT_MAX, 1, KIND_VALUE},
    {"count", OP_STATISTIC, STAT_COUNT, 1, KIND_VALUE},
    {"median", OP_STATISTIC, STAT_QUANTILE, 1, KIND_VALUE},
    {"quantile", OP_STATISTIC, STAT_QUANTILE, 1, KIND_VALUE},
    {"circular_mean", OP_STATISTIC, STAT_CIRCULAR_MEAN, 1, KIND_VALUE},
    {"below", OP_COMPARE, WA_BELOW, 2, KIND_VALUE},
    {"above", OP_COMPARE, WA_ABOVE, 2, KIND_VALUE},
    {"equals", OP_COMPARE, WA_EQUALS, 2, KIND_VALUE},
    {"between", OP_BETWEEN, 0, 3, KIND_VALUE},
    {"in_sector", OP_SECTOR, 0, 1, KIND_VALUE},
    {"missing", OP_MISSING, 0, 1, KIND_VALUE},
    {"unchanged", OP_UNCHANGED, 0, 1, KIND_VALUE},
    {"has", OP_HAS, 0, 1, KIND_VALUE},
    {"is", OP_IS, 0, 1, KIND_VALUE},
    {"and", OP_AND, 0, 2, KIND_MASK},
    {"or", OP_OR, 0, 2, KIND_MASK},
    {"not", OP_NOT, 0, 1, KIND_MASK},
    {"grow", OP_GROW, 0, 1, KIND_MASK},
};
enum { OPS = sizeof ops / sizeof *ops };

wa_operand wa_node_operand(const formula_node *n, wa_column *room)
{
    if (n->kind == KIND_CONSTANT)
        return (wa_operand){.number = n->x, .has_unit = !n->bare, .unit = n->unit};
    *room = (wa_column){.unit = n->unit};
    return (wa_operand){.column = room};
}

wa_status wa_check_keys(const wa_value *map, const char *const *known, size_t n, const char *what,
                        wa_error *err)
{
    if (wa_value_kind(map) != WA_MAP)
        return wa_fail(err, WA_ERR_ARG, "%s is not a table with names", what);
    for (size_t i = 0; i < wa_count(map); i++) {
        const char *key = wa_key(map, i);
        size_t k = 0;
        while (k < n && strcmp(known[k], key) != 0)
            k++;
        if (k == n) {
            char shown[64];
            return wa_fail(err, WA_ERR_ARG, "%s: unknown key '%s'", what,
                           wa_shown(shown, sizeof shown, key, strlen(key)));
        }
    }
    return WA_OK;
}

wa_status wa_check_index(size_t *out, const wa_value *map, const char *key, size_t count,
                         wa_error *err)
{
    double x;
    if (!wa_number_of(wa_get(map, key), &x) || x != floor(x) || x < 1 || x > (double)count)
        return wa_fail(err, WA_ERR_ARG, "'%s' is not the number of an earlier node", key);
    *out = (size_t)x - 1;
    return WA_OK;
}

static wa_status read_number(double *out, const wa_value *map, const char *key, wa_error *err)
{
    if (!wa_number_of(wa_get(map, key), out))
        return wa_fail(err, WA_ERR_ARG, "'%s' is not a number", key);
    return WA_OK;
}

static wa_status read_rows(int64_t *out, const wa_value *map, int64_t lowest, wa_error *err)
{
    const double most = 1e9;
    double x;
    if (!wa_number_of(wa_get(map, "n"), &x) || x != floor(x) || x < (double)lowest || x > most)
        return wa_fail(err, WA_ERR_ARG, "'n' is not a whole number from %lld on",
                       (long long)lowest);
    *out = (int64_t)x;
    return WA_OK;
}

static const char *read_text(const wa_value *map, const char *key)
{
    const char *text = wa_get_string(map, key);
    return text != NULL ? text : "";
}

static wa_status find_op(const op_row **out, const char *name, wa_error *err)
{
    const char *names[OPS];
    for (size_t i = 0; i < OPS; i++) {
        names[i] = ops[i].name;
        if (strcmp(name, ops[i].name) == 0) {
            *out = &ops[i];
            return WA_OK;
        }
    }
    char shown[64];
    wa_fail(err, WA_ERR_ARG, "unknown op '%s'", wa_shown(shown, sizeof shown, name, strlen(name)));
    const char *near = wa_nearest(name, names, OPS);
    return near != NULL ? wa_hint(err, WA_ERR_ARG, "did you mean '%s'?", near) : WA_ERR_ARG;
}

/* ---- names of channels and flags ---- */

wa_status wa_check_channel(size_t *out, const wa_formula *f, const char *name, wa_error *err)
{
    const char *names[256];
    size_t n = 0;
    for (size_t i = 0; i < f->n_channels; i++) {
        if (strcmp(name, f->channels[i].name) == 0) {
            *out = i;
            return WA_OK;
        }
        if (n < sizeof names / sizeof *names)
            names[n++] = f->channels[i].name;
    }
    char shown[64];
    wa_fail(err, WA_ERR_ARG, "the source has no channel '%s'",
            wa_shown(shown, sizeof shown, name, strlen(name)));
    const char *near = wa_nearest(name, names, n);
    return near != NULL ? wa_hint(err, WA_ERR_ARG, "did you mean '%s'?", near) : WA_ERR_ARG;
}

static wa_status find_flag(size_t *out, const wa_formula_channel *c, const char *name,
                           wa_error *err)
{
    const char *names[64];
    size_t n = 0;
    for (size_t i = 0; i < c->n_flags; i++) {
        if (strcmp(name, c->flags[i].name) == 0) {
            *out = i;
            return WA_OK;
        }
        if (n < sizeof names / sizeof *names)
            names[n++] = c->flags[i].name;
    }
    char shown[64];
    wa_fail(err, WA_ERR_ARG, "channel '%s' has no '%s'", c->name,
            wa_shown(shown, sizeof shown, name, strlen(name)));
    const char *near = wa_nearest(name, names, n);
    if (near != NULL)
        return wa_hint(err, WA_ERR_ARG, "did you mean '%s'?", near);
    return n > 0 ? wa_hint(err, WA_ERR_ARG, "the first that it has is '%s'", names[0]) : WA_ERR_ARG;
}

/* ---- operands ---- */

static bool may_be_constant(node_op op, int which, const formula_node *other)
{
    switch (op) {
    case OP_COMBINE:
    case OP_ATAN2:
    case OP_DIFFERENCE:
        return other->kind != KIND_CONSTANT;
    case OP_COMPARE:
    case OP_BETWEEN:
        return which > 0;
    default:
        return false;
    }
}

static bool takes_flags(const op_row *row)
{
    return row->op == OP_MISSING || row->op == OP_UNCHANGED || row->op == OP_HAS ||
           row->op == OP_IS;
}

static wa_status flags_have_no_numbers(const wa_formula *f, const formula_node *n, wa_error *err)
{
    const wa_formula_channel *c = &f->channels[n->channel];
    wa_fail(err, WA_ERR_ARG, "channel '%s' holds %s, not numbers", c->name,
            n->kind == KIND_BITS ? "bits" : "words");
    return wa_hint(err, WA_ERR_ARG,
                   n->kind == KIND_BITS ? "ask for one: s.%s:has(\"%s\")" : "ask: s.%s:is(\"%s\")",
                   c->name, c->n_flags > 0 ? c->flags[0].name : "NAME");
}

static wa_status check_operand(const wa_formula *f, const formula_node *n, int which, wa_error *err)
{
    const size_t index[] = {n->a, n->b, n->c};
    const formula_node *o = &f->nodes[index[which]];
    bool want_mask = n->row->operand == KIND_MASK || (n->row->op == OP_WHERE && which == 1);
    if (want_mask && o->kind != KIND_MASK)
        return wa_fail(err, WA_ERR_ARG, "'%s' needs a mask, as s.x:below(2, \"m/s\") makes one",
                       n->row->name);
    if (!want_mask && o->kind == KIND_MASK)
        return wa_fail(err, WA_ERR_ARG, "'%s' needs a number, not a mask", n->row->name);
    if ((o->kind == KIND_BITS || o->kind == KIND_WORDS) && !takes_flags(n->row))
        return flags_have_no_numbers(f, o, err);
    if (o->kind == KIND_CONSTANT &&
        !may_be_constant(n->row->op, which, &f->nodes[which == 0 ? n->b : n->a]))
        return wa_fail(err, WA_ERR_ARG, "'%s' needs a value of the samples, not a plain number",
                       n->row->name);
    return WA_OK;
}

static wa_status read_operands(formula_node *n, const wa_formula *f, const wa_value *map,
                               wa_error *err)
{
    static const char *const names[] = {"a", "b", "c"};
    size_t *const to[] = {&n->a, &n->b, &n->c};
    wa_status s = WA_OK;
    for (int i = 0; s == WA_OK && i < n->row->operands; i++)
        s = wa_check_index(to[i], map, names[i], f->n_nodes, err);
    for (int i = 0; s == WA_OK && i < n->row->operands; i++)
        s = check_operand(f, n, i, err);
    return s;
}

/* ---- what each op is ---- */

static wa_status take_channel(formula_node *n, const wa_formula *f, const wa_value *map,
                              wa_error *err)
{
    wa_status s = wa_check_channel(&n->channel, f, read_text(map, "name"), err);
    if (s != WA_OK)
        return s;
    const wa_formula_channel *c = &f->channels[n->channel];
    n->unit = c->unit;
    n->direction = c->kind == WA_FORMULA_DIRECTION;
    if (c->kind == WA_FORMULA_BITS)
        n->kind = KIND_BITS;
    if (c->kind == WA_FORMULA_WORDS)
        n->kind = KIND_WORDS;
    return WA_OK;
}

static wa_status take_number(formula_node *n, const wa_value *map, wa_error *err)
{
    wa_status s = read_number(&n->x, map, "value", err);
    n->kind = KIND_CONSTANT;
    n->bare = wa_get(map, "unit") == NULL;
    if (s == WA_OK && !n->bare)
        s = wa_unit_parse(&n->unit, read_text(map, "unit"), err);
    return s;
}

static wa_status take_combine(formula_node *n, const formula_node *a, const formula_node *b,
                              wa_error *err)
{
    wa_column a_room, b_room;
    wa_operand x = wa_node_operand(a, &a_room), y = wa_node_operand(b, &b_room);
    if (n->row->sub == WA_POWER && (wa_operand_unit(&y) != NULL && !wa_unit_is_one(&b->unit)))
        return wa_fail(err, WA_ERR_ARG, "an exponent must be a pure number, it is in '%s'",
                       b->unit.text);
    return wa_operator_unit(&n->unit, (wa_operator)n->row->sub, &x, &y, err);
}

/* atan2 and difference: the two must compare; both sides angles for a difference. */
static wa_status take_pair(formula_node *n, const formula_node *a, const formula_node *b,
                           wa_error *err)
{
    wa_column a_room, b_room;
    wa_operand x = wa_node_operand(a, &a_room), y = wa_node_operand(b, &b_room);
    wa_unit unused, degree = wa_unit_degree();
    n->unit = degree;
    if (n->row->op == OP_ATAN2)
        return wa_operator_unit(&unused, WA_SUBTRACT, &x, &y, err);
    const wa_unit *sides[] = {wa_operand_unit(&x), wa_operand_unit(&y)};
    for (int i = 0; i < 2; i++) /* a bare number is degrees, as in circular.difference(a, 90) */
        if (sides[i] != NULL && !wa_unit_equal(sides[i], &degree))
            return wa_fail(err, WA_ERR_ARG, "'difference' needs directions in degrees, not in '%s'",
                           sides[i]->text);
    return WA_OK;
}

static wa_status take_statistic(formula_node *n, const wa_formula *f, const formula_node *a,
                                const wa_value *map, wa_error *err)
{
    wa_unit degree = wa_unit_degree();
    n->unit = a->unit;
    n->x = 0.5;
    if (n->row->sub == STAT_CIRCULAR_MEAN && !wa_unit_equal(&a->unit, &degree))
        return wa_fail(err, WA_ERR_ARG, "a circular mean needs degrees, not '%s'", a->unit.text);
    if (a->direction && n->row->sub != STAT_COUNT && n->row->sub != STAT_CIRCULAR_MEAN) {
        const char *name = f->channels[a->channel].name;
        wa_fail(err, WA_ERR_ARG, "'%s' is a direction: its %s would mix 359 and 1", name,
                n->row->name);
        return wa_hint(err, WA_ERR_ARG, "use circular.mean(s.%s), or circular.difference first",
                       name);
    }
    if (n->row->sub == STAT_COUNT)
        n->unit = wa_unit_one();
    if (n->row->sub == STAT_SD)
        n->unit = wa_unit_difference(&a->unit);
    if (strcmp(n->row->name, "quantile") != 0)
        return WA_OK;
    wa_status s = read_number(&n->x, map, "p", err);
    if (s == WA_OK && !(n->x >= 0 && n->x <= 1))
        s = wa_fail(err, WA_ERR_ARG, "quantile: %g does not lie in 0 to 1", n->x);
    return s;
}

static wa_status take_bounds(formula_node *n, const wa_formula *f, wa_error *err)
{
    const size_t bounds[] = {n->b, n->c};
    double value[2];
    int constants = 0;
    wa_status s = WA_OK;
    n->kind = KIND_MASK;
    const wa_unit *unit = &f->nodes[n->a].unit;
    for (int i = 0; s == WA_OK && i < n->row->operands - 1; i++) {
        const formula_node *o = &f->nodes[bounds[i]];
        wa_column room;
        wa_operand bound = wa_node_operand(o, &room);
        s = wa_bound_fits(unit, &bound, err);
        value[i] = o->x;
        if (s == WA_OK && o->kind == KIND_CONSTANT && ++constants > 0 && !o->bare)
            s = wa_unit_convert(&value[i], o->x, &o->unit, unit, err);
    }
    if (s == WA_OK && constants == 2 && !(value[0] < value[1]))
        s = wa_fail(err, WA_ERR_ARG, "between: the lower bound is not below the upper");
    return s;
}

static wa_status take_sector(formula_node *n, const formula_node *a, const wa_value *map,
                             wa_error *err)
{
    n->kind = KIND_MASK;
    wa_status s = read_number(&n->x, map, "from", err);
    if (s == WA_OK)
        s = read_number(&n->y, map, "to", err);
    if (s == WA_OK)
        s = wa_sector_fits(&a->unit, n->x, n->y, err);
    return s;
}

static wa_status take_flag(formula_node *n, const wa_formula *f, const formula_node *a,
                           const wa_value *map, wa_error *err)
{
    node_kind want = n->row->op == OP_HAS ? KIND_BITS : KIND_WORDS;
    n->kind = KIND_MASK;
    if (a->kind != want)
        return wa_fail(err, WA_ERR_ARG, "'%s' needs a channel with %s", n->row->name,
                       want == KIND_BITS ? "kind = \"bits\"" : "kind = \"words\"");
    n->channel = a->channel;
    return find_flag(&n->flag, &f->channels[a->channel], read_text(map, "name"), err);
}

static wa_status take_rest(formula_node *n, const wa_formula *f, const wa_value *map, wa_error *err)
{
    const formula_node *a = f->n_nodes > n->a ? &f->nodes[n->a] : NULL;
    const formula_node *b = f->n_nodes > n->b ? &f->nodes[n->b] : NULL;
    wa_unit in;
    wa_status s;
    switch (n->row->op) {
    case OP_CHANNEL:
        return take_channel(n, f, map, err);
    case OP_NUMBER:
        return take_number(n, map, err);
    case OP_COMBINE:
        return take_combine(n, a, b, err);
    case OP_ATAN2:
    case OP_DIFFERENCE:
        return take_pair(n, a, b, err);
    case OP_APPLY:
        return wa_function_units(&in, &n->unit, (wa_function)n->row->sub, &a->unit, err);
    case OP_TO:
        s = wa_unit_parse(&n->unit, read_text(map, "unit"), err);
        return s == WA_OK ? wa_unit_convert(&n->y, 1, &a->unit, &n->unit, err) : s;
    case OP_LAG:
    case OP_WHERE:
        n->unit = a->unit;
        n->direction = a->direction;
        n->channel = a->channel;
        return n->row->op == OP_LAG ? read_rows(&n->rows, map, -1000000000, err) : WA_OK;
    case OP_STATISTIC:
        return take_statistic(n, f, a, map, err);
    case OP_COMPARE:
    case OP_BETWEEN:
        return take_bounds(n, f, err);
    case OP_SECTOR:
        return take_sector(n, a, map, err);
    case OP_UNCHANGED:
        n->kind = KIND_MASK;
        return read_rows(&n->rows, map, 2, err);
    case OP_HAS:
    case OP_IS:
        return take_flag(n, f, a, map, err);
    case OP_GROW:
        n->kind = KIND_MASK;
        return read_rows(&n->rows, map, 0, err);
    case OP_MISSING:
    case OP_AND:
    case OP_OR:
    case OP_NOT:
        n->kind = KIND_MASK;
        return WA_OK;
    }
    return wa_fail(err, WA_ERR_INTERNAL, "op %d", (int)n->row->op);
}

wa_status wa_check_node(formula_node *out, const wa_formula *f, const wa_value *map, wa_error *err)
{
    static const char *const keys[] = {"op",   "a", "b", "c",    "name", "value",
                                       "unit", "n", "p", "from", "to"};
    formula_node n = {.kind = KIND_VALUE, .unit = wa_unit_one()};
    wa_status s = wa_check_keys(map, keys, sizeof keys / sizeof *keys, "a node", err);
    if (s == WA_OK)
        s = find_op(&n.row, read_text(map, "op"), err);
    if (s == WA_OK)
        s = read_operands(&n, f, map, err);
    if (s == WA_OK)
        s = take_rest(&n, f, map, err);
    if (s == WA_OK)
        *out = n;
    return s;
}
