#include "windassay/error.h"

#include "windassay/text.h"

#include <stdarg.h>
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

static void copy_text(char *to, size_t size, const char *from)
{
    size_t n = strlen(from);
    if (n >= size)
        n = size - 1;
    memcpy(to, from, n);
    to[n] = '\0';
    end_whole(to, size);
}

wa_status wa_fail(wa_error *err, wa_status code, const char *format, ...)
{
    if (err != NULL) {
        va_list args;
        *err = (wa_error){.code = code};
        va_start(args, format);
        vsnprintf(err->text, sizeof err->text, format, args);
        va_end(args);
        end_whole(err->text, sizeof err->text);
    }
    return code;
}

wa_status wa_fail_at(wa_error *err, wa_status code, const char *file, size_t line, size_t column,
                     const char *format, ...)
{
    if (err != NULL) {
        va_list args;
        *err = (wa_error){.code = code, .line = line, .column = column};
        copy_text(err->file, sizeof err->file, file);
        va_start(args, format);
        vsnprintf(err->text, sizeof err->text, format, args);
        va_end(args);
        end_whole(err->text, sizeof err->text);
    }
    return code;
}

wa_status wa_hint(wa_error *err, wa_status code, const char *format, ...)
{
    if (err != NULL) {
        va_list args;
        va_start(args, format);
        vsnprintf(err->hint, sizeof err->hint, format, args);
        va_end(args);
        end_whole(err->hint, sizeof err->hint);
    }
    return code;
}

wa_status wa_place(wa_error *err, wa_status code, const char *file, size_t line, size_t column)
{
    if (err != NULL && err->file[0] == '\0') {
        copy_text(err->file, sizeof err->file, file);
        err->line = line;
        err->column = column;
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
