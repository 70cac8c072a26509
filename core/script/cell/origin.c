#include "script/cell/origin.h"

#include "script/cell/grid.h"
#include "windassay/number.h"

#include <stdarg.h>
#include <string.h>

enum { WORDS = 2, LOOKS_AT = 3 };                              /* user values            */
enum { COLUMN_MOST = 200, MASK_MOST = 1000, LOOKS_MOST = 64 }; /* bytes, bytes, columns */

/* ---- words ----------------------------------------------------------------------------------- */

/* Pushes the words of the column or mask at `arg`, or nil. */
static const char *push_words(lua_State *L, int arg)
{
    lua_getiuservalue(L, arg, WORDS);
    return lua_tostring(L, -1);
}

static void set_place(lua_State *L)
{
    char file[200];
    int line;
    if (cell_where(L, 0, file, sizeof file, &line))
        lua_pushfstring(L, "computed in %s:%d", file, line);
    else
        lua_pushliteral(L, "computed");
}

/* Gives the words to what is on top, and releases them. */
static void set(lua_State *L, wa_text *t)
{
    size_t most = cell_test_mask(L, -1) != NULL ? MASK_MOST : COLUMN_MOST;
    if (wa_text_failed(t))
        cell_end_limit(L, "memory");
    if (t->length <= most)
        lua_pushlstring(L, wa_text_string(t), t->length);
    else
        set_place(L);
    wa_text_release(t);
    lua_setiuservalue(L, -2, WORDS);
}

static void add_number(wa_text *t, double x)
{
    char number[WA_NUMBER_SIZE];
    wa_text_add_bytes(t, number, wa_number_print(number, x));
}

/* An operand: a column, a number, a number with its unit; a text as it is. */
static void add(lua_State *L, wa_text *t, int arg)
{
    if (cell_test_column(L, arg) != NULL) {
        wa_text_add(t, cell_origin_of(L, arg));
    } else if (lua_istable(L, arg)) {
        lua_geti(L, arg, 1);
        lua_geti(L, arg, 2);
        add_number(t, lua_tonumber(L, -2));
        wa_text_printf(t, " %s", lua_tostring(L, -1));
        lua_pop(L, 2);
    } else if (lua_type(L, arg) == LUA_TSTRING) {
        wa_text_add(t, lua_tostring(L, arg));
    } else {
        add_number(t, lua_tonumber(L, arg));
    }
}

/* The same, without brackets about the whole: where nothing stands beside it. */
static void add_bare(lua_State *L, wa_text *t, int arg)
{
    wa_text whole = WA_TEXT_INIT;
    add(L, &whole, arg);
    const char *words = wa_text_string(&whole);
    size_t n = whole.length, depth = 0, end = 0;
    for (size_t i = 0; i < n && end == 0; i++) {
        depth += words[i] == '(';
        depth -= words[i] == ')';
        end = depth == 0 ? i + 1 : 0;
    }
    bool whole_in_brackets = n > 2 && words[0] == '(' && end == n;
    wa_text_add_bytes(t, words + whole_in_brackets, n - 2 * (size_t)whole_in_brackets);
    wa_text_spend(&whole, t);
}

const char *cell_origin_of(lua_State *L, int arg)
{
    arg = lua_absindex(L, arg);
    const char *words = push_words(L, arg);
    lua_pop(L, 1);
    if (words == NULL) {
        set_place(L);
        words = lua_tostring(L, -1);
        lua_setiuservalue(L, arg, WORDS);
    }
    return words; /* the column holds them */
}

/* ---- columns --------------------------------------------------------------------------------- */

void cell_origin_series(lua_State *L, const wa_value *series, const char *statistic,
                        const char *more)
{
    double x;
    wa_text t = WA_TEXT_INIT;
    wa_text_printf(&t, "%s.%s", wa_get_string(series, "source"), wa_get_string(series, "name"));
    bool beam = wa_number_of(wa_get(series, "beam"), &x);
    if (beam) {
        wa_text_add(&t, "@beam=");
        add_number(&t, x);
    }
    if (wa_number_of(wa_get(series, "range"), &x)) {
        wa_text_add(&t, beam ? ",range=" : "@range=");
        add_number(&t, x);
    }
    wa_text_printf(&t, ".%s%s", statistic, more);
    set(L, &t);
}

void cell_origin_operator(lua_State *L, int a, const char *sign, int b)
{
    wa_text t = WA_TEXT_INIT;
    wa_text_add_char(&t, '(');
    add(L, &t, a);
    wa_text_printf(&t, " %s ", sign);
    add(L, &t, b);
    wa_text_add_char(&t, ')');
    set(L, &t);
}

void cell_origin_function(lua_State *L, const char *name, int first, int last)
{
    wa_text t = WA_TEXT_INIT;
    wa_text_printf(&t, "%s(", name);
    for (int arg = first; arg <= last; arg++) {
        wa_text_add(&t, arg > first ? ", " : "");
        add_bare(L, &t, arg);
    }
    wa_text_add_char(&t, ')');
    set(L, &t);
}

void cell_origin_same(lua_State *L, int arg)
{
    if (push_words(L, arg) != NULL)
        lua_setiuservalue(L, -2, WORDS);
    else
        lua_pop(L, 1);
}

/* ---- masks: words and what they look at -------------------------------------------------------- */

/* Adds the column on top of the stack to the list below it, unless it is there; pops it. */
static void add_look(lua_State *L)
{
    lua_Integer n = (lua_Integer)lua_rawlen(L, -2);
    const char *name = cell_origin_of(L, -1);
    bool there = n >= LOOKS_MOST;
    for (lua_Integer i = 1; i <= n && !there; i++) {
        lua_rawgeti(L, -2, i);
        there = lua_rawequal(L, -1, -2) ||
                (strcmp(cell_origin_of(L, -1), name) == 0 && cell_column_label(L, -1) != NULL);
        lua_pop(L, 1);
    }
    if (there)
        lua_pop(L, 1);
    else
        lua_rawseti(L, -2, n + 1);
}

/* Adds what the argument looks at to the list on top: a column itself, a mask's columns. */
static void add_looks(lua_State *L, int arg)
{
    if (arg == 0)
        return;
    if (cell_test_column(L, arg) != NULL) {
        lua_pushvalue(L, arg);
        add_look(L);
    } else if (cell_test_mask(L, arg) != NULL) {
        if (lua_getiuservalue(L, arg, LOOKS_AT) == LUA_TTABLE)
            for (lua_Integer i = 1; i <= (lua_Integer)lua_rawlen(L, -1); i++) {
                lua_rawgeti(L, -1, i);
                lua_pushvalue(L, -3);
                lua_insert(L, -2);
                add_look(L);
                lua_pop(L, 1);
            }
        lua_pop(L, 1);
    }
}

static void look_at(lua_State *L, int a, int b, int c)
{
    lua_newtable(L);
    add_looks(L, a);
    add_looks(L, b);
    add_looks(L, c);
    lua_setiuservalue(L, -2, LOOKS_AT);
}

void cell_origin_within(lua_State *L, int a, const char *verb, int b, int c, const char *unit)
{
    wa_text t = WA_TEXT_INIT;
    add_bare(L, &t, a);
    wa_text_printf(&t, " %s", verb);
    if (b != 0) {
        wa_text_add_char(&t, ' ');
        add(L, &t, b);
    }
    if (c != 0) {
        wa_text_add(&t, " to ");
        add(L, &t, c);
    }
    if (unit != NULL)
        wa_text_printf(&t, " %s", unit);
    set(L, &t);
    look_at(L, a, b, c);
}

void cell_origin_compared(lua_State *L, int a, const char *verb, int b, const char *unit)
{
    cell_origin_within(L, a, verb, b, 0, unit);
}

/* The words of a mask as part of others: in brackets where `and` and `or` would meet. */
static void add_mask(lua_State *L, wa_text *t, int arg, const char *bracket)
{
    const char *words = push_words(L, arg);
    bool brackets = words != NULL && bracket != NULL && strstr(words, bracket) != NULL;
    wa_text_add(t, brackets ? "(" : "");
    wa_text_add(t, words == NULL ? "computed" : words);
    wa_text_add(t, brackets ? ")" : "");
    lua_pop(L, 1);
}

void cell_origin_joined(lua_State *L, int a, const char *word, int b)
{
    wa_text t = WA_TEXT_INIT;
    bool either = strcmp(word, "or") == 0, and = strcmp(word, "and") == 0;
    const char *bracket = either ? " and " : and? " or " : " ";
    add_mask(L, &t, a, bracket);
    wa_text_printf(&t, " %s ", word);
    add_mask(L, &t, b, bracket);
    set(L, &t);
    look_at(L, a, b, 0);
}

void cell_origin_of_mask(lua_State *L, const char *before, int a, const char *after)
{
    wa_text t = WA_TEXT_INIT;
    wa_text_printf(&t, "%s(", before);
    add_mask(L, &t, a, NULL);
    wa_text_printf(&t, ")%s", after);
    set(L, &t);
    look_at(L, a, 0, 0);
}

void cell_origin_words(lua_State *L, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    lua_pushvfstring(L, format, args);
    va_end(args);
    lua_setiuservalue(L, -2, WORDS);
}

/* ---- explaining ------------------------------------------------------------------------------ */

static bool same_numbers(const wa_value *v, const wa_column *c)
{
    const wa_value *at = wa_get(v, "at");
    return strcmp(wa_get_string(v, "unit"), c->unit.text) == 0 &&
           wa_length_of(at) == c->n * sizeof *c->at &&
           memcmp(wa_string_of(at), c->at, c->n * sizeof *c->at) == 0;
}

/* Keeps the numbers of a computed column; gives the name that they have among the others in `name`:
 * other numbers under the same words get a number of their own. */
static void keep(lua_State *L, const wa_column *c, const char *words, wa_value *judged,
                 wa_text *name)
{
    for (unsigned again = 1;; again++) {
        wa_text_clear(name);
        wa_text_add(name, words);
        if (again > 1)
            wa_text_printf(name, " (%u)", again);
        size_t i = 0, n = wa_count(judged);
        while (i < n && strcmp(wa_get_string(wa_at(judged, i), "name"), wa_text_string(name)) != 0)
            i++;
        if (i < n && !same_numbers(wa_at(judged, i), c))
            continue;
        if (i < n)
            return;
        wa_value *v = wa_map();
        cell_value_set(L, v, "name", wa_string(wa_text_string(name)));
        cell_value_set(L, v, "unit", wa_string(c->unit.text));
        cell_value_set(L, v, "at", wa_bytes(c->at, c->n * sizeof *c->at));
        if (!wa_list_add(judged, v))
            cell_end_limit(L, "memory");
        return;
    }
}

static void add_name(lua_State *L, wa_value *names, const wa_text *name)
{
    for (size_t i = 0; i < wa_count(names); i++)
        if (strcmp(wa_string_of(wa_at(names, i)), wa_text_string(name)) == 0)
            return;
    if (name->length > 0 && !wa_list_add(names, wa_string(wa_text_string(name))))
        cell_end_limit(L, "memory");
}

void cell_origin_explain(lua_State *L, int arg, size_t rows, wa_value *to, wa_value *judged)
{
    const char *words = push_words(L, arg);
    if (words == NULL) {
        lua_pop(L, 1);
        set_place(L);
        words = lua_tostring(L, -1);
    }
    wa_value *names = wa_list();
    wa_text name = WA_TEXT_INIT;
    cell_value_set(L, to, "rule", wa_string(words));
    bool any = lua_getiuservalue(L, arg, LOOKS_AT) == LUA_TTABLE;
    for (lua_Integer i = 1; any && i <= (lua_Integer)lua_rawlen(L, -1); i++) {
        lua_rawgeti(L, -1, i);
        const wa_column *c = cell_test_column(L, -1);
        wa_text_clear(&name);
        if (cell_column_label(L, -1) != NULL)
            wa_text_add(&name, cell_origin_of(L, -1));
        else if (c->n == rows)
            keep(L, c, cell_origin_of(L, -1), judged, &name);
        add_name(L, names, &name);
        lua_pop(L, 1);
    }
    wa_text_release(&name);
    cell_value_set(L, to, "looks_at", names);
    lua_pop(L, 2);
}
