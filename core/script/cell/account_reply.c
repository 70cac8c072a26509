#include "script/cell/account_reply.h"

#include "script/cell/origin.h"
#include "script/cell/variant.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static wa_value *kept_list(lua_State *L, wa_value **list)
{
    if (*list == NULL && (*list = wa_list()) == NULL)
        cell_end_limit(L, "memory");
    return *list;
}

static bool tells_nothing(lua_State *L)
{
    return wa_get(cell_of(L)->job, "variant") != NULL;
}

void cell_account_explain(lua_State *L, cell_account *a, int arg)
{
    if (tells_nothing(L))
        return;
    cell_grid *g = cell_grid_of(L);
    wa_value *rule = wa_map();
    if (rule == NULL)
        cell_end_limit(L, "memory");
    cell_charge(L, g->n);
    cell_origin_explain(L, arg, g->n, rule, kept_list(L, &g->judged));
    if (!wa_list_add(kept_list(L, &a->rules), rule))
        cell_end_limit(L, "memory");
}

/* ---- what was compared ----------------------------------------------------------------------- */

/* Numbers of the kept rows as numbers of the grid: missing in all other intervals. */
static wa_value *spread(lua_State *L, const cell_account *a, const double *kept)
{
    size_t n = a->account->n;
    double *all = cell_block(L, n, sizeof *all);
    for (size_t i = 0; i < n; i++)
        all[i] = (double)NAN;
    for (size_t k = 0; k < a->n_rows; k++)
        all[a->rows[k]] = kept[k];
    wa_value *v = wa_bytes(all, n * sizeof *all);
    free(all);
    return v;
}

static const wa_column *check_kept(lua_State *L, const cell_account *a, int arg)
{
    const wa_column *c = cell_check_column(L, arg, "compared");
    if (c->n != a->n_rows)
        cell_fail_hint(L, "compare what kept(...) gave, not a part of it",
                       "compared: a column of %zu rows, the account kept %zu", c->n, a->n_rows);
    return c;
}

static wa_value *told(lua_State *L, cell_account *a)
{
    if (a->compared == NULL && (a->compared = wa_map()) == NULL)
        cell_end_limit(L, "memory");
    return a->compared;
}

void cell_account_compare(lua_State *L, cell_account *a, int measured, int reference, int deviation)
{
    const wa_column *m = check_kept(L, a, measured), *r = check_kept(L, a, reference);
    const wa_column *d = deviation == 0 ? NULL : check_kept(L, a, deviation);
    if (!wa_unit_equal(&m->unit, &r->unit))
        cell_fail_hint(L, "convert one with :to(unit)",
                       "compared: what is measured is in '%s', the reference in '%s'", m->unit.text,
                       r->unit.text);
    if (tells_nothing(L))
        return;
    wa_unit rest = d != NULL ? d->unit : wa_unit_difference(&r->unit);
    cell_charge(L, 3 * a->account->n);
    double *difference = cell_block(L, a->n_rows, sizeof *difference);
    for (size_t k = 0; k < a->n_rows; k++)
        difference[k] = d != NULL ? d->at[k] : m->at[k] - r->at[k] + 0.0;
    wa_value *v = told(L, a);
    cell_value_set(L, v, "measured", wa_string(cell_origin_of(L, measured)));
    cell_value_set(L, v, "reference", wa_string(cell_origin_of(L, reference)));
    cell_value_set(L, v, "unit", wa_string(r->unit.text));
    cell_value_set(L, v, "deviation_unit", wa_string(rest.text));
    cell_value_set(L, v, "measured_at", spread(L, a, m->at));
    cell_value_set(L, v, "reference_at", spread(L, a, r->at));
    cell_value_set(L, v, "deviation_at", spread(L, a, difference));
    free(difference);
}

void cell_account_bin(lua_State *L, cell_account *a, const wa_bins *bins, int by)
{
    if (tells_nothing(L))
        return;
    double *centre = cell_block(L, a->n_rows, sizeof *centre);
    for (size_t k = 0; k < a->n_rows; k++)
        centre[k] = bins->of_record[k] < 0 ? (double)NAN : bins->centre[bins->of_record[k]];
    wa_value *v = told(L, a);
    if (by != 0) {
        const wa_column *c = cell_check_column(L, by, "binned");
        cell_value_set(L, v, "binned_by", wa_string(cell_origin_of(L, by)));
        cell_value_set(L, v, "bin_unit", wa_string(c->unit.text));
    }
    cell_value_set(L, v, "bin_at", spread(L, a, centre));
    free(centre);
}

/* ---- the reply ------------------------------------------------------------------------------- */

static wa_value *one_exclusion(lua_State *L, const cell_account *a, size_t i, size_t own)
{
    static const char *const keys[] = {"rule", "looks_at"};
    const wa_exclusion *x = &a->account->exclusions[i];
    const wa_value *why = wa_at(a->rules, own);
    wa_value *e = wa_map();
    cell_value_set(L, e, "reason", wa_string(x->reason));
    cell_value_set(L, e, "mask", wa_bytes(x->mask, a->account->n));
    cell_value_set(L, e, "unknown", wa_string(x->keep_unknown ? "keep" : "exclude"));
    cell_value_set(L, e, "both_sides", wa_bool(x->both_sides));
    for (size_t k = 0; k < 2 && why != NULL; k++)
        cell_value_set(L, e, keys[k], wa_value_copy(wa_get(why, keys[k])));
    return e;
}

static wa_value *one_account(lua_State *L, cell_account *a)
{
    wa_error err;
    if (wa_account_close(a->account, a->states, &err) != WA_OK)
        cell_raise(L, &err);
    wa_value *v = wa_map(), *list = wa_list();
    size_t own = 0;
    cell_value_set(L, v, "name", wa_string(a->account->name));
    for (size_t i = 0; i < a->account->n_exclusions; i++) {
        if (a->account->exclusions[i].event)
            continue; /* the parent knows them */
        if (!wa_list_add(list, one_exclusion(L, a, i, own++)))
            cell_end_limit(L, "memory");
    }
    cell_value_set(L, v, "exclusions", list);
    cell_value_set(L, v, "states", wa_bytes(a->account->states, a->account->n));
    if (a->compared != NULL) { /* large: it moves */
        wa_value *compared = a->compared;
        a->compared = NULL;
        cell_value_set(L, v, "compared", compared);
    }
    return v;
}

/* Adds every account to the reply. */
int cell_finish_accounts(lua_State *L)
{
    cell_grid *g = cell_of(L)->grid;
    bool any = false;
    for (size_t i = 0; g != NULL && i < g->n_accounts; i++)
        any = any || g->accounts[i].touched;
    for (size_t i = 0; g != NULL && i < g->n_accounts; i++)
        if (g->accounts[i].touched || (!any && i == 0))
            cell_report_add(L, "accounts", one_account(L, &g->accounts[i]));
    if (g != NULL && wa_count(g->judged) > 0)
        cell_report_list(L, "judged", &g->judged);
    return 0;
}
