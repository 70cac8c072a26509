#include "run/why_account.h"

#include "run/execute.h"
#include "windassay/account.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

wa_value *wa_why_number(const char *name, const char *unit, double x)
{
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "name", wa_string(name)) &&
                wa_map_set(v, "value", isnan(x) ? wa_null() : wa_number(x)) &&
                (strcmp(unit, "1") == 0 || wa_map_set(v, "unit", wa_string(unit)));
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

/* ---- states ---------------------------------------------------------------------------------- */

static const char *state_of(const wa_why_account *a, size_t row)
{
    return a->ledger->texts[row];
}

/* Whether the record of the interval is one of those that were used. */
static bool is_used(const wa_why_account *a, size_t row)
{
    const char *s = state_of(a, row);
    return strcmp(s, wa_state_word(WA_STATE_USED)) == 0 ||
           strcmp(s, wa_state_word(WA_STATE_RECORDS_ONLY)) == 0;
}

/* ---- what was compared ----------------------------------------------------------------------- */

/* TITLE.PART of compared.csv, else the column of intervals.csv that the record names. */
static void find(wa_why_column *out, const char *title, const char *part, const char *named,
                 const wa_why_tables *t)
{
    wa_text name = WA_TEXT_INIT;
    wa_text_printf(&name, "%s.%s", title, part);
    *out = (wa_why_column){.name = named};
    if (t->compared != NULL && !wa_text_failed(&name))
        out->column =
            wa_bag_column(t->compared, wa_text_string(&name), out->unit, sizeof out->unit);
    wa_text_release(&name);
    if (out->column == NULL && named != NULL && t->compared != NULL)
        out->column = wa_bag_column(t->intervals, named, out->unit, sizeof out->unit);
    if (out->column != NULL && out->column->kind != WA_TABLE_NUMBERS)
        out->column = NULL;
}

static int larger_first(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x < y) - (x > y);
}

static wa_status sort_sizes(wa_why_account *a, size_t n, wa_error *err)
{
    const wa_table_column *d = a->deviation.column;
    if (d == NULL)
        return WA_OK;
    a->sizes = calloc(n + 1, sizeof *a->sizes);
    if (a->sizes == NULL)
        return wa_no_memory(err);
    for (size_t i = 0; i < n; i++)
        if (is_used(a, i) && !isnan(d->at[i]))
            a->sizes[a->n_sizes++] = fabs(d->at[i]);
    qsort(a->sizes, a->n_sizes, sizeof *a->sizes, larger_first);
    return WA_OK;
}

wa_status wa_why_account_open(wa_why_account *out, const wa_value *entry, const wa_value *account,
                              const wa_why_tables *tables, wa_error *err)
{
    wa_why_account a = {.check = wa_get_string(entry, "id"),
                        .account = wa_get_string(account, "name"),
                        .exclusions = wa_get(entry, "exclusions"),
                        .n = tables->ledger->n};
    if (a.check == NULL || a.account == NULL)
        return wa_fail_at(err, WA_ERR_DATA, "data/result.json", 0, 0, "an account has no name");
    char *title = wa_ledger_title(a.check, a.account);
    if (title == NULL)
        return wa_no_memory(err);
    wa_status s = wa_table_find(&a.ledger, tables->ledger, title, err);
    if (s == WA_OK && a.ledger->kind != WA_TABLE_TEXT)
        s = wa_fail_at(err, WA_ERR_DATA, "ledger.csv", 0, 0, "column '%.80s' holds no states",
                       title);
    find(&a.reference, title, "reference", wa_get_string(account, "reference"), tables);
    find(&a.measured, title, "measured", wa_get_string(account, "measured"), tables);
    find(&a.deviation, title, "deviation", NULL, tables);
    find(&a.bin, title, "bin", wa_get_string(account, "binned_by"), tables);
    free(title);
    if (s == WA_OK)
        s = sort_sizes(&a, tables->ledger->n, err);
    if (s == WA_OK)
        *out = a;
    else
        wa_why_account_release(&a);
    return s;
}

void wa_why_account_release(wa_why_account *a)
{
    free(a->sizes);
    *a = (wa_why_account){0};
}

/* ---- exclusions ------------------------------------------------------------------------------ */

static const wa_value *exclusion_of(const wa_why_account *a, const char *code, size_t n)
{
    for (size_t i = 0; i < wa_count(a->exclusions); i++) {
        const wa_value *x = wa_at(a->exclusions, i);
        const char *account = wa_get_string(x, "account"), *other = wa_get_string(x, "code");
        if (account != NULL && other != NULL && strcmp(account, a->account) == 0 &&
            strlen(other) == n && strncmp(other, code, n) == 0)
            return x;
    }
    return NULL;
}

/* The number of a column that a rule looks at: of this check's own, of all checks', of the
 * intervals. */
static wa_value *looked_at(const wa_why_account *a, const wa_why_tables *t, const char *name,
                           size_t row)
{
    char unit[64] = "1";
    const wa_table_column *c = NULL;
    wa_text own = WA_TEXT_INIT;
    wa_text_printf(&own, "%s: %s", a->check, name);
    if (t->judged != NULL && !wa_text_failed(&own))
        c = wa_bag_column(t->judged, wa_text_string(&own), unit, sizeof unit);
    wa_text_release(&own);
    if (c == NULL && t->judged != NULL)
        c = wa_bag_column(t->judged, name, unit, sizeof unit);
    if (c == NULL)
        c = wa_bag_column(t->intervals, name, unit, sizeof unit);
    bool there = c != NULL && c->kind == WA_TABLE_NUMBERS;
    return wa_why_number(name, there ? unit : "1", there ? c->at[row] : (double)NAN);
}

static wa_value *tell_exclusion(const wa_why_account *a, const wa_why_tables *t, const wa_value *x,
                                const char *code, size_t n, bool unknown, size_t row)
{
    static const char *const keys[] = {"reason", "rule", "event"};
    const wa_value *looks = wa_get(x, "looks_at");
    wa_value *v = wa_map(), *numbers = wa_list();
    bool good = wa_map_set(v, "code", wa_bytes(code, n)) && numbers != NULL;
    for (size_t i = 0; i < sizeof keys / sizeof *keys && good; i++)
        if (wa_get(x, keys[i]) != NULL)
            good = wa_map_set(v, keys[i], wa_value_copy(wa_get(x, keys[i])));
    if (good && unknown)
        good = wa_map_set(v, "cannot_be_judged", wa_bool(true));
    for (size_t i = 0; i < wa_count(looks) && good; i++) {
        const char *name = wa_string_of(wa_at(looks, i));
        good = name != NULL && wa_list_add(numbers, looked_at(a, t, name, row));
    }
    if (!good) {
        wa_value_free(numbers);
        wa_value_free(v);
        return NULL;
    }
    if (!wa_map_set(v, "looked_at", numbers)) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

/* "x1+x4?": the codes of a cell of the ledger, each with what the record says of it. */
static bool tell_exclusions(wa_value *to, const wa_why_account *a, const wa_why_tables *t,
                            size_t row)
{
    wa_value *list = wa_list();
    bool good = list != NULL;
    for (const char *at = state_of(a, row); *at != '\0' && good;) {
        size_t n = strcspn(at, "+?");
        bool unknown = at[n] == '?';
        good = wa_list_add(list, tell_exclusion(a, t, exclusion_of(a, at, n), at, n, unknown, row));
        at += n + unknown;
        at += *at == '+';
    }
    if (!good) {
        wa_value_free(list);
        return false;
    }
    return wa_map_set(to, "exclusions", list);
}

/* ---- records --------------------------------------------------------------------------------- */

static bool tell_number(wa_value *to, const char *key, const wa_why_column *c, size_t row)
{
    if (c->column == NULL || isnan(c->column->at[row]))
        return true;
    return wa_map_set(to, key,
                      wa_why_number(c->name != NULL ? c->name : key, c->unit, c->column->at[row]));
}

static bool put_count(wa_value *to, const char *key, size_t n)
{
    return wa_map_set(to, key, wa_number((double)n));
}

/* How many deviations are larger: among all used records, and among those of the same bin. */
static bool tell_ranks(wa_value *to, const wa_why_account *a, size_t row)
{
    const wa_table_column *d = a->deviation.column, *b = a->bin.column;
    if (d == NULL || !is_used(a, row) || isnan(d->at[row]))
        return true;
    double size = fabs(d->at[row]);
    size_t larger = 0, in_bin = 0, of_bin = 0;
    while (larger < a->n_sizes && a->sizes[larger] > size)
        larger++;
    bool good = put_count(to, "rank", larger + 1) && put_count(to, "of", a->n_sizes);
    if (b == NULL || isnan(b->at[row]) || !good)
        return good;
    for (size_t i = 0; i < a->n; i++) {
        if (!is_used(a, i) || b->at[i] != b->at[row] || isnan(d->at[i]))
            continue;
        of_bin++;
        in_bin += fabs(d->at[i]) > size;
    }
    return put_count(to, "rank_in_bin", in_bin + 1) && put_count(to, "of_bin", of_bin);
}

wa_value *wa_why_account_tell(const wa_why_account *a, const wa_why_tables *tables, size_t row)
{
    static const struct {
        uint8_t state;
        const char *words;
    } states[] = {{WA_STATE_USED, "used"},
                  {WA_STATE_RECORDS_ONLY, "used in records, not in bin means"},
                  {WA_STATE_OUTSIDE, "outside the bins"}};
    const char *words = NULL;
    for (size_t i = 0; i < 3; i++)
        if (strcmp(state_of(a, row), wa_state_word(states[i].state)) == 0)
            words = states[i].words;
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "check", wa_string(a->check)) &&
                wa_map_set(v, "account", wa_string(a->account)) &&
                wa_map_set(v, "state", wa_string(words != NULL ? words : "excluded"));
    if (good)
        good = words == NULL ? tell_exclusions(v, a, tables, row)
                             : tell_number(v, "reference", &a->reference, row) &&
                                   tell_number(v, "measured", &a->measured, row) &&
                                   tell_number(v, "deviation", &a->deviation, row) &&
                                   tell_number(v, "bin", &a->bin, row) && tell_ranks(v, a, row);
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}
