/* formula_check.h - checks of a description's parts; for formula.c alone. */
#ifndef STATS_FORMULA_CHECK_H
#define STATS_FORMULA_CHECK_H

#include "stats/formula_nodes.h"

/* One entry of `nodes`, which may use the nodes that f has so far. */
wa_status wa_check_node(formula_node *out, const wa_formula *f, const wa_value *map, wa_error *err);
/* An entry of a description: a map with none but the known keys. */
wa_status wa_check_keys(const wa_value *map, const char *const *known, size_t n, const char *what,
                        wa_error *err);
/* map[key] as an index below count, written from 1. */
wa_status wa_check_index(size_t *out, const wa_value *map, const char *key, size_t count,
                         wa_error *err);
/* The channel of that name among the given ones. */
wa_status wa_check_channel(size_t *out, const wa_formula *f, const char *name, wa_error *err);

#endif
