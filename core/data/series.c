#include "data/series.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool fill(double **column, bool wanted, size_t n, double with)
{
    if (!wanted)
        return true;
    if ((*column = malloc(n * sizeof **column)) == NULL)
        return false;
    for (size_t i = 0; i < n; i++)
        (*column)[i] = with;
    return true;
}

static bool copy(char **to, const char *text)
{
    return text == NULL || (*to = strdup(text)) != NULL;
}

static bool make_shares(wa_series *s, size_t n, const wa_channel *c)
{
    s->share = calloc(c->n_flags + 1, sizeof *s->share);
    s->share_name = calloc(c->n_flags + 1, sizeof *s->share_name);
    if (s->share == NULL || s->share_name == NULL)
        return false;
    for (; s->n_share < c->n_flags; s->n_share++)
        if (!fill(&s->share[s->n_share], true, n, (double)NAN) ||
            !copy(&s->share_name[s->n_share], c->flags[s->n_share].name)) {
            s->n_share++;
            return false;
        }
    return true;
}

bool wa_series_make(wa_series *s, const wa_plan *plan, const wa_channel *c, bool availability)
{
    bool raw = plan->raw, scalar = c->kind == WA_CHANNEL_SCALAR;
    bool direction = c->kind == WA_CHANNEL_DIRECTION, number = scalar || direction;
    double nan = (double)NAN;
    size_t n = plan->n;
    *s = (wa_series){.source = plan->index,
                     .kind = c->kind,
                     .unit = c->unit,
                     .has_height = c->has_height,
                     .height = c->height};
    bool count = raw || c->count != NULL;
    availability = raw ? availability : c->availability != NULL;
    return copy(&s->name, c->name) && copy(&s->quantity, c->quantity) && copy(&s->use, c->use) &&
           copy(&s->instrument, c->instrument) && fill(&s->count, count, n, raw ? 0 : nan) &&
           fill(&s->availability, availability, n, raw ? 0 : nan) &&
           fill(&s->mean, number, n, nan) &&
           fill(&s->sd, number && (raw || c->sd != NULL), n, nan) &&
           fill(&s->min, scalar && (raw || c->min != NULL), n, nan) &&
           fill(&s->max, scalar && (raw || c->max != NULL), n, nan) &&
           fill(&s->resultant, direction && (raw || c->resultant != NULL), n, nan) &&
           (number || make_shares(s, n, c));
}

void wa_series_release(wa_series *s)
{
    for (size_t i = 0; i < s->n_share; i++) {
        free(s->share[i]);
        free(s->share_name[i]);
    }
    free(s->share);
    free(s->share_name);
    free(s->name);
    free(s->quantity);
    free(s->use);
    free(s->instrument);
    free(s->count);
    free(s->mean);
    free(s->sd);
    free(s->min);
    free(s->max);
    free(s->availability);
    free(s->resultant);
    *s = (wa_series){0};
}

static void put(double *column, size_t i, double x)
{
    if (column != NULL)
        column[i] = x == 0 ? 0 : x; /* no minus zero */
}

void wa_series_put(wa_series *s, size_t i, const wa_statistics *t, double expected)
{
    put(s->count, i, (double)t->count);
    put(s->mean, i, t->mean);
    put(s->sd, i, t->sd);
    put(s->min, i, t->min);
    put(s->max, i, t->max);
    put(s->resultant, i, t->resultant);
    if (expected > 0)
        put(s->availability, i, (double)t->count / expected);
}

void wa_series_put_shares(wa_series *s, size_t i, const wa_channel *c, const wa_samples *samples)
{
    for (size_t k = 0; k < c->n_flags; k++)
        put(s->share[k], i,
            c->kind == WA_CHANNEL_BITS ? wa_share_of_bit(samples, c->flags[k].bit)
                                       : wa_share_of_word(samples, (int64_t)k));
}
