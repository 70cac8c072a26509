/* trace_state.h - what trace.c (placeholders) and trace_source.c (the source `s`) share. */
#ifndef WINDASSAY_CELL_TRACE_STATE_H
#define WINDASSAY_CELL_TRACE_STATE_H

#include "script/cell/operands.h"
#include "windassay/formula.h"

#define CELL_TRACER      "windassay.tracer"
#define CELL_PLACEHOLDER "windassay.placeholder"

typedef struct cell_trace_node {
    char file[64];
    int line;
    bool used, spoken; /* spoken: a number of the script, which need not be used */
} cell_trace_node;

/** Owns the growing description, and the formula that checks it step by step with the code that
 *  decodes it in the parent, so that a mistake is an error at its line. */
typedef struct cell_tracer {
    wa_formula *f;
    wa_value *described; /* { nodes =, adds =, drops = } */
    size_t n;
    bool closed;
    cell_trace_node nodes[WA_FORMULA_NODES_MOST];
} cell_tracer;

/* A userdata; its user value 1 is the tracer. */
typedef struct cell_placeholder {
    size_t node;
} cell_placeholder;

/** Pushes the tracer of the placeholder or source at `arg`; raises when `prepare` is over. */
cell_tracer *cell_push_tracer(lua_State *L, int arg);

/** A new entry { op = }, and its fields; memory that runs out ends the process. */
wa_value *cell_trace_new(lua_State *L, const char *op);
void cell_trace_set(lua_State *L, wa_value *map, const char *key, wa_value *value);
void cell_trace_set_node(lua_State *L, wa_value *map, const char *key, size_t number);

typedef wa_status cell_trace_take(wa_formula *f, const wa_value *item, wa_error *err);
/** Checks an entry and adds it to the description; takes `item`, also when it raises. */
void cell_trace_grow(lua_State *L, cell_tracer *t, const char *list, cell_trace_take *check,
                     wa_value *item);

/** Adds the node and pushes its placeholder; the tracer lies at `owner`. */
int cell_trace_push(lua_State *L, int owner, wa_value *node);

void cell_open_trace_source(lua_State *L);

#endif
