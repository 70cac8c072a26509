/* script_run.c - a free script over plain tables, in the same sealed cell as a check. */
#include "run/agenda.h"
#include "run/facts.h"
#include "run/job.h"
#include "windassay/result.h"
#include "windassay/table.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static wa_status no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

static wa_status read_table(wa_table **out, const char *file, wa_error *err)
{
    int fd = open(file, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return wa_fail_at(err, errno == ENOENT ? WA_ERR_MISSING : WA_ERR_IO, file, 0, 0,
                          "cannot be opened: %s", strerror(errno));
    return wa_table_read(out, fd, file, err);
}

/* ---- the tables as the cell gets them -------------------------------------------------------- */

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

static wa_status memory_of(int *fd, wa_table *const *tables, size_t n, wa_error *err)
{
    wa_memory m;
    wa_status s = wa_memory_new(&m, err);
    for (size_t k = 0; k < n && s == WA_OK; k++)
        for (size_t i = 0; i < tables[k]->n_columns && s == WA_OK; i++)
            if (tables[k]->columns[i].kind != WA_TABLE_TEXT)
                s = wa_memory_add(&m, tables[k]->columns[i].at, tables[k]->n, err);
    return s == WA_OK ? wa_memory_seal(fd, &m, err) : s;
}

static wa_value *script_job(const char *file, const wa_script_table *named, wa_table *const *tables,
                            size_t n)
{
    wa_value *job = wa_map(), *list = wa_list();
    size_t at = 0;
    bool good = list != NULL;
    for (size_t i = 0; i < n && good; i++)
        good = wa_list_add(list, describe_table(named[i].name, tables[i], &at));
    good = wa_map_set(job, "tables", list) && good;
    good = good && wa_map_set(job, "job", wa_string("script")) &&
           wa_map_set(job, "file", wa_string(file));
    if (!good) {
        wa_value_free(job);
        return NULL;
    }
    return job;
}

/* ---- the record ----------------------------------------------------------------------------- */

static wa_value *titled(const char *title)
{
    wa_value *v = wa_map();
    if (!wa_map_set(v, "title", wa_string(title))) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

static wa_value *inputs_of(const wa_script_table *named, wa_table *const *tables, size_t n)
{
    wa_value *list = wa_list();
    for (size_t i = 0; i < n && list != NULL; i++) {
        wa_value *v = wa_map();
        const char *slash = strrchr(tables[i]->file, '/');
        const char *file = slash == NULL ? tables[i]->file : slash + 1;
        bool good = wa_map_set(v, "path", wa_string(file)) &&
                    wa_map_set(v, "source", wa_string(named[i].name)) &&
                    wa_map_set(v, "bytes", wa_number((double)tables[i]->stored)) &&
                    wa_map_set(v, "sha256", wa_string(tables[i]->sha256)) &&
                    wa_map_set(v, "rows", wa_number((double)tables[i]->n));
        if (!good) {
            wa_value_free(v);
            v = NULL;
        }
        if (!wa_list_add(list, v)) {
            wa_value_free(list);
            return NULL;
        }
    }
    return list;
}

static wa_status accept(wa_value **record, const char *file, const wa_value *reply,
                        const wa_script_table *named, wa_table *const *tables, size_t n,
                        const wa_modules *modules, wa_error *err)
{
    wa_value *described = titled(file), *entry = NULL, *whole = wa_record_new(titled(file));
    wa_accounts accounts = {0};
    wa_status s = described == NULL || whole == NULL ? no_memory(err) : WA_OK;
    if (s == WA_OK)
        s = wa_result_begin(&entry, "script", "script", described, NULL, NULL, err);
    if (s == WA_OK)
        s = wa_result_accept(&entry, &accounts, reply, 0, NULL, 0, err);
    if (s == WA_OK)
        s = wa_record_decide(entry, NULL, NULL, 0, err);
    if (s != WA_OK)
        wa_value_free(entry);
    else if (!wa_list_add(wa_get_mutable(whole, "checks"), entry) ||
             !wa_map_set(whole, "inputs", inputs_of(named, tables, n)) ||
             !wa_map_set(whole, "scripts", wa_facts_scripts(modules)))
        s = no_memory(err);
    if (s == WA_OK)
        s = wa_record_close(whole, NULL, 0, err);
    wa_accounts_release(&accounts);
    wa_value_free(described);
    if (s == WA_OK)
        *record = whole;
    else
        wa_value_free(whole);
    return s;
}

static wa_status ask(wa_value **reply, const char *file, const wa_script_table *named,
                     wa_table *const *tables, size_t n, const wa_engine *engine,
                     wa_modules *modules, wa_error *err)
{
    int memory = -1;
    wa_value *job = script_job(file, named, tables, n);
    wa_status s = job == NULL ? no_memory(err) : memory_of(&memory, tables, n, err);
    if (s == WA_OK) {
        const wa_limits limits = wa_limits_default(engine->cell);
        s = wa_cell_run(reply, job, memory, modules, &limits, err);
    }
    if (memory >= 0)
        close(memory);
    wa_value_free(job);
    return s;
}

/* A free script decides nothing, so what it left undefined is a mistake like any other: told with
 * its line. In a check it would make the check inconclusive. */
static wa_status judge_undefined(wa_value *reply, wa_error *err)
{
    wa_value *e = wa_get_mutable(reply, "error");
    const char *kind = wa_get_string(e, "kind");
    if (kind == NULL || strcmp(kind, "undefined") != 0)
        return WA_OK;
    return wa_map_set(e, "kind", wa_string("script")) ? WA_OK : no_memory(err);
}

wa_status wa_run_script(wa_value **record, const char *script, const wa_script_table *tables,
                        size_t n_tables, const wa_engine *engine, wa_error *err)
{
    wa_table **read = calloc(n_tables + 1, sizeof *read);
    wa_modules *modules = NULL;
    wa_value *reply = NULL;
    char *folder = NULL;
    const char *file = NULL;
    wa_status s = read == NULL ? no_memory(err) : wa_split_path(&folder, &file, script, err);
    for (size_t i = 0; i < n_tables && s == WA_OK; i++)
        s = read_table(&read[i], tables[i].file, err);
    if (s == WA_OK)
        s = wa_modules_new(&modules, engine->scripts, folder, NULL, err);
    if (s == WA_OK)
        s = ask(&reply, file, tables, read, n_tables, engine, modules, err);
    if (s == WA_OK)
        s = judge_undefined(reply, err);
    if (s == WA_OK)
        s = accept(record, file, reply, tables, read, n_tables, modules, err);
    for (size_t i = 0; read != NULL && i < n_tables; i++)
        wa_table_free(read[i]);
    free(read);
    free(folder);
    wa_modules_free(modules);
    wa_value_free(reply);
    return s;
}
