/* limits.c - the two limits that a script can meet inside: instructions and memory.
 *
 * A count hook that raises is no limit: a pcall loop swallows it. So at the budget the process
 * ends, after one last frame that says which limit was met and where. Counts are the same in
 * every run and on every machine; time is not, and is the parent's to watch.
 */
#include "script/cell/state.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { HOOK_STEP = 1000 };

/* What the extra space of a Lua state holds: it has room for one pointer. */
typedef struct pointer {
    cell_state *cell;
} pointer;

cell_state *cell_of(lua_State *L)
{
    const pointer *p = lua_getextraspace(L);
    return p->cell;
}

static void spend(lua_State *L, uint64_t n)
{
    cell_state *cell = cell_of(L);
    if (n >= cell->instructions - cell->used)
        cell_end_limit(L, "instructions");
    cell->used += n;
}

static void on_count(lua_State *L, lua_Debug *ar)
{
    (void)ar;
    spend(L, HOOK_STEP);
}

void cell_charge(lua_State *L, uint64_t elements)
{
    spend(L, elements);
}

static void *allocate(void *ud, void *at, size_t old, size_t new)
{
    cell_state *cell = ud;
    if (at == NULL)
        old = 0; /* Lua passes the kind of object here */
    if (new == 0) {
        free(at);
        cell->held -= old;
        return NULL;
    }
    if (new > old &&new - old > cell->memory - cell->held)
        return NULL;
    void *moved = realloc(at, new);
    if (moved == NULL)
        return NULL;
    cell->held = cell->held - old + new;
    if (cell->held > cell->held_most)
        cell->held_most = cell->held;
    return moved;
}

/* Reached only when something raised outside a protected call: our mistake. */
static int on_panic(lua_State *L)
{
    const char *text = lua_tostring(L, -1);
    fprintf(stderr, "windassay-cell: unprotected error: %s\n", text != NULL ? text : "?");
    _exit(70);
}

lua_State *cell_new_lua(cell_state *cell)
{
    lua_State *L = lua_newstate(allocate, cell);
    if (L == NULL)
        return NULL;
    pointer *p = lua_getextraspace(L);
    p->cell = cell;
    lua_atpanic(L, on_panic);
    lua_sethook(L, on_count, LUA_MASKCOUNT, HOOK_STEP);
    return L;
}

_Noreturn void cell_end_limit(lua_State *L, const char *which)
{
    cell_state *cell = cell_of(L);
    wa_value *reply = wa_map(), *error = wa_map();
    bool memory = strcmp(which, "memory") == 0;
    char message[160], hint[160], file[256];
    int line = 0;
    if (memory) {
        snprintf(message, sizeof message, "the script needs more than its %zu MiB of memory",
                 cell->memory >> 20);
        snprintf(hint, sizeof hint, "use columns instead of tables of numbers");
    } else {
        snprintf(message, sizeof message, "the script ran for more than its %llu instructions",
                 (unsigned long long)cell->instructions);
        snprintf(hint, sizeof hint,
                 "is there a loop that does not end? loops over records belong "
                 "into primitives (columns, bins, fits)");
    }
    wa_map_set(error, "kind", wa_string("limit"));
    wa_map_set(error, "message", wa_string(message));
    if (cell_where(L, 0, file, sizeof file, &line)) {
        wa_map_set(error, "file", wa_string(file));
        wa_map_set(error, "line", wa_number(line));
        /* Pushing needs memory, so not where that is what ran out. */
        if (!memory && cell_push_source(L, file, line))
            wa_map_set(error, "source", cell_clean_text(lua_tostring(L, -1), lua_rawlen(L, -1)));
    }
    wa_map_set(error, "hint", wa_string(hint));
    wa_map_set(reply, "error", error);
    cell_add_printed(cell, reply);
    cell_end_reply(reply);
}
