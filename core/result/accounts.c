/* Accounts of a check's answer, made again from its masks. */
#include "result/parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ACCOUNTS_MAX = 64, EXCLUSIONS_MAX = 1000, WHERE_SIZE = 200 };

static wa_status no_memory(const strict *s)
{
    return wa_fail(s->err, WA_ERR_NOMEM, "out of memory");
}

void wa_accounts_release(wa_accounts *a)
{
    for (size_t i = 0; i < a->n; i++)
        wa_account_free(a->at[i]);
    free(a->at);
    wa_value_free(a->judged);
    wa_value_free(a->compared);
    *a = (wa_accounts){0};
}

/* What the account refuses is the child's fault. */
static wa_status blame(const strict *s, const char *where, wa_status code, const wa_error *e)
{
    if (code == WA_OK)
        return WA_OK;
    return code == WA_ERR_NOMEM ? no_memory(s) : strict_refuse(s, where, "%s", e->text);
}

/* True where the exclusion repeats an event of the campaign, mask and all. */
static bool repeats_event(const wa_value *exclusion, size_t n, const wa_event *events,
                          size_t n_events)
{
    const char *mask = wa_get_string(exclusion, "mask");
    for (size_t i = 0; i < n_events; i++)
        if (strcmp(events[i].reason, wa_get_string(exclusion, "reason")) == 0)
            return memcmp(events[i].mask, mask, n) == 0;
    return false;
}

static wa_status exclude(wa_account *a, const wa_value *v, const wa_event *events, size_t n_events,
                         const char *where, const strict *s)
{
    static const strict_field fields[] = {
        {"reason", STRICT_TEXT | STRICT_REQUIRED},
        {"mask", STRICT_BYTES | STRICT_REQUIRED},
        {"unknown", STRICT_NAME | STRICT_REQUIRED},
        {"both_sides", STRICT_BOOL},
        {"rule", STRICT_TEXT},
        {"looks_at", STRICT_LIST},
    };
    wa_status code = strict_map(s, v, where, fields, STRICT_COUNT(fields));
    if (code != WA_OK)
        return code;
    const wa_value *mask = wa_get(v, "mask");
    const char *unknown = wa_get_string(v, "unknown");
    if (wa_length_of(mask) != a->n)
        return strict_refuse(s, where, "a mask of %zu intervals on a grid of %zu",
                             wa_length_of(mask), a->n);
    if (strcmp(unknown, "keep") != 0 && strcmp(unknown, "exclude") != 0)
        return strict_refuse(s, where, "'unknown' is neither 'keep' nor 'exclude'");
    if (repeats_event(v, a->n, events, n_events))
        return WA_OK;
    wa_error e = {0};
    code = wa_account_exclude(a, wa_get_string(v, "reason"), (const uint8_t *)wa_string_of(mask),
                              strcmp(unknown, "keep") == 0, wa_true(wa_get(v, "both_sides")), &e);
    code = blame(s, where, code, &e);
    if (code == WA_OK && wa_get(v, "rule") != NULL)
        code = parts_rule(&a->exclusions[a->n_exclusions - 1].why, v, where, s);
    return code;
}

static wa_status remake(wa_account **out, const wa_value *list, size_t i, size_t n,
                        const wa_event *events, size_t n_events, const strict *s)
{
    static const strict_field fields[] = {
        {"name", STRICT_NAME | STRICT_REQUIRED},
        {"exclusions", STRICT_LIST | STRICT_REQUIRED},
        {"states", STRICT_BYTES},
        {"compared", STRICT_MAP},
    };
    char where[WHERE_SIZE], place[WHERE_SIZE + 50];
    const wa_value *v = wa_at(list, i), *exclusions = wa_get(v, "exclusions");
    const wa_value *states = wa_get(v, "states");
    snprintf(where, sizeof where, "account %zu", i + 1);
    wa_status code = strict_map(s, v, where, fields, STRICT_COUNT(fields));
    if (code == WA_OK)
        code = strict_list(s, exclusions, where, STRICT_MAP, EXCLUSIONS_MAX);
    if (code != WA_OK)
        return code;
    snprintf(where, sizeof where, "account '%s'", wa_get_string(v, "name"));
    if (states != NULL && wa_length_of(states) != n)
        return strict_refuse(s, where, "%zu states on a grid of %zu", wa_length_of(states), n);
    wa_account *a = NULL;
    wa_error e = {0};
    code = wa_account_new(&a, wa_get_string(v, "name"), n, &e);
    if (code == WA_OK)
        code = wa_account_exclude_events(a, events, n_events, &e);
    code = blame(s, where, code, &e);
    for (size_t k = 0; code == WA_OK && k < wa_count(exclusions); k++) {
        snprintf(place, sizeof place, "%s, exclusion %zu", where, k + 1);
        code = exclude(a, wa_at(exclusions, k), events, n_events, place, s);
    }
    if (code == WA_OK) {
        code =
            wa_account_close(a, states == NULL ? NULL : (const uint8_t *)wa_string_of(states), &e);
        code = blame(s, where, code, &e);
    }
    if (code == WA_OK)
        *out = a;
    else
        wa_account_free(a);
    return code;
}

static bool put_count(wa_value *m, const char *key, size_t n)
{
    return wa_map_set(m, key, wa_number((double)n));
}

static bool add_exclusion(wa_value *list, const wa_account *a, const wa_exclusion *x)
{
    wa_value *m = wa_map();
    bool ok = m != NULL && wa_map_set(m, "account", wa_string(a->name)) &&
              wa_map_set(m, "code", wa_string(x->code)) &&
              wa_map_set(m, "reason", wa_string(x->reason)) &&
              put_count(m, "intervals", x->intervals) && put_count(m, "only", x->only) &&
              put_count(m, "unknown", x->unknown) && put_count(m, "left", x->left) &&
              (!x->keep_unknown || wa_map_set(m, "keeps_unknown", wa_bool(true))) &&
              (!x->both_sides || wa_map_set(m, "both_sides", wa_bool(true))) &&
              (!x->event || wa_map_set(m, "event", wa_bool(true)));
    for (size_t i = 0; ok && i < wa_count(x->why); i++)
        ok = wa_map_set(m, wa_key(x->why, i), wa_value_copy(wa_at(x->why, i)));
    if (!ok) {
        wa_value_free(m);
        return false;
    }
    return wa_list_add(list, m);
}

/* What was compared, in words: the numbers go into compared.csv. */
static bool add_words(wa_value *account, const wa_value *compared)
{
    static const char *const keys[] = {"measured", "reference", "binned_by"};
    bool ok = true;
    for (size_t i = 0; i < 3 && ok; i++)
        if (wa_get(compared, keys[i]) != NULL)
            ok = wa_map_set(account, keys[i], wa_value_copy(wa_get(compared, keys[i])));
    return ok;
}

static bool add_account(wa_value *list, const wa_account *a, const wa_value *compared)
{
    wa_value *m = wa_map();
    bool ok = m != NULL && wa_map_set(m, "name", wa_string(a->name)) &&
              put_count(m, "grid", a->n) && put_count(m, "used", a->used) &&
              put_count(m, "records_only", a->records_only) &&
              put_count(m, "outside", a->outside) && put_count(m, "excluded", a->excluded) &&
              add_words(m, compared);
    if (!ok) {
        wa_value_free(m);
        return false;
    }
    return wa_list_add(list, m);
}

static wa_status put_accounts(wa_value *found, const wa_accounts *made, const strict *s)
{
    wa_value *exclusions = wa_list(), *accounts = wa_list();
    bool ok = exclusions != NULL && accounts != NULL;
    for (size_t i = 0; ok && i < made->n; i++) {
        ok = add_account(accounts, made->at[i], wa_at(made->compared, i));
        for (size_t k = 0; ok && k < made->at[i]->n_exclusions; k++)
            ok = add_exclusion(exclusions, made->at[i], &made->at[i]->exclusions[k]);
    }
    if (!ok) {
        wa_value_free(exclusions);
        wa_value_free(accounts);
        return no_memory(s);
    }
    ok = wa_map_set(found, "exclusions", exclusions);
    ok = wa_map_set(found, "accounts", accounts) && ok;
    return ok ? WA_OK : no_memory(s);
}

wa_status parts_accounts(wa_value *found, wa_accounts *accounts, const wa_value *list, size_t n,
                         const wa_event *events, size_t n_events, const strict *s)
{
    wa_accounts made = {0};
    wa_status code =
        list == NULL ? WA_OK : strict_list(s, list, "accounts", STRICT_MAP, ACCOUNTS_MAX);
    if (code != WA_OK)
        return code;
    made.at = calloc(wa_count(list) + 1, sizeof(wa_account *));
    made.compared = wa_list();
    if (made.at == NULL || made.compared == NULL)
        code = no_memory(s);
    for (size_t i = 0; code == WA_OK && i < wa_count(list); i++) {
        code = remake(&made.at[i], list, i, n, events, n_events, s);
        if (code == WA_OK)
            made.n++;
        if (code == WA_OK)
            code = parts_compared(made.compared, wa_get(wa_at(list, i), "compared"), n, s);
        for (size_t k = 0; code == WA_OK && k < i; k++)
            if (strcmp(made.at[k]->name, made.at[i]->name) == 0)
                code = strict_refuse(s, "accounts", "'%s' stands twice", made.at[i]->name);
    }
    if (code == WA_OK)
        code = put_accounts(found, &made, s);
    if (code == WA_OK)
        *accounts = made;
    else
        wa_accounts_release(&made);
    return code;
}
