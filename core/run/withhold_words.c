#include "run/withhold_words.h"

#include "windassay/digest.h"
#include "windassay/json.h"

#include <stdlib.h>
#include <string.h>

wa_status wa_needles_add(wa_needles *to, const char *words, const char *token, wa_error *err)
{
    wa_needle *more = realloc(to->at, (to->n + 1) * sizeof *more);
    if (more == NULL)
        return wa_no_memory(err);
    to->at = more;
    size_t n = strlen(words), at = 0;
    while (at < to->n && more[at].n >= n)
        at++;
    memmove(more + at + 1, more + at, (to->n - at) * sizeof *more);
    more[at] = (wa_needle){strdup(words), strdup(token), n};
    to->n++;
    return more[at].words == NULL || more[at].token == NULL ? wa_no_memory(err) : WA_OK;
}

void wa_needles_release(wa_needles *n)
{
    for (size_t i = 0; i < n->n; i++) {
        free(n->at[i].words);
        free(n->at[i].token);
    }
    free(n->at);
    *n = (wa_needles){0};
}

const char *wa_needles_find(const wa_needles *n, const char *words)
{
    for (size_t i = 0; i < n->n; i++)
        if (strcmp(n->at[i].words, words) == 0)
            return n->at[i].token;
    return NULL;
}

/* Words as CSV has them between quotes, and as JSON has them. */
static wa_status variants(wa_text to[3], const char *words, wa_error *err)
{
    wa_value *v = wa_string(words);
    wa_text json = WA_TEXT_INIT;
    wa_text_add(&to[0], words);
    for (const char *c = words; *c != '\0'; c++) {
        if (*c == '"')
            wa_text_add_char(&to[1], '"');
        wa_text_add_char(&to[1], *c);
    }
    wa_status s = v == NULL ? wa_no_memory(err) : wa_json_write(&json, v, WA_JSON_COMPACT, err);
    if (s == WA_OK && json.length > 3) /* without its quotes and the line feed */
        wa_text_add_bytes(&to[2], json.at + 1, json.length - 3);
    wa_text_release(&json);
    wa_value_free(v);
    return s;
}

/* The next place of the words that is no part of a token. */
static const char *find_words(const char *from, const char *end, const char *words, size_t n)
{
    const size_t token = strlen(WA_WITHHELD) + WA_SHA256_TEXT_SIZE - 1;
    const char *at;
    while ((at = memmem(from, (size_t)(end - from), words, n)) != NULL) {
        const char *mark = memmem(from, (size_t)(end - from), WA_WITHHELD, strlen(WA_WITHHELD));
        if (mark == NULL || at + n <= mark)
            return at;
        if (at < mark || (size_t)(end - mark) < token)
            return at; /* it only reaches into what looks like one */
        from = mark + token;
    }
    return NULL;
}

static bool replace_all(wa_text *text, const char *words, size_t n, const char *token)
{
    if (n == 0 || text->length == 0)
        return false;
    const char *from = text->at, *end = text->at + text->length;
    const char *at = find_words(from, end, words, n);
    if (at == NULL)
        return false;
    wa_text made = WA_TEXT_INIT;
    for (; at != NULL; at = find_words(from, end, words, n)) {
        wa_text_add_bytes(&made, from, (size_t)(at - from));
        wa_text_add(&made, token);
        from = at + n;
    }
    wa_text_add_bytes(&made, from, (size_t)(end - from));
    wa_text_release(text);
    *text = made;
    return true;
}

wa_status wa_needles_replace(const wa_needles *n, wa_text *text, bool *changed, wa_error *err)
{
    wa_status s = WA_OK;
    *changed = false;
    for (size_t i = 0; i < n->n && s == WA_OK; i++) {
        wa_text forms[3] = {WA_TEXT_INIT, WA_TEXT_INIT, WA_TEXT_INIT};
        s = variants(forms, n->at[i].words, err);
        for (size_t k = 0; k < 3 && s == WA_OK; k++)
            if (replace_all(text, wa_text_string(&forms[k]), forms[k].length, n->at[i].token))
                *changed = true;
        for (size_t k = 0; k < 3; k++)
            wa_text_release(&forms[k]);
    }
    return s == WA_OK && wa_text_failed(text) ? wa_no_memory(err) : s;
}

/* Every text of a tree; keys are names of ours. Gives the tree that takes the place of `v`. */
wa_value *wa_needles_clean(const wa_needles *n, const wa_value *v, wa_status *s, wa_error *err)
{
    bool changed;
    if (wa_value_kind(v) == WA_STRING) {
        wa_text t = WA_TEXT_INIT;
        wa_text_add_bytes(&t, wa_string_of(v), wa_length_of(v));
        if (*s == WA_OK)
            *s = wa_needles_replace(n, &t, &changed, err);
        wa_value *made = wa_bytes(wa_text_string(&t), t.length);
        wa_text_release(&t);
        return made;
    }
    if (wa_value_kind(v) != WA_LIST && wa_value_kind(v) != WA_MAP)
        return wa_value_copy(v);
    bool list = wa_value_kind(v) == WA_LIST, good = true;
    wa_value *made = list ? wa_list() : wa_map();
    for (size_t i = 0; i < wa_count(v) && good; i++)
        good = list ? wa_list_add(made, wa_needles_clean(n, wa_at(v, i), s, err))
                    : wa_map_set(made, wa_key(v, i), wa_needles_clean(n, wa_at(v, i), s, err));
    if (good)
        return made;
    wa_value_free(made);
    return NULL;
}
