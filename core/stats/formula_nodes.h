/* formula_nodes.h - the inside of a wa_formula, for formula_*.c alone. */
#ifndef STATS_FORMULA_NODES_H
#define STATS_FORMULA_NODES_H

#include "stats/kernel.h"
#include "windassay/formula.h"

typedef enum node_op {
    OP_CHANNEL,
    OP_NUMBER,
    OP_COMBINE, /* sub: wa_operator */
    OP_APPLY,   /* sub: wa_function */
    OP_ATAN2,
    OP_DIFFERENCE,
    OP_TO,
    OP_LAG,
    OP_WHERE,
    OP_STATISTIC, /* sub: node_statistic */
    OP_COMPARE,   /* sub: wa_comparison  */
    OP_BETWEEN,
    OP_SECTOR,
    OP_MISSING,
    OP_UNCHANGED,
    OP_HAS,
    OP_IS,
    OP_AND,
    OP_OR,
    OP_NOT,
    OP_GROW
} node_op;

typedef enum node_statistic {
    STAT_MEAN,
    STAT_SD,
    STAT_MIN,
    STAT_MAX,
    STAT_COUNT,
    STAT_QUANTILE,
    STAT_CIRCULAR_MEAN
} node_statistic;

typedef enum node_kind { KIND_VALUE, KIND_CONSTANT, KIND_BITS, KIND_WORDS, KIND_MASK } node_kind;

/* What an op is called and what it takes. */
typedef struct op_row {
    const char *name;
    node_op op;
    int sub;
    int operands;      /* how many of a, b, c */
    node_kind operand; /* KIND_MASK, or KIND_VALUE for anything that is not a mask */
} op_row;

typedef struct formula_node {
    const op_row *row;
    node_kind kind;
    wa_unit unit;   /* of the result; for a constant its own                    */
    bool bare;      /* a constant without a unit                                */
    bool direction; /* a direction channel, straight                            */
    size_t a, b, c; /* earlier nodes, from 0                                    */
    size_t uses;
    double x, y;    /* number; from and to; p                                   */
    int64_t rows;   /* lag, unchanged, grow                                     */
    size_t channel; /* channel; has, is: the channel of the flag                */
    size_t flag;
} formula_node;

typedef struct formula_add {
    char *name, *quantity;
    size_t node;
    wa_unit unit;
} formula_add;

typedef struct formula_drop {
    char *reason;
    size_t mask;
    size_t *channels;
    size_t n_channels;
} formula_drop;

struct wa_formula {
    wa_formula_channel *channels;
    size_t n_channels;
    formula_node *nodes;
    size_t n_nodes;
    formula_add adds[WA_FORMULA_RESULTS_MOST];
    size_t n_adds;
    formula_drop drops[WA_FORMULA_RESULTS_MOST];
    size_t n_drops;
};

/* The operand that a node stands for, as far as units go (its column holds no values). */
wa_operand wa_node_operand(const formula_node *n, wa_column *room);

#endif
