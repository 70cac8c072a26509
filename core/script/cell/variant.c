#include "script/cell/variant.h"

#include "windassay/resample.h"
#include "windassay/time.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const wa_value *variant(lua_State *L)
{
    return wa_get(cell_of(L)->job, "variant");
}

static bool is(const char *text, const char *other)
{
    return text != NULL && strcmp(text, other) == 0;
}

bool cell_variant_skips(lua_State *L, cell_account *a, const char *reason)
{
    const wa_value *v = variant(L);
    if (!is(wa_get_string(v, "skip"), reason) || !is(wa_get_string(v, "account"), a->account->name))
        return false;
    a->skipped = true;
    return true;
}

bool cell_variant_skips_event(lua_State *L, const char *reason)
{
    return is(wa_get_string(variant(L), "event"), reason);
}

void cell_variant_exclude(lua_State *L, cell_account *a)
{
    const cell_grid *g = cell_grid_of(L);
    double day = 0, before = 0;
    wa_error err;
    if (wa_get_string(variant(L), "event") != NULL)
        a->skipped = true; /* an event may stand for what is missing */
    bool one_day = wa_number_of(wa_get(variant(L), "day"), &day);
    if (!one_day && !wa_number_of(wa_get(variant(L), "before"), &before))
        return;
    cell_charge(L, g->n);
    uint8_t *mask = cell_block(L, g->n, 1);
    for (size_t i = 0; i < g->n; i++)
        mask[i] = one_day ? (double)wa_day_of((int64_t)g->time[i] * WA_SECOND_NS) == day
                          : g->time[i] >= before;
    const char *reason = one_day ? "the day that this run leaves out" : "after the planned end";
    wa_status s = wa_account_exclude(a->account, reason, mask, false, false, &err);
    free(mask);
    if (s != WA_OK)
        cell_raise(L, &err);
}

static void drop_missing(lua_State *L, cell_account *a, int last)
{
    size_t left = 0;
    for (size_t k = 0; k < a->n_rows; k++) {
        bool missing = false;
        for (int arg = 2; arg <= last; arg++) {
            const wa_column *c = cell_test_column(L, arg);
            missing = missing || (c != NULL && c->n > a->rows[k] && isnan(c->at[a->rows[k]]));
        }
        if (missing)
            continue;
        a->time[left] = a->time[k];
        a->rows[left++] = a->rows[k];
    }
    a->n_rows = left;
}

static void draw(lua_State *L, cell_account *a, uint32_t seed, size_t length)
{
    wa_error err;
    size_t n = a->n_rows;
    size_t *drawn = cell_block(L, n, sizeof *drawn), *rows = cell_block(L, n, sizeof *rows);
    double *time = cell_block(L, n, sizeof *time);
    cell_charge(L, 20 * n);
    wa_status s =
        wa_resample_rows(drawn, time, a->time, cell_grid_of(L)->interval_s, n, length, seed, &err);
    for (size_t k = 0; k < n && s == WA_OK; k++)
        rows[k] = a->rows[drawn[k]];
    free(drawn);
    if (s != WA_OK) {
        free(rows);
        free(time);
        cell_raise(L, &err);
    }
    free(a->rows); /* the times stay: columns of so_far(...) look at them */
    a->rows = rows;
    a->time = time;
}

void cell_variant_keep(lua_State *L, cell_account *a, int last)
{
    double seed, length = 0;
    if (a->skipped)
        drop_missing(L, a, last);
    if (!wa_number_of(wa_get(variant(L), "seed"), &seed))
        return;
    wa_number_of(wa_get(variant(L), "length"), &length);
    draw(L, a, (uint32_t)seed, (size_t)length);
}

wa_value *cell_variant_reply(const cell_state *cell)
{
    static const char *const told[] = {"requirements", "undefined", "error", "values", "tables"};
    const wa_value *other = wa_get(cell->job, "variant");
    if (other == NULL)
        return NULL;
    wa_value *v = wa_map();
    size_t n = wa_true(wa_get(other, "whole")) ? 5 : 3;
    for (size_t i = 0; i < n; i++) {
        const wa_value *item = wa_get(cell->reply, told[i]);
        if (item != NULL)
            wa_map_set(v, told[i], wa_value_copy(item));
    }
    return v;
}
