/* bind_account.c - the intervals of a check: r:exclude, r:need, r:kept and what goes with them.
 * The account itself is the core's (account.h); the parent keeps it again from the masks. */
#include "script/cell/account_reply.h"
#include "script/cell/origin.h"
#include "script/cell/share.h"
#include "script/cell/variant.h"
#include "windassay/time.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char INTERVALS[] = "windassay.intervals";

static cell_account *check_intervals(lua_State *L)
{
    const cell_intervals *r = luaL_checkudata(L, 1, INTERVALS);
    r->account->touched = true;
    return r->account;
}

void cell_push_intervals(lua_State *L, const char *name)
{
    cell_grid *g = cell_grid_of(L);
    size_t i = 0;
    while (i < g->n_accounts && strcmp(g->accounts[i].account->name, name) != 0)
        i++;
    cell_intervals *r = lua_newuserdatauv(L, sizeof *r, 0);
    if (i == g->n_accounts) {
        wa_error err;
        if (i == CELL_ACCOUNTS_MOST)
            cell_fail(L, "more than %d accounts", CELL_ACCOUNTS_MOST);
        cell_account *a = &g->accounts[i];
        if (wa_account_new(&a->account, name, g->n, &err) != WA_OK ||
            wa_account_exclude_events(a->account, g->events, g->n_events, &err) != WA_OK)
            cell_raise(L, &err);
        cell_variant_exclude(L, a);
        g->n_accounts++;
    }
    r->account = &g->accounts[i];
    luaL_setmetatable(L, INTERVALS);
}

/* ---- excluding ----------------------------------------------------------------------------- */

static void check_open(lua_State *L, const cell_account *a, const char *function)
{
    if (a->closed)
        cell_fail_hint(L, "exclude first, cut then; so_far(...) looks without closing",
                       "%s: the account '%s' is closed: kept(...) was called before", function,
                       a->account->name);
}

/* r:exclude(reason, mask, { unknown = "keep" }) */
static int intervals_exclude(lua_State *L)
{
    static const char *const options[] = {"unknown", NULL};
    cell_account *a = check_intervals(L);
    const char *reason = cell_check_text(L, 2, "exclude: the reason"), *unknown = "exclude";
    const wa_mask *m = cell_check_mask(L, 3, "exclude");
    check_open(L, a, "exclude");
    cell_options(L, 4, "exclude", options);
    cell_option_text(L, 4, "unknown", &unknown);
    bool keep = strcmp(unknown, "keep") == 0;
    if (!keep && strcmp(unknown, "exclude") != 0)
        return cell_fail(L, "exclude: unknown = \"keep\" or \"exclude\", not '%s'", unknown);
    if (m->n != a->account->n)
        return cell_fail_hint(L, "masks of whole channels cover the grid; cut columns do not",
                              "exclude: the mask has %zu rows, the grid has %zu", m->n,
                              a->account->n);
    if (cell_variant_skips(L, a, reason))
        return 0;
    wa_error err;
    cell_charge(L, 4 * m->n);
    if (wa_account_exclude(a->account, reason, m->at, keep, m->sides == WA_SIDE_BOTH, &err) !=
        WA_OK)
        return cell_raise(L, &err);
    cell_account_explain(L, a, 3);
    return 0;
}

static bool has_reason(const wa_account *a, const char *reason)
{
    for (size_t i = 0; i < a->n_exclusions; i++)
        if (strcmp(a->exclusions[i].reason, reason) == 0)
            return true;
    return false;
}

/* The column at `arg` has as many rows as the grid and lies on it. */
static const wa_column *check_on_grid(lua_State *L, int arg, const char *function)
{
    char what[64];
    const cell_grid *g = cell_grid_of(L);
    snprintf(what, sizeof what, "%s: argument %d", function, arg - 1);
    const wa_column *c = cell_check_column(L, arg, what);
    if (c->n != g->n || (c->time != NULL && g->n > 0 &&
                         (c->time[0] != g->time[0] || c->time[g->n - 1] != g->time[g->n - 1])))
        cell_fail_hint(L, "cut columns cannot be cut again by the account; use :where(mask)",
                       "%s: a column of %zu rows that is not the grid's (%zu rows)", what, c->n,
                       g->n);
    return c;
}

/* r:need(["name",] column, ...): excludes where a column is missing, by the column's name. */
static int intervals_need(lua_State *L)
{
    cell_account *a = check_intervals(L);
    int n = lua_gettop(L);
    check_open(L, a, "need");
    for (int i = 2; i <= n; i++) {
        char reason[WA_REASON_LIMIT];
        const char *label = NULL;
        if (lua_type(L, i) == LUA_TSTRING && i < n)
            label = cell_check_text(L, i++, "need: the name");
        const wa_column *c = check_on_grid(L, i, "need");
        if (label == NULL)
            label = cell_column_label(L, i);
        if (label == NULL)
            return cell_fail_hint(L, "r:need(\"turbulence intensity\", ti)",
                                  "need: argument %d is computed: say its name before it", i - 1);
        snprintf(reason, sizeof reason, "%.180s missing", label);
        if (has_reason(a->account, reason) || cell_variant_skips(L, a, reason))
            continue;
        wa_mask *m = cell_new_mask(L, c->n);
        wa_mask_missing(m, c);
        cell_origin_compared(L, i, "missing", 0, NULL);
        wa_error err;
        cell_charge(L, 4 * c->n);
        if (wa_account_exclude(a->account, reason, m->at, false, false, &err) != WA_OK)
            return cell_raise(L, &err);
        cell_account_explain(L, a, lua_gettop(L));
        lua_pop(L, 1);
    }
    return 0;
}

/* ---- cutting ------------------------------------------------------------------------------- */

/* Brings a->rows up to date with the exclusions. */
static void find_rows(lua_State *L, cell_account *a)
{
    const cell_grid *g = cell_grid_of(L);
    if (a->rows != NULL && a->rows_at == a->account->n_exclusions)
        return;
    /* Columns that were cut before still look at the old times: those stay. */
    free(a->rows);
    a->n_rows = wa_account_left(a->account);
    a->rows = cell_block(L, a->n_rows, sizeof *a->rows);
    a->time = cell_block(L, a->n_rows, sizeof *a->time);
    a->rows_at = a->account->n_exclusions;
    for (size_t i = 0, k = 0; i < g->n && k < a->n_rows; i++)
        if (wa_account_has(a->account, i)) {
            a->time[k] = g->time[i];
            a->rows[k++] = i;
        }
    cell_charge(L, g->n);
}

static void push_cut_column(lua_State *L, const cell_account *a, int arg, const char *function,
                            bool whole)
{
    const wa_column *c = check_on_grid(L, arg, function);
    size_t absent = 0;
    cell_charge(L, a->n_rows);
    wa_column *cut = cell_new_column(L, a->n_rows, &c->unit);
    for (size_t k = 0; k < a->n_rows; k++) {
        cut->at[k] = c->at[a->rows[k]];
        absent += isnan(cut->at[k]) ? 1 : 0;
    }
    cut->side = c->side;
    cut->time = a->time;
    cell_origin_same(L, arg);
    if (!whole || absent == 0)
        return;
    const char *label = cell_column_label(L, arg);
    cell_fail_hint(L, "r:need(column) before it excludes such intervals by name",
                   "%s: argument %d (%s) is missing in %zu of %zu kept intervals", function,
                   arg - 1, label != NULL ? label : "a computed column", absent, a->n_rows);
}

static void push_cut_mask(lua_State *L, const cell_account *a, int arg, const char *function)
{
    const wa_mask *m = cell_test_mask(L, arg);
    if (m->n != a->account->n)
        cell_fail(L, "%s: argument %d: the mask has %zu rows, the grid has %zu", function, arg - 1,
                  m->n, a->account->n);
    wa_mask *cut = cell_new_mask(L, a->n_rows);
    for (size_t k = 0; k < a->n_rows; k++)
        cut->at[k] = m->at[a->rows[k]];
    cut->sides = m->sides;
}

static int cut(lua_State *L, cell_account *a, const char *function, bool whole)
{
    int n = lua_gettop(L);
    find_rows(L, a);
    if (whole && !a->closed)
        cell_variant_keep(L, a, n);
    luaL_checkstack(L, n + 10, function);
    for (int i = 2; i <= n; i++)
        if (cell_test_mask(L, i) != NULL)
            push_cut_mask(L, a, i, function);
        else
            push_cut_column(L, a, i, function, whole);
    return n - 1;
}

/* r:kept(column, ...): closes the account and cuts the columns alike. */
static int intervals_kept(lua_State *L)
{
    cell_account *a = check_intervals(L);
    int n = cut(L, a, "kept", true);
    if (!a->closed) {
        a->states = cell_block(L, a->account->n, 1);
        memset(a->states, WA_STATE_EXCLUDED, a->account->n);
        for (size_t k = 0; k < a->n_rows; k++)
            a->states[a->rows[k]] = WA_STATE_USED;
        a->closed = true;
    }
    return n;
}

/* r:so_far(column, ...): what is left now; the account stays open. */
static int intervals_so_far(lua_State *L)
{
    return cut(L, check_intervals(L), "so_far", false);
}

/* r:binned(bins): what became of each kept interval in the bins. */
static int intervals_binned(lua_State *L)
{
    cell_account *a = check_intervals(L);
    const wa_bins *bins = cell_test_bins(L, 2);
    if (bins == NULL)
        return cell_fail_hint(L, "the result of bin.by, or .bins of a comparison",
                              "binned: expected bins, got %s", cell_type_name(L, 2));
    if (!a->closed)
        return cell_fail(L, "binned: kept(...) comes first");
    if (bins->records != a->n_rows)
        return cell_fail_hint(L, "bin what kept(...) gave, not a part of it",
                              "binned: the bins hold %zu records, the account kept %zu",
                              bins->records, a->n_rows);
    cell_charge(L, a->n_rows);
    for (size_t k = 0; k < a->n_rows; k++) {
        int32_t bin = bins->of_record[k];
        a->states[a->rows[k]] = bin < 0               ? WA_STATE_OUTSIDE
                                : bins->complete[bin] ? WA_STATE_USED
                                                      : WA_STATE_RECORDS_ONLY;
    }
    bool by = cell_push_bins_column(L, 2, CELL_BINS_BY);
    cell_account_bin(L, a, bins, by ? lua_gettop(L) : 0);
    if (cell_push_bins_column(L, 2, CELL_BINS_MEASURED))
        cell_account_compare(L, a, lua_gettop(L), lua_gettop(L) - 1, 0);
    return 0;
}

/* r:compared(measured, reference [, deviation]): what is compared in each kept interval. */
static int intervals_compared(lua_State *L)
{
    cell_account *a = check_intervals(L);
    lua_settop(L, 4);
    if (!a->closed)
        return cell_fail(L, "compared: kept(...) comes first");
    cell_account_compare(L, a, 2, 3, lua_isnil(L, 4) ? 0 : 4);
    return 0;
}

/* ---- time ---------------------------------------------------------------------------------- */

static int64_t check_instant(lua_State *L, int index, const char *key)
{
    int64_t t;
    wa_error err;
    size_t n;
    if (lua_getfield(L, index, key) != LUA_TSTRING)
        cell_fail(L, "during: expected a phase with 'from' and 'to'");
    const char *text = lua_tolstring(L, -1, &n);
    if (wa_instant_parse(&t, text, n, &err) != WA_OK)
        cell_raise(L, &err);
    lua_pop(L, 1);
    return t;
}

/* r:during(phase): the intervals that lie wholly inside. */
static int intervals_during(lua_State *L)
{
    check_intervals(L);
    const cell_grid *g = cell_grid_of(L);
    cell_check_table(L, 2, "during: the phase");
    const double from = (double)check_instant(L, 2, "from") / 1e9;
    const double to = (double)check_instant(L, 2, "to") / 1e9;
    cell_charge(L, g->n);
    lua_getfield(L, 2, "from");
    lua_getfield(L, 2, "to");
    wa_mask *m = cell_new_mask(L, g->n);
    for (size_t i = 0; i < g->n; i++)
        m->at[i] = g->time[i] >= from && g->time[i] + g->interval_s <= to;
    cell_origin_words(L, "within %s to %s", lua_tostring(L, -3), lua_tostring(L, -2));
    return 1;
}

/* r:days(): a list of { date = "2026-03-02", mask = } in order, days in UTC. */
static int intervals_days(lua_State *L)
{
    check_intervals(L);
    const cell_grid *g = cell_grid_of(L);
    lua_Integer days = 0;
    lua_newtable(L);
    for (size_t i = 0; i < g->n;) {
        char text[WA_TIME_TEXT_SIZE];
        int64_t day = wa_day_of((int64_t)g->time[i] * WA_SECOND_NS);
        cell_charge(L, g->n);
        lua_createtable(L, 0, 2);
        wa_mask *m = cell_new_mask(L, g->n);
        for (; i < g->n && wa_day_of((int64_t)g->time[i] * WA_SECOND_NS) == day; i++)
            m->at[i] = WA_TRUE;
        wa_time_print(text, day * WA_DAY_NS);
        text[strlen("2026-03-02")] = '\0';
        cell_origin_words(L, "on %s", text);
        lua_setfield(L, -2, "mask");
        lua_pushstring(L, text);
        lua_setfield(L, -2, "date");
        lua_rawseti(L, -2, ++days);
    }
    return 1;
}

/* ---- the object ---------------------------------------------------------------------------- */

static const luaL_Reg methods[] = {
    {"binned", intervals_binned}, {"compared", intervals_compared}, {"days", intervals_days},
    {"during", intervals_during}, {"exclude", intervals_exclude},   {"kept", intervals_kept},
    {"need", intervals_need},     {"so_far", intervals_so_far},     {NULL, NULL}};

/* r.time, r.interval, r.reference, r.unit, or a method. */
static int intervals_index(lua_State *L)
{
    const cell_intervals *r = luaL_checkudata(L, 1, INTERVALS);
    const char *key = cell_check_text(L, 2, "an entry of the intervals");
    const cell_grid *g = cell_grid_of(L);
    if (strcmp(key, "time") == 0) {
        wa_unit second = cell_unit_of_text(L, "s");
        cell_push_grid_column(L, g->time, &second, WA_SIDE_NONE);
    } else if (strcmp(key, "interval") == 0) {
        lua_pushnumber(L, g->interval_s);
    } else if (strcmp(key, "name") == 0) {
        lua_pushstring(L, r->account->account->name);
    } else if (strcmp(key, "reference") == 0 || strcmp(key, "unit") == 0) {
        cell_push_role(L, key);
    } else {
        for (const luaL_Reg *m = methods; m->name != NULL; m++)
            if (strcmp(m->name, key) == 0) {
                lua_pushcfunction(L, m->func);
                return 1;
            }
        return cell_fail_hint(L,
                              "time, interval, name, reference, unit; exclude, need, kept, "
                              "so_far, during, binned, compared, days",
                              "intervals have no '%s'", key);
    }
    return 1;
}

static int intervals_len(lua_State *L)
{
    luaL_checkudata(L, 1, INTERVALS);
    lua_pushinteger(L, (lua_Integer)cell_grid_of(L)->n);
    return 1;
}

void cell_open_account(lua_State *L)
{
    static const luaL_Reg none[] = {{NULL, NULL}};
    static const luaL_Reg meta[] = {
        {"__index", intervals_index}, {"__len", intervals_len}, {NULL, NULL}};
    cell_type(L, INTERVALS, meta, none);
}
