#include "run/tables.h"

#include "windassay/digest.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void release(wa_named_table *t)
{
    free(t->name);
    free(t->path);
    wa_table_free(t->table);
    wa_text_release(&t->bytes);
}

/* The bytes of the file that was read as a table. */
static wa_status read_bytes(wa_text *out, int fd, const wa_table *t, const char *path,
                            wa_error *err)
{
    char block[65536], digest[WA_SHA256_TEXT_SIZE];
    off_t at = 0;
    ssize_t got;
    while ((got = pread(fd, block, sizeof block, at)) > 0 || (got < 0 && errno == EINTR)) {
        if (got < 0)
            continue;
        wa_text_add_bytes(out, block, (size_t)got);
        at += got;
        if ((uint64_t)at > t->stored)
            break;
    }
    if (got < 0)
        return wa_fail_at(err, WA_ERR_IO, path, 0, 0, "cannot read: %s", strerror(errno));
    if (wa_text_failed(out))
        return wa_no_memory(err);
    wa_status s = wa_sha256_of(digest, wa_text_string(out), out->length, err);
    if (s == WA_OK && strcmp(digest, t->sha256) != 0)
        s = wa_fail_at(err, WA_ERR_DATA, path, 0, 0, "changed while it was read");
    return s;
}

wa_status wa_tables_add(wa_tables *t, const char *name, const char *path, int fd, wa_error *err)
{
    wa_named_table one = {.bytes = WA_TEXT_INIT};
    int again = dup(fd);
    wa_status s =
        again < 0 ? wa_fail(err, WA_ERR_IO, "cannot open again: %s", strerror(errno)) : WA_OK;
    if (s != WA_OK) {
        close(fd);
        return s;
    }
    s = wa_table_read(&one.table, fd, path, err);
    if (s == WA_OK)
        s = read_bytes(&one.bytes, again, one.table, path, err);
    close(again);
    if (s == WA_OK) {
        wa_named_table *more = realloc(t->at, (t->n + 1) * sizeof *more);
        if (more != NULL)
            t->at = more;
        one.name = strdup(name);
        one.path = strdup(path);
        if (more == NULL || one.name == NULL || one.path == NULL)
            s = wa_no_memory(err);
    }
    if (s == WA_OK)
        t->at[t->n++] = one;
    else
        release(&one);
    return s;
}

void wa_tables_release(wa_tables *t)
{
    for (size_t i = 0; i < t->n; i++)
        release(&t->at[i]);
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
