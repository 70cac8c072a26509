/* script_run.c - a free script over plain tables, in the same sealed cell as a check. */
#include "run/agenda.h"
#include "run/facts.h"
#include "run/sheet.h"
#include "run/tables.h"
#include "windassay/result.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Reads a file that the user named; the record names it without its folder. */
static wa_status read_table(wa_tables *t, const wa_script_table *named, wa_error *err)
{
    int fd = open(named->file, O_RDONLY | O_CLOEXEC);
    const char *slash = strrchr(named->file, '/');
    if (fd < 0)
        return wa_fail_at(err, errno == ENOENT ? WA_ERR_MISSING : WA_ERR_IO, named->file, 0, 0,
                          "cannot be opened: %s", strerror(errno));
    return wa_tables_add(t, named->name, slash == NULL ? named->file : slash + 1, fd, err);
}

static wa_value *script_job(const char *file, const wa_tables *tables)
{
    wa_value *job = wa_map();
    size_t at = 0;
    bool good = wa_map_set(job, "tables", wa_tables_describe(tables, &at)) &&
                wa_map_set(job, "job", wa_string("script")) &&
                wa_map_set(job, "file", wa_string(file));
    if (!good) {
        wa_value_free(job);
        return NULL;
    }
    return job;
}

/* ---- the record ----------------------------------------------------------------------------- */

static wa_status fill_record(wa_value *whole, wa_value *entry, const wa_tables *tables,
                             const wa_modules *modules, wa_error *err)
{
    bool good = wa_list_add(wa_get_mutable(whole, "checks"), entry) &&
                wa_tables_inputs(wa_get_mutable(whole, "inputs"), tables) &&
                wa_map_set(whole, "scripts", wa_facts_scripts(modules));
    return good ? wa_record_close(whole, NULL, 0, err) : wa_no_memory(err);
}

static wa_status accept(wa_value **record, const char *file, const wa_value *reply,
                        const wa_tables *tables, const wa_modules *modules, wa_error *err)
{
    wa_value *described = wa_titled(file), *entry = NULL, *whole = wa_record_new(wa_titled(file));
    wa_accounts accounts = {0};
    wa_status s = described == NULL || whole == NULL ? wa_no_memory(err) : WA_OK;
    if (s == WA_OK)
        s = wa_result_begin(&entry, "script", "script", described, NULL, NULL, err);
    if (s == WA_OK)
        s = wa_result_accept(&entry, &accounts, reply, 0, NULL, 0, err);
    if (s == WA_OK)
        s = wa_record_decide(entry, NULL, NULL, 0, err);
    if (s == WA_OK)
        s = fill_record(whole, entry, tables, modules, err);
    else
        wa_value_free(entry);
    wa_accounts_release(&accounts);
    wa_value_free(described);
    if (s == WA_OK)
        *record = whole;
    else
        wa_value_free(whole);
    return s;
}

static wa_status ask(wa_value **reply, const char *file, const wa_tables *tables,
                     const wa_engine *engine, wa_modules *modules, wa_error *err)
{
    int fd = -1;
    wa_memory memory;
    wa_value *job = script_job(file, tables);
    wa_status s = job == NULL ? wa_no_memory(err) : wa_memory_new(&memory, err);
    if (s == WA_OK)
        s = wa_tables_memory(&memory, tables, err);
    if (s == WA_OK)
        s = wa_memory_seal(&fd, &memory, err);
    if (s == WA_OK) {
        const wa_limits limits = wa_limits_default(engine->cell);
        s = wa_cell_run(reply, job, fd, modules, &limits, err);
    }
    if (fd >= 0)
        close(fd);
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
    return wa_map_set(e, "kind", wa_string("script")) ? WA_OK : wa_no_memory(err);
}

wa_status wa_run_script(wa_value **record, const char *script, const wa_script_table *named,
                        size_t n, const wa_engine *engine, wa_error *err)
{
    wa_tables tables = {0};
    wa_modules *modules = NULL;
    wa_value *reply = NULL;
    char *folder = NULL;
    const char *file = NULL;
    wa_status s = wa_split_path(&folder, &file, script, err);
    for (size_t i = 0; i < n && s == WA_OK; i++)
        s = read_table(&tables, &named[i], err);
    if (s == WA_OK)
        s = wa_modules_new(&modules, engine->scripts, folder, NULL, err);
    if (s == WA_OK)
        s = ask(&reply, file, &tables, engine, modules, err);
    if (s == WA_OK)
        s = judge_undefined(reply, err);
    if (s == WA_OK)
        s = accept(record, file, reply, &tables, modules, err);
    wa_tables_release(&tables);
    free(folder);
    wa_modules_free(modules);
    wa_value_free(reply);
    return s;
}
