/* Criteria files: plain tables become limits, or are refused. */
#include "windassay/criteria.h"

#include "result/criteria_text.h"
#include "result/strict.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *const wa_evidence_words[] = {"seen",   "computed", "recalled", "common practice",
                                         "agreed", "invented", NULL};

enum { LIMITS_MAX = 1000, WHERE_SIZE = 200 };

/* What a limit takes from its set where it says nothing itself. */
typedef struct decoder {
    strict s;
    const wa_value *set;
    const wa_value *confirmed;
} decoder;

wa_status evidence_known(const strict *s, const char *where, const char *word)
{
    size_t n = 0;
    for (; wa_evidence_words[n] != NULL; n++)
        if (strcmp(word, wa_evidence_words[n]) == 0)
            return WA_OK;
    char shown[64];
    wa_status code = strict_refuse(s, where, "'%s' is no word of evidence",
                                   wa_shown(shown, sizeof shown, word, strlen(word)));
    const char *near = wa_nearest(word, wa_evidence_words, n);
    if (near != NULL)
        return wa_hint(s->err, code, "did you mean '%s'", near);
    char all[160] = "";
    size_t used = 0;
    for (size_t i = 0; i < n && used < sizeof all; i++)
        used += (size_t)snprintf(all + used, sizeof all - used, "%s'%s'", i == 0 ? "" : ", ",
                                 wa_evidence_words[i]);
    return wa_hint(s->err, code, "it is one of %s", all);
}

wa_status confirmation_known(const strict *s, const char *where, const wa_value *v)
{
    static const strict_field fields[] = {{"clause", STRICT_TEXT | STRICT_REQUIRED},
                                          {"edition", STRICT_TEXT | STRICT_REQUIRED},
                                          {"by", STRICT_TEXT | STRICT_REQUIRED}};
    return strict_map(s, v, where, fields, STRICT_COUNT(fields));
}

static const wa_value *own_or_of_set(const decoder *d, const wa_value *limit, const char *key)
{
    const wa_value *own = wa_get(limit, key);
    return own != NULL ? own : wa_get(d->set, key);
}

static wa_status take_rule(const decoder *d, const wa_value *v, const char *where, wa_limit *l)
{
    const char *word = wa_string_of(own_or_of_set(d, v, "rule"));
    if (word == NULL)
        return strict_refuse(&d->s, where,
                             "no decision rule; say rule = \"simple\", \"guarded\" or "
                             "\"non-binary\"");
    if (!wa_rule_of(&l->rule, word))
        return strict_refuse(&d->s, where,
                             "the rule is not \"simple\", \"guarded\" or \"non-binary\"");
    const wa_value *k = own_or_of_set(d, v, "k");
    if (l->rule == WA_RULE_SIMPLE)
        return WA_OK;
    if (!wa_number_of(k, &l->k))
        return strict_refuse(&d->s, where, "rule \"%s\" needs its coverage factor k",
                             wa_rule_word(l->rule));
    return l->k > 0 ? WA_OK : strict_refuse(&d->s, where, "k must be above zero");
}

static wa_status take_tolerance(const decoder *d, const wa_value *v, const char *where, wa_limit *l)
{
    wa_tolerance *t = &l->tolerance;
    t->has_lower = wa_number_of(wa_get(v, "lower"), &t->lower);
    t->has_upper = wa_number_of(wa_get(v, "upper"), &t->upper);
    if (!t->has_lower && !t->has_upper)
        return strict_refuse(&d->s, where, "neither 'lower' nor 'upper' is given");
    if (t->has_lower && t->has_upper && t->lower > t->upper)
        return strict_refuse(&d->s, where, "'lower' lies above 'upper'");
    wa_error unit_error = {0};
    if (wa_unit_parse(&l->unit, wa_get_string(v, "unit"), &unit_error) != WA_OK)
        return strict_refuse(&d->s, where, "%s", unit_error.text);
    return WA_OK;
}

static wa_status take_origin(const decoder *d, const wa_value *v, const char *where, wa_limit *l)
{
    const char *source = wa_string_of(own_or_of_set(d, v, "source"));
    const char *evidence = wa_string_of(own_or_of_set(d, v, "evidence"));
    if (source == NULL || evidence == NULL)
        return strict_refuse(&d->s, where, "'%s' is missing: a limit says where it comes from",
                             source == NULL ? "source" : "evidence");
    wa_status code = evidence_known(&d->s, where, evidence);
    if (code != WA_OK)
        return code;
    l->source = strdup(source);
    l->evidence = strdup(evidence);
    if (l->source == NULL || l->evidence == NULL)
        return wa_no_memory(d->s.err);
    char key[2 * STRICT_NAME_MAX + 2];
    snprintf(key, sizeof key, "%s.%s", l->check, l->require);
    const wa_value *confirmed = wa_get(d->confirmed, key);
    if (confirmed != NULL && (l->confirmed = wa_value_copy(confirmed)) == NULL)
        return wa_no_memory(d->s.err);
    return WA_OK;
}

static wa_status take_limit(const decoder *d, const wa_value *v, const char *where, wa_limit *l)
{
    static const strict_field fields[] = {
        {"check", STRICT_NAME | STRICT_REQUIRED},
        {"require", STRICT_NAME | STRICT_REQUIRED},
        {"unit", STRICT_NAME | STRICT_REQUIRED},
        {"lower", STRICT_NUMBER},
        {"upper", STRICT_NUMBER},
        {"run", STRICT_NAME},
        {"parameters", STRICT_MAP},
        {"source", STRICT_TEXT},
        {"evidence", STRICT_NAME},
        {"rule", STRICT_NAME},
        {"k", STRICT_NUMBER},
    };
    wa_status code = strict_map(&d->s, v, where, fields, STRICT_COUNT(fields));
    if (code != WA_OK)
        return code;
    const char *run = wa_get_string(v, "run");
    const wa_value *parameters = wa_get(v, "parameters");
    if (run == NULL && parameters != NULL)
        return strict_refuse(&d->s, where,
                             "own parameters make a run of their own: name it, "
                             "run = \"...\"");
    l->check = strdup(wa_get_string(v, "check"));
    l->require = strdup(wa_get_string(v, "require"));
    l->run = run == NULL ? NULL : strdup(run);
    if (parameters != NULL) /* an empty Lua table comes as a list */
        l->parameters = wa_count(parameters) == 0 ? wa_map() : wa_value_copy(parameters);
    if (l->check == NULL || l->require == NULL || (run != NULL && l->run == NULL) ||
        (parameters != NULL && l->parameters == NULL))
        return wa_no_memory(d->s.err);
    code = take_tolerance(d, v, where, l);
    if (code == WA_OK)
        code = take_rule(d, v, where, l);
    if (code == WA_OK)
        code = take_origin(d, v, where, l);
    return code;
}

static bool same_run(const wa_limit *a, const wa_limit *b)
{
    return strcmp(a->check, b->check) == 0 && (a->run == NULL) == (b->run == NULL) &&
           (a->run == NULL || strcmp(a->run, b->run) == 0);
}

/* Limits of one run agree on its parameters; those that say nothing take them from the others.
 * No requirement is limited twice in a run. */
static wa_status join_runs(const strict *s, wa_criteria *c)
{
    char where[WHERE_SIZE];
    for (size_t i = 0; i < c->n_limits; i++) {
        wa_limit *a = &c->limits[i];
        snprintf(where, sizeof where, "limit %zu ('%s' of '%s')", i + 1, a->require, a->check);
        for (size_t j = 0; j < c->n_limits; j++) {
            const wa_limit *b = &c->limits[j];
            if (i == j || !same_run(a, b))
                continue;
            if (j < i && strcmp(a->require, b->require) == 0)
                return strict_refuse(s, where, "limit %zu limits the same", j + 1);
            if (a->parameters == NULL && b->parameters != NULL &&
                (a->parameters = wa_value_copy(b->parameters)) == NULL)
                return wa_no_memory(s->err);
            if (b->parameters != NULL && !wa_value_equal(a->parameters, b->parameters))
                return strict_refuse(s, where, "run '%s' has other parameters in limit %zu", a->run,
                                     j + 1);
        }
        if (a->run != NULL && a->parameters == NULL)
            return strict_refuse(s, where, "no limit of run '%s' says its parameters", a->run);
    }
    return WA_OK;
}

/* A confirmation of something that the set does not limit is a slip of the pen. */
static wa_status confirmations_fit(const strict *s, const wa_value *confirmed, const wa_criteria *c)
{
    char where[WHERE_SIZE], key[2 * STRICT_NAME_MAX + 2], shown[64];
    for (size_t i = 0; i < wa_count(confirmed); i++) {
        const char *name = wa_key(confirmed, i);
        bool found = false;
        for (size_t k = 0; !found && k < c->n_limits && name != NULL; k++) {
            snprintf(key, sizeof key, "%s.%s", c->limits[k].check, c->limits[k].require);
            found = strcmp(key, name) == 0;
        }
        snprintf(where, sizeof where, "confirmed '%s'",
                 name == NULL ? "" : wa_shown(shown, sizeof shown, name, strlen(name)));
        if (!found)
            return strict_refuse(s, where, "no limit is called so; the name is CHECK.REQUIRE");
        wa_status code = confirmation_known(s, where, wa_at(confirmed, i));
        if (code != WA_OK)
            return code;
    }
    return WA_OK;
}

static wa_status decode_into(wa_criteria *c, const wa_value *table, const char *name,
                             const strict *s)
{
    static const strict_field fields[] = {
        {"title", STRICT_NAME | STRICT_REQUIRED},
        {"limits", STRICT_LIST | STRICT_REQUIRED},
        {"source", STRICT_TEXT},
        {"evidence", STRICT_NAME},
        {"rule", STRICT_NAME},
        {"k", STRICT_NUMBER},
        {"confirmed", STRICT_MAP},
    };
    char where[WHERE_SIZE];
    wa_status code = strict_map(s, table, "criteria", fields, STRICT_COUNT(fields));
    const wa_value *limits = wa_get(table, "limits");
    if (code == WA_OK)
        code = strict_list(s, limits, "limits", STRICT_MAP, LIMITS_MAX);
    if (code == WA_OK && wa_count(limits) == 0)
        code = strict_refuse(s, "limits", "a set of criteria needs at least one");
    if (code != WA_OK)
        return code;
    c->name = strdup(name);
    c->title = strdup(wa_get_string(table, "title"));
    c->limits = calloc(wa_count(limits), sizeof *c->limits);
    if (c->name == NULL || c->title == NULL || c->limits == NULL)
        return wa_no_memory(s->err);
    decoder d = {*s, table, wa_get(table, "confirmed")};
    for (size_t i = 0; code == WA_OK && i < wa_count(limits); i++) {
        snprintf(where, sizeof where, "limit %zu", i + 1);
        code = take_limit(&d, wa_at(limits, i), where, &c->limits[c->n_limits++]);
    }
    if (code == WA_OK)
        code = join_runs(s, c);
    return code == WA_OK ? confirmations_fit(s, d.confirmed, c) : code;
}

wa_status wa_criteria_decode(wa_criteria **out, const wa_value *table, const char *name,
                             const char *file, wa_error *err)
{
    wa_criteria *c = calloc(1, sizeof *c);
    if (c == NULL)
        return wa_no_memory(err);
    strict s = {file, WA_ERR_DATA, err};
    wa_status code = decode_into(c, table, name, &s);
    if (code == WA_OK)
        *out = c;
    else
        wa_criteria_free(c);
    return code;
}

void wa_criteria_free(wa_criteria *c)
{
    if (c == NULL)
        return;
    for (size_t i = 0; i < c->n_limits; i++) {
        wa_limit *l = &c->limits[i];
        free(l->check);
        free(l->require);
        free(l->run);
        free(l->source);
        free(l->evidence);
        wa_value_free(l->parameters);
        wa_value_free(l->confirmed);
    }
    free(c->limits);
    free(c->name);
    free(c->title);
    free(c);
}

bool wa_criteria_covers(const wa_criteria *c, const char *check)
{
    for (size_t i = 0; i < c->n_limits; i++)
        if (strcmp(c->limits[i].check, check) == 0)
            return true;
    return false;
}

/* The i-th limit of the check that is the first one of its run; NULL when there are fewer. */
static const wa_limit *first_of_run(const wa_criteria *c, const char *check, size_t i)
{
    for (size_t k = 0; k < c->n_limits; k++) {
        const wa_limit *l = &c->limits[k];
        bool first = l->run != NULL && strcmp(l->check, check) == 0;
        for (size_t before = 0; first && before < k; before++)
            first = !same_run(l, &c->limits[before]);
        if (first && i-- == 0)
            return l;
    }
    return NULL;
}

size_t wa_criteria_runs(const wa_criteria *c, const char *check)
{
    size_t n = 0;
    while (first_of_run(c, check, n) != NULL)
        n++;
    return n;
}

const char *wa_criteria_run(const wa_criteria *c, const char *check, size_t i,
                            const wa_value **parameters)
{
    const wa_limit *l = first_of_run(c, check, i);
    if (l != NULL && parameters != NULL)
        *parameters = l->parameters;
    return l == NULL ? NULL : l->run;
}
