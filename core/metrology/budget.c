/* Uncertainty budgets: keeping components; budget_combine.c puts them together. */
#include "metrology/budget_rows.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

static const char *const shape_words[] = {
    [WA_SHAPE_NORMAL] = "normal",
    [WA_SHAPE_RECTANGULAR] = "rectangular",
    [WA_SHAPE_TRIANGULAR] = "triangular",
    [WA_SHAPE_U_SHAPED] = "u_shaped",
};

const char *wa_shape_word(wa_shape s)
{
    return shape_words[s];
}

bool wa_shape_of(wa_shape *out, const char *word)
{
    for (size_t i = 0; word != NULL && i < sizeof shape_words / sizeof *shape_words; i++)
        if (strcmp(word, shape_words[i]) == 0) {
            *out = (wa_shape)i;
            return true;
        }
    return false;
}

double wa_shape_divisor(wa_shape s)
{
    static const double square[] = {[WA_SHAPE_NORMAL] = 1,
                                    [WA_SHAPE_RECTANGULAR] = 3,
                                    [WA_SHAPE_TRIANGULAR] = 6,
                                    [WA_SHAPE_U_SHAPED] = 2};
    return sqrt(square[s]);
}

/* ---- the budget ------------------------------------------------------------------------------ */

wa_status wa_budget_new(wa_budget **out, size_t bins, wa_error *err)
{
    if (bins == 0 || bins > WA_BUDGET_BINS_MAX)
        return wa_fail(err, WA_ERR_ARG, "a budget has 1 to %d bins", WA_BUDGET_BINS_MAX);
    wa_budget *b = calloc(1, sizeof *b);
    if (b == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    b->bins = bins;
    *out = b;
    return WA_OK;
}

static void row_release(wa_budget_row *r)
{
    free(r->name);
    free(r->group);
    free(r->source);
    free(r->u);
}

void wa_budget_free(wa_budget *b)
{
    if (b == NULL)
        return;
    for (size_t i = 0; i < b->n; i++)
        row_release(&b->row[i]);
    free(b);
}

size_t wa_budget_bins(const wa_budget *b)
{
    return b->bins;
}

size_t wa_budget_count(const wa_budget *b)
{
    return b->n;
}

const wa_budget_row *wa_budget_at(const wa_budget *b, size_t i)
{
    return &b->row[i];
}

/* ---- adding ---------------------------------------------------------------------------------- */

/* The next character of a name that tells names apart: letters in lower case, no blanks. */
static char telling(const char **s)
{
    while (**s == ' ' || **s == '_' || **s == '-')
        (*s)++;
    char c = **s;
    if (c == '\0')
        return c;
    (*s)++;
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool same_name(const char *a, const char *b)
{
    for (;;) {
        char x = telling(&a), y = telling(&b);
        if (x != y)
            return false;
        if (x == '\0')
            return true;
    }
}

static wa_status check_numbers(const wa_budget *b, const wa_component *c, const char *what,
                               const wa_per_bin *p, double lowest, bool may_be_infinite,
                               wa_error *err)
{
    if (p->n != 1 && p->n != b->bins)
        return wa_fail(err, WA_ERR_ARG, "component '%s': %zu values of %s for %zu bins", c->name,
                       p->n, what, b->bins);
    for (size_t i = 0; i < p->n; i++) {
        if (isinf(p->at[i]) && !(may_be_infinite && p->at[i] > 0))
            return wa_fail(err, WA_ERR_ARG, "component '%s': %s is infinite", c->name, what);
        if (p->at[i] < lowest)
            return wa_fail(err, WA_ERR_ARG, "component '%s': %s is %g, below %g", c->name, what,
                           p->at[i], lowest);
    }
    return WA_OK;
}

static wa_status check(const wa_budget *b, const wa_component *c, wa_error *err)
{
    if (c->name == NULL || c->name[0] == '\0')
        return wa_fail(err, WA_ERR_ARG, "a component needs a name");
    if (b->n == WA_BUDGET_COMPONENTS_MAX)
        return wa_fail(err, WA_ERR_ARG, "more than %d components", WA_BUDGET_COMPONENTS_MAX);
    for (size_t i = 0; i < b->n; i++)
        if (same_name(b->row[i].name, c->name)) {
            wa_fail(err, WA_ERR_ARG, "component '%s' is in the budget already%s%s%s", c->name,
                    strcmp(b->row[i].name, c->name) == 0 ? "" : ", as '",
                    strcmp(b->row[i].name, c->name) == 0 ? "" : b->row[i].name,
                    strcmp(b->row[i].name, c->name) == 0 ? "" : "'");
            return wa_hint(err, WA_ERR_ARG,
                           "each effect counts once; if it is another one, name it differently");
        }
    if (!(c->k >= 0 && isfinite(c->k)) || (c->k > 0 && c->shape != WA_SHAPE_NORMAL))
        return wa_fail(err, WA_ERR_ARG,
                       "component '%s': a coverage factor is above 0 and goes with shape 'normal'",
                       c->name);
    wa_status s = check_numbers(b, c, "uncertainty", &c->u, 0, false, err);
    if (s != WA_OK && err != NULL && c->u.n > 0)
        wa_hint(err, s, "an uncertainty is not negative; the sign belongs to the sensitivity");
    if (s == WA_OK && c->sensitivity.n > 0)
        s = check_numbers(b, c, "sensitivity", &c->sensitivity, -HUGE_VAL, false, err);
    if (s == WA_OK && c->dof.n > 0)
        s = check_numbers(b, c, "degrees of freedom", &c->dof, 1, true, err);
    return s;
}

static double value_at(const wa_per_bin *p, size_t i, double otherwise)
{
    return p->n == 0 ? otherwise : p->at[p->n == 1 ? 0 : i];
}

/* A copy of a text, NULL for NULL; *failed when memory runs out. */
static char *copy_of(const char *s, bool *failed)
{
    char *copy = s != NULL ? strdup(s) : NULL;
    *failed = *failed || (s != NULL && copy == NULL);
    return copy;
}

wa_status wa_budget_add(wa_budget *b, const wa_component *c, wa_error *err)
{
    wa_status s = check(b, c, err);
    if (s != WA_OK)
        return s;
    bool failed = false;
    wa_budget_row r = {.kind = c->kind, .shape = c->shape};
    r.divisor = c->k > 0 ? c->k : wa_shape_divisor(c->shape);
    r.name = copy_of(c->name, &failed);
    r.group = copy_of(c->group, &failed);
    r.source = copy_of(c->source, &failed);
    r.u = calloc(3 * b->bins, sizeof *r.u);
    if (failed || r.u == NULL) {
        row_release(&r);
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    r.contribution = r.u + b->bins;
    r.dof = r.contribution + b->bins;
    for (size_t i = 0; i < b->bins; i++) {
        r.u[i] = value_at(&c->u, i, 0) / r.divisor;
        r.contribution[i] = value_at(&c->sensitivity, i, 1) * r.u[i];
        r.dof[i] = value_at(&c->dof, i, HUGE_VAL);
        if (isnan(r.dof[i])) /* how well it is known is missing: so is the bin */
            r.contribution[i] = r.dof[i];
        if (isinf(r.contribution[i])) {
            s = wa_fail(err, WA_ERR_ARG, "component '%s': a contribution is out of range", c->name);
            row_release(&r);
            return s;
        }
    }
    b->row[b->n++] = r;
    return WA_OK;
}
