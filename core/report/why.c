/* What a dossier says of intervals, for a terminal. */
#include "windassay/report.h"

#include "report/digits.h"
#include "report/grid.h"
#include "report/markup.h"
#include "report/screen.h"

#include <math.h>
#include <string.h>

enum { DIGITS = 7, RAW_COLUMNS = 8 };

/* Seven significant digits, fewer where fewer read back. The full number is in --json. */
static void add_number(wa_text *t, double x)
{
    int decimals = DIGITS - 1;
    for (double size = fabs(x); size >= 10 && decimals > 0; size /= 10)
        decimals--;
    for (double size = fabs(x); size > 0 && size < 1 && decimals < 17; size *= 10)
        decimals++;
    wa_digits_fixed(t, x, decimals);
    while (t->length > 0 && strchr(t->at, '.') != NULL && t->at[t->length - 1] == '0')
        t->at[--t->length] = '\0';
    if (t->length > 0 && t->at[t->length - 1] == '.')
        t->at[--t->length] = '\0';
}

/* Ratios of samples are spoken of in percent. */
static bool is_ratio(const char *name)
{
    size_t n = strlen(name), k = strlen(".availability");
    return strstr(name, ".share.") != NULL || (n > k && strcmp(name + n - k, ".availability") == 0);
}

/* "63.2 %", "7.32 m s-1", "missing". */
static void add_quantity(wa_text *t, const wa_value *number)
{
    double x;
    const char *name = wa_get_string(number, "name"), *unit = wa_get_string(number, "unit");
    bool ratio = unit == NULL && name != NULL && is_ratio(name);
    if (!wa_number_of(wa_get(number, "value"), &x)) {
        wa_text_add(t, "missing");
        return;
    }
    add_number(t, ratio ? 100 * x : x);
    if (ratio || unit != NULL)
        wa_text_printf(t, " %s", ratio ? "%" : unit);
}

/* The scratch text as it is safe to show, onto the screen. */
static void flush(wa_screen *s)
{
    wa_screen_make_safe(s, s->out);
}

/* ---- values ---------------------------------------------------------------------------------- */

static const char *const STATISTICS[] = {"mean",  "sd",           "min",      "max",
                                         "count", "availability", "resultant"};
enum { N_STATISTICS = sizeof STATISTICS / sizeof *STATISTICS };

/* Where ".mean" begins; shares of words and bits have names of their own. */
static size_t channel_length(const char *name)
{
    const char *share = strstr(name, ".share."), *dot = strrchr(name, '.');
    return share != NULL || dot == NULL ? strlen(name) : (size_t)(dot - name);
}

static const wa_value *statistic_of(const wa_value *values, size_t first, size_t n,
                                    const char *statistic)
{
    const char *channel = wa_get_string(wa_at(values, first), "name");
    for (size_t i = first; i < wa_count(values); i++) {
        const char *name = wa_get_string(wa_at(values, i), "name");
        if (name == NULL || strncmp(name, channel, n) != 0 || channel_length(name) != n)
            return NULL;
        if (name[n] == '.' && strcmp(name + n + 1, statistic) == 0)
            return wa_at(values, i);
    }
    return NULL;
}

static bool begins_channel(const wa_value *values, size_t i, size_t n)
{
    const char *name = wa_get_string(wa_at(values, i), "name");
    const char *before = i == 0 ? NULL : wa_get_string(wa_at(values, i - 1), "name");
    return before == NULL || channel_length(before) != n || strncmp(before, name, n) != 0;
}

static wa_status show_values(wa_screen *s, const wa_value *values, wa_error *err)
{
    wa_grid *g = wa_grid_new(s->how);
    wa_grid_head(g, "channel", WA_GRID_LEFT);
    wa_grid_head(g, "unit", WA_GRID_LEFT);
    for (size_t k = 0; k < N_STATISTICS; k++)
        wa_grid_head(g, STATISTICS[k], WA_GRID_RIGHT);
    for (size_t i = 0; i < wa_count(values); i++) {
        const char *name = wa_get_string(wa_at(values, i), "name");
        size_t n = name == NULL ? 0 : channel_length(name);
        if (name == NULL || name[n] == '\0' || !begins_channel(values, i, n))
            continue;
        const wa_value *mean = statistic_of(values, i, n, "mean");
        wa_grid_row(g);
        wa_text_clear(&s->cell);
        wa_text_add_bytes(&s->cell, name, n);
        wa_screen_put(s, g);
        wa_screen_put_text(s, g, wa_get_string(mean, "unit"));
        for (size_t k = 0; k < N_STATISTICS; k++) {
            const wa_value *v = statistic_of(values, i, n, STATISTICS[k]);
            double x;
            wa_text_clear(&s->cell);
            if (wa_number_of(wa_get(v, "value"), &x))
                add_number(&s->cell, x);
            wa_screen_put(s, g);
        }
    }
    wa_text_add(s->out, "\n");
    wa_status status = wa_screen_finish(s, g, err);
    for (size_t i = 0; i < wa_count(values) && status == WA_OK; i++) {
        const char *name = wa_get_string(wa_at(values, i), "name");
        double x;
        if (name == NULL || strstr(name, ".share.") == NULL ||
            !wa_number_of(wa_get(wa_at(values, i), "value"), &x) || x == 0)
            continue;
        wa_text_printf(&s->cell, "  %s ", name);
        add_quantity(&s->cell, wa_at(values, i));
        flush(s);
        wa_text_add(s->out, "\n");
    }
    return status;
}

/* ---- samples --------------------------------------------------------------------------------- */

static void put_count(wa_screen *s, wa_grid *g, const wa_value *v)
{
    double x;
    wa_text_clear(&s->cell);
    if (wa_number_of(v, &x))
        add_number(&s->cell, x);
    wa_screen_put(s, g);
}

static wa_status show_samples(wa_screen *s, const wa_value *samples, wa_error *err)
{
    wa_grid *g = wa_grid_new(s->how);
    wa_grid_head(g, "samples of", WA_GRID_LEFT);
    wa_grid_head(g, "expected", WA_GRID_RIGHT);
    wa_grid_head(g, "read", WA_GRID_RIGHT);
    wa_grid_head(g, "dropped", WA_GRID_LEFT);
    for (size_t i = 0; i < wa_count(samples); i++) {
        const wa_value *v = wa_at(samples, i), *dropped = wa_get(v, "dropped");
        wa_grid_row(g);
        wa_screen_put_text(s, g, wa_get_string(v, "of"));
        put_count(s, g, wa_get(v, "expected"));
        put_count(s, g, wa_get(v, "read"));
        wa_text_clear(&s->cell);
        for (size_t k = 0; k < wa_count(dropped); k++) {
            double n = 0;
            wa_number_of(wa_get(wa_at(dropped, k), "samples"), &n);
            const char *reason = wa_get_string(wa_at(dropped, k), "reason");
            if (n == 0 || reason == NULL)
                continue;
            wa_text_add(&s->cell, s->cell.length > 0 ? ", " : "");
            add_number(&s->cell, n);
            wa_text_printf(&s->cell, " %s", reason);
        }
        wa_screen_put(s, g);
    }
    wa_text_add(s->out, "\n");
    return wa_screen_finish(s, g, err);
}

/* ---- accounts -------------------------------------------------------------------------------- */

/* Whether two accounts say the same of the interval. */
static bool same(const wa_value *a, const wa_value *b)
{
    if (wa_count(a) != wa_count(b))
        return false;
    for (size_t i = 0; i < wa_count(a); i++) {
        const char *key = wa_key(a, i);
        if (strcmp(key, "check") != 0 && strcmp(key, "account") != 0 &&
            !wa_value_equal(wa_at(a, i), wa_get(b, key)))
            return false;
    }
    return true;
}

static void add_title(wa_text *t, const wa_value *account)
{
    const char *check = wa_get_string(account, "check"), *name = wa_get_string(account, "account");
    wa_text_add(t, check == NULL ? "?" : check);
    if (name != NULL && strcmp(name, "intervals") != 0)
        wa_text_printf(t, ".%s", name);
}

static void show_exclusion(wa_screen *s, const wa_value *x)
{
    const wa_value *numbers = wa_get(x, "looked_at");
    const char *rule = wa_get_string(x, "rule"), *reason = wa_get_string(x, "reason");
    wa_text_printf(&s->cell, "    %s  %s%s%s", wa_get_string(x, "code"),
                   reason == NULL ? "a reason that the record does not have" : reason,
                   wa_true(wa_get(x, "cannot_be_judged")) ? ": cannot be judged" : "",
                   wa_true(wa_get(x, "event")) ? " (an event of the campaign)" : "");
    flush(s);
    wa_text_add(s->out, "\n");
    if (rule != NULL) {
        wa_text_printf(&s->cell, "        rule: %s", rule);
        flush(s);
        wa_text_add(s->out, "\n");
    }
    for (size_t i = 0; i < wa_count(numbers); i++) {
        const char *name = wa_get_string(wa_at(numbers, i), "name");
        wa_text_printf(&s->cell, "        %s: ", name == NULL ? "?" : name);
        add_quantity(&s->cell, wa_at(numbers, i));
        flush(s);
        wa_text_add(s->out, "\n");
    }
}

static void add_part(wa_screen *s, const wa_value *account, const char *key, const char *before)
{
    const wa_value *v = wa_get(account, key);
    const char *name = wa_get_string(v, "name");
    if (v == NULL)
        return;
    wa_text_printf(&s->cell, "%s%s", before, key);
    if (name != NULL && strcmp(name, key) != 0)
        wa_text_printf(&s->cell, " %s", name);
    wa_text_add(&s->cell, ": ");
    add_quantity(&s->cell, v);
}

static void add_rank(wa_screen *s, const wa_value *account, const char *key, const char *of,
                     const char *words)
{
    double rank, all;
    if (!wa_number_of(wa_get(account, key), &rank) || !wa_number_of(wa_get(account, of), &all))
        return;
    wa_text_add(&s->cell, words);
    add_number(&s->cell, rank);
    wa_text_add(&s->cell, " of ");
    add_number(&s->cell, all);
}

static void show_record(wa_screen *s, const wa_value *account)
{
    static const char *const keys[] = {"reference", "measured", "deviation", "bin"};
    for (size_t i = 0; i < 4; i++) {
        if (wa_get(account, keys[i]) == NULL)
            continue;
        add_part(s, account, keys[i], "    ");
        if (i == 2)
            add_rank(s, account, "rank", "of", ", from the largest number ");
        if (i == 3)
            add_rank(s, account, "rank_in_bin", "of_bin", ", there number ");
        flush(s);
        wa_text_add(s->out, "\n");
    }
}

static void show_accounts(wa_screen *s, const wa_value *accounts)
{
    for (size_t i = 0; i < wa_count(accounts); i++) {
        const wa_value *a = wa_at(accounts, i), *exclusions = wa_get(a, "exclusions");
        bool said = false;
        for (size_t k = 0; k < i && !said; k++)
            said = same(wa_at(accounts, k), a);
        if (said)
            continue;
        wa_text_printf(&s->cell, "  %s: ", wa_get_string(a, "state"));
        add_title(&s->cell, a);
        for (size_t k = i + 1; k < wa_count(accounts); k++)
            if (same(wa_at(accounts, k), a)) {
                wa_text_add(&s->cell, ", ");
                add_title(&s->cell, wa_at(accounts, k));
            }
        wa_text_add(s->out, "\n");
        flush(s);
        wa_text_add(s->out, "\n");
        for (size_t k = 0; k < wa_count(exclusions); k++)
            show_exclusion(s, wa_at(exclusions, k));
        show_record(s, a);
    }
}

/* ---- raw rows -------------------------------------------------------------------------------- */

static void show_paths(wa_screen *s, const wa_value *list, const char *words)
{
    for (size_t i = 0; i < wa_count(list); i++) {
        wa_text_add(s->out, "  ");
        wa_screen_say_value(s, wa_at(list, i));
        wa_text_printf(s->out, ": %s\n", words);
    }
}

/* A row as it stands in its file, fields apart by bars. */
static void show_row(wa_screen *s, const wa_value *fields, const wa_value *line)
{
    double n;
    wa_text_add(&s->cell, "    ");
    if (wa_number_of(line, &n))
        add_number(&s->cell, n);
    else
        wa_text_add(&s->cell, "line");
    wa_text_add(&s->cell, ": ");
    for (size_t i = 0; i < wa_count(fields); i++)
        wa_text_printf(&s->cell, "%s%s", i > 0 ? " | " : "", wa_string_of(wa_at(fields, i)));
    flush(s);
    wa_text_add(s->out, "\n");
}

static void show_raw(wa_screen *s, const wa_value *raw)
{
    const wa_value *files = wa_get(raw, "files");
    if (raw == NULL)
        return;
    wa_text_add(s->out, "\n");
    for (size_t i = 0; i < wa_count(files); i++) {
        const wa_value *f = wa_at(files, i), *rows = wa_get(f, "rows");
        wa_text_add(s->out, "  ");
        wa_screen_say_value(s, wa_get(f, "path"));
        wa_text_printf(s->out, ", rows of this interval: %zu\n", wa_count(rows));
        show_row(s, wa_get(f, "names"), NULL);
        for (size_t k = 0; k < wa_count(rows); k++)
            show_row(s, wa_get(wa_at(rows, k), "fields"), wa_get(wa_at(rows, k), "line"));
    }
    show_paths(s, wa_get(raw, "not_found"), "no file of its digest was found");
    show_paths(s, wa_get(raw, "changed"),
               "it is not the file that was read: its digest is another");
}

/* ---- all of it ------------------------------------------------------------------------------- */

wa_status wa_report_why(wa_text *out, const wa_value *why, const wa_terminal *how, wa_error *err)
{
    wa_screen s = {.out = out, .how = how, .cell = WA_TEXT_INIT};
    const wa_value *intervals = wa_get(why, "intervals");
    wa_status status = WA_OK;
    wa_screen_say_value(&s, wa_get(why, "title"));
    wa_text_add(out, "\n");
    for (size_t i = 0; i < wa_count(intervals) && status == WA_OK; i++) {
        const wa_value *v = wa_at(intervals, i);
        wa_text_add(out, i == 0 ? "" : "\n");
        wa_screen_say_value(&s, wa_get(v, "from"));
        wa_text_add(out, " to ");
        wa_screen_say_value(&s, wa_get(v, "to"));
        wa_text_add(out, "\n");
        status = show_values(&s, wa_get(v, "values"), err);
        if (status == WA_OK)
            status = show_samples(&s, wa_get(v, "samples"), err);
        if (status == WA_OK) {
            show_accounts(&s, wa_get(v, "accounts"));
            show_raw(&s, wa_get(v, "raw"));
        }
    }
    wa_text_release(&s.cell);
    if (status == WA_OK && wa_text_failed(out))
        status = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    return status;
}
