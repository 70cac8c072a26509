#include "script/cell/grid.h"
#include "script/cell/variant.h"

#include <stdlib.h>
#include <string.h>

void *cell_block(lua_State *L, size_t n, size_t size)
{
    void *at = calloc(n > 0 ? n : 1, size);
    if (at == NULL)
        cell_end_limit(L, "memory");
    return at;
}

wa_unit cell_unit_of_text(lua_State *L, const char *text)
{
    wa_unit unit;
    wa_error err;
    if (wa_unit_parse(&unit, text, &err) != WA_OK)
        cell_raise(L, &err);
    return unit;
}

cell_grid *cell_grid_of(lua_State *L)
{
    cell_grid *g = cell_of(L)->grid;
    if (g == NULL)
        cell_fail(L, "there are no records here");
    return g;
}

void cell_make_grid(lua_State *L, const wa_value *records)
{
    cell_grid *g = cell_block(L, 1, sizeof *g);
    double n = 0, from = 0;
    bool ok = wa_number_of(wa_get(records, "n"), &n) &&
              wa_number_of(wa_get(records, "from"), &from) &&
              wa_number_of(wa_get(records, "interval_s"), &g->interval_s);
    g->n = (size_t)n;
    g->from = (int64_t)from;
    g->series = wa_get(records, "series");
    g->time = cell_block(L, g->n, sizeof *g->time);
    for (size_t i = 0; i < g->n; i++)
        g->time[i] = from + (double)i * g->interval_s;
    const wa_value *events = wa_get(records, "events");
    g->events = cell_block(L, wa_count(events), sizeof *g->events);
    for (size_t i = 0; i < wa_count(events) && ok; i++) {
        const wa_value *mask = wa_get(wa_at(events, i), "mask");
        const char *reason = wa_get_string(wa_at(events, i), "reason");
        ok = reason != NULL && wa_length_of(mask) == g->n;
        if (!ok || cell_variant_skips_event(L, reason))
            continue;
        wa_event *e = &g->events[g->n_events++];
        e->reason = strdup(reason);
        e->mask = cell_block(L, g->n, 1);
        memcpy(e->mask, wa_string_of(mask), g->n);
    }
    if (!ok)
        cell_fail(L, "the job's records are not described");
    cell_of(L)->grid = g;
}

void cell_push_grid_column(lua_State *L, const double *at, const wa_unit *unit, uint8_t side)
{
    const cell_grid *g = cell_grid_of(L);
    cell_charge(L, g->n);
    wa_column *c = cell_new_column(L, g->n, unit);
    memcpy(c->at, at, g->n * sizeof *at);
    c->side = side;
    c->time = g->time;
}
