/* state.h - one cell: its socket, its limits, its reply. Internal to core/script/cell. */
#ifndef WINDASSAY_CELL_STATE_H
#define WINDASSAY_CELL_STATE_H

#include "script/cell/bind.h"
#include "windassay/text.h"
#include "windassay/value.h"

/* The sanitizers reserve terabytes of addresses and need more system calls than a sealed cell
 * has: under them a cell runs without RLIMIT_AS and seccomp. */
#if defined(__SANITIZE_ADDRESS__)
#define CELL_SEALED 0
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define CELL_SEALED 0
#else
#define CELL_SEALED 1
#endif
#else
#define CELL_SEALED 1
#endif

enum {
    CELL_FD = 0,                       /* the socket to the parent                 */
    CELL_RECORDS_FD = 3,               /* sealed memfd of doubles, where there is one */
    CELL_PRINT_MOST = 64 * 1024 - 256, /* and a line that says so: the record holds 64 KiB */
    CELL_SOURCE_MOST = 64 * 1024
};

typedef struct cell_grid cell_grid;

typedef struct cell_state {
    uint64_t instructions, used;    /* budget and what is spent                     */
    size_t memory, held, held_most; /* bytes that Lua may hold, holds, held at most */
    const double *doubles;          /* the mapped memfd                             */
    size_t n_doubles;
    wa_text printed;
    bool print_cut;
    wa_text undecided; /* why the check is inconclusive: reasons joined by "; "       */
    wa_value *job;     /* as received                                              */
    wa_value *reply;   /* grows while the job runs                                 */
    cell_grid *grid;   /* the records of a check's job; NULL: none                   */
    bool is_check;     /* an uncaught `undefined` is an outcome, not a fault       */
} cell_state;

/** The cell of a Lua state. */
cell_state *cell_of(lua_State *L);

/* limits.c */
lua_State *cell_new_lua(cell_state *cell);
/** Ends the process with a reply of kind "limit". */
_Noreturn void cell_end_limit(lua_State *L, const char *which);

/* wire.c: the parent is trusted; a frame that cannot be read or written ends the process. */
void cell_send(const wa_value *v);
wa_value *cell_receive(void);
_Noreturn void cell_end_reply(wa_value *reply);
/** A text of a script as a value: as it is where it is UTF-8, else with its foreign bytes escaped. */
wa_value *cell_clean_text(const char *text, size_t n);
/** Adds what the script printed. */
void cell_add_printed(const cell_state *cell, wa_value *reply);

/* seal.c */
void cell_map_records(cell_state *cell);
void cell_seal(const cell_state *cell, unsigned wall_s);

/* errors.c: the message handler; whatever was raised becomes an error record. */
int cell_handler(lua_State *L);
void cell_open_errors(lua_State *L);
bool cell_is_error(lua_State *L, int index);
/** Makes an error record of the text on top of the stack, which it replaces. */
void cell_make_error(lua_State *L, const char *kind);
/** Adds one reason why the check is inconclusive. */
void cell_add_undecided(cell_state *cell, const char *reason);
/** Puts the error on top of the stack into the cell's reply. */
void cell_error_reply(lua_State *L);
/** Keeps a script's text, so that an error can show its line. */
void cell_keep_source(lua_State *L, const char *path, const char *text, size_t n);
/** Pushes a line of a kept text; false, nothing pushed, when there is none. */
bool cell_push_source(lua_State *L, const char *file, int line);
/** Raises an error of kind "script" at a place that is not the running line. */
int cell_fail_at(lua_State *L, const char *file, int line, const char *message);
/** The place of the innermost frame of a script; false when there is none. */
bool cell_where(lua_State *L, int level, char *file, size_t size, int *line);

/* sandbox.c */
void cell_open_base(lua_State *L);
void cell_open_text(lua_State *L);  /* string.*           */
void cell_open_lists(lua_State *L); /* table.*            */
void cell_open_math(lua_State *L);
/** Closes the sandbox: libraries become read-only, globals strict. */
void cell_close_sandbox(lua_State *L);
/** Loads text as a chunk named `path` in the sandbox's environment; pushes the function. */
void cell_load(lua_State *L, const char *path, const char *text, size_t n);
/** Pushes what module `name` returned. */
void cell_require(lua_State *L, const char *name);
/** Pushes the text of any value as `tostring` gives it. */
const char *cell_push_text_of(lua_State *L, int index);
/** Pushes the array of the keys of the table at `index` in sorted order; gives their count. */
lua_Integer cell_push_sorted_keys(lua_State *L, int index);
/** The real table behind a read-only library, else the index itself: pushes one value. */
void cell_push_behind(lua_State *L, int index);

/* jobs.c */
int cell_run_job(lua_State *L);

#endif
