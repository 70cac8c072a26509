#include "windassay/error.h"

#include "windassay/text.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

/* A text that was cut ends with a whole character. */
static void end_whole(char *text, size_t size)
{
    size_t n = strlen(text), lead = n;
    if (n + 1 < size)
        return;
    while (lead > 0 && ((unsigned char)text[lead - 1] & 0xc0) == 0x80)
        lead--;
    if (lead > 0 && !wa_utf8_valid(text + lead - 1, n - lead + 1))
        text[lead - 1] = '\0';
}

/* What stands in an error is clean text, whoever wrote the words that it quotes; `lines` keeps line
 * feeds. */
static void write_clean(char *to, size_t size, bool lines, const char *from)
{
    size_t length = 0;
    for (;;) {
        size_t n = lines ? strcspn(from, "\n") : strlen(from);
        wa_shown(to + length, size - length, from, n);
        length += strlen(to + length);
        from += n;
        if (*from == '\0' || length + 2 > size)
            return;
        to[length++] = *from++; /* the line feed */
        to[length] = '\0';
    }
}

WA_PRINTF(4, 0)
static void write_text(char *to, size_t size, bool lines, const char *format, va_list args)
{
    char raw[WA_ERROR_HINT_SIZE]; /* the longer of the two */
    vsnprintf(raw, sizeof raw, format, args);
    end_whole(raw, sizeof raw);
    write_clean(to, size, lines, raw);
}

wa_status wa_fail(wa_error *err, wa_status code, const char *format, ...)
{
    if (err != NULL) {
        va_list args;
        *err = (wa_error){.code = code};
        va_start(args, format);
        write_text(err->text, sizeof err->text, false, format, args);
        va_end(args);
    }
    return code;
}

wa_status wa_no_memory(wa_error *err)
{
    return wa_fail(err, WA_ERR_NOMEM, "out of memory");
}

wa_status wa_fail_at(wa_error *err, wa_status code, const char *file, size_t line, size_t column,
                     const char *format, ...)
{
    if (err != NULL) {
        va_list args;
        *err = (wa_error){.code = code, .line = line, .column = column};
        write_clean(err->file, sizeof err->file, false, file);
        va_start(args, format);
        write_text(err->text, sizeof err->text, false, format, args);
        va_end(args);
    }
    return code;
}

wa_status wa_hint(wa_error *err, wa_status code, const char *format, ...)
{
    if (err != NULL) {
        va_list args;
        va_start(args, format);
        write_text(err->hint, sizeof err->hint, true, format, args);
        va_end(args);
    }
    return code;
}

wa_status wa_place(wa_error *err, wa_status code, const char *file, size_t line, size_t column)
{
    if (err != NULL && err->file[0] == '\0') {
        write_clean(err->file, sizeof err->file, false, file);
        err->line = line;
        err->column = column;
    }
    return code;
}

wa_status wa_place_inside(wa_error *err, wa_status code, const char *folder)
{
    if (err != NULL) {
        char inner[WA_ERROR_FILE_SIZE], both[2 * WA_ERROR_FILE_SIZE];
        memcpy(inner, err->file, sizeof inner);
        snprintf(both, sizeof both, "%.*s%s%s", WA_ERROR_FILE_SIZE - 1, folder,
                 inner[0] == '\0' ? "" : "/", inner);
        write_clean(err->file, sizeof err->file, false, both);
    }
    return code;
}

int wa_status_exit(wa_status code)
{
    switch (code) {
    case WA_OK:
        return 0;
    case WA_ERR_ARG:
        return 64;
    case WA_ERR_DATA:
        return 65;
    case WA_ERR_MISSING:
        return 66;
    case WA_ERR_IO:
        return 74;
    case WA_ERR_SCRIPT:
    case WA_ERR_LIMIT:
    case WA_ERR_UNDEFINED:
        return 69;
    case WA_ERR_NOMEM:
    case WA_ERR_INTERNAL:
        return 70;
    }
    return 70;
}

const char *wa_status_name(wa_status code)
{
    switch (code) {
    case WA_OK:
        return "ok";
    case WA_ERR_ARG:
        return "misuse";
    case WA_ERR_DATA:
        return "data";
    case WA_ERR_MISSING:
        return "missing";
    case WA_ERR_IO:
        return "io";
    case WA_ERR_SCRIPT:
        return "script";
    case WA_ERR_LIMIT:
        return "limit";
    case WA_ERR_UNDEFINED:
        return "undefined";
    case WA_ERR_NOMEM:
        return "memory";
    case WA_ERR_INTERNAL:
        return "internal";
    }
    return "internal";
}
