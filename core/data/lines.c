#include "data/lines.h"

#include "data/bytes.h"
#include "windassay/text.h"

#include <stdlib.h>
#include <string.h>

enum { BLOCK = 256 * 1024, PART_BLOCK = 64 * 1024 };

struct wa_lines {
    wa_bytes *bytes;
    bool latin1, at_end;
    char end;
    size_t limit;
    char *memory, *buffer; /* the buffer begins a little behind its memory */
    size_t room;
    size_t start, next, filled; /* held text is [start, next), unread bytes are [next, filled) */
    size_t number;
};

/* Makes the buffer full again (or reaches the end of the file), keeping what is held. */
static wa_status fill(wa_lines *l, wa_error *err)
{
    if (l->at_end)
        return WA_OK;
    if (l->start > 0) {
        memmove(l->buffer, l->buffer + l->start, l->filled - l->start);
        l->next -= l->start;
        l->filled -= l->start;
        l->start = 0;
    }
    if (l->filled == l->room) {
        char *larger = realloc(l->memory, WA_LINES_FRONT + l->room * 2);
        if (larger == NULL)
            return wa_fail(err, WA_ERR_NOMEM, "out of memory");
        l->memory = larger;
        l->buffer = larger + WA_LINES_FRONT;
        l->room *= 2;
    }
    while (l->filled < l->room && !l->at_end) {
        size_t got = 0;
        wa_status status =
            wa_bytes_read(l->bytes, l->buffer + l->filled, l->room - l->filled, &got, err);
        if (status != WA_OK)
            return status;
        l->filled += got;
        l->at_end = got == 0;
    }
    return WA_OK;
}

static wa_status refuse(const wa_lines *l, wa_error *err, const char *what, const char *hint)
{
    wa_fail_at(err, WA_ERR_DATA, wa_lines_name(l), 1, 1, "%s", what);
    return wa_hint(err, WA_ERR_DATA, "%s", hint);
}

/* Says what a file is that cannot be text, from its first bytes. Strips a UTF-8 mark. */
static wa_status look_at_head(wa_lines *l, wa_error *err)
{
    const unsigned char *b = (const unsigned char *)l->buffer;
    size_t n = l->filled;
    if (n == 0)
        return refuse(l, err, "the file is empty", "a row of column names is needed");
    if (n >= 2 && b[0] == 0x1f && b[1] == 0x8b)
        return wa_bytes_inflates(l->bytes)
                   ? refuse(l, err, "gzip data inside gzip data (1f 8b)", "unpack it once")
                   : refuse(l, err, "gzip data (1f 8b)", "name it .gz");
    if (n >= 2 && ((b[0] == 0xfe && b[1] == 0xff) || (b[0] == 0xff && b[1] == 0xfe)))
        return refuse(l, err, "UTF-16 text", "convert it to UTF-8: iconv -f UTF-16 -t UTF-8");
    for (size_t i = 0; i < n && i < 8; i++)
        if (b[i] < 0x20 && b[i] != '\t' && b[i] != '\n' && b[i] != '\r')
            return refuse(l, err, "binary data, not text", "only CSV text is read");
    if (n >= 3 && b[0] == 0xef && b[1] == 0xbb && b[2] == 0xbf)
        l->start = l->next = 3;
    return WA_OK;
}

static char first_line_end(const wa_lines *l)
{
    for (size_t i = l->next; i < l->filled; i++) {
        if (l->buffer[i] == '\n')
            return '\n';
        if (l->buffer[i] == '\r' && (i + 1 < l->filled ? l->buffer[i + 1] != '\n' : l->at_end))
            return '\r';
    }
    return '\n';
}

/* Owns `bytes` from now on. */
static wa_status begin(wa_lines **out, wa_bytes *bytes, size_t room, wa_error *err)
{
    wa_lines *l = calloc(1, sizeof *l);
    char *memory = malloc(WA_LINES_FRONT + room);
    if (l == NULL || memory == NULL) {
        free(l);
        free(memory);
        wa_bytes_close(bytes);
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    memset(memory, 0, WA_LINES_FRONT);
    *l = (wa_lines){.bytes = bytes, .memory = memory, .buffer = memory + WA_LINES_FRONT};
    l->room = room;
    wa_status status = fill(l, err);
    if (status == WA_OK)
        *out = l;
    else
        wa_lines_close(l);
    return status;
}

wa_status wa_lines_open(wa_lines **out, int fd, const char *name, bool latin1, size_t limit,
                        bool head, wa_error *err)
{
    wa_bytes *bytes = NULL;
    wa_lines *l = NULL;
    wa_status status = wa_bytes_open(&bytes, fd, name, err);
    if (status == WA_OK && head)
        wa_bytes_leave_digest(bytes);
    if (status == WA_OK)
        status = begin(&l, bytes, head ? PART_BLOCK : BLOCK, err);
    if (status != WA_OK)
        return status;
    l->latin1 = latin1;
    l->limit = limit;
    if ((status = look_at_head(l, err)) != WA_OK) {
        wa_lines_close(l);
        return status;
    }
    l->end = first_line_end(l);
    *out = l;
    return WA_OK;
}

wa_status wa_lines_open_part(wa_lines **out, int fd, const char *name, bool latin1, size_t limit,
                             uint64_t from, uint64_t to, bool whole, wa_error *err)
{
    wa_bytes *bytes = NULL;
    wa_lines *l = NULL;
    size_t room = whole || to - from < PART_BLOCK ? (size_t)(to - from) : PART_BLOCK;
    wa_status status = wa_bytes_open_part(&bytes, fd, name, from, to, err);
    if (status == WA_OK)
        status = begin(&l, bytes, room, err);
    if (status != WA_OK)
        return status;
    l->latin1 = latin1;
    l->limit = limit;
    l->end = '\n';
    l->at_end = l->at_end || whole;
    *out = l;
    return WA_OK;
}

const char *wa_lines_part(const wa_lines *l, size_t *n)
{
    *n = l->filled;
    return l->buffer;
}

uint64_t wa_lines_offset(const wa_lines *l)
{
    return wa_bytes_stored(l->bytes) - (l->filled - l->next);
}

bool wa_lines_inflates(const wa_lines *l)
{
    return wa_bytes_inflates(l->bytes);
}

wa_file_stamp wa_lines_stamp(const wa_lines *l)
{
    return wa_bytes_stamp(l->bytes);
}

wa_status wa_lines_check(const wa_lines *l, const wa_file_stamp *was, wa_error *err)
{
    return wa_bytes_check(l->bytes, was, err);
}

/* True where a line holds a byte that is NUL or not ASCII: eight at a time. */
static bool needs_a_look(const char *at, size_t n)
{
    const uint64_t low = 0x0101010101010101u, high = 0x8080808080808080u;
    uint64_t found = 0;
    size_t i = 0;
    for (; i + 8 <= n; i += 8) {
        uint64_t w;
        memcpy(&w, at + i, 8);
        found |= (w | (w - low)) & high; /* w - low borrows into a high bit at a NUL */
    }
    for (; i < n; i++)
        found |= at[i] == '\0' || (unsigned char)at[i] >= 0x80;
    return found != 0;
}

static wa_status check_text(const wa_lines *l, const char *at, size_t n, wa_error *err)
{
    const char *nul = memchr(at, '\0', n);
    if (nul != NULL)
        return wa_fail_at(err, WA_ERR_DATA, wa_lines_name(l), l->number, (size_t)(nul - at) + 1,
                          "NUL byte%s", l->number == 1 ? " in the header" : "");
    if (l->latin1 || wa_utf8_valid(at, n))
        return WA_OK;
    size_t i = 0;
    for (size_t length = 0; i < n; i += length) {
        unsigned char c = (unsigned char)at[i];
        length = c < 0x80 ? 1 : c < 0xe0 ? 2 : c < 0xf0 ? 3 : 4;
        if (length > n - i || !wa_utf8_valid(at + i, length))
            break;
    }
    wa_fail_at(err, WA_ERR_DATA, wa_lines_name(l), l->number, i + 1, "byte %02x is not UTF-8",
               (unsigned char)at[i]);
    return wa_hint(err, WA_ERR_DATA, "is the file Latin-1? set encoding = \"latin-1\"");
}

wa_status wa_lines_next(wa_lines *l, bool extend, const char **at, size_t *n, wa_error *err)
{
    if (!extend)
        l->start = l->next;
    size_t searched = l->next;
    const char *end = NULL;
    while ((end = memchr(l->buffer + searched, l->end, l->filled - searched)) == NULL &&
           !l->at_end && l->filled - l->start <= l->limit) {
        searched = l->filled - l->start; /* fill moves the held text to the front */
        wa_status status = fill(l, err);
        if (status != WA_OK)
            return status;
    }
    size_t stop = end != NULL ? (size_t)(end - l->buffer) + 1 : l->filled;
    if (stop - l->start > l->limit)
        return wa_fail_at(err, WA_ERR_DATA, wa_lines_name(l), l->number + 1, 1,
                          "a row of more than %zu bytes", l->limit);
    const char *line = l->buffer + l->next;
    size_t length = stop - l->next;
    if (length > 0) {
        l->number++;
        l->next += length;
        if (needs_a_look(line, length)) {
            wa_status status = check_text(l, line, length, err);
            if (status != WA_OK)
                return status;
        }
    }
    *at = line;
    *n = length;
    return WA_OK;
}

const char *wa_lines_unread(const wa_lines *l, size_t *n)
{
    *n = l->filled - l->next;
    return l->buffer + l->next;
}

wa_status wa_lines_more(wa_lines *l, bool *more, wa_error *err)
{
    size_t had = l->filled - l->next;
    l->start = l->next;
    wa_status status = fill(l, err);
    if (status == WA_OK)
        *more = l->filled - l->next > had;
    return status;
}

void wa_lines_pass(wa_lines *l, size_t before, size_t lines, size_t n)
{
    l->start = l->next + before;
    l->next = l->start + n;
    l->number += lines + 1;
}

const char *wa_lines_held(const wa_lines *l, size_t *n)
{
    *n = l->next - l->start;
    return l->buffer + l->start;
}

size_t wa_lines_number(const wa_lines *l)
{
    return l->number;
}

char wa_lines_end(const wa_lines *l)
{
    return l->end;
}

uint64_t wa_lines_stored(const wa_lines *l)
{
    return wa_bytes_stored(l->bytes);
}

uint64_t wa_lines_size(const wa_lines *l)
{
    return wa_bytes_size(l->bytes);
}

const char *wa_lines_sha256(const wa_lines *l)
{
    return wa_bytes_sha256(l->bytes);
}

const char *wa_lines_name(const wa_lines *l)
{
    return wa_bytes_name(l->bytes);
}

void wa_lines_close(wa_lines *l)
{
    if (l == NULL)
        return;
    wa_bytes_close(l->bytes);
    free(l->memory);
    free(l);
}
