/* grid.h - the records of a check's job inside the cell: grid, channels, accounts. */
#ifndef WINDASSAY_CELL_GRID_H
#define WINDASSAY_CELL_GRID_H

#include "script/cell/jobs.h"
#include "windassay/account.h"

enum { CELL_ACCOUNTS_MOST = 100 };

/** One account and what scripts have cut by it. Lives as long as the cell. */
typedef struct cell_account {
    wa_account *account;
    bool touched;    /* a script used it                                         */
    bool closed;     /* kept() was called: nothing can be excluded any more      */
    bool skipped;    /* an exclusion was skipped (variant.h)                     */
    uint8_t *states; /* once closed: n bytes                                     */
    size_t *rows;    /* the intervals that are in, as of `rows_at` exclusions    */
    size_t n_rows;
    double *time; /* their times, in the same order                           */
    size_t rows_at;
    wa_value *rules;    /* of its own exclusions, in order: { rule, looks_at }; NULL: none  */
    wa_value *compared; /* what was compared in the kept rows, and their bins; NULL: nothing */
} cell_account;

/** What a script holds: the intervals as one account sees them. */
typedef struct cell_intervals {
    cell_account *account;
} cell_intervals;

struct cell_grid {
    size_t n;
    int64_t from; /* s since 1970 */
    double interval_s;
    double *time; /* n: start of each interval, s since 1970 */
    const wa_value *series;
    wa_event *events;
    size_t n_events;
    cell_account accounts[CELL_ACCOUNTS_MOST];
    size_t n_accounts;
    wa_value *judged; /* computed columns that exclusions looked at; NULL: none */
};

/** The grid of this cell's job; raises when the job has none. */
cell_grid *cell_grid_of(lua_State *L);
void cell_make_grid(lua_State *L, const wa_value *records);

/** Pushes the intervals of an account, which is opened when there is none of that name. */
void cell_push_intervals(lua_State *L, const char *name);

/** bind_role.c: the view of a role ("unit", "reference"). */
void cell_open_role(lua_State *L);
void cell_push_role(lua_State *L, const char *role);
/** bind_channel.c: the channel of a series; its name ("beams.los_speed of beam 1 at 240 m"), and
 *  the name with what it is, added to a text; pushes a text and releases it. */
void cell_push_channel(lua_State *L, size_t series);
void cell_name_channel(wa_text *t, const wa_value *series);
void cell_describe_channel(wa_text *t, const wa_value *series);
const char *cell_push_built(lua_State *L, wa_text *t);
/** The text for a column that a channel gave ("mast.v_top sd"), or NULL. Borrowed. */
const char *cell_column_label(lua_State *L, int index);

/** Pushes a column with a copy of n numbers, the grid's times, a unit's text and a side. */
void cell_push_grid_column(lua_State *L, const double *at, const wa_unit *unit, uint8_t side);

/** bind_instruments.c: gives campaign.instruments, in the table at `data`, their times and method. */
void cell_set_instruments(lua_State *L, int data, const wa_value *campaign);

/** A new block of memory; running out of it ends the process. */
void *cell_block(lua_State *L, size_t n, size_t size);

/** The unit that a text means; what is no unit raises. */
wa_unit cell_unit_of_text(lua_State *L, const char *text);

#endif
