#include "windassay/text.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool grow(wa_text *t, size_t more)
{
    size_t room = t->room < 64 ? 64 : t->room;
    while (room - t->length <= more) {
        if (room > SIZE_MAX / 2) {
            t->failed = true;
            return false;
        }
        room *= 2;
    }
    char *at = realloc(t->at, room);
    if (at == NULL) {
        t->failed = true;
        return false;
    }
    t->at = at;
    t->room = room;
    return true;
}

static inline bool make_room(wa_text *t, size_t more)
{
    if (t->failed)
        return false;
    return t->room - t->length > more || grow(t, more);
}

void wa_text_add_bytes(wa_text *t, const void *bytes, size_t n)
{
    if (!make_room(t, n))
        return;
    if (n > 0)
        memcpy(t->at + t->length, bytes, n);
    t->length += n;
    t->at[t->length] = '\0';
}

void wa_text_add(wa_text *t, const char *string)
{
    wa_text_add_bytes(t, string, strlen(string));
}

void wa_text_add_char(wa_text *t, char c)
{
    if (!make_room(t, 1))
        return;
    t->at[t->length++] = c;
    t->at[t->length] = '\0';
}

void wa_text_printf(wa_text *t, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    int n = vsnprintf(NULL, 0, format, args);
    va_end(args);
    if (n < 0 || !make_room(t, (size_t)n)) {
        t->failed = true;
        return;
    }
    va_start(args, format);
    vsnprintf(t->at + t->length, (size_t)n + 1, format, args);
    va_end(args);
    t->length += (size_t)n;
}

/* Length of the well-formed UTF-8 sequence at `s`, or 0. */
static size_t utf8_length(const unsigned char *s, size_t n)
{
    unsigned char c = s[0];
    if (c < 0x80)
        return 1;
    size_t length = c >= 0xf0 ? 4 : c >= 0xe0 ? 3 : 2;
    if (c < 0xc2 || c > 0xf4 || n < length)
        return 0;
    for (size_t i = 1; i < length; i++)
        if ((s[i] & 0xc0) != 0x80)
            return 0;
    if ((c == 0xe0 && s[1] < 0xa0) || (c == 0xed && s[1] > 0x9f) || (c == 0xf0 && s[1] < 0x90) ||
        (c == 0xf4 && s[1] > 0x8f))
        return 0;
    return length;
}

bool wa_utf8_valid(const char *bytes, size_t n)
{
    const unsigned char *s = (const unsigned char *)bytes;
    for (size_t i = 0; i < n;) {
        size_t length = utf8_length(s + i, n - i);
        if (length == 0)
            return false;
        i += length;
    }
    return true;
}

/* Characters that steer a display instead of being seen: controls, marks that turn the direction
 * of what follows (so that text reads otherwise than it is), separators, noncharacters. */
static bool steers(const unsigned char *s, size_t length)
{
    if (length == 1)
        return s[0] < 0x20 || s[0] == 0x7f;
    if (length == 2)
        return s[0] == 0xc2 && s[1] < 0xa0;
    if (length != 3)
        return false;
    unsigned c = ((s[0] & 0x0fu) << 12) | ((s[1] & 0x3fu) << 6) | (s[2] & 0x3fu);
    return c == 0x200e || c == 0x200f || (c >= 0x2028 && c <= 0x202e) ||
           (c >= 0x2066 && c <= 0x2069) || c == 0xfeff || c >= 0xfffe;
}

/* The next character of n > 0 foreign bytes as it is shown: how many bytes it takes, how many are
 * put into `to`. */
enum { SHOWN_MOST = 16 };
static size_t show(char to[SHOWN_MOST], size_t *put, const char *bytes, size_t n)
{
    static const char HEX[] = "0123456789abcdef";
    const unsigned char *s = (const unsigned char *)bytes;
    size_t length = utf8_length(s, n);
    if (length > 0 && !steers(s, length)) {
        memcpy(to, bytes, length);
        *put = length;
        return length;
    }
    length = length == 0 ? 1 : length;
    for (size_t k = 0; k < length; k++)
        memcpy(to + 4 * k, (char[]){'\\', 'x', HEX[s[k] >> 4], HEX[s[k] & 15]}, 4);
    *put = 4 * length;
    return length;
}

void wa_text_add_shown(wa_text *t, const char *bytes, size_t n)
{
    char piece[SHOWN_MOST];
    size_t put;
    for (size_t i = 0; i < n;) {
        i += show(piece, &put, bytes + i, n - i);
        wa_text_add_bytes(t, piece, put);
    }
}

bool wa_is_clean(const char *bytes, size_t n)
{
    char piece[SHOWN_MOST];
    size_t put;
    for (size_t i = 0; i < n;) {
        size_t length = show(piece, &put, bytes + i, n - i);
        if (put != length)
            return false;
        i += length;
    }
    return true;
}

const char *wa_text_string(const wa_text *t)
{
    return t->at == NULL ? "" : t->at;
}

bool wa_text_failed(const wa_text *t)
{
    return t->failed;
}

void wa_text_clear(wa_text *t)
{
    t->length = 0;
    if (t->at != NULL)
        t->at[0] = '\0';
}

void wa_text_release(wa_text *t)
{
    if (t == NULL)
        return;
    free(t->at);
    *t = (wa_text)WA_TEXT_INIT;
}

void wa_text_spend(wa_text *piece, wa_text *out)
{
    out->failed = out->failed || piece->failed;
    wa_text_release(piece);
}

char *wa_shown(char *to, size_t size, const char *bytes, size_t n)
{
    /* Without memory of its own: it speaks of errors, and memory may be what is wrong. */
    char piece[SHOWN_MOST];
    size_t length = 0, put;
    for (size_t i = 0; i < n;) {
        i += show(piece, &put, bytes + i, n - i);
        if (put >= size - length)
            break;
        memcpy(to + length, piece, put);
        length += put;
    }
    to[length] = '\0';
    return to;
}

enum { NEAREST_MAX = 64 };

/* Edit distance with adjacent transpositions (optimal string alignment). */
static size_t edit_distance(const char *a, const char *b)
{
    size_t rows[3][NEAREST_MAX + 1];
    size_t la = strlen(a), lb = strlen(b);
    if (la > NEAREST_MAX || lb > NEAREST_MAX)
        return SIZE_MAX;
    for (size_t j = 0; j <= lb; j++)
        rows[0][j] = j;
    for (size_t i = 1; i <= la; i++) {
        size_t *now = rows[i % 3], *last = rows[(i + 2) % 3], *before = rows[(i + 1) % 3];
        now[0] = i;
        for (size_t j = 1; j <= lb; j++) {
            size_t best = last[j - 1] + (a[i - 1] != b[j - 1]);
            if (last[j] + 1 < best)
                best = last[j] + 1;
            if (now[j - 1] + 1 < best)
                best = now[j - 1] + 1;
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] &&
                before[j - 2] + 1 < best)
                best = before[j - 2] + 1;
            now[j] = best;
        }
    }
    return rows[la % 3][lb];
}

const char *wa_nearest(const char *word, const char *const *names, size_t n)
{
    const char *best = NULL;
    size_t best_distance = SIZE_MAX;
    for (size_t i = 0; i < n; i++) {
        size_t d = edit_distance(word, names[i]);
        if (d < best_distance) {
            best_distance = d;
            best = names[i];
        }
    }
    size_t length = strlen(word);
    size_t allowed = length <= 3 ? 1 : length <= 7 ? 2 : length / 3;
    /* a word that shares no letter with a name is not near it: C is no slip for m */
    return best_distance <= allowed && best_distance < length ? best : NULL;
}
