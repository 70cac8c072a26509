/* bind_report.c - report:value, :table, :figure, :note, :require, :coverage, :calibration, :inconclusive. What a
 * script reports goes straight into the reply; outcomes are computed by the parent, never here. */
#include "script/cell/grid.h"
#include "script/cell/quantity.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char REPORT[] = "windassay.report";
enum { ENTRIES_MOST = 2000, CELLS_MOST = 4 * 1024 * 1024, NAME_MOST = 120 };

/* ---- the reply ----------------------------------------------------------------------------- */

static void refuse_more(lua_State *L, const char *key)
{
    cell_fail(L, "more than %d entries in '%s'", ENTRIES_MOST, key);
}

/* The list `key` of the reply, made when it is first needed. */
static wa_value *reply_list(lua_State *L, const char *key)
{
    wa_value *reply = cell_of(L)->reply;
    if (wa_get(reply, key) == NULL && !wa_map_set(reply, key, wa_list()))
        cell_end_limit(L, "memory");
    wa_value *list = wa_get_mutable(reply, key);
    if (wa_count(list) >= ENTRIES_MOST)
        refuse_more(L, key);
    return list;
}

void cell_report_list(lua_State *L, const char *key, wa_value **list)
{
    if (wa_count(*list) > ENTRIES_MOST)
        refuse_more(L, key);
    wa_value *moved = *list;
    *list = NULL;
    cell_value_set(L, cell_of(L)->reply, key, moved);
}

void cell_report_add(lua_State *L, const char *key, wa_value *entry)
{
    if (!wa_list_add(reply_list(L, key), entry))
        cell_end_limit(L, "memory");
}

void cell_value_set(lua_State *L, wa_value *map, const char *key, wa_value *item)
{
    if (!wa_map_set(map, key, item))
        cell_end_limit(L, "memory");
}

/* The name at argument 2: short, clean, and not used before in the list. */
const char *cell_report_name(lua_State *L, const char *function, const char *list)
{
    const char *name = cell_check_text(L, 2, function);
    size_t n = strlen(name);
    if (n == 0 || n > NAME_MOST || !wa_utf8_valid(name, n) || strcspn(name, "\r\n\t") != n)
        cell_fail(L, "%s: a name is one line of 1 to %d bytes", function, NAME_MOST);
    const wa_value *there = wa_get(cell_of(L)->reply, list);
    for (size_t i = 0; i < wa_count(there); i++)
        if (strcmp(wa_get_string(wa_at(there, i), "name"), name) == 0)
            cell_fail(L, "%s: '%s' is reported twice", function, name);
    return name;
}

static void check_text(lua_State *L, const char *text, const char *what)
{
    if (!wa_utf8_valid(text, strlen(text)) || strlen(text) > 4000)
        cell_fail(L, "%s: a text is UTF-8 and has at most 4000 bytes", what);
}

/* Entries are made last: nothing half made hangs on what may raise. */
static wa_value *entry(lua_State *L, const char *name)
{
    wa_value *v = wa_map();
    cell_value_set(L, v, "name", wa_string(name));
    return v;
}

static void check_finite(lua_State *L, double x, const char *function, const char *name)
{
    if (!isfinite(x))
        cell_raise_undefined(L, "%s: '%s' is not defined (%s)", function, name,
                             x != x ? "nan" : "infinite");
}

/* ---- value, require, note ------------------------------------------------------------------ */

/* The option u: a number, or a quantity, whose unit must be that of the value and becomes it where
 * the script states none. False where there is no u. */
static bool check_uncertainty(lua_State *L, const char *function, const char *name,
                              const char **unit, cell_quantity *q)
{
    *q = (cell_quantity){.k = 1, .dof = HUGE_VAL};
    if (cell_option(L, 4, "u") == LUA_TNIL) {
        lua_pop(L, 1);
        return false;
    }
    if (lua_type(L, -1) == LUA_TNUMBER) {
        q->u = lua_tonumber(L, -1);
    } else if (!cell_test_quantity(L, -1, q)) {
        cell_fail(L, "%s: u: expected a number, a budget or a quantity, got %s", function,
                  cell_type_name(L, -1));
    } else if (q->has_unit && *unit == NULL) {
        *unit = lua_pushstring(L, q->unit.text);
    } else if (q->has_unit) {
        wa_unit of_value = cell_unit_of_text(L, *unit), own = wa_unit_difference(&of_value);
        double slope, offset;
        wa_error err;
        if (wa_unit_affine(&slope, &offset, &q->unit, &own, &err) != WA_OK)
            cell_fail(L, "%s: '%s': the uncertainty is in '%s', the value in '%s'", function, name,
                      q->unit.text, *unit);
        q->u *= slope;
    }
    check_finite(L, q->u, function, "u");
    if (q->u < 0)
        cell_fail(L, "%s: u is below zero", function);
    return true; /* what lies on the stack keeps the unit's text */
}

/* report:value(name, x, { unit =, u =, text = }) */
static int report_value(lua_State *L)
{
    static const char *const options[] = {"unit", "u", "text", NULL};
    luaL_checkudata(L, 1, REPORT);
    const char *name = cell_report_name(L, "report:value", "values"), *unit = NULL, *text = NULL;
    bool is_number = lua_type(L, 3) == LUA_TNUMBER;
    cell_quantity q;
    if (cell_is_missing(L, 3))
        return cell_raise_undefined(L, "'%s' is missing", name);
    if (lua_isboolean(L, 3)) {
        lua_pushstring(L, lua_toboolean(L, 3) ? "yes" : "no");
        lua_replace(L, 3);
    }
    if (!is_number && lua_type(L, 3) != LUA_TSTRING)
        return cell_fail(L, "report:value: '%s': expected a number or a text, got %s", name,
                         cell_type_name(L, 3));
    cell_options(L, 4, "report:value", options);
    cell_option_text(L, 4, "unit", &unit);
    cell_option_text(L, 4, "text", &text);
    bool has_u = check_uncertainty(L, "report:value", name, &unit, &q);
    if (is_number)
        check_finite(L, lua_tonumber(L, 3), "report:value", name);
    if (text != NULL)
        check_text(L, text, "report:value: text");
    if (unit != NULL)
        check_text(L, unit, "report:value: unit");
    wa_error err;
    wa_value *x = cell_plain(L, 3, name, &err);
    if (x == NULL)
        return cell_raise(L, &err);
    wa_value *v = entry(L, name);
    cell_value_set(L, v, "value", x);
    if (unit != NULL || is_number)
        cell_value_set(L, v, "unit", wa_string(unit != NULL ? unit : "1"));
    if (has_u)
        cell_value_set(L, v, "u", wa_number(q.u));
    if (text != NULL)
        cell_value_set(L, v, "text", wa_string(text));
    cell_report_add(L, "values", v);
    return 0;
}

/* report:require(name, x, { u =, unit =, source =, scatter_only = }) */
static int report_require(lua_State *L)
{
    static const char *const options[] = {"u", "unit", "source", "scatter_only", NULL};
    luaL_checkudata(L, 1, REPORT);
    const char *name = cell_report_name(L, "report:require", "requirements");
    const char *unit = NULL, *source = NULL, *scatter = NULL;
    cell_quantity q;
    if (cell_is_missing(L, 3))
        return cell_raise_undefined(L, "'%s' is missing", name);
    if (lua_type(L, 3) != LUA_TNUMBER)
        return cell_fail(L, "report:require: '%s': expected a number, got %s", name,
                         cell_type_name(L, 3));
    double x = lua_tonumber(L, 3);
    check_finite(L, x, "report:require", name);
    cell_options(L, 4, "report:require", options);
    cell_option_text(L, 4, "unit", &unit);
    cell_option_text(L, 4, "source", &source);
    cell_option_text(L, 4, "scatter_only", &scatter);
    bool has_u = check_uncertainty(L, "report:require", name, &unit, &q);
    unit = unit != NULL ? unit : "1";
    if (source == NULL && q.source[0] != '\0')
        source = q.source;
    if (scatter == NULL && !(has_u && source != NULL))
        return cell_fail_hint(L,
                              "{ u = a budget }, { u =, source = \"where it comes from\" }, or "
                              "{ scatter_only = \"why there is no more\" }",
                              "report:require: '%s': a decision needs the whole uncertainty", name);
    check_text(L, unit, "report:require: unit");
    check_text(L, source != NULL ? source : "", "report:require: source");
    check_text(L, scatter != NULL ? scatter : "", "report:require: scatter_only");
    wa_value *v = entry(L, name);
    cell_value_set(L, v, "value", wa_number(x));
    cell_value_set(L, v, "unit", wa_string(unit));
    if (has_u)
        cell_value_set(L, v, "u", wa_number(q.u));
    if (has_u && isfinite(q.dof))
        cell_value_set(L, v, "dof", wa_number(q.dof));
    if (scatter != NULL)
        cell_value_set(L, v, "scatter_only", wa_string(scatter));
    if (source != NULL)
        cell_value_set(L, v, "source", wa_string(source));
    cell_report_add(L, "requirements", v);
    return 0;
}

static const char *check_line(lua_State *L, const char *function)
{
    luaL_checkudata(L, 1, REPORT);
    const char *text = cell_check_text(L, 2, function);
    check_text(L, text, function);
    return text;
}

static int report_note(lua_State *L)
{
    cell_report_add(L, "notes", wa_string(check_line(L, "report:note")));
    return 0;
}

/* report:inconclusive(reason): what was computed stands, but it is not enough to decide by. */
static int report_inconclusive(lua_State *L)
{
    enum { MOST = 16 * 1024 };
    const char *reason = check_line(L, "report:inconclusive");
    if (cell_of(L)->undecided.length > MOST)
        return cell_fail(L, "report:inconclusive: too many reasons");
    cell_add_undecided(cell_of(L), reason);
    return 0;
}

/* ---- rows of values: columns and lists --------------------------------------------------------- */

/* A column of numbers or a list of numbers, texts and `missing`. */
static size_t row_count(lua_State *L, int index, const char *what)
{
    const wa_column *c = cell_test_column(L, index);
    if (c != NULL)
        return c->n;
    if (lua_type(L, index) != LUA_TTABLE)
        cell_fail(L, "%s: expected a column or a list, got %s", what, cell_type_name(L, index));
    return lua_rawlen(L, index);
}

/* Value i (from 0): null where it is missing. Raises only before anything is made. */
static wa_value *row_value(lua_State *L, int index, size_t i, const char *what)
{
    const wa_column *c = cell_test_column(L, index);
    if (c != NULL)
        return isnan(c->at[i]) ? wa_null() : wa_number(c->at[i]);
    int type = lua_rawgeti(L, index, (lua_Integer)i + 1);
    wa_value *v = NULL;
    if (type == LUA_TNUMBER) {
        check_finite(L, lua_tonumber(L, -1), what, "a value");
        v = wa_number(lua_tonumber(L, -1));
    } else if (type == LUA_TSTRING) {
        check_text(L, cell_check_text(L, -1, what), what);
        v = wa_string(lua_tostring(L, -1));
    } else if (type == LUA_TBOOLEAN) {
        v = wa_string(lua_toboolean(L, -1) ? "yes" : "no");
    } else if (cell_is_missing(L, -1)) {
        v = wa_null();
    } else {
        cell_fail(L, "%s: entry %zu is %s, not a number, a text or missing", what, i + 1,
                  cell_type_name(L, -1));
    }
    lua_pop(L, 1);
    if (v == NULL)
        cell_end_limit(L, "memory");
    return v;
}

/* ---- table --------------------------------------------------------------------------------- */

/* Checks column k of the table; leaves its values on the stack. Gives their number. */
static size_t check_table_column(lua_State *L, const char *table, int list, lua_Integer k)
{
    static const char *const keys[] = {"name", "unit", "values", NULL};
    char what[200];
    const char *unit;
    lua_rawgeti(L, list, k);
    if (!lua_istable(L, -1))
        cell_fail(L, "report:table: '%s': column %lld is not a table", table, (long long)k);
    cell_options(L, -1, "report:table: a column", keys);
    if (lua_getfield(L, -1, "name") != LUA_TSTRING)
        cell_fail(L, "report:table: '%s': column %lld has no name", table, (long long)k);
    check_text(L, cell_check_text(L, -1, "name"), "report:table: name");
    lua_pop(L, 1);
    cell_option_text(L, -1, "unit", &unit);
    lua_getfield(L, -1, "values");
    cell_push_texts_behind(L, -1);
    lua_replace(L, -3);
    lua_pop(L, 1);
    snprintf(what, sizeof what, "report:table: '%s', column %lld", table, (long long)k);
    size_t n = row_count(L, lua_gettop(L), what);
    if (cell_test_column(L, -1) == NULL) /* every entry once, before anything is made */
        for (size_t i = 0; i < n; i++)
            wa_value_free(row_value(L, lua_gettop(L), i, what));
    return n;
}

static wa_value *table_columns(lua_State *L, int list, lua_Integer n, int values)
{
    wa_value *columns = wa_list();
    for (lua_Integer k = 1; k <= n; k++) {
        const char *unit = NULL;
        wa_value *v = wa_map();
        lua_rawgeti(L, list, k);
        lua_getfield(L, -1, "name");
        cell_value_set(L, v, "name", wa_string(lua_tostring(L, -1)));
        lua_pop(L, 1);
        cell_option_text(L, -1, "unit", &unit);
        const wa_column *c = cell_test_column(L, values + (int)k - 1);
        if (unit == NULL && c != NULL)
            unit = c->unit.text;
        if (unit != NULL)
            cell_value_set(L, v, "unit", wa_string(unit));
        lua_pop(L, 1);
        if (!wa_list_add(columns, v))
            cell_end_limit(L, "memory");
    }
    return columns;
}

/* report:table(name, t, { title = }): t.columns is a list of { name =, unit =, values = }. */
static int report_table(lua_State *L)
{
    enum { COLUMNS_MOST = 100 };
    static const char *const options[] = {"title", NULL};
    const char *title = NULL;
    luaL_checkudata(L, 1, REPORT);
    const char *name = cell_report_name(L, "report:table", "tables");
    cell_options(L, 4, "report:table", options);
    cell_option_text(L, 4, "title", &title);
    lua_settop(L, 4);
    if (!lua_istable(L, 3) && lua_type(L, 3) != LUA_TUSERDATA)
        return cell_fail(L, "report:table: expected a table, got %s", cell_type_name(L, 3));
    if (lua_getfield(L, 3, "columns") != LUA_TTABLE)
        return cell_fail_hint(L,
                              "{ columns = { { name =, unit =, values = column or list }, ... } }",
                              "report:table: '%s' has no columns", name);
    lua_Integer n = (lua_Integer)lua_rawlen(L, 5);
    if (n < 1 || n > COLUMNS_MOST)
        return cell_fail(L, "report:table: '%s' has %lld columns; 1 to %d can stand", name,
                         (long long)n, COLUMNS_MOST);
    luaL_checkstack(L, (int)n + 10, "columns");
    size_t rows = 0;
    for (lua_Integer k = 1; k <= n; k++) {
        size_t here = check_table_column(L, name, 5, k);
        if (k > 1 && here != rows)
            return cell_fail(L, "report:table: '%s': column %lld has %zu values, the first has %zu",
                             name, (long long)k, here, rows);
        rows = here;
    }
    if (rows > CELLS_MOST / (size_t)n)
        return cell_fail(L, "report:table: '%s' has more than %d entries", name, CELLS_MOST);
    cell_charge(L, 4 * rows * (size_t)n);
    wa_value *v = entry(L, name), *list = wa_list();
    if (title != NULL)
        cell_value_set(L, v, "title", wa_string(title));
    cell_value_set(L, v, "columns", table_columns(L, 5, n, 6));
    for (size_t i = 0; i < rows; i++) {
        wa_value *row = wa_list();
        for (lua_Integer k = 0; k < n; k++)
            if (!wa_list_add(row, row_value(L, 6 + (int)k, i, name)))
                cell_end_limit(L, "memory");
        if (!wa_list_add(list, row))
            cell_end_limit(L, "memory");
    }
    cell_value_set(L, v, "rows", list);
    cell_report_add(L, "tables", v);
    return 0;
}

/* ---- calibration --------------------------------------------------------------------------- */

/* report:calibration(name, t): what a later campaign may take; practice.calibration makes `t`. The
 * parent looks at every part of it. */
static int report_calibration(lua_State *L)
{
    luaL_checkudata(L, 1, REPORT);
    const char *name = cell_report_name(L, "report:calibration", "calibrations");
    if (lua_type(L, 3) != LUA_TTABLE)
        return cell_fail(L, "report:calibration: expected a table, got %s", cell_type_name(L, 3));
    wa_error err;
    lua_settop(L, 3);
    lua_pushstring(L, name);
    lua_setfield(L, 3, "name");
    cell_charge(L, 10000);
    wa_value *v = cell_plain(L, 3, name, &err);
    if (v == NULL)
        return cell_raise(L, &err);
    cell_report_add(L, "calibrations", v);
    return 0;
}

/* ---- the object ---------------------------------------------------------------------------- */

void cell_open_report(lua_State *L)
{
    static const luaL_Reg meta[] = {{NULL, NULL}};
    static const luaL_Reg methods[] = {{"calibration", report_calibration},
                                       {"coverage", cell_report_coverage},
                                       {"figure", cell_report_figure},
                                       {"inconclusive", report_inconclusive},
                                       {"note", report_note},
                                       {"require", report_require},
                                       {"table", report_table},
                                       {"value", report_value},
                                       {NULL, NULL}};
    cell_type(L, REPORT, meta, methods);
}

void cell_push_report(lua_State *L)
{
    lua_newuserdatauv(L, 0, 0);
    luaL_setmetatable(L, REPORT);
}
