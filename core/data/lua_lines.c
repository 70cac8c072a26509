#include "data/lua_lines.h"

#include <stdbool.h>
#include <string.h>

typedef enum token_kind { TOKEN_END, TOKEN_WORD, TOKEN_STRING, TOKEN_SIGN } token_kind;

typedef struct token {
    token_kind kind;
    size_t from, to; /* of a string: without its quotes */
    char sign;
} token;

typedef struct words {
    const char *s;
    size_t at, to;
} words;

static bool is_word(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
}

/* The length of an opening long bracket, "[[" or "[==["; 0: none here. */
static size_t long_bracket(const words *w, size_t at)
{
    size_t level = 0;
    if (at >= w->to || w->s[at] != '[')
        return 0;
    while (at + 1 + level < w->to && w->s[at + 1 + level] == '=')
        level++;
    return at + 1 + level < w->to && w->s[at + 1 + level] == '[' ? level + 2 : 0;
}

/* Behind the long bracket of the given length that opens at `at`. */
static size_t behind_long(const words *w, size_t at, size_t length)
{
    for (size_t i = at + length; i + length <= w->to; i++) {
        bool closes = w->s[i] == ']' && w->s[i + length - 1] == ']';
        for (size_t k = 1; closes && k + 1 < length; k++)
            closes = w->s[i + k] == '=';
        if (closes)
            return i + length;
    }
    return w->to;
}

static void skip_blanks_and_comments(words *w)
{
    while (w->at < w->to) {
        char c = w->s[w->at];
        if (c == ' ' || c == '\t' || c == '\n' || c == '\r') {
            w->at++;
        } else if (c == '-' && w->at + 1 < w->to && w->s[w->at + 1] == '-') {
            size_t length = long_bracket(w, w->at + 2);
            if (length > 0)
                w->at = behind_long(w, w->at + 2, length);
            else
                while (w->at < w->to && w->s[w->at] != '\n')
                    w->at++;
        } else {
            return;
        }
    }
}

static token next_token(words *w)
{
    skip_blanks_and_comments(w);
    size_t from = w->at;
    if (from >= w->to)
        return (token){TOKEN_END, w->to, w->to, '\0'};
    char c = w->s[from];
    if (is_word(c)) {
        while (w->at < w->to && is_word(w->s[w->at]))
            w->at++;
        return (token){TOKEN_WORD, from, w->at, '\0'};
    }
    if (c == '"' || c == '\'') {
        w->at++;
        while (w->at < w->to && w->s[w->at] != c && w->s[w->at] != '\n')
            w->at += w->s[w->at] == '\\' ? 2 : 1;
        size_t end = w->at < w->to ? w->at : w->to;
        w->at = end < w->to ? end + 1 : w->to;
        return (token){TOKEN_STRING, from + 1, end, '\0'};
    }
    size_t length = long_bracket(w, from);
    if (length > 0) {
        w->at = behind_long(w, from, length);
        return (token){TOKEN_STRING, from, w->at, '\0'};
    }
    w->at++;
    /* "==" is no assignment */
    if (c == '=' && w->at < w->to && w->s[w->at] == '=') {
        w->at++;
        c = '~';
    }
    return (token){TOKEN_SIGN, from, w->at, c};
}

static bool opens(char c)
{
    return c == '{' || c == '(' || c == '[';
}

static bool closes(char c)
{
    return c == '}' || c == ')' || c == ']';
}

/* Where the value that starts at w->at ends: a comma or closing bracket of its own depth. */
static size_t value_end(words w)
{
    int depth = 0;
    for (;;) {
        token t = next_token(&w);
        if (t.kind == TOKEN_END)
            return w.to;
        if (t.kind != TOKEN_SIGN)
            continue;
        if (depth == 0 && (t.sign == ',' || t.sign == ';' || closes(t.sign)))
            return t.from;
        depth += opens(t.sign) - closes(t.sign);
    }
}

static size_t line_at(const char *text, size_t at)
{
    size_t line = 1;
    for (size_t i = 0; i < at; i++)
        line += text[i] == '\n';
    return line;
}

wa_lua_span wa_lua_whole(const char *text)
{
    return (wa_lua_span){0, text == NULL ? 0 : strlen(text), 0};
}

wa_lua_span wa_lua_key(const char *text, wa_lua_span outer, const char *key)
{
    wa_lua_span none = {outer.to, outer.to, outer.line};
    if (text == NULL)
        return none;
    words w = {text, outer.from, outer.to};
    size_t length = strlen(key);
    for (;;) {
        token t = next_token(&w);
        if (t.kind == TOKEN_END)
            return none;
        if (t.kind == TOKEN_SIGN || t.to - t.from != length ||
            memcmp(text + t.from, key, length) != 0)
            continue;
        words ahead = w;
        token after = next_token(&ahead);
        if (t.kind == TOKEN_STRING && after.kind == TOKEN_SIGN && after.sign == ']')
            after = next_token(&ahead); /* ["key"] = */
        if (after.kind != TOKEN_SIGN || after.sign != '=')
            continue;
        return (wa_lua_span){ahead.at, value_end(ahead), line_at(text, t.from)};
    }
}

wa_lua_span wa_lua_item(const char *text, wa_lua_span outer, size_t i)
{
    wa_lua_span none = {outer.to, outer.to, outer.line};
    if (text == NULL)
        return none;
    words w = {text, outer.from, outer.to};
    token t = next_token(&w);
    if (t.kind != TOKEN_SIGN || t.sign != '{')
        return none;
    for (; i > 0; i--) {
        w.at = value_end(w);
        t = next_token(&w);
        if (t.kind != TOKEN_SIGN || (t.sign != ',' && t.sign != ';'))
            return none;
    }
    wa_lua_span item = {w.at, value_end(w), 0};
    t = next_token(&w);
    item.line = t.kind == TOKEN_END ? outer.line : line_at(text, t.from);
    return item;
}
