#include "run/tables.h"

#include <stdlib.h>
#include <string.h>

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

wa_status wa_tables_add(wa_tables *t, const char *name, const char *path, int fd, wa_error *err)
{
    wa_table *table = NULL;
    wa_status s = wa_table_read(&table, fd, path, err);
    if (s != WA_OK)
        return s;
    wa_named_table *more = realloc(t->at, (t->n + 1) * sizeof *more);
    if (more != NULL)
        t->at = more;
    wa_named_table one = {strdup(name), strdup(path), table};
    if (more == NULL || one.name == NULL || one.path == NULL) {
        free(one.name);
        free(one.path);
        wa_table_free(table);
        return no_memory(err);
    }
    t->at[t->n++] = one;
    return WA_OK;
}

void wa_tables_release(wa_tables *t)
{
    for (size_t i = 0; i < t->n; i++) {
        free(t->at[i].name);
        free(t->at[i].path);
        wa_table_free(t->at[i].table);
    }
    free(t->at);
    *t = (wa_tables){0};
}

static wa_value *texts_of(const wa_table_column *c, size_t n)
{
    wa_value *list = wa_list();
    for (size_t i = 0; i < n && list != NULL; i++)
        if (!wa_list_add(list, wa_string(c->texts[i]))) {
            wa_value_free(list);
            return NULL;
        }
    return list;
}

/* One column; `at` counts the doubles that lie before it in the memory file. */
static wa_value *describe_column(const wa_table_column *c, size_t n, size_t *at)
{
    static const char *const KINDS[] = {"number", "time", "text"};
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "name", wa_string(c->name)) &&
                wa_map_set(v, "kind", wa_string(KINDS[c->kind]));
    if (good && c->kind == WA_TABLE_TEXT) {
        good = wa_map_set(v, "texts", texts_of(c, n)) &&
               wa_map_set(v, "line", wa_number((double)c->first_line));
    } else if (good) {
        good = wa_map_set(v, "at", wa_number((double)*at));
        *at += n;
    }
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

static wa_value *describe_table(const char *name, const wa_table *t, size_t *at)
{
    wa_value *v = wa_map(), *columns = wa_list();
    bool good = columns != NULL;
    for (size_t i = 0; i < t->n_columns && good; i++)
        good = wa_list_add(columns, describe_column(&t->columns[i], t->n, at));
    good = wa_map_set(v, "columns", columns) && good;
    good = good && wa_map_set(v, "name", wa_string(name)) &&
           wa_map_set(v, "n", wa_number((double)t->n));
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

wa_value *wa_tables_describe(const wa_tables *t, size_t *at)
{
    wa_value *list = wa_list();
    for (size_t i = 0; i < t->n && list != NULL; i++)
        if (!wa_list_add(list, describe_table(t->at[i].name, t->at[i].table, at))) {
            wa_value_free(list);
            return NULL;
        }
    return list;
}

wa_status wa_tables_memory(wa_memory *m, const wa_tables *t, wa_error *err)
{
    wa_status s = WA_OK;
    for (size_t k = 0; k < t->n && s == WA_OK; k++) {
        const wa_table *table = t->at[k].table;
        for (size_t i = 0; i < table->n_columns && s == WA_OK; i++)
            if (table->columns[i].kind != WA_TABLE_TEXT)
                s = wa_memory_add(m, table->columns[i].at, table->n, err);
    }
    return s;
}

bool wa_tables_inputs(wa_value *inputs, const wa_tables *t)
{
    for (size_t i = 0; i < t->n; i++) {
        const wa_table *table = t->at[i].table;
        wa_value *v = wa_map();
        bool good = wa_map_set(v, "path", wa_string(t->at[i].path)) &&
                    wa_map_set(v, "source", wa_string(t->at[i].name)) &&
                    wa_map_set(v, "bytes", wa_number((double)table->stored)) &&
                    wa_map_set(v, "sha256", wa_string(table->sha256)) &&
                    wa_map_set(v, "rows", wa_number((double)table->n));
        if (!good) {
            wa_value_free(v);
            v = NULL;
        }
        if (!wa_list_add(inputs, v))
            return false;
    }
    return true;
}
