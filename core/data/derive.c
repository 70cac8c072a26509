#include "data/derive.h"

#include "windassay/reconstruct.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CHUNK = 4096 };

static const wa_series *series_of(const wa_records *r, const wa_derived *d, const char *name,
                                  const double *beam)
{
    for (size_t i = 0; i < r->n_series; i++) {
        const wa_series *s = &r->series[i];
        if (s->source != d->source || s->mean == NULL || strcmp(s->name, name) != 0)
            continue;
        if (beam != NULL && (!s->has_beam || s->beam < *beam || s->beam > *beam))
            continue;
        if (beam != NULL && d->has_range && s->has_range &&
            (s->range < d->range || s->range > d->range))
            continue;
        return s;
    }
    return NULL;
}

/* What one derivation reads. */
typedef struct inputs {
    const wa_series **beam; /* n_beams */
    const wa_series *tilt, *roll;
    wa_beam *setup;
    double *speed; /* n_beams * CHUNK: the sign that the frame wants */
    const double **speeds;
    wa_wind *wind;
} inputs;

static void inputs_release(inputs *in)
{
    free(in->beam);
    free(in->setup);
    free(in->speed);
    free(in->speeds);
    free(in->wind);
}

static wa_status find_beams(inputs *in, const wa_records *r, const wa_campaign *c,
                            const wa_derived *d, wa_error *err)
{
    for (size_t b = 0; b < d->n_beams; b++) {
        double number = (double)b + 1;
        in->beam[b] = series_of(r, d, d->channel, &number);
        if (in->beam[b] == NULL)
            return wa_fail_at(err, WA_ERR_DATA, c->file, 0, 0,
                              "derive.%s: the files have no '%s' of beam %zu%s", d->name,
                              d->channel, b + 1, d->has_range ? " at that range" : "");
        in->setup[b] =
            (wa_beam){.azimuth = d->azimuth[b], .elevation = d->elevation[b], .weight = 1};
        in->speeds[b] = in->speed + b * CHUNK;
    }
    in->tilt = d->tilt == NULL ? NULL : series_of(r, d, d->tilt, NULL);
    in->roll = d->roll == NULL ? NULL : series_of(r, d, d->roll, NULL);
    return WA_OK;
}

static wa_status take_room(inputs *in, const wa_derived *d, wa_error *err)
{
    size_t n = d->n_beams + 1;
    in->beam = calloc(n, sizeof *in->beam);
    in->setup = calloc(n, sizeof *in->setup);
    in->speed = calloc(n * CHUNK, sizeof *in->speed);
    in->speeds = calloc(n, sizeof *in->speeds);
    in->wind = calloc(CHUNK, sizeof *in->wind);
    bool good = in->beam != NULL && in->setup != NULL && in->speed != NULL && in->speeds != NULL &&
                in->wind != NULL;
    return good ? WA_OK : wa_no_memory(err);
}

/* The frames want opposite signs: towards the nacelle's lidar, away from the ground's. */
static double sign_of(const wa_campaign *c, const wa_derived *d)
{
    const wa_source *s = &c->sources[d->source];
    for (size_t i = 0; i < s->n_channels; i++)
        if (strcmp(s->channels[i].name, d->channel) == 0) {
            bool towards = strcmp(s->channels[i].positive, "towards") == 0;
            return towards == !d->earth ? 1 : -1;
        }
    return 1;
}

static double result_of(const wa_derived *d, const wa_wind *w)
{
    if (!d->direction)
        return w->speed;
    if (d->earth || isnan(w->direction))
        return w->direction;
    double compass = d->heading - w->direction; /* wind from the left: counter-clockwise */
    compass -= 360 * floor(compass / 360);
    return compass >= 360 ? 0 : compass;
}

/* The smallest of a statistic over the beams that have a mean in the interval; 0 with none. */
static double least(const inputs *in, size_t beams, size_t i, bool count)
{
    double found = (double)INFINITY;
    for (size_t b = 0; b < beams; b++) {
        const wa_series *s = in->beam[b];
        double x = count ? s->count[i] : s->availability[i];
        if (!isnan(s->mean[i]) && x < found)
            found = x;
    }
    return isfinite(found) ? found : 0;
}

static wa_status fill(wa_series *to, inputs *in, const wa_records *r, const wa_campaign *c,
                      const wa_derived *d, wa_error *err)
{
    const wa_wind_setup setup = {.frame = d->earth ? WA_WIND_EARTH : WA_WIND_NACELLE,
                                 .model = d->vertical ? WA_WIND_UVW : WA_WIND_UV,
                                 .beam = in->setup,
                                 .beams = d->n_beams};
    double sign = sign_of(c, d);
    wa_status s = WA_OK;
    for (size_t from = 0; from < r->n && s == WA_OK; from += CHUNK) {
        size_t n = r->n - from < CHUNK ? r->n - from : CHUNK;
        for (size_t b = 0; b < d->n_beams; b++)
            for (size_t i = 0; i < n; i++)
                in->speed[b * CHUNK + i] = sign * in->beam[b]->mean[from + i];
        s = wa_reconstruct_wind(in->wind, &setup, in->speeds,
                                in->tilt == NULL ? NULL : in->tilt->mean + from,
                                in->roll == NULL ? NULL : in->roll->mean + from, n, err);
        for (size_t i = 0; i < n && s == WA_OK; i++) {
            to->mean[from + i] = result_of(d, &in->wind[i]);
            if (to->availability != NULL)
                to->availability[from + i] = least(in, d->n_beams, from + i, false);
            if (to->count != NULL)
                to->count[from + i] = least(in, d->n_beams, from + i, true);
        }
    }
    if (s != WA_ERR_UNDEFINED)
        return s;
    if (err != NULL)
        err->code = WA_ERR_DATA; /* the campaign's beams, not a script's numbers */
    return wa_place(err, WA_ERR_DATA, c->file, 0, 0);
}

/* An empty series of the derived channel. */
static wa_status begin(wa_series *to, const wa_derived *d, const inputs *in, size_t n,
                       wa_error *err)
{
    bool count = true, availability = true; /* where every beam has them */
    for (size_t b = 0; b < d->n_beams; b++) {
        count = count && in->beam[b]->count != NULL;
        availability = availability && in->beam[b]->availability != NULL;
    }
    wa_error why;
    *to = (wa_series){.source = d->source,
                      .kind = d->direction ? WA_CHANNEL_DIRECTION : WA_CHANNEL_SCALAR,
                      .has_height = d->has_height,
                      .height = d->height};
    to->name = strdup(d->name);
    to->quantity = strdup(d->name);
    to->use = d->use == NULL ? NULL : strdup(d->use);
    to->mean = calloc(n + 1, sizeof *to->mean);
    if (availability)
        to->availability = calloc(n + 1, sizeof *to->availability);
    if (count)
        to->count = calloc(n + 1, sizeof *to->count);
    wa_status s = wa_unit_parse(&to->unit, d->direction ? "degree" : "m s-1", &why);
    bool good = s == WA_OK && to->name != NULL && to->quantity != NULL && to->mean != NULL &&
                (d->use == NULL || to->use != NULL) &&
                (!availability || to->availability != NULL) && (!count || to->count != NULL);
    return good ? WA_OK : wa_no_memory(err);
}

static wa_status derive_one(wa_records *r, const wa_campaign *c, const wa_derived *d, wa_error *err)
{
    inputs in = {0};
    wa_status s = take_room(&in, d, err);
    if (s == WA_OK)
        s = find_beams(&in, r, c, d, err);
    wa_series *more = s == WA_OK ? realloc(r->series, (r->n_series + 1) * sizeof *more) : NULL;
    if (s == WA_OK && more == NULL)
        s = wa_no_memory(err);
    if (s == WA_OK) {
        /* The beams' series may have moved with the list. */
        r->series = more;
        s = find_beams(&in, r, c, d, err);
    }
    if (s == WA_OK) {
        wa_series *to = &r->series[r->n_series];
        s = begin(to, d, &in, r->n, err);
        r->n_series++; /* from here wa_records_free owns it */
        if (s == WA_OK)
            s = fill(to, &in, r, c, d, err);
    }
    inputs_release(&in);
    return s;
}

wa_status wa_derive_add(wa_records *r, const wa_campaign *c, wa_error *err)
{
    wa_status s = WA_OK;
    for (size_t i = 0; i < c->n_derived && s == WA_OK; i++)
        s = derive_one(r, c, &c->derived[i], err);
    return s;
}
