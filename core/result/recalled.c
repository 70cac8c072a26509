/* What is recalled and not confirmed: how much of it, and which. */
#include "windassay/result.h"

#include "result/entry.h"

#include <string.h>

static bool is(const wa_value *m, const char *key, const char *word)
{
    const char *text = wa_get_string(m, key);
    return text != NULL && strcmp(text, word) == 0;
}

static bool is_open(const wa_value *m)
{
    return is(m, "evidence", "recalled") && wa_get(m, "confirmed") == NULL;
}

static bool open_default(const wa_value *parameter)
{
    return is_open(parameter) && !wa_true(wa_get(parameter, "set"));
}

static bool open_limit(const wa_value *requirement)
{
    return is(requirement, "use", "contract") && is_open(requirement);
}

/* The two kinds of what may be open in a check's entry. */
static const struct kind {
    const char *list, *word;
    bool (*open)(const wa_value *item);
} KINDS[] = {{"parameters", "default", open_default}, {"requirements", "limit", open_limit}};

enum { KIND_COUNT = sizeof KINDS / sizeof *KINDS };

size_t wa_record_recalled(const wa_value *record)
{
    const wa_value *checks = wa_get(record, "checks");
    size_t n = 0;
    for (size_t i = 0; i < wa_count(checks); i++)
        for (size_t k = 0; k < KIND_COUNT; k++) {
            const wa_value *items = wa_get(wa_at(checks, i), KINDS[k].list);
            for (size_t j = 0; j < wa_count(items); j++)
                n += KINDS[k].open(wa_at(items, j));
        }
    return n;
}

/* Names of one kind, over all runs of a check: keys of the map `seen`. */
static bool gather(wa_value *seen, const wa_value *checks, const char *check,
                   const struct kind *kind)
{
    bool good = seen != NULL;
    for (size_t i = 0; i < wa_count(checks) && good; i++) {
        const wa_value *items = wa_get(wa_at(checks, i), kind->list);
        if (!is(wa_at(checks, i), "name", check))
            continue;
        for (size_t j = 0; j < wa_count(items) && good; j++)
            if (kind->open(wa_at(items, j)))
                good = wa_map_set(seen, wa_get_string(wa_at(items, j), "name"), wa_bool(true));
    }
    return good;
}

/* "clock: defaults days, within; limit offset", or nothing. */
static bool line_of(wa_text *t, const wa_value *checks, const char *check)
{
    bool good = true, any = false;
    for (size_t k = 0; k < KIND_COUNT && good; k++) {
        wa_value *seen = wa_map();
        good = gather(seen, checks, check, &KINDS[k]);
        size_t n = good ? wa_count(seen) : 0;
        for (size_t i = 0; i < n; i++) {
            if (i == 0)
                wa_text_printf(t, "%s%s %s%s ", any ? "" : check, any ? ";" : ":", KINDS[k].word,
                               n == 1 ? "" : "s");
            any = true;
            wa_text_printf(t, "%s%s", i == 0 ? "" : ", ", wa_key(seen, i));
        }
        wa_value_free(seen);
    }
    return good;
}

wa_status wa_record_recalled_names(wa_text *to, const wa_value *record, size_t size, wa_error *err)
{
    const wa_value *checks = wa_get(record, "checks");
    const size_t rest = sizeof "and in 18446744073709551615 more checks";
    size_t start = to->length, more = 0;
    bool good = true;
    for (size_t i = 0; i < wa_count(checks) && good; i++) {
        wa_text line = WA_TEXT_INIT;
        const char *check = wa_get_string(wa_at(checks, i), "name");
        if (entry_named(checks, check) == wa_at(checks, i)) /* its first run */
            good = line_of(&line, checks, check);
        if (more > 0 || to->length - start + line.length + rest > size)
            more += line.length > 0;
        else if (line.length > 0)
            wa_text_printf(to, "%s\n", wa_text_string(&line));
        good = good && !wa_text_failed(&line);
        wa_text_release(&line);
    }
    if (more > 0)
        wa_text_printf(to, "and in %zu more check%s\n", more, more == 1 ? "" : "s");
    return good && !wa_text_failed(to) ? WA_OK : wa_fail(err, WA_ERR_NOMEM, "out of memory");
}
