/* main.c - windassay-cell, the sealed child in which scripts run.
 *
 *   windassay-cell INSTRUCTIONS MEMORY_BYTES WALL_SECONDS
 *
 * Started by the parent with a socket on descriptor 0 and, where the job has records, a sealed
 * memfd of doubles on 3. It maps the records, builds its Lua state, seals itself, and only then
 * reads the job. The wall time is the parent's to watch; here it bounds the processor time.
 */
#include "script/cell/jobs.h"
#include "script/cell/open.h"
#include "script/cell/variant.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

/* What telling of an error may take when the script left nothing. */
enum { REPORT_ROOM = 1 << 20 };

static int build(lua_State *L)
{
    cell_open_base(L);
    cell_open_text(L);
    cell_open_lists(L);
    cell_open_math(L);
    cell_open_bindings(L);
    cell_close_sandbox(L);
    return 0;
}

/* Runs f under protection; what it raises goes into the reply. */
static void run(lua_State *L, cell_state *cell, lua_CFunction f)
{
    lua_pushcfunction(L, cell_handler);
    lua_pushcfunction(L, f);
    int status = lua_pcall(L, 0, 0, -2);
    if (status == LUA_ERRMEM)
        cell_end_limit(L, "memory");
    if (status != LUA_OK) {
        cell->memory += REPORT_ROOM;
        cell_error_reply(L);
    }
    lua_settop(L, 0);
}

static bool number(uint64_t *out, const char *text)
{
    char *end;
    *out = strtoull(text, &end, 10);
    return *text >= '0' && *text <= '9' && *end == '\0' && *out > 0;
}

int main(int argc, char **argv)
{
    cell_state cell = {0};
    uint64_t memory, wall_s;
    if (argc != 4 || !number(&cell.instructions, argv[1]) || !number(&memory, argv[2]) ||
        !number(&wall_s, argv[3]) || memory > SIZE_MAX / 4 || wall_s > 1000000) {
        fputs("windassay-cell: started by windassay, not by hand\n", stderr);
        return 64;
    }
    cell.memory = (size_t)memory;
    cell_map_records(&cell);
    lua_State *L = cell_new_lua(&cell);
    if (L == NULL)
        return 71;
    lua_pushcfunction(L, build);
    if (lua_pcall(L, 0, 0, 0) != LUA_OK) {
        fprintf(stderr, "windassay-cell: %s\n", lua_tostring(L, -1));
        return 70;
    }
    cell_seal(&cell, (unsigned)wall_s);

    cell.job = cell_receive();
    cell.reply = wa_map();
    run(L, &cell, cell_run_job);
    if (wa_get(cell.reply, "error") == NULL && wa_get(cell.job, "variant") == NULL)
        run(L, &cell, cell_finish_accounts);
    if (cell.undecided.length > 0 && wa_get(cell.reply, "error") == NULL)
        wa_map_set(cell.reply, "undefined", wa_string(wa_text_string(&cell.undecided)));
    wa_value *told = cell_variant_reply(&cell);
    if (told == NULL)
        cell_add_printed(&cell, cell.reply);
    cell_end_reply(told == NULL ? cell.reply : told);
}
