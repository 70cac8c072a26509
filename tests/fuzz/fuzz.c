#include "fuzz.h"

#include "windassay/json.h"
#include "windassay/text.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

void fuzz_broken(const char *file, int line, const char *statement)
{
    fprintf(stderr, "%s:%d: does not hold: %s\n", file, line, statement);
    abort();
}

void fuzz_error_is_clean(wa_status status, const wa_error *err)
{
    FUZZ_HOLDS(status >= WA_ERR_INTERNAL && status < WA_OK);
    FUZZ_HOLDS(status != WA_ERR_NOMEM && status != WA_ERR_INTERNAL && status != WA_ERR_IO);
    FUZZ_HOLDS(err->code == status);
    FUZZ_HOLDS(memchr(err->text, '\0', sizeof err->text) != NULL && err->text[0] != '\0');
    FUZZ_HOLDS(memchr(err->hint, '\0', sizeof err->hint) != NULL);
    FUZZ_HOLDS(memchr(err->file, '\0', sizeof err->file) != NULL);
    /* What goes to a terminal is text without control characters, whatever the input was. */
    FUZZ_HOLDS(wa_utf8_valid(err->text, strlen(err->text)));
    FUZZ_HOLDS(wa_utf8_valid(err->hint, strlen(err->hint)));
    for (const char *c = err->text; *c != '\0'; c++)
        FUZZ_HOLDS((unsigned char)*c >= ' ' && *c != 127);
    for (const char *c = err->hint; *c != '\0'; c++)
        FUZZ_HOLDS((unsigned char)*c >= ' ' && *c != 127);
}

int fuzz_fd(const void *bytes, size_t n)
{
    int fd = memfd_create("fuzz", MFD_CLOEXEC);
    FUZZ_HOLDS(fd >= 0);
    FUZZ_HOLDS(n == 0 || write(fd, bytes, n) == (ssize_t)n);
    FUZZ_HOLDS(lseek(fd, 0, SEEK_SET) == 0);
    return fd;
}

bool fuzz_fd_closed(int fd)
{
    return fcntl(fd, F_GETFD) == -1;
}

char *fuzz_string(const uint8_t *data, size_t size)
{
    char *s = malloc(size + 1);
    FUZZ_HOLDS(s != NULL);
    if (size > 0)
        memcpy(s, data, size);
    s[size] = '\0';
    return s;
}

static bool ends_field(uint8_t c, char delimiter)
{
    return c == (uint8_t)delimiter || c == '\n' || c == '\r';
}

uint8_t *fuzz_quote(size_t *quoted, const uint8_t *data, size_t size, char delimiter, unsigned how)
{
    uint8_t *to = malloc(3 * size + 1);
    FUZZ_HOLDS(to != NULL);
    size_t n = 0;
    uint32_t chance = how;
    for (size_t from = 0; from < size;) {
        size_t end = from;
        while (end < size && !ends_field(data[end], delimiter))
            end++;
        bool first = from == 0 || data[from - 1] == '\n' || data[from - 1] == '\r';
        bool empty_row = first && (end == size || data[end] != (uint8_t)delimiter) && end == from;
        chance = chance * 1664525u + 1013904223u;
        bool wanted = how == 1 || (how == 2 && first) || (how > 2 && (chance & 1 << 24) != 0);
        bool with = wanted && !empty_row && memchr(data + from, '"', end - from) == NULL;
        if (with)
            to[n++] = '"';
        memcpy(to + n, data + from, end - from);
        n += end - from;
        if (with)
            to[n++] = '"';
        if (end < size)
            to[n++] = data[end];
        from = end + 1;
    }
    *quoted = n;
    return to;
}

wa_value *fuzz_value(const uint8_t *data, size_t size)
{
    wa_value *v = NULL;
    wa_error err = {0};
    bool json = size > 0 && (data[0] == '{' || data[0] == '[');
    wa_status s =
        json ? wa_json_read(&v, data, size, NULL, &err) : wa_value_decode(&v, data, size, &err);
    if (s != WA_OK) {
        FUZZ_HOLDS(v == NULL);
        fuzz_error_is_clean(s, &err);
    }
    return v;
}

wa_value *fuzz_json(const char *text)
{
    char *copy = strdup(text);
    wa_value *v = NULL;
    FUZZ_HOLDS(copy != NULL);
    for (char *c = copy; *c != '\0'; c++)
        if (*c == '\'')
            *c = '"';
    FUZZ_HOLDS(wa_json_read(&v, copy, strlen(copy), NULL, NULL) == WA_OK);
    free(copy);
    return v;
}
