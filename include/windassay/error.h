/* error.h - how a function says that it failed.
 *
 * Every function that can fail returns a wa_status and takes a wa_error as its last argument.
 * The caller branches on the code; a person reads the text. `err` may be NULL. On failure
 * outputs are untouched; on success `err` is untouched.
 */
#ifndef WINDASSAY_ERROR_H
#define WINDASSAY_ERROR_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum wa_status {
    WA_OK = 0,
    WA_ERR_NOMEM = -1,     /* memory ran out                                  exit 70 */
    WA_ERR_ARG = -2,       /* the caller's arguments cannot be right          exit 64 */
    WA_ERR_DATA = -3,      /* data or a campaign file are not as they must be exit 65 */
    WA_ERR_MISSING = -4,   /* a file is not there                             exit 66 */
    WA_ERR_IO = -5,        /* reading or writing failed                       exit 74 */
    WA_ERR_SCRIPT = -6,    /* a script made a mistake                         exit 69 */
    WA_ERR_LIMIT = -7,     /* a script met a limit                            exit 69 */
    WA_ERR_UNDEFINED = -8, /* the result is not defined (too few values, no spread)   */
    WA_ERR_INTERNAL = -9   /* our fault                                       exit 70 */
} wa_status;

enum { WA_ERROR_FILE_SIZE = 256, WA_ERROR_TEXT_SIZE = 512, WA_ERROR_HINT_SIZE = 2048 };

/** What went wrong, where, and what would be right. Plain data: copy it freely. All texts are clean
 *  (UTF-8 without control characters, see wa_text_add_shown; hints keep their line feeds): the
 *  functions below see to it, whatever the words are that a message quotes. */
typedef struct wa_error {
    wa_status code;
    char file[WA_ERROR_FILE_SIZE]; /* "" where no file is concerned                     */
    size_t line;                   /* physical line from 1; 0: not known                */
    size_t column;                 /* byte in the line from 1; 0: not known             */
    char text[WA_ERROR_TEXT_SIZE]; /* lower case, no full stop, names in single quotes  */
    char hint[WA_ERROR_HINT_SIZE]; /* what would be right; "" where nobody knows        */
} wa_error;

#if defined(__GNUC__)
#define WA_PRINTF(f, a) __attribute__((format(printf, f, a)))
#else
#define WA_PRINTF(f, a)
#endif

/** Fills `err` (which may be NULL) and returns `code`, so that one line reports and returns. */
wa_status wa_fail(wa_error *err, wa_status code, const char *format, ...) WA_PRINTF(3, 4);

/** WA_ERR_NOMEM, "out of memory": nearly everything can fail so. */
wa_status wa_no_memory(wa_error *err);

/** As wa_fail, with a place; line and column may be 0. */
wa_status wa_fail_at(wa_error *err, wa_status code, const char *file, size_t line, size_t column,
                     const char *format, ...) WA_PRINTF(6, 7);

/** Sets the hint of an error already made. Returns the error's code. */
wa_status wa_hint(wa_error *err, wa_status code, const char *format, ...) WA_PRINTF(3, 4);

/** Sets file, line and column of an error that has no file yet. Returns `code`. */
wa_status wa_place(wa_error *err, wa_status code, const char *file, size_t line, size_t column);

/** Names a fault inside a folder with the folder before it. Returns `code`. */
wa_status wa_place_inside(wa_error *err, wa_status code, const char *folder);

/** The exit code of the program for a status (64 to 74; 0 for WA_OK). */
int wa_status_exit(wa_status code);

/** The status as one lower-case word for machines: "data", "script", ... Never NULL. */
const char *wa_status_name(wa_status code);

#ifdef __cplusplus
}
#endif
#endif
