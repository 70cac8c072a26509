/* lua_lines.h - finds the line of a key in the text of a Lua table, for messages only: a scan of
 * its words that knows comments, strings and brackets, no parser. What another file wrote is not
 * found, and the message then points at the nearest thing around it. */
#ifndef WINDASSAY_DATA_LUA_LINES_H
#define WINDASSAY_DATA_LUA_LINES_H

#include <stddef.h>

/** A part of the text [from, to), and the line of the key that it belongs to; line 0: nothing. */
typedef struct wa_lua_span {
    size_t from, to;
    size_t line;
} wa_lua_span;

/** The whole text, which no key owns. `text` may be NULL. */
wa_lua_span wa_lua_whole(const char *text);

/** The value of `key` inside `outer`; where there is none, an empty span with outer's line. */
wa_lua_span wa_lua_key(const char *text, wa_lua_span outer, const char *key);

/** The i-th item (from 0) of the list that `outer` holds; where it holds none, an empty span with
 *  outer's line. */
wa_lua_span wa_lua_item(const char *text, wa_lua_span outer, size_t i);

#endif
