/* formula_text.c - formulas as lines for people. */
#include "stats/formula_nodes.h"

#include "windassay/number.h"

#include <string.h>

typedef struct writer {
    const wa_formula *f;
    wa_value *lines;
    bool failed;
} writer;

static void write_node(wa_text *t, const writer *w, size_t index);

/* A value that more than one formula uses has a line and a name; what is as short as a name has
 * neither. */
static bool is_named(const formula_node *n)
{
    return n->uses > 1 && n->row->operands > 0;
}

/* Names count from v1 in the order of the nodes. */
static size_t name_of(const wa_formula *f, size_t index)
{
    size_t name = 0;
    for (size_t i = 0; i <= index; i++)
        name += is_named(&f->nodes[i]);
    return name;
}

static void write_number(wa_text *t, double x)
{
    char number[WA_NUMBER_SIZE];
    wa_number_print(number, x);
    wa_text_add(t, number);
}

/* A value as it stands alone: its name, where it has one. */
static void write_alone(wa_text *t, const writer *w, size_t index)
{
    if (is_named(&w->f->nodes[index]))
        wa_text_printf(t, "v%zu", name_of(w->f, index));
    else
        write_node(t, w, index);
}

/* An operand inside another formula: with parentheses where it is not one word. */
static void write_operand(wa_text *t, const writer *w, size_t index)
{
    const formula_node *n = &w->f->nodes[index];
    node_op op = n->row->op;
    bool one_word = is_named(n) || op == OP_CHANNEL || op == OP_NUMBER || op == OP_STATISTIC ||
                    op == OP_ATAN2 || op == OP_DIFFERENCE || op == OP_TO || op == OP_LAG ||
                    (op == OP_APPLY && n->row->sub != WA_NEGATE);
    if (!one_word)
        wa_text_add_char(t, '(');
    write_alone(t, w, index);
    if (!one_word)
        wa_text_add_char(t, ')');
}

static void write_call(wa_text *t, const writer *w, const formula_node *n)
{
    const size_t operands[] = {n->a, n->b, n->c};
    wa_text_printf(t, "%s(", n->row->name);
    for (int i = 0; i < n->row->operands; i++) {
        wa_text_add(t, i > 0 ? ", " : "");
        write_alone(t, w, operands[i]);
    }
    if (n->row->op == OP_TO)
        wa_text_printf(t, ", \"%s\"", n->unit.text);
    if (n->row->op == OP_LAG)
        wa_text_printf(t, ", %lld", (long long)n->rows);
    if (strcmp(n->row->name, "quantile") == 0) {
        wa_text_add(t, ", ");
        write_number(t, n->x);
    }
    wa_text_add_char(t, ')');
}

static void write_between(wa_text *t, const writer *w, const formula_node *n, const char *left,
                          const char *right)
{
    write_operand(t, w, n->a);
    wa_text_add(t, left);
    write_operand(t, w, n->b);
    wa_text_add(t, right);
}

static void write_mask(wa_text *t, const writer *w, const formula_node *n)
{
    static const char *const comparisons[] = {" below ", " above ", " equals "};
    switch (n->row->op) {
    case OP_COMPARE:
        write_between(t, w, n, comparisons[n->row->sub], "");
        break;
    case OP_BETWEEN:
        write_between(t, w, n, " from ", " to below ");
        write_operand(t, w, n->c);
        break;
    case OP_AND:
        write_between(t, w, n, " and ", "");
        break;
    case OP_OR:
        write_between(t, w, n, " or ", "");
        break;
    case OP_NOT:
        wa_text_add(t, "not ");
        write_operand(t, w, n->a);
        break;
    default:
        write_operand(t, w, n->a);
    }
    if (n->row->op == OP_SECTOR) {
        wa_text_add(t, " in sector ");
        write_number(t, n->x);
        wa_text_add(t, " to ");
        write_number(t, n->y);
    }
    if (n->row->op == OP_MISSING)
        wa_text_add(t, " missing");
    if (n->row->op == OP_UNCHANGED)
        wa_text_printf(t, " unchanged over %lld samples", (long long)n->rows);
    if (n->row->op == OP_GROW)
        wa_text_printf(t, " or within %lld samples of it", (long long)n->rows);
    if (n->row->op == OP_HAS || n->row->op == OP_IS)
        wa_text_printf(t, " %s \"%s\"", n->row->name,
                       w->f->channels[n->channel].flags[n->flag].name);
}

static void write_node(wa_text *t, const writer *w, size_t index)
{
    static const char *const operators[] = {" + ", " - ", " * ", " / ", " ^ "};
    const formula_node *n = &w->f->nodes[index];
    switch (n->row->op) {
    case OP_CHANNEL:
        wa_text_add(t, w->f->channels[n->channel].name);
        break;
    case OP_NUMBER:
        write_number(t, n->x);
        if (!n->bare)
            wa_text_printf(t, " %s", n->unit.text);
        break;
    case OP_COMBINE:
        write_between(t, w, n, operators[n->row->sub], "");
        break;
    case OP_WHERE:
        write_between(t, w, n, " where ", "");
        break;
    case OP_APPLY:
        if (n->row->sub == WA_NEGATE) {
            wa_text_add_char(t, '-');
            write_operand(t, w, n->a);
            break;
        }
        write_call(t, w, n);
        break;
    case OP_ATAN2:
    case OP_DIFFERENCE:
    case OP_TO:
    case OP_LAG:
    case OP_STATISTIC:
        write_call(t, w, n);
        break;
    default:
        write_mask(t, w, n);
    }
}

static void end_line(writer *w, wa_text *t)
{
    if (wa_text_failed(t) || !wa_list_add(w->lines, wa_bytes(wa_text_string(t), t->length)))
        w->failed = true;
    wa_text_release(t);
}

static void write_add(writer *w, const formula_add *a)
{
    wa_text t = WA_TEXT_INIT;
    wa_text_printf(&t, "add %s", a->name);
    if (strcmp(a->quantity, a->name) != 0) /* what checks find it by */
        wa_text_printf(&t, " (%s)", a->quantity);
    wa_text_printf(&t, " [%s] = ", a->unit.text);
    write_alone(&t, w, a->node);
    end_line(w, &t);
}

static void write_drop(writer *w, const formula_drop *d)
{
    const wa_formula *f = w->f;
    wa_text t = WA_TEXT_INIT;
    wa_text_printf(&t, "drop \"%s\" from ", d->reason);
    for (size_t i = 0; i < d->n_channels; i++) {
        size_t c = d->channels[i];
        wa_text_add(&t, i > 0 ? ", " : "");
        wa_text_add(&t, c < f->n_channels ? f->channels[c].name : f->adds[c - f->n_channels].name);
    }
    wa_text_add(&t, " where ");
    write_alone(&t, w, d->mask);
    end_line(w, &t);
}

wa_value *wa_formula_lines(const wa_formula *f)
{
    writer w = {.f = f, .lines = wa_list()};
    if (w.lines == NULL)
        return NULL;
    for (size_t i = 0; i < f->n_nodes; i++) {
        wa_text t = WA_TEXT_INIT;
        if (!is_named(&f->nodes[i]))
            continue;
        wa_text_printf(&t, "v%zu = ", name_of(f, i));
        write_node(&t, &w, i);
        end_line(&w, &t);
    }
    for (size_t i = 0; i < f->n_adds; i++)
        write_add(&w, &f->adds[i]);
    for (size_t i = 0; i < f->n_drops; i++)
        write_drop(&w, &f->drops[i]);
    if (w.failed) {
        wa_value_free(w.lines);
        return NULL;
    }
    return w.lines;
}
