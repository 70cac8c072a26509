/* bind_compare.c - compare.by_bin: measured against reference. */
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/results.h"
#include "script/cell/share.h"
#include "windassay/compare.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Owns a comparison of the core until the script's columns are made. */
typedef struct owner {
    wa_by_bin *c;
} owner;

static const char OWNER[] = "windassay.owner of a comparison";

static int owner_gc(lua_State *L)
{
    owner *o = luaL_checkudata(L, 1, OWNER);
    wa_by_bin_free(o->c);
    o->c = NULL;
    return 0;
}

/* The columns of a comparison, in printing order: as a field, and as a table's heading. */
typedef enum quantity { COUNT, DAYS, SPEED, DEVIATION, PERCENT } quantity;

typedef struct field {
    const char *name, *heading;
    quantity quantity;
} field;

static const field FIELDS[] = {
    {"centre", "centre", SPEED},
    {"count", "count", COUNT},
    {"days", "days", DAYS},
    {"reference_mean", "reference mean", SPEED},
    {"measured_mean", "measured mean", SPEED},
    {"deviation_mean", "deviation", DEVIATION},
    {"relative_deviation", "relative deviation", PERCENT},
    {"deviation_sd", "standard deviation", DEVIATION},
    {"standard_error", "standard error", DEVIATION},
};

enum { FIELD_COUNT = sizeof FIELDS / sizeof *FIELDS };

static const double *values_of(const wa_by_bin *c, const char *name)
{
    const struct {
        const char *name;
        const double *at;
    } all[] = {{"centre", c->bins->centre},
               {"reference_mean", c->reference_mean},
               {"measured_mean", c->measured_mean},
               {"deviation_mean", c->deviation_mean},
               {"relative_deviation", c->relative_deviation},
               {"deviation_sd", c->deviation_sd},
               {"standard_error", c->standard_error},
               {"deviation_min", c->deviation_min},
               {"deviation_max", c->deviation_max}};
    for (size_t k = 0; k < sizeof all / sizeof *all; k++)
        if (strcmp(all[k].name, name) == 0)
            return all[k].at;
    return NULL;
}

static wa_unit unit_of(lua_State *L, quantity q, const wa_unit *unit)
{
    wa_unit out = wa_unit_one();
    wa_error err;
    if (q == SPEED)
        return *unit;
    if (q == DEVIATION)
        return wa_unit_difference(unit);
    if (q == PERCENT)
        cell_need(L, wa_unit_parse(&out, "%", &err), &err);
    return out;
}

static uint8_t side_of(const char *name, const wa_column *measured, const wa_column *reference)
{
    if (strcmp(name, "centre") == 0)
        return WA_SIDE_NONE;
    if (strcmp(name, "reference_mean") == 0)
        return reference->side;
    if (strcmp(name, "measured_mean") == 0)
        return measured->side;
    return measured->side | reference->side;
}

/* Pushes the column of a field; counts and days are asked of the bins below the result. */
static void push_column(lua_State *L, const wa_by_bin *c, const char *name, quantity q,
                        const wa_column *measured, const wa_column *reference)
{
    wa_unit unit = unit_of(L, q, &reference->unit);
    if (q != COUNT && q != DAYS) {
        cell_push_values(L, values_of(c, name), c->bins->n, &unit,
                         side_of(name, measured, reference));
        return;
    }
    const size_t *from = q == COUNT ? c->bins->count : c->bins->days;
    wa_column *to = cell_new_column(L, c->bins->n, &unit);
    for (size_t k = 0; k < c->bins->n; k++)
        to->at[k] = (double)from[k];
}

/* One row a bin, with the same names and `complete`. */
static void push_rows(lua_State *L, const wa_by_bin *c)
{
    const wa_bins *b = c->bins;
    lua_createtable(L, (int)b->n, 0);
    for (size_t k = 0; k < b->n; k++) {
        lua_createtable(L, 0, FIELD_COUNT + 1);
        for (size_t f = 0; f < FIELD_COUNT; f++) {
            const double *at = values_of(c, FIELDS[f].name);
            if (at != NULL && isnan(at[k])) {
                cell_push_missing(L);
                lua_setfield(L, -2, FIELDS[f].name);
            } else if (at != NULL) {
                cell_set_number(L, FIELDS[f].name, at[k]);
            } else if (FIELDS[f].quantity == COUNT) {
                cell_set_whole(L, FIELDS[f].name, b->count[k]);
            } else if (b->days != NULL) {
                cell_set_whole(L, FIELDS[f].name, b->days[k]);
            }
        }
        lua_pushboolean(L, b->complete[k]);
        lua_setfield(L, -2, "complete");
        lua_rawseti(L, -2, (lua_Integer)k + 1);
    }
}

/* The entry { name =, unit =, values = } of `columns`; the values lie on top. Words have no unit. */
static void add_heading(lua_State *L, lua_Integer *at, const char *heading, const char *unit)
{
    lua_createtable(L, 0, 3);
    lua_insert(L, -2);
    lua_setfield(L, -2, "values");
    cell_set_text(L, "name", heading);
    if (unit != NULL)
        cell_set_text(L, "unit", unit);
    lua_rawseti(L, -2, ++*at);
}

/* Pushes the list of columns of the result on top, which has them as fields. */
static void push_headings(lua_State *L, const wa_by_bin *c, const wa_unit *unit)
{
    int result = lua_gettop(L);
    lua_Integer at = 0;
    lua_newtable(L);
    for (size_t f = 0; f < FIELD_COUNT; f++) {
        if (FIELDS[f].quantity == DAYS && c->bins->days == NULL)
            continue;
        wa_unit u = unit_of(L, FIELDS[f].quantity, unit);
        lua_getfield(L, result, FIELDS[f].name);
        add_heading(L, &at, FIELDS[f].heading, u.text);
    }
    lua_createtable(L, (int)c->bins->n, 0);
    for (size_t k = 0; k < c->bins->n; k++) {
        lua_pushstring(L, c->bins->complete[k] ? "yes" : "no");
        lua_rawseti(L, -2, (lua_Integer)k + 1);
    }
    add_heading(L, &at, "complete", NULL);
}

/* The fits of records and of bin means; one that is not defined says so when it is asked for. */
static void push_origin_fits(lua_State *L, const wa_by_bin *c, const wa_unit *x, const wa_unit *y)
{
    static const char *const names[] = {"records", "bin_means"};
    cell_new_result(L, "pair of fits", 0);
    for (int of = 0; of < 2; of++) {
        wa_origin_fit f;
        wa_error err;
        if (wa_compare_through_origin(&f, c, of ? WA_FIT_BIN_MEANS : WA_FIT_RECORDS, &err) !=
            WA_OK) {
            cell_result_undefined(L, names[of], err.text);
            continue;
        }
        cell_push_origin_fit(L, &f, x, y);
        cell_result_value(L, names[of]);
    }
}

static void push_line_fits(lua_State *L, const wa_by_bin *c, const wa_unit *x, const wa_unit *y)
{
    static const char *const names[] = {"records", "bin_means"};
    cell_new_result(L, "pair of fits", 0);
    for (int of = 0; of < 2; of++) {
        wa_line_fit f;
        wa_error err;
        if (wa_compare_line(&f, c, of ? WA_FIT_BIN_MEANS : WA_FIT_RECORDS, &err) != WA_OK) {
            cell_result_undefined(L, names[of], err.text);
            continue;
        }
        cell_push_line_fit(L, &f, x, y);
        cell_result_value(L, names[of]);
    }
}

static void push_comparison(lua_State *L, const wa_by_bin *c, const wa_column *measured,
                            const wa_column *reference)
{
    cell_new_result(L, "comparison", 0);
    cell_result_whole(L, "n", c->bins->records - c->left_out);
    cell_result_whole(L, "left_out", c->left_out);
    cell_push_bins(L, c->bins, &reference->unit, reference->side);
    cell_bins_keep(L, 2, 1);
    cell_result_value(L, "bins");
    for (size_t f = 0; f < FIELD_COUNT; f++) {
        if (FIELDS[f].quantity == DAYS && c->bins->days == NULL) {
            cell_result_undefined(L, "days", "the columns have no times");
            continue;
        }
        push_column(L, c, FIELDS[f].name, FIELDS[f].quantity, measured, reference);
        cell_result_value(L, FIELDS[f].name);
    }
    push_column(L, c, "deviation_min", DEVIATION, measured, reference);
    cell_result_value(L, "deviation_min");
    push_column(L, c, "deviation_max", DEVIATION, measured, reference);
    cell_result_value(L, "deviation_max");
    push_rows(L, c);
    cell_result_value(L, "rows");
    push_headings(L, c, &reference->unit);
    cell_result_value(L, "columns");
    push_origin_fits(L, c, &reference->unit, &measured->unit);
    cell_result_value(L, "through_origin");
    push_line_fits(L, c, &reference->unit, &measured->unit);
    cell_result_value(L, "line");
}

static void check_sides(lua_State *L, const wa_column *measured, const wa_column *reference)
{
    static const char hint[] = "compare.by_bin(measured, reference, ...): the unit's column first";
    if (measured->side == WA_SIDE_REFERENCE)
        cell_fail_hint(L, hint, "compare.by_bin: what is measured comes from the reference%s",
                       reference->side == WA_SIDE_UNIT ? ", and the reference from the unit" : "");
    if (reference->side == WA_SIDE_UNIT)
        cell_fail_hint(L, hint, "compare.by_bin: the reference comes from the unit");
}

/* The column that sorts the pairs instead of the reference, or NULL. One of the unit alone would
 * bend the end bins. */
static const wa_column *sorting(lua_State *L, const wa_column *reference)
{
    wa_error err;
    if (lua_isnoneornil(L, 4))
        return NULL;
    const wa_column *by = cell_check_column(L, 4, "compare.by_bin");
    cell_need(L, wa_column_aligned(reference, by, "what sorts the pairs", &err), &err);
    if (!wa_unit_equal(&by->unit, &reference->unit))
        cell_fail(L, "compare.by_bin: what sorts the pairs is in '%s', the reference in '%s'",
                  by->unit.text, reference->unit.text);
    if (by->side == WA_SIDE_UNIT)
        cell_fail(L, "compare.by_bin: what sorts the pairs comes from the unit alone");
    return by;
}

/* compare.by_bin(measured, reference, options as of bin.by, sorted_by) */
static int by_bin(lua_State *L)
{
    wa_column *measured, *reference;
    wa_bin_spec spec;
    wa_error err;
    cell_check_pair(L, 1, 2, "compare.by_bin", &measured, &reference);
    check_sides(L, measured, reference);
    if (!wa_unit_equal(&measured->unit, &reference->unit))
        return cell_fail_hint(L, "convert one with :to(unit)",
                              "compare.by_bin: what is measured is in '%s', the reference in '%s'",
                              measured->unit.text, reference->unit.text);
    const wa_column *by = sorting(L, reference);
    lua_settop(L, 4);
    owner *o = lua_newuserdatauv(L, sizeof *o, 0);
    o->c = NULL;
    luaL_setmetatable(L, OWNER);
    int kept = lua_gettop(L);
    cell_bin_spec(L, 3, "compare.by_bin", reference, &spec);
    cell_charge(L, 200 * reference->n);
    const double *time = reference->time != NULL ? reference->time : measured->time;
    cell_need(L,
              wa_compare_by_bin(&o->c, measured->at, reference->at, by != NULL ? by->at : NULL,
                                time, reference->n, &spec, &err),
              &err);
    cell_charge(L, 100 * o->c->bins->n);
    luaL_checkstack(L, 20, "comparison");
    push_comparison(L, o->c, measured, reference);
    wa_by_bin_free(o->c);
    o->c = NULL;
    lua_replace(L, kept);
    lua_settop(L, kept);
    return 1;
}

void cell_open_compare(lua_State *L)
{
    static const luaL_Reg owner_meta[] = {{"__gc", owner_gc}, {NULL, NULL}};
    static const luaL_Reg none[] = {{NULL, NULL}};
    static const luaL_Reg functions[] = {{"by_bin", by_bin}, {NULL, NULL}};
    cell_type(L, OWNER, owner_meta, none);
    cell_library(L, "compare", functions);
}
