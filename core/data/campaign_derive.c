/* derive: channels of the interval that are worked out from others, before any check sees them. */
#include "data/campaign_parts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const wa_source *split_source(const wa_campaign *c, const char *name)
{
    for (size_t i = 0; i < c->n_sources; i++)
        if (c->sources[i].beam_column != NULL &&
            (name == NULL || strcmp(c->sources[i].name, name) == 0))
            return &c->sources[i];
    return NULL;
}

static size_t split_sources(const wa_campaign *c)
{
    size_t n = 0;
    for (size_t i = 0; i < c->n_sources; i++)
        n += c->sources[i].beam_column != NULL;
    return n;
}

static const wa_channel *channel_of(const wa_source *s, const char *name)
{
    for (size_t i = 0; i < s->n_channels; i++)
        if (strcmp(s->channels[i].name, name) == 0)
            return &s->channels[i];
    return NULL;
}

/* The source whose beams are taken: the only one with beams unless it is named. */
static void decode_source(wa_campaign *c, wa_derived *d, const wa_node *how)
{
    wa_node node = wa_node_child(how, "source");
    char *name = wa_node_text(&node);
    const wa_source *s = split_source(c, name);
    if (s == NULL)
        wa_node_refuse(name == NULL ? how : &node, "a source with split = { beam = ... }",
                       "no source with beams%s%s%s", name == NULL ? "" : " named '",
                       name == NULL ? "" : name, name == NULL ? "" : "'");
    else if (name == NULL && split_sources(c) > 1)
        wa_node_refuse(how, "say source = \"NAME\"", "several sources have beams");
    else
        d->source = (size_t)(s - c->sources);
    free(name);
}

/* A channel of that source, by its key. */
static char *decode_channel(const wa_campaign *c, const wa_derived *d, const wa_node *how,
                            const char *key, const char *absent, const char *quantity)
{
    wa_node node = wa_node_child(how, key);
    char *name = wa_node_text(&node);
    if (wa_node_failed(how))
        return name;
    if (name == NULL && absent != NULL && (name = strdup(absent)) == NULL)
        wa_node_no_memory(how);
    if (name == NULL)
        return NULL;
    const wa_source *s = &c->sources[d->source];
    const wa_channel *channel = channel_of(s, name);
    if (channel == NULL)
        wa_node_refuse(node.v == NULL ? how : &node, NULL, "source '%s' has no channel '%s'",
                       s->name, name);
    else if (quantity != NULL && channel->positive == NULL)
        wa_node_refuse(node.v == NULL ? how : &node, "positive = \"towards\" or \"away\"",
                       "channel '%s' does not say which way a speed is positive", name);
    return name;
}

static void decode_beams(wa_derived *d, const wa_node *top, const wa_node *how)
{
    wa_node lidar = wa_node_child(top, "lidar"), beams = wa_node_child(&lidar, "beams");
    if (beams.v == NULL) {
        wa_node_refuse(how, "lidar = { beams = { { azimuth = 17, elevation = 6 }, ... } }",
                       "the lidar's beams are not given");
        return;
    }
    size_t n = wa_node_list(&beams);
    d->azimuth = wa_node_room(&beams, n, sizeof *d->azimuth);
    d->elevation = wa_node_room(&beams, n, sizeof *d->elevation);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node beam = wa_node_entry(&beams, i), azimuth = wa_node_child(&beam, "azimuth"),
                elevation = wa_node_child(&beam, "elevation");
        wa_node_need(&beam, "azimuth", NULL);
        wa_node_need(&beam, "elevation", NULL);
        d->azimuth[i] = wa_node_number(&azimuth, 0);
        d->elevation[i] = wa_node_number(&elevation, 0);
        d->n_beams = i + 1;
    }
}

/* The compass direction of the axis: only a direction from the nacelle's frame needs it. */
static void decode_heading(wa_derived *d, const wa_node *top, const wa_node *how)
{
    wa_node own = wa_node_child(how, "heading"), lidar = wa_node_child(top, "lidar"),
            general = wa_node_child(&lidar, "heading");
    const char *word = wa_string_of(general.v);
    bool fit = word != NULL && strcmp(word, "fit") == 0; /* then directions are those of the axis */
    const wa_unit degree = wa_unit_degree();
    if (own.v != NULL)
        d->heading = wa_node_quantity(&own, &degree, (double)NAN);
    else if (word == NULL)
        d->heading = wa_node_quantity(&general, &degree, (double)NAN);
    else
        d->heading = fit ? 0 : (double)NAN;
    if (d->direction && !d->earth && isnan(d->heading))
        wa_node_refuse(how, "heading = 285 (degrees) here or in lidar, or lidar.heading = \"fit\"",
                       "a wind direction needs the heading of the lidar's axis");
}

static void decode_one(wa_campaign *c, wa_derived *d, const wa_node *node, const wa_node *top)
{
    static const char *const keys[] = {"reconstruct", "height", "use", NULL};
    static const char *const how_keys[] = {"frame", "source", "channel", "range", "model",
                                           "tilt",  "roll",   "heading", NULL};
    static const char *const frames[] = {"nacelle", "earth", NULL};
    static const char *const models[] = {"uv", "uvw", NULL};
    wa_node how = wa_node_child(node, "reconstruct"), frame = wa_node_child(&how, "frame"),
            range = wa_node_child(&how, "range"), model = wa_node_child(&how, "model"),
            height = wa_node_child(node, "height"), use = wa_node_child(node, "use");
    wa_node_map(node, keys);
    wa_node_need(node, "reconstruct", "reconstruct{ frame = \"nacelle\", range = 240 }");
    if (wa_node_failed(node))
        return;
    wa_node_map(&how, how_keys);
    wa_node_need(&how, "frame", "frame = \"nacelle\" or \"earth\"");
    d->name = wa_name_good(node->key) ? strdup(node->key) : NULL;
    d->direction = strcmp(node->key, "wind_from_direction") == 0;
    if (!d->direction && strcmp(node->key, "wind_speed") != 0)
        wa_node_refuse(node, "wind_speed or wind_from_direction",
                       "a reconstruction gives a wind speed or a wind direction");
    else if (d->name == NULL)
        wa_node_no_memory(node);
    d->earth = wa_node_choice(&frame, frames, 0) == 1;
    d->vertical = wa_node_choice(&model, models, 0) == 1;
    d->has_range = range.v != NULL;
    d->range = wa_node_number(&range, 0);
    d->has_height = height.v != NULL;
    d->height = wa_node_number(&height, 0);
    d->use = wa_node_text(&use);
    decode_source(c, d, &how);
    if (wa_node_failed(node))
        return;
    d->channel = decode_channel(c, d, &how, "channel", "los_speed", "speed");
    d->tilt = decode_channel(c, d, &how, "tilt", NULL, NULL);
    d->roll = decode_channel(c, d, &how, "roll", NULL, NULL);
    decode_beams(d, top, &how);
    decode_heading(d, top, &how);
}

void wa_decode_derive(wa_campaign *c, const wa_node *top)
{
    wa_node all = wa_node_child(top, "derive");
    if (all.v == NULL || wa_node_failed(top))
        return;
    size_t n = wa_node_map(&all, NULL);
    c->derived = wa_node_room(&all, n, sizeof *c->derived);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node one = wa_node_entry(&all, i);
        c->n_derived = i + 1;
        decode_one(c, &c->derived[i], &one, top);
    }
}

void wa_derived_release(wa_derived *d)
{
    free(d->name);
    free(d->channel);
    free(d->tilt);
    free(d->roll);
    free(d->use);
    free(d->azimuth);
    free(d->elevation);
}
