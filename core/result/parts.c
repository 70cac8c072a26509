/* Values, tables, requirements and notes of a check's answer. */
#include "result/parts.h"

#include "result/entry.h"
#include "windassay/budget.h"
#include "windassay/unit.h"

#include <stdio.h>
#include <string.h>

enum {
    VALUES_MAX = 2000,
    TABLES_MAX = 200,
    COLUMNS_MAX = 200,
    ROWS_MAX = 200000,
    REQUIREMENTS_MAX = 2000,
    NOTES_MAX = 1000,
    WHERE_SIZE = 200
};

static wa_status no_memory(const strict *s)
{
    return wa_fail(s->err, WA_ERR_NOMEM, "out of memory");
}

/* Looks at the i-th map of a list of named things; `where` becomes its place. */
static wa_status check_named(const strict *s, const wa_value *list, size_t i, const char *what,
                             const strict_field *fields, size_t n, char *where)
{
    const wa_value *v = wa_at(list, i);
    snprintf(where, WHERE_SIZE, "%s %zu", what, i + 1);
    wa_status code = strict_map(s, v, where, fields, n);
    if (code != WA_OK)
        return code;
    snprintf(where, WHERE_SIZE, "%s '%s'", what, wa_get_string(v, "name"));
    return entry_named(list, wa_get_string(v, "name")) == v
               ? WA_OK
               : strict_refuse(s, where, "it stands twice");
}

/* Copies the map with the keys in the order of `fields`, whatever order the child sent. */
static wa_status add_ordered(wa_value *to, const wa_value *v, const strict_field *fields, size_t n,
                             const strict *s)
{
    wa_value *m = wa_map();
    bool ok = m != NULL;
    for (size_t i = 0; ok && i < n; i++)
        ok = entry_carry(m, v, fields[i].key);
    if (!ok) {
        wa_value_free(m);
        return no_memory(s);
    }
    return wa_list_add(to, m) ? WA_OK : no_memory(s);
}

static wa_status check_u(const strict *s, const wa_value *v, const char *where)
{
    double u;
    if (wa_number_of(wa_get(v, "u"), &u) && u < 0)
        return strict_refuse(s, where, "a standard uncertainty is not negative");
    return WA_OK;
}

static wa_status check_dof(const strict *s, const wa_value *v, const char *where)
{
    double dof;
    if (!wa_number_of(wa_get(v, "dof"), &dof))
        return WA_OK;
    if (wa_get(v, "u") == NULL)
        return strict_refuse(s, where, "degrees of freedom belong to an uncertainty");
    return dof >= 1 ? WA_OK : strict_refuse(s, where, "fewer than 1 degree of freedom");
}

/* Beside degrees of freedom stands the coverage factor that follows from them. */
static bool add_coverage(wa_value *row)
{
    double dof;
    return !wa_number_of(wa_get(row, "dof"), &dof) ||
           wa_map_set(row, "k_95", wa_number(wa_coverage_factor(0.95, dof)));
}

/* Puts the finished list under `key`, or frees it. */
static wa_status finish(wa_value *found, const char *key, wa_value *list, wa_status code,
                        const strict *s)
{
    if (code != WA_OK) {
        wa_value_free(list);
        return code;
    }
    return wa_map_set(found, key, list) ? WA_OK : no_memory(s);
}

wa_status parts_values(wa_value *found, const wa_value *list, const strict *s)
{
    static const strict_field fields[] = {
        {"name", STRICT_NAME | STRICT_REQUIRED},
        {"value", STRICT_NUMBER | STRICT_TEXT | STRICT_REQUIRED},
        {"unit", STRICT_NAME},
        {"u", STRICT_NUMBER},
        {"text", STRICT_TEXT},
    };
    char where[WHERE_SIZE];
    wa_value *out = wa_list();
    wa_status code = out == NULL ? no_memory(s) : WA_OK;
    if (code == WA_OK && list != NULL)
        code = strict_list(s, list, "values", STRICT_MAP, VALUES_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        const wa_value *v = wa_at(list, i);
        code = check_named(s, list, i, "value", fields, STRICT_COUNT(fields), where);
        if (code == WA_OK && wa_value_kind(wa_get(v, "value")) == WA_NUMBER &&
            wa_get(v, "unit") == NULL)
            code = strict_refuse(s, where, "a number has a unit (\"1\" for a pure one)");
        if (code == WA_OK)
            code = check_u(s, v, where);
        if (code == WA_OK)
            code = add_ordered(out, v, fields, STRICT_COUNT(fields), s);
    }
    return finish(found, "values", out, code, s);
}

wa_status parts_requirements(wa_value *found, const wa_value *list, const strict *s)
{
    static const strict_field fields[] = {
        {"name", STRICT_NAME | STRICT_REQUIRED},
        {"value", STRICT_NUMBER | STRICT_REQUIRED},
        {"unit", STRICT_NAME | STRICT_REQUIRED},
        {"u", STRICT_NUMBER},
        {"dof", STRICT_NUMBER},
        {"scatter_only", STRICT_TEXT},
        {"source", STRICT_TEXT},
    };
    char where[WHERE_SIZE];
    wa_value *out = wa_list();
    wa_status code = out == NULL ? no_memory(s) : WA_OK;
    if (code == WA_OK && list != NULL)
        code = strict_list(s, list, "requirements", STRICT_MAP, REQUIREMENTS_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        const wa_value *v = wa_at(list, i);
        wa_unit unit;
        wa_error unit_error = {0};
        code = check_named(s, list, i, "requirement", fields, STRICT_COUNT(fields), where);
        if (code == WA_OK)
            code = check_u(s, v, where);
        if (code == WA_OK)
            code = check_dof(s, v, where);
        if (code == WA_OK && wa_unit_parse(&unit, wa_get_string(v, "unit"), &unit_error) != WA_OK)
            code = strict_refuse(s, where, "%s", unit_error.text);
        if (code == WA_OK && wa_get(v, "u") != NULL && wa_get(v, "source") == NULL &&
            wa_get(v, "scatter_only") == NULL)
            code = strict_refuse(s, where,
                                 "an uncertainty says where it comes from, or why it "
                                 "holds scatter only");
        if (code == WA_OK)
            code = add_ordered(out, v, fields, STRICT_COUNT(fields), s);
        if (code == WA_OK && !add_coverage(wa_at_mutable(out, i)))
            code = no_memory(s);
        if (code == WA_OK && !wa_map_set(wa_at_mutable(out, i), "outcome",
                                         wa_string(wa_outcome_word(WA_OUTCOME_FOR_INFORMATION))))
            code = no_memory(s);
    }
    return finish(found, "requirements", out, code, s);
}

static wa_status check_columns(const strict *s, const wa_value *columns, const char *where)
{
    static const strict_field fields[] = {{"name", STRICT_NAME | STRICT_REQUIRED},
                                          {"unit", STRICT_TEXT}};
    char of_column[WHERE_SIZE], what[WHERE_SIZE + 20];
    wa_status code = strict_list(s, columns, where, STRICT_MAP, COLUMNS_MAX);
    if (code == WA_OK && wa_count(columns) == 0)
        code = strict_refuse(s, where, "a table needs columns");
    snprintf(what, sizeof what, "%s, column", where);
    for (size_t i = 0; code == WA_OK && i < wa_count(columns); i++)
        code = check_named(s, columns, i, what, fields, STRICT_COUNT(fields), of_column);
    return code;
}

/* Columns as the record has them: an empty unit is none. NULL: memory. */
static wa_value *columns_of(const wa_value *columns)
{
    wa_value *list = wa_list();
    bool ok = list != NULL;
    for (size_t i = 0; ok && i < wa_count(columns); i++) {
        const wa_value *c = wa_at(columns, i);
        wa_value *m = wa_map();
        bool has_unit = wa_length_of(wa_get(c, "unit")) > 0;
        ok = m != NULL && entry_carry(m, c, "name") && (!has_unit || entry_carry(m, c, "unit"));
        if (ok)
            ok = wa_list_add(list, m);
        else
            wa_value_free(m);
    }
    if (!ok) {
        wa_value_free(list);
        return NULL;
    }
    return list;
}

static wa_status check_rows(const strict *s, const wa_value *rows, size_t width, const char *where)
{
    char of_row[WHERE_SIZE + 50];
    wa_status code = strict_list(s, rows, where, STRICT_LIST, ROWS_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(rows); i++) {
        snprintf(of_row, sizeof of_row, "%s, row %zu", where, i + 1);
        code = strict_list(s, wa_at(rows, i), of_row, STRICT_NUMBER | STRICT_TEXT | STRICT_NULL,
                           COLUMNS_MAX);
        if (code == WA_OK && wa_count(wa_at(rows, i)) != width)
            code = strict_refuse(s, of_row, "%zu entries for %zu columns", wa_count(wa_at(rows, i)),
                                 width);
    }
    return code;
}

wa_status parts_tables(wa_value *found, const wa_value *list, const strict *s)
{
    static const strict_field fields[] = {
        {"name", STRICT_NAME | STRICT_REQUIRED},
        {"title", STRICT_TEXT},
        {"columns", STRICT_LIST | STRICT_REQUIRED},
        {"rows", STRICT_LIST | STRICT_REQUIRED},
    };
    char where[WHERE_SIZE];
    wa_value *out = wa_list();
    wa_status code = out == NULL ? no_memory(s) : WA_OK;
    if (code == WA_OK && list != NULL)
        code = strict_list(s, list, "tables", STRICT_MAP, TABLES_MAX);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        const wa_value *v = wa_at(list, i), *columns = wa_get(v, "columns");
        code = check_named(s, list, i, "table", fields, STRICT_COUNT(fields), where);
        if (code == WA_OK)
            code = check_columns(s, columns, where);
        if (code == WA_OK)
            code = check_rows(s, wa_get(v, "rows"), wa_count(columns), where);
        if (code == WA_OK)
            code = add_ordered(out, v, fields, STRICT_COUNT(fields), s);
        if (code == WA_OK && !wa_map_set(wa_at_mutable(out, i), "columns", columns_of(columns)))
            code = no_memory(s);
        if (code == WA_OK && wa_count(wa_get(v, "rows")) == 0 && /* an empty Lua table: a list */
            !wa_map_set(wa_at_mutable(out, i), "rows", wa_list()))
            code = no_memory(s);
    }
    return finish(found, "tables", out, code, s);
}

wa_status parts_notes(wa_value *found, const wa_value *list, const strict *s)
{
    wa_status code = list == NULL ? WA_OK : strict_list(s, list, "notes", STRICT_TEXT, NOTES_MAX);
    if (code != WA_OK)
        return code;
    wa_value *out = wa_count(list) == 0 ? wa_list() : wa_value_copy(list);
    return wa_map_set(found, "notes", out) ? WA_OK : no_memory(s);
}
