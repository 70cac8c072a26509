/* jobs.h - what the jobs hand to scripts: the campaign, its intervals, the report, tables. */
#ifndef WINDASSAY_CELL_JOBS_H
#define WINDASSAY_CELL_JOBS_H

#include "script/cell/state.h"

/** bind_report.c: pushes the object that collects results into the cell's reply. */
void cell_open_report(lua_State *L);
void cell_push_report(lua_State *L);
/** bind_figure.c: report:figure(name, spec) */
int cell_report_figure(lua_State *L);
/** bind_coverage.c: report:coverage(name, options) */
int cell_report_coverage(lua_State *L);
/** Into the reply: a name at argument 2 that stands once in `list`; an entry of it. */
const char *cell_report_name(lua_State *L, const char *function, const char *list);
void cell_report_add(lua_State *L, const char *list, wa_value *entry);
/** Moves a whole list into it, which has none of that name. */
void cell_report_list(lua_State *L, const char *key, wa_value **list);
/** Sets a field of a value that is being made; running out of memory ends the process. */
void cell_value_set(lua_State *L, wa_value *map, const char *key, wa_value *item);

/** bind_campaign.c: pushes the campaign object of a check's job. */
void cell_open_campaign(lua_State *L);
void cell_push_campaign(lua_State *L, const wa_value *job);
/** Pushes the list of texts behind a column of texts, or the value at `index` itself. */
void cell_push_texts_behind(lua_State *L, int index);
/** Pushes `data`: the tables of a free script. */
void cell_push_tables(lua_State *L, const wa_value *job);

/** bind_channel.c */
void cell_open_channel(lua_State *L);

/** bind_account.c: closes the accounts and puts them into the reply. */
void cell_open_account(lua_State *L);
int cell_finish_accounts(lua_State *L);

#endif
