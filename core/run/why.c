/* One interval of a dossier: its values, its samples, what became of it and by what rule. */
#include "run/rerun.h"
#include "run/why_account.h"
#include "run/why_raw.h"
#include "windassay/run.h"
#include "windassay/time.h"

#include <stdlib.h>
#include <string.h>

/* ---- which intervals ------------------------------------------------------------------------- */

/* An instant with its offset; without one it is UTC. */
static wa_status parse_time(int64_t *out, const char *text, size_t n, wa_error *err)
{
    static wa_zone_span utc[1] = {{INT64_MAX, 0}};
    const wa_time_rule plain = {.format = WA_TIME_ISO8601, .zone = utc, .n_zone = 1};
    char shown[80];
    if (wa_instant_parse(out, text, n, NULL) == WA_OK ||
        wa_time_parse(out, NULL, &plain, NULL, text, n, NULL) == WA_OK)
        return WA_OK;
    wa_fail(err, WA_ERR_ARG, "'%s' is not a time", wa_shown(shown, sizeof shown, text, n));
    return wa_hint(err, WA_ERR_ARG, "2026-03-11T08:10Z, or with an offset: 2026-03-11T09:10+01:00");
}

static wa_status find_row(size_t *out, int64_t t, const wa_bag_grid *g, const char *text, size_t n,
                          wa_error *err)
{
    char from[WA_TIME_TEXT_SIZE], to[WA_TIME_TEXT_SIZE], shown[80];
    int64_t end = g->from + (int64_t)g->n * g->interval_ns;
    if (t >= g->from && t < end) {
        *out = (size_t)((t - g->from) / g->interval_ns);
        return WA_OK;
    }
    wa_time_print(from, g->from);
    wa_time_print(to, end);
    wa_fail(err, WA_ERR_ARG, "%s lies outside of the campaign's grid",
            wa_shown(shown, sizeof shown, text, n));
    return wa_hint(err, WA_ERR_ARG, "the grid: %zu intervals of %g s from %s to %s", g->n,
                   (double)g->interval_ns / 1e9, from, to);
}

/* Rows [first, last] of the grid. "FROM/TO" is a range; `until` is the end of one. */
static wa_status find_rows(size_t *first, size_t *last, const wa_bag_grid *g, const char *time,
                           const char *until, wa_error *err)
{
    int64_t from = 0, to = 0;
    size_t n = strcspn(time, "/");
    const char *end = time[n] == '/' ? time + n + 1 : until;
    if (time[n] == '/' && until != NULL)
        return wa_fail(err, WA_ERR_ARG, "FROM/TO and --until are both given");
    wa_status s = parse_time(&from, time, n, err);
    if (s == WA_OK)
        s = find_row(first, from, g, time, n, err);
    *last = *first;
    if (s != WA_OK || end == NULL)
        return s;
    s = parse_time(&to, end, strlen(end), err);
    if (s == WA_OK && to <= from)
        return wa_fail(err, WA_ERR_ARG, "the range ends before it begins");
    return s == WA_OK ? find_row(last, to - 1, g, end, strlen(end), err) : s;
}

/* ---- values and samples ---------------------------------------------------------------------- */

/* Every number of the row, by the name of its column. */
static wa_value *tell_values(const wa_table *t, size_t row)
{
    wa_value *list = wa_list();
    for (size_t k = 1; k < t->n_columns && list != NULL; k++) {
        const wa_table_column *c = &t->columns[k];
        size_t n = strlen(c->name);
        const char *open = n > 2 && c->name[n - 1] == ']' ? strstr(c->name, " [") : NULL;
        char unit[64] = "1";
        wa_text name = WA_TEXT_INIT;
        if (open != NULL && (size_t)(c->name + n - open) < sizeof unit) {
            memcpy(unit, open + 2, (size_t)(c->name + n - open) - 3);
            unit[(size_t)(c->name + n - open) - 3] = '\0';
        }
        wa_text_add_bytes(&name, c->name, open == NULL ? n : (size_t)(open - c->name));
        bool good = !wa_text_failed(&name) && c->kind == WA_TABLE_NUMBERS &&
                    wa_list_add(list, wa_why_number(wa_text_string(&name), unit, c->at[row]));
        wa_text_release(&name);
        if (!good && c->kind == WA_TABLE_NUMBERS) {
            wa_value_free(list);
            return NULL;
        }
    }
    return list;
}

/* Where a column of samples.csv belongs: "lidar@beam=1" of "lidar@beam=1.dropped: wet"; what it
 * counts is behind. */
static const char *part_of(const char *name)
{
    const char *dropped = strstr(name, ".dropped: ");
    return dropped != NULL ? dropped : strrchr(name, '.');
}

static bool tell_sample(wa_value *to, const char *part, double n)
{
    static const char DROPPED[] = ".dropped: ";
    if (strncmp(part, DROPPED, strlen(DROPPED)) != 0)
        return wa_map_set(to, part + 1, wa_number(n));
    if (wa_get(to, "dropped") == NULL && !wa_map_set(to, "dropped", wa_list()))
        return false;
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "reason", wa_string(part + strlen(DROPPED))) &&
                wa_map_set(v, "samples", wa_number(n));
    if (!good) {
        wa_value_free(v);
        v = NULL;
    }
    return wa_list_add(wa_get_mutable(to, "dropped"), v);
}

static wa_value *tell_samples(const wa_table *t, size_t row)
{
    wa_value *list = wa_list(), *present = NULL;
    bool good = list != NULL;
    const char *before = NULL;
    size_t length = 0;
    for (size_t k = 1; k < t->n_columns && good; k++) {
        const wa_table_column *c = &t->columns[k];
        const char *part = part_of(c->name);
        if (part == NULL || c->kind != WA_TABLE_NUMBERS)
            continue;
        size_t n = (size_t)(part - c->name);
        if (before == NULL || n != length || strncmp(before, c->name, n) != 0) {
            wa_value *v = wa_map();
            good = wa_map_set(v, "of", wa_bytes(c->name, n));
            if (!good) {
                wa_value_free(v);
                v = NULL;
            }
            good = wa_list_add(list, v);
            present = wa_at_mutable(list, wa_count(list) - 1);
            before = c->name;
            length = n;
        }
        good = good && tell_sample(present, part, c->at[row]);
    }
    if (!good) {
        wa_value_free(list);
        return NULL;
    }
    return list;
}

/* ---- the dossier ------------------------------------------------------------------------------- */

typedef struct why {
    wa_bag *bag;
    wa_value *record;
    wa_bag_grid grid;
    wa_why_tables tables;
    wa_why_account *accounts;
    size_t n_accounts;
    wa_why_raw *raw; /* NULL: raw samples were not asked for */
} why;

static bool has(const wa_bag *bag, const char *path)
{
    for (size_t i = 0; i < wa_bag_count(bag); i++)
        if (strcmp(wa_bag_path(bag, i), path) == 0)
            return true;
    return false;
}

static wa_status read_tables(why *w, wa_error *err)
{
    struct {
        const char *path;
        wa_table **to;
        bool always;
    } all[] = {{"intervals.csv", &w->tables.intervals, true},
               {"samples.csv", &w->tables.samples, true},
               {"ledger.csv", &w->tables.ledger, true},
               {"judged.csv", &w->tables.judged, false},
               {"compared.csv", &w->tables.compared, false}};
    wa_status s = wa_bag_grid_of(&w->grid, w->record, err);
    for (size_t i = 0; i < sizeof all / sizeof *all && s == WA_OK; i++)
        if (all[i].always || has(w->bag, all[i].path))
            s = wa_bag_grid_table(all[i].to, w->bag, all[i].path, &w->grid, err);
    return s;
}

/* An account is shown where its check is asked for: by its id, or by the name of its file. */
static bool is_asked(const wa_value *entry, const char *check)
{
    const char *id = wa_get_string(entry, "id"), *name = wa_get_string(entry, "name");
    return check == NULL || (id != NULL && strcmp(id, check) == 0) ||
           (name != NULL && strcmp(name, check) == 0);
}

static wa_status no_such_check(const wa_value *checks, const char *check, wa_error *err)
{
    char shown[80];
    size_t n = wa_count(checks), k = 0;
    const char **ids = calloc(n + 1, sizeof *ids);
    if (ids == NULL)
        return wa_no_memory(err);
    for (size_t i = 0; i < n; i++)
        if (wa_get_string(wa_at(checks, i), "id") != NULL)
            ids[k++] = wa_get_string(wa_at(checks, i), "id");
    const char *near = wa_nearest(check, ids, k);
    wa_fail(err, WA_ERR_ARG, "the dossier has no check '%s' that kept an account",
            wa_shown(shown, sizeof shown, check, strlen(check)));
    if (near != NULL)
        wa_hint(err, WA_ERR_ARG, "did you mean '%s'?", near);
    free(ids);
    return WA_ERR_ARG;
}

static wa_status open_accounts(why *w, const char *check, wa_error *err)
{
    const wa_value *checks = wa_get(w->record, "checks");
    size_t most = 0;
    for (size_t i = 0; i < wa_count(checks); i++)
        most += wa_count(wa_get(wa_at(checks, i), "accounts"));
    w->accounts = calloc(most + 1, sizeof *w->accounts);
    if (w->accounts == NULL)
        return wa_no_memory(err);
    wa_status s = WA_OK;
    for (size_t i = 0; i < wa_count(checks) && s == WA_OK; i++) {
        const wa_value *entry = wa_at(checks, i), *accounts = wa_get(entry, "accounts");
        for (size_t k = 0; k < wa_count(accounts) && is_asked(entry, check) && s == WA_OK; k++) {
            s = wa_why_account_open(&w->accounts[w->n_accounts], entry, wa_at(accounts, k),
                                    &w->tables, err);
            w->n_accounts += s == WA_OK;
        }
    }
    return s == WA_OK && w->n_accounts == 0 && check != NULL ? no_such_check(checks, check, err)
                                                             : s;
}

static void close_all(why *w)
{
    for (size_t i = 0; i < w->n_accounts; i++)
        wa_why_account_release(&w->accounts[i]);
    free(w->accounts);
    wa_table_free(w->tables.intervals);
    wa_table_free(w->tables.samples);
    wa_table_free(w->tables.ledger);
    wa_table_free(w->tables.judged);
    wa_table_free(w->tables.compared);
    wa_why_raw_close(w->raw);
    wa_value_free(w->record);
    wa_bag_close(w->bag);
}

/* ---- the answer ------------------------------------------------------------------------------ */

static bool put_time(wa_value *to, const char *key, int64_t t)
{
    char text[WA_TIME_TEXT_SIZE];
    wa_time_print(text, t);
    return wa_map_set(to, key, wa_string(text));
}

static wa_value *tell_accounts(const why *w, size_t row)
{
    wa_value *list = wa_list();
    for (size_t i = 0; i < w->n_accounts && list != NULL; i++)
        if (!wa_list_add(list, wa_why_account_tell(&w->accounts[i], &w->tables, row))) {
            wa_value_free(list);
            return NULL;
        }
    return list;
}

static wa_value *tell_interval(const why *w, size_t row)
{
    wa_value *v = wa_map();
    int64_t start = w->grid.from + (int64_t)row * w->grid.interval_ns;
    bool good = v != NULL && put_time(v, "from", start) &&
                put_time(v, "to", start + w->grid.interval_ns) &&
                wa_map_set(v, "values", tell_values(w->tables.intervals, row)) &&
                wa_map_set(v, "samples", tell_samples(w->tables.samples, row)) &&
                wa_map_set(v, "accounts", tell_accounts(w, row));
    if (good && w->raw != NULL)
        good = wa_map_set(v, "raw", wa_why_raw_tell(w->raw, row));
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

static wa_status tell(wa_value **out, const why *w, size_t first, size_t last, wa_error *err)
{
    const wa_value *campaign = wa_get(w->record, "campaign");
    wa_value *v = wa_map(), *list = wa_list();
    bool good = v != NULL && list != NULL;
    if (good && wa_get(campaign, "title") != NULL)
        good = wa_map_set(v, "title", wa_value_copy(wa_get(campaign, "title")));
    good = good && put_time(v, "from", w->grid.from) &&
           put_time(v, "to", w->grid.from + (int64_t)w->grid.n * w->grid.interval_ns) &&
           wa_map_set(v, "interval_s", wa_number((double)w->grid.interval_ns / 1e9));
    for (size_t row = first; row <= last && good; row++)
        good = wa_list_add(list, tell_interval(w, row));
    if (!good) {
        wa_value_free(list);
        wa_value_free(v);
        return wa_no_memory(err);
    }
    if (!wa_map_set(v, "intervals", list)) {
        wa_value_free(v);
        return wa_no_memory(err);
    }
    *out = v;
    return WA_OK;
}

wa_status wa_why(wa_value **out, const char *dossier, const wa_why_question *q,
                 const wa_engine *engine, wa_error *err)
{
    why w = {0};
    size_t first = 0, last = 0;
    wa_status s = wa_bag_open(&w.bag, dossier, err);
    if (s == WA_OK)
        s = wa_rerun_record(&w.record, w.bag, err);
    if (s == WA_OK)
        s = wa_bag_grid_of(&w.grid, w.record, err);
    if (s == WA_OK)
        s = find_rows(&first, &last, &w.grid, q->time, q->until, err);
    if (s == WA_OK)
        s = read_tables(&w, err);
    if (s == WA_OK)
        s = open_accounts(&w, q->check, err);
    if (s == WA_OK && q->data != NULL)
        s = wa_why_raw_open(&w.raw, w.bag, w.record, q->data, &w.grid, first, last, engine, err);
    if (s == WA_OK)
        s = tell(out, &w, first, last, err);
    close_all(&w);
    return s;
}
