#include "run/compare_tables.h"

#include "windassay/json.h"
#include "windassay/number.h"
#include "windassay/text.h"

#include <stdlib.h>
#include <string.h>

enum { DIGITS = 7 };

/* ---- what is beside what ----------------------------------------------------------------------- */

/* Members of two lists that go by the same name. */
typedef struct pair {
    const wa_value *first, *second; /* NULL: not there */
} pair;

typedef struct pairs {
    pair *at;
    size_t n;
} pairs;

/* Whether all keys (NULL-terminated) hold the same text, or are absent, in both. */
static bool goes_by(const wa_value *a, const wa_value *b, const char *const *keys)
{
    for (; *keys != NULL; keys++) {
        const char *x = wa_get_string(a, *keys), *y = wa_get_string(b, *keys);
        if (x == NULL || y == NULL ? x != y : strcmp(x, y) != 0)
            return false;
    }
    return true;
}

/* In the order of the first, then what only the second has. */
static bool join(pairs *out, const wa_value *a, const wa_value *b, const char *const *keys)
{
    size_t n = wa_count(a), m = wa_count(b);
    bool *taken = calloc(m + 1, sizeof *taken);
    *out = (pairs){calloc(n + m + 1, sizeof *out->at), 0};
    if (taken == NULL || out->at == NULL) {
        free(taken);
        free(out->at);
        *out = (pairs){0};
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        size_t k = 0;
        while (k < m && (taken[k] || !goes_by(wa_at(a, i), wa_at(b, k), keys)))
            k++;
        taken[k] = true;
        out->at[out->n++] = (pair){wa_at(a, i), k < m ? wa_at(b, k) : NULL};
    }
    for (size_t k = 0; k < m; k++)
        if (!taken[k])
            out->at[out->n++] = (pair){NULL, wa_at(b, k)};
    free(taken);
    return true;
}

/* ---- cells ------------------------------------------------------------------------------------- */

typedef struct comparison {
    const wa_value *first, *second; /* the records */
    bool all;                       /* what is the same, too */
    wa_sheet *sheet;
    const char *name; /* of the table that begins with its first row; NULL: it has begun */
    const char *const *heads;
} comparison;

static const wa_value *named(const pair *p)
{
    return p->first != NULL ? p->first : p->second;
}

static void add_number(wa_text *t, double x, bool in_full)
{
    char number[WA_NUMBER_SIZE];
    if (in_full)
        wa_text_add_bytes(t, number, wa_number_print(number, x));
    else
        wa_text_printf(t, "%.*g", DIGITS, x);
}

/* "0.97 to 1.03", "at least 0.97" */
static void add_limits(wa_text *t, const wa_value *v, bool in_full)
{
    double lower, upper;
    bool low = wa_number_of(wa_get(v, "lower"), &lower);
    bool high = wa_number_of(wa_get(v, "upper"), &upper);
    wa_text_add(t, low && high ? "" : low ? "at least " : "at most ");
    if (low)
        add_number(t, lower, in_full);
    wa_text_add(t, low && high ? " to " : "");
    if (high)
        add_number(t, upper, in_full);
}

static void add_cell(wa_text *t, const wa_value *v, bool in_full)
{
    double x;
    const char *text = wa_string_of(v);
    if (v == NULL)
        wa_text_add(t, "absent");
    else if (wa_get(v, "lower") != NULL || wa_get(v, "upper") != NULL)
        add_limits(t, v, in_full);
    else if (wa_number_of(v, &x))
        add_number(t, x, in_full);
    else if (text != NULL)
        wa_text_add(t, text);
    else if (wa_value_kind(v) == WA_NULL)
        wa_text_add(t, "missing");
    else
        wa_json_write(t, v, WA_JSON_COMPACT, NULL);
    while (t->length > 0 && t->at[t->length - 1] == '\n')
        t->at[--t->length] = '\0';
}

static bool differ(const wa_value *a, const wa_value *b)
{
    return (a == NULL) != (b == NULL) || !wa_value_equal(a, b);
}

/* Both as texts; seven digits unless they differ and would look the same. */
static void add_both(wa_text *x, wa_text *y, const wa_value *a, const wa_value *b)
{
    bool same = a != NULL && b != NULL && wa_value_equal(a, b);
    for (int in_full = 0; in_full < 2; in_full++) {
        wa_text_clear(x);
        wa_text_clear(y);
        add_cell(x, a, in_full);
        add_cell(y, b, in_full);
        if (same || strcmp(wa_text_string(x), wa_text_string(y)) != 0)
            return;
    }
}

/* Two cells, or one: "34 -> 52", "34" where both are the same, nothing where both are absent. */
static void put_both(wa_sheet *s, const wa_value *a, const wa_value *b, bool apart)
{
    wa_text x = WA_TEXT_INIT, y = WA_TEXT_INIT;
    add_both(&x, &y, a, b);
    if (!apart && (a != NULL || b != NULL) && differ(a, b))
        wa_text_printf(&x, " -> %s", wa_text_string(&y));
    s->failed = s->failed || wa_text_failed(&x) || wa_text_failed(&y);
    wa_sheet_text(s, a == NULL && b == NULL ? NULL : wa_text_string(&x));
    if (apart)
        wa_sheet_text(s, a == NULL && b == NULL ? NULL : wa_text_string(&y));
    wa_text_release(&x);
    wa_text_release(&y);
}

/* second - first of two numbers; else nothing. */
static void put_change(wa_sheet *s, const wa_value *a, const wa_value *b)
{
    double x, y;
    wa_text t = WA_TEXT_INIT;
    if (wa_number_of(a, &x) && wa_number_of(b, &y) && x != y)
        wa_text_printf(&t, "%+.3g", y - x);
    s->failed = s->failed || wa_text_failed(&t);
    wa_sheet_text(s, wa_text_string(&t));
    wa_text_release(&t);
}

/* ---- tables ------------------------------------------------------------------------------------ */

static void begin(comparison *c, const char *name, const char *const *heads)
{
    c->name = name;
    c->heads = heads;
}

/* A table without rows is not shown. */
static void add_row(comparison *c)
{
    if (c->name != NULL)
        wa_sheet_table(c->sheet, c->name);
    for (const char *const *h = c->heads; c->name != NULL && *h != NULL; h++)
        wa_sheet_column(c->sheet, *h, NULL);
    c->name = NULL;
    wa_sheet_row(c->sheet);
}

static void show_campaign(comparison *c)
{
    static const char *const heads[] = {"campaign", "first", "second", NULL};
    static const char *const keys[][2] = {
        {NULL, "title"},      {"report", "number"},     {"report", "revision"},
        {"report", "status"}, {"report", "customer"},   {"lidar", "serial"},
        {"lidar", "kind"},    {"lidar", "firmware"},    {"period", "from"},
        {"period", "to"},     {"period", "interval_s"}, {"period", "planned_to"},
        {"grid", "intervals"}};
    const wa_value *a = wa_get(c->first, "campaign"), *b = wa_get(c->second, "campaign");
    begin(c, "campaign", heads);
    for (size_t i = 0; i <= sizeof keys / sizeof *keys; i++) {
        bool last = i == sizeof keys / sizeof *keys;
        const char *in = last ? NULL : keys[i][0], *key = last ? "outcome" : keys[i][1];
        const wa_value *from = last ? c->first : in == NULL ? a : wa_get(a, in);
        const wa_value *to = last ? c->second : in == NULL ? b : wa_get(b, in);
        const wa_value *x = wa_get(from, key), *y = wa_get(to, key);
        if ((x == NULL && y == NULL) || (!c->all && !differ(x, y)))
            continue;
        add_row(c);
        wa_sheet_text(c->sheet, key);
        put_both(c->sheet, x, y, true);
    }
}

/* What is set side by side: as two cells, or as one. */
typedef struct shown {
    const char *key;
    bool apart;
} shown;

/* One row for each pair of members of `list` in each pair of checks. */
typedef struct table {
    const char *name, *list;
    const char *const *heads;
    const char *const *keys; /* by which members are matched; their texts are the first cells */
    bool unit;               /* a cell with the unit follows */
    const shown *show;       /* ends with { NULL }           */
    bool change;             /* and how much the first of them changed */
    bool of_both;            /* only members that both have; those of one are told elsewhere */
} table;

static void show_member(comparison *c, const table *t, const char *check, const pair *p)
{
    bool same = p->first != NULL && p->second != NULL;
    for (const shown *x = t->show; x->key != NULL && same; x++)
        same = !differ(wa_get(p->first, x->key), wa_get(p->second, x->key));
    if ((!c->all && same) || (t->of_both && (p->first == NULL || p->second == NULL)))
        return;
    add_row(c);
    wa_sheet_text(c->sheet, check);
    for (const char *const *key = t->keys; *key != NULL; key++)
        wa_sheet_text(c->sheet, wa_get_string(named(p), *key));
    if (t->unit)
        wa_sheet_text(c->sheet, wa_get_string(named(p), "unit"));
    for (const shown *x = t->show; x->key != NULL; x++)
        put_both(c->sheet, wa_get(p->first, x->key), wa_get(p->second, x->key), x->apart);
    if (t->change)
        put_change(c->sheet, wa_get(p->first, t->show[0].key), wa_get(p->second, t->show[0].key));
}

static bool show_members(comparison *c, const pairs *checks, const table *t)
{
    begin(c, t->name, t->heads);
    for (size_t i = 0; i < checks->n; i++) {
        pairs members;
        const pair *p = &checks->at[i];
        if (p->first == NULL || p->second == NULL)
            continue; /* the outcomes say that the check is not there */
        if (!join(&members, wa_get(p->first, t->list), wa_get(p->second, t->list), t->keys))
            return false;
        for (size_t k = 0; k < members.n; k++)
            show_member(c, t, wa_get_string(p->first, "id"), &members.at[k]);
        free(members.at);
    }
    return true;
}

static void show_outcomes(comparison *c, const pairs *checks)
{
    static const char *const heads[] = {"check", "status", "outcome", NULL};
    begin(c, "outcomes", heads);
    for (size_t i = 0; i < checks->n; i++) {
        const wa_value *a = checks->at[i].first, *b = checks->at[i].second;
        if (!c->all && !differ(wa_get(a, "status"), wa_get(b, "status")) &&
            !differ(wa_get(a, "outcome"), wa_get(b, "outcome")))
            continue;
        add_row(c);
        wa_sheet_text(c->sheet, wa_get_string(named(&checks->at[i]), "id"));
        put_both(c->sheet, wa_get(a, "status"), wa_get(b, "status"), false);
        put_both(c->sheet, wa_get(a, "outcome"), wa_get(b, "outcome"), false);
    }
}

/* How many cells of a table differ; a row that only one has counts with all its cells. */
static size_t cells_apart(const wa_value *a, const wa_value *b)
{
    const wa_value *x = wa_get(a, "rows"), *y = wa_get(b, "rows");
    size_t n = wa_count(x) > wa_count(y) ? wa_count(x) : wa_count(y), apart = 0;
    for (size_t i = 0; i < n; i++) {
        const wa_value *r = wa_at(x, i), *s = wa_at(y, i);
        size_t m = wa_count(r) > wa_count(s) ? wa_count(r) : wa_count(s);
        for (size_t k = 0; k < m; k++)
            apart += differ(wa_at(r, k), wa_at(s, k));
    }
    return apart;
}

/* "25", "25 -> 24" */
static void put_rows(comparison *c, const pair *p)
{
    size_t a = wa_count(wa_get(p->first, "rows")), b = wa_count(wa_get(p->second, "rows"));
    wa_text t = WA_TEXT_INIT;
    wa_text_printf(&t, "%zu", a);
    if (a != b)
        wa_text_printf(&t, " -> %zu", b);
    c->sheet->failed = c->sheet->failed || wa_text_failed(&t);
    wa_sheet_text(c->sheet, wa_text_string(&t));
    wa_text_release(&t);
}

static bool show_tables(comparison *c, const pairs *checks)
{
    static const char *const heads[] = {"check", "table", "cells that differ", "rows", NULL};
    static const char *const by_name[] = {"name", NULL};
    begin(c, "tables", heads);
    for (size_t i = 0; i < checks->n; i++) {
        pairs tables;
        const pair *p = &checks->at[i];
        if (p->first == NULL || p->second == NULL)
            continue;
        if (!join(&tables, wa_get(p->first, "tables"), wa_get(p->second, "tables"), by_name))
            return false;
        for (size_t k = 0; k < tables.n; k++) {
            size_t apart = cells_apart(tables.at[k].first, tables.at[k].second);
            if (apart == 0 && !c->all)
                continue;
            add_row(c);
            wa_sheet_text(c->sheet, wa_get_string(p->first, "id"));
            wa_sheet_text(c->sheet, wa_get_string(named(&tables.at[k]), "name"));
            wa_sheet_number(c->sheet, (double)apart);
            put_rows(c, &tables.at[k]);
        }
        free(tables.at);
    }
    return true;
}

static bool show_all(comparison *c)
{
    static const char *const by_id[] = {"id", NULL}, *const by_name[] = {"name", NULL};
    static const char *const by_reason[] = {"account", "reason", NULL};
    static const char *const by_limit[] = {"name", "criteria", NULL};
    static const shown value[] = {{"value", true}, {NULL, false}};
    static const shown value_u[] = {{"value", true}, {"u", false}, {NULL, false}};
    static const shown counts[] = {{"intervals", false}, {"left", false}, {NULL, false}};
    static const shown rules[] = {{"rule", true}, {NULL, false}};
    static const shown states[] = {{"used", false},
                                   {"records_only", false},
                                   {"outside", false},
                                   {"excluded", false},
                                   {NULL, false}};
    static const shown decided[] = {{"value", true}, {"outcome", false}, {NULL, false}};
    static const shown limits[] = {{"limits", true}, {NULL, false}};
    static const char *const of_parameters[] = {"check", "parameter", "unit",
                                                "first", "second",    NULL};
    static const char *const of_exclusions[] = {"check", "account", "reason", "met", "left", NULL};
    static const char *const of_rules[] = {"check", "account", "reason", "first", "second", NULL};
    static const char *const of_accounts[] = {"check",   "account",  "used", "records only",
                                              "outside", "excluded", NULL};
    static const char *const of_values[] = {"check",  "value", "unit",   "first",
                                            "second", "u",     "change", NULL};
    static const char *const of_requirements[] = {
        "check", "requirement", "criteria", "unit", "first", "second", "outcome", "change", NULL};
    static const char *const of_limits[] = {"check", "requirement", "criteria",
                                            "first", "second",      NULL};
    const table tables[] = {
        {"parameters", "parameters", of_parameters, by_name, true, value, false, false},
        {"exclusions", "exclusions", of_exclusions, by_reason, false, counts, false, false},
        {"rules of exclusions", "exclusions", of_rules, by_reason, false, rules, false, true},
        {"accounts", "accounts", of_accounts, by_name, false, states, false, false},
        {"values", "values", of_values, by_name, true, value_u, true, false},
        {"requirements", "requirements", of_requirements, by_limit, true, decided, true, false},
        {"limits", "requirements", of_limits, by_limit, false, limits, false, true},
    };
    pairs checks;
    if (!join(&checks, wa_get(c->first, "checks"), wa_get(c->second, "checks"), by_id))
        return false;
    bool good = true;
    show_campaign(c);
    show_outcomes(c, &checks);
    for (size_t i = 0; i < sizeof tables / sizeof *tables && good; i++)
        good = show_members(c, &checks, &tables[i]);
    good = good && show_tables(c, &checks);
    free(checks.at);
    return good;
}

void wa_compare_tables(wa_sheet *sheet, const wa_value *first, const wa_value *second, bool all)
{
    comparison c = {.first = first, .second = second, .all = all, .sheet = sheet};
    if (!show_all(&c))
        sheet->failed = true;
}
