/* bind.h - what every binding (bind_NAME.c) uses: arguments, options, errors, results.
 *
 * A binding function checks its arguments (may raise; nothing owned yet), makes its userdata,
 * calls the core (no Lua inside) and raises or pushes. Raising is the last act. Each bind_NAME.c
 * exports `void cell_open_NAME(lua_State *L)`, which is called once, before any script text is
 * there; what it sets as global tables becomes read-only afterwards.
 */
#ifndef WINDASSAY_CELL_BIND_H
#define WINDASSAY_CELL_BIND_H

#include "windassay/bin.h"
#include "windassay/column.h"
#include "windassay/error.h"
#include "windassay/mask.h"
#include "windassay/value.h"

#include <lauxlib.h>
#include <lua.h>
#include <stdbool.h>
#include <stdint.h>

/* ---- budget ---------------------------------------------------------------------------- */

/** Charges the instruction budget by `elements` that a primitive is about to touch. At the end of
 *  the budget the process ends; so call it before the work, with nothing unsaved. */
void cell_charge(lua_State *L, uint64_t elements);

/* ---- errors: none of these returns; the int is for `return cell_fail(...)` ----------------- */

/** Raises an error of the core at the script's line. WA_ERR_UNDEFINED becomes kind "undefined",
 *  WA_ERR_NOMEM ends the process as a limit, all others are kind "script". */
int cell_raise(lua_State *L, const wa_error *err);
/** Raises an error of kind "script". */
int cell_fail(lua_State *L, const char *format, ...) WA_PRINTF(2, 3);
/** The same with a hint: what would be right. */
int cell_fail_hint(lua_State *L, const char *hint, const char *format, ...) WA_PRINTF(3, 4);
/** The same; the hint names the key of the table at `names` that is nearest to `word`. */
int cell_fail_nearest(lua_State *L, int names, const char *word, const char *format, ...)
    WA_PRINTF(4, 5);
/** Raises an error of kind "undefined": the result is not defined (too few values, no spread). */
int cell_raise_undefined(lua_State *L, const char *format, ...) WA_PRINTF(2, 3);

/* ---- arguments: `what` names the argument in messages ("width", "argument 2 of fit.line") -- */

/** A finite number. */
double cell_check_number(lua_State *L, int arg, const char *what);
/** A whole number within [lowest, highest]. */
int64_t cell_check_whole(lua_State *L, int arg, const char *what, int64_t lowest, int64_t highest);
/** A string (numbers are refused). Borrowed from the stack. */
const char *cell_check_text(lua_State *L, int arg, const char *what);
/** A table, the script's own. */
void cell_check_table(lua_State *L, int arg, const char *what);
/** What is at `arg`, for "expected ..., got ...": "number", "column", "nothing". Borrowed. */
const char *cell_type_name(lua_State *L, int arg);

/* ---- option tables --------------------------------------------------------------------- */

/** Checks that `arg` is a table of options (or absent) whose keys all stand in `names`
 *  (NULL-terminated); an unknown key raises with the nearest known one. False when absent. */
bool cell_options(lua_State *L, int arg, const char *function, const char *const *names);
/** Pushes option `name` (nil when absent, also when the whole table is) and gives its type. */
int cell_option(lua_State *L, int arg, const char *name);
/* Each returns false and leaves *out alone when the option is absent. */
bool cell_option_number(lua_State *L, int arg, const char *name, double *out);
bool cell_option_whole(lua_State *L, int arg, const char *name, int64_t lowest, int64_t highest,
                       int64_t *out);
bool cell_option_flag(lua_State *L, int arg, const char *name, bool *out);
/** The text stays valid as long as the option table holds it. */
bool cell_option_text(lua_State *L, int arg, const char *name, const char **out);

/* ---- results: set a field of the table on top of the stack ---------------------------------- */

/** Raises `undefined` ("FIELD is not defined") when x is not finite. */
void cell_set_number(lua_State *L, const char *field, double x);
void cell_set_whole(lua_State *L, const char *field, uint64_t n);
void cell_set_text(lua_State *L, const char *field, const char *text);

/* ---- the constant `missing` ------------------------------------------------------------- */

void cell_push_missing(lua_State *L);
bool cell_is_missing(lua_State *L, int index);

/* ---- libraries and types ----------------------------------------------------------------- */

/** Sets the global table `name` to the functions. Read-only once the sandbox closes. */
void cell_library(lua_State *L, const char *name, const luaL_Reg *functions);
/** Makes the metatable `type` ("windassay.column") with metamethods, `methods` as its __index
 *  (an unknown method raises with the nearest known one) and __metatable locked. */
void cell_type(lua_State *L, const char *type, const luaL_Reg *metamethods,
               const luaL_Reg *methods);

/* ---- columns and masks (bind_column.c) ----------------------------------------------------- */

/** Pushes a column of n values, all missing, side none, without times: fill it. The userdata holds
 *  header and numbers, so that the memory limit counts them. */
wa_column *cell_new_column(lua_State *L, size_t n, const wa_unit *unit);
/** Pushes a mask of n bytes, all false. */
wa_mask *cell_new_mask(lua_State *L, size_t n);
/** The column or mask at `arg`; raises "WHAT: expected a column, got ...". Borrowed. */
wa_column *cell_check_column(lua_State *L, int arg, const char *what);
wa_mask *cell_check_mask(lua_State *L, int arg, const char *what);
/** The same, or NULL for anything else. */
wa_column *cell_test_column(lua_State *L, int arg);
wa_mask *cell_test_mask(lua_State *L, int arg);
/** The bins at `arg`, or NULL for anything else. A userdata of type "windassay.bins" (bind_bin.c)
 *  begins with a pointer to them. */
const wa_bins *cell_test_bins(lua_State *L, int arg);

/* ---- plain values ------------------------------------------------------------------------ */

/** Pushes a plain value. Whole numbers up to 2^31 become integers; map keys that are decimal
 *  integers become integer keys; null is `missing` in a list and absent in a map. */
void cell_push_plain(lua_State *L, const wa_value *v);

/** The value at `index` as a plain value, or NULL with `err` set; never raises (running out of
 *  memory ends the process). A table whose keys are 1..n becomes a list (the empty table, too);
 *  any other becomes a map in sorted order (integers by value, then strings bytewise), integer
 *  keys written in decimal: { 2.10, "m", u = 0.02 } is { "1": 2.1, "2": "m", "u": 0.02 }.
 *  Functions, userdata and numbers that are not finite are refused with their key path, which
 *  begins with `path`. */
wa_value *cell_plain(lua_State *L, int index, const char *path, wa_error *err);

#endif
