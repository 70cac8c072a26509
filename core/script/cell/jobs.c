/* jobs.c - what a cell is asked to do. */
#include "script/cell/jobs.h"
#include "script/cell/trace.h"

#include <string.h>

/* ---- small helpers ------------------------------------------------------------------------- */

static const char *job_text(lua_State *L, const wa_value *job, const char *key)
{
    const char *text = wa_get_string(job, key);
    if (text == NULL)
        cell_fail(L, "a job without '%s'", key);
    return text;
}

/* Runs the file that came with the job; pushes what it returned. */
static void run_file(lua_State *L, const wa_value *job)
{
    const wa_value *text = wa_get(job, "text");
    job_text(L, job, "text");
    cell_load(L, job_text(L, job, "file"), wa_string_of(text), wa_length_of(text));
    lua_call(L, 0, 1);
}

/* The value on top of the stack into field `key` of the reply. */
static void reply_plain(lua_State *L, const char *key, const char *path)
{
    wa_error err = {0};
    wa_value *v = cell_plain(L, -1, path, &err);
    if (v == NULL)
        cell_raise(L, &err);
    if (!wa_map_set(cell_of(L)->reply, key, v))
        cell_end_limit(L, "memory");
}

static void check_is_table(lua_State *L, const char *what)
{
    if (!lua_istable(L, -1))
        cell_fail_hint(L, "the file ends with 'return' and its table", "%s returned %s", what,
                       cell_type_name(L, -1));
}

/* ---- campaign, criteria -------------------------------------------------------------------- */

static void job_campaign(lua_State *L, const wa_value *job)
{
    run_file(L, job);
    check_is_table(L, "the campaign file");
    if (lua_getfield(L, -1, "sources") == LUA_TTABLE) {
        lua_Integer n = cell_push_sorted_keys(L, -1);
        for (lua_Integer i = 1; i <= n; i++) {
            lua_rawgeti(L, -1, i);
            lua_pushvalue(L, -1);
            if (lua_gettable(L, -4) == LUA_TTABLE && lua_type(L, -2) == LUA_TSTRING)
                cell_trace(L, lua_gettop(L), lua_tostring(L, -2));
            lua_pop(L, 2);
        }
        lua_pop(L, 1);
    }
    lua_pop(L, 1);
    reply_plain(L, "campaign", "campaign");
}

static void job_criteria(lua_State *L, const wa_value *job)
{
    lua_pushfstring(L, "criteria.%s", job_text(L, job, "name"));
    cell_require(L, lua_tostring(L, -1));
    check_is_table(L, "the criteria file");
    reply_plain(L, "criteria", "criteria");
}

/* ---- checks -------------------------------------------------------------------------------- */

static const char *const check_keys[] = {"title",      "does", "practice", "needs",
                                         "parameters", "run",  NULL};

/* Pushes the table of the check that the job names. */
static void push_check(lua_State *L, const wa_value *job)
{
    const char *name = job_text(L, job, "check");
    lua_pushfstring(L, "checks.%s", name);
    cell_require(L, lua_tostring(L, -1));
    lua_remove(L, -2);
    check_is_table(L, "the check's file");
    cell_options(L, -1, "the check", check_keys);
    if (lua_getfield(L, -1, "title") != LUA_TSTRING)
        cell_fail(L, "the check has no title");
    if (lua_getfield(L, -2, "run") != LUA_TFUNCTION)
        cell_fail(L, "the check has no function 'run'");
    lua_pop(L, 2);
}

/* One parameter, a table on top of the stack, as { name, default, unit, text, ... }. */
static wa_value *parameter(lua_State *L, const char *name, wa_error *err)
{
    static const char *const keys[] = {"default", "unit", "text"};
    static const char *const named[] = {"source", "evidence", "tolerance"};
    wa_value *given = cell_plain(L, -1, name, err), *out = wa_map();
    bool ok = wa_map_set(out, "name", wa_string(name));
    if (given == NULL || !ok) {
        wa_value_free(given);
        wa_value_free(out);
        return NULL;
    }
    for (size_t i = 0; i < wa_count(given) && ok; i++) {
        const char *key = wa_key(given, i);
        bool is_list = key == NULL;
        size_t at = is_list ? i + 1 : strlen(key) == 1 ? (size_t)(key[0] - '0') : 0;
        const char *to = at >= 1 && at <= 3 ? keys[at - 1] : NULL;
        for (size_t k = 0; !is_list && k < sizeof named / sizeof *named; k++)
            if (strcmp(key, named[k]) == 0)
                to = key;
        if (to == NULL) {
            wa_fail(err, WA_ERR_SCRIPT, "parameter '%s': unknown entry '%s'", name,
                    is_list ? "4" : key);
            wa_hint(err, WA_ERR_SCRIPT,
                    "{ default, \"unit\", \"what it is\", source = ..., evidence = ... }");
            ok = false;
        } else {
            ok = wa_map_set(out, to, wa_value_copy(wa_at(given, i)));
        }
    }
    if (ok && (wa_get(out, "default") == NULL || wa_get_string(out, "unit") == NULL ||
               wa_get_string(out, "text") == NULL)) {
        wa_fail(err, WA_ERR_SCRIPT, "parameter '%s': a default, a unit and a text are needed",
                name);
        wa_hint(err, WA_ERR_SCRIPT, "{ 0.5, \"m/s\", \"width of a bin\" }");
        ok = false;
    }
    wa_value_free(given);
    if (!ok) {
        wa_value_free(out);
        return NULL;
    }
    return out;
}

/* The parameters of the check on top of the stack, in order of name. */
static wa_value *parameters(lua_State *L)
{
    wa_error err = {WA_OK, "", 0, 0, "", ""};
    wa_value *list = wa_list();
    int type = lua_getfield(L, -1, "parameters");
    if (type != LUA_TNIL && type != LUA_TTABLE)
        cell_fail(L, "the check's parameters are %s, not a table", cell_type_name(L, -1));
    lua_Integer n = type == LUA_TTABLE ? cell_push_sorted_keys(L, -1) : 0;
    for (lua_Integer i = 1; i <= n; i++) {
        if (lua_rawgeti(L, -1, i) != LUA_TSTRING)
            cell_fail(L, "the check's parameters have names");
        const char *name = lua_tostring(L, -1);
        if (lua_getfield(L, -3, name) != LUA_TTABLE)
            cell_fail(L, "parameter '%s' is %s, not a table", name, cell_type_name(L, -1));
        wa_value *p = parameter(L, name, &err);
        if (p == NULL || !wa_list_add(list, p)) {
            wa_value_free(list);
            if (err.code == WA_OK)
                cell_end_limit(L, "memory");
            cell_raise(L, &err);
        }
        lua_pop(L, 2);
    }
    lua_pop(L, type == LUA_TTABLE ? 2 : 1);
    return list;
}

static void job_describe(lua_State *L, const wa_value *job)
{
    push_check(L, job);
    static const char *const copied[] = {"title", "does", "practice", "needs"};
    for (size_t i = 0; i < sizeof copied / sizeof *copied; i++) {
        if (lua_getfield(L, -1, copied[i]) != LUA_TNIL)
            reply_plain(L, copied[i], copied[i]);
        lua_pop(L, 1);
    }
    wa_value *list = parameters(L);
    if (!wa_map_set(cell_of(L)->reply, "parameters", list))
        cell_end_limit(L, "memory");
}

/* __index of the table p that run gets. */
static int unknown_parameter(lua_State *L)
{
    const char *name = cell_push_text_of(L, 2);
    return cell_fail_nearest(L, 1, name, "the check has no parameter '%s'", name);
}

/* Pushes the table p: what the campaign set, over the check's own defaults. */
static void push_parameters(lua_State *L, const wa_value *set)
{
    wa_value *known = parameters(L);
    lua_newtable(L);
    for (size_t i = 0; i < wa_count(known); i++) {
        const char *name = wa_get_string(wa_at(known, i), "name");
        const wa_value *value = wa_get(set, name);
        cell_push_plain(L, value != NULL ? value : wa_get(wa_at(known, i), "default"));
        lua_setfield(L, -2, name);
    }
    wa_value_free(known);
    for (size_t i = 0; i < wa_count(set); i++) {
        const char *name = wa_key(set, i);
        if (lua_getfield(L, -1, name) == LUA_TNIL)
            cell_fail_nearest(L, -2, name, "the check has no parameter '%s'", name);
        lua_pop(L, 1);
    }
    lua_createtable(L, 0, 1);
    lua_pushcfunction(L, unknown_parameter);
    lua_setfield(L, -2, "__index");
    lua_setmetatable(L, -2);
}

static void job_check(lua_State *L, const wa_value *job)
{
    cell_of(L)->is_check = true;
    push_check(L, job);
    cell_push_report(L);
    int report = lua_gettop(L);
    lua_getfield(L, -2, "run");
    cell_push_campaign(L, job);
    lua_pushvalue(L, report - 1);
    push_parameters(L, wa_get(job, "parameters"));
    lua_remove(L, -2);
    lua_pushvalue(L, report);
    lua_call(L, 3, 0);
}

static void job_script(lua_State *L, const wa_value *job)
{
    cell_push_report(L);
    lua_setglobal(L, "report");
    cell_push_tables(L, job);
    lua_setglobal(L, "data");
    run_file(L, job);
}

int cell_run_job(lua_State *L)
{
    static const struct {
        const char *name;
        void (*run)(lua_State *L, const wa_value *job);
    } jobs[] = {
        {"campaign", job_campaign}, {"criteria", job_criteria}, {"describe", job_describe},
        {"check", job_check},       {"script", job_script},
    };
    const wa_value *job = cell_of(L)->job;
    const char *name = job_text(L, job, "job");
    for (size_t i = 0; i < sizeof jobs / sizeof *jobs; i++)
        if (strcmp(jobs[i].name, name) == 0) {
            jobs[i].run(L, job);
            return 0;
        }
    return cell_fail(L, "no job of the name '%s'", name);
}
