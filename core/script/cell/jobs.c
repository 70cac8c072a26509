/* jobs.c - what a cell is asked to do. */
#include "script/cell/state.h"

#include <string.h>

/* Runs the file that came with the job; pushes what it returned. */
static void run_file(lua_State *L, const wa_value *job)
{
    const wa_value *text = wa_get(job, "text");
    const char *file = wa_get_string(job, "file");
    if (wa_string_of(text) == NULL || file == NULL)
        cell_fail(L, "a job without its file");
    cell_load(L, file, wa_string_of(text), wa_length_of(text));
    lua_call(L, 0, 1);
}

static void job_script(lua_State *L, const wa_value *job)
{
    cell_of(L)->is_check = true;
    run_file(L, job);
}

int cell_run_job(lua_State *L)
{
    static const struct {
        const char *name;
        void (*run)(lua_State *L, const wa_value *job);
    } jobs[] = {
        {"script", job_script},
    };
    const wa_value *job = cell_of(L)->job;
    const char *name = wa_get_string(job, "job");
    for (size_t i = 0; i < sizeof jobs / sizeof *jobs; i++)
        if (name != NULL && strcmp(jobs[i].name, name) == 0) {
            jobs[i].run(L, job);
            return 0;
        }
    return cell_fail(L, "no job of the name '%s'", name != NULL ? name : "?");
}
