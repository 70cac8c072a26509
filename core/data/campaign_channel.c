/* channels of a source, and what a sample must meet */
#include "data/campaign_parts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool ends_with(const char *s, const char *end)
{
    size_t n = strlen(s), m = strlen(end);
    return n >= m && strcmp(s + n - m, end) == 0;
}

static bool is_los(const char *quantity)
{
    return strcmp(quantity, "los_speed") == 0;
}

static void decode_kind(wa_channel *ch, const wa_source *s, const wa_node *node)
{
    static const char *const kinds[] = {"scalar", "direction", "bits", "words", NULL};
    wa_node kind = wa_node_child(node, "kind"), names = wa_node_child(node, "names");
    bool circle = ch->quantity != NULL && ends_with(ch->quantity, "_direction");
    size_t usual = circle ? WA_CHANNEL_DIRECTION : WA_CHANNEL_SCALAR;
    ch->kind = (wa_channel_kind)wa_node_choice(&kind, kinds, usual);
    bool flags = ch->kind == WA_CHANNEL_BITS || ch->kind == WA_CHANNEL_WORDS;
    if (circle && ch->kind != WA_CHANNEL_DIRECTION)
        wa_node_refuse(&kind, NULL, "'%s' is a direction", ch->quantity);
    if (!circle && ch->kind == WA_CHANNEL_DIRECTION)
        wa_node_refuse(&kind, "state quantity = \"wind_from_direction\" or the like",
                       "a direction's quantity ends with '_direction'");
    if (flags && s->interval_ns > 0)
        wa_node_refuse(&kind, NULL, "an averaged source has no %s", kinds[ch->kind]);
    if (flags)
        wa_node_need(node, "names", "names = { [0] = \"window wet\" }, or { [\"OK\"] = \"ok\" }");
    else if (names.v != NULL)
        wa_node_refuse(&names, NULL, "'names' needs kind = \"bits\" or \"words\"");
}

static void decode_flag(wa_flag *f, const wa_channel *ch, const wa_node *entry, bool list)
{
    char digits[24];
    snprintf(digits, sizeof digits, "%zu", entry->index + 1);
    const char *key = list ? digits : entry->key;
    f->name = wa_node_text(entry);
    if (ch->kind == WA_CHANNEL_WORDS) {
        f->word = strdup(key);
        if (f->word == NULL)
            wa_node_no_memory(entry);
        return;
    }
    char *end;
    unsigned long bit = strtoul(key, &end, 10);
    if (key[0] < '0' || key[0] > '9' || *end != '\0' || bit > 31)
        wa_node_refuse(entry, "names = { [0] = \"window wet\", [3] = \"warming up\" }",
                       "a bit is a number from 0 to 31");
    f->bit = (uint32_t)bit;
}

/* names = { [0] = "window wet", [3] = "warming up" }; a Lua list { "a", "b" } names 1 and 2. */
static void decode_flags(wa_channel *ch, const wa_node *node)
{
    wa_node names = wa_node_child(node, "names");
    if (ch->kind != WA_CHANNEL_BITS && ch->kind != WA_CHANNEL_WORDS)
        return;
    bool list = wa_value_kind(names.v) == WA_LIST;
    size_t n = list ? wa_node_list(&names) : wa_node_map(&names, NULL);
    if (n == 0)
        wa_node_refuse(&names, NULL, "no name is stated");
    ch->flags = wa_node_room(&names, n, sizeof *ch->flags);
    for (size_t i = 0; i < n && !wa_node_failed(&names); i++) {
        wa_node entry = wa_node_entry(&names, i);
        ch->n_flags = i + 1;
        decode_flag(&ch->flags[i], ch, &entry, list);
        for (size_t k = 0; k < i && !wa_node_failed(&names); k++)
            if (strcmp(ch->flags[k].name, ch->flags[i].name) == 0 && ch->kind == WA_CHANNEL_BITS)
                wa_node_refuse(&entry, NULL, "two bits are called '%s'", ch->flags[i].name);
    }
}

static void parse_unit(wa_unit *out, const wa_node *node, const char *text)
{
    wa_error e = {0};
    if (!wa_node_failed(node) && text != NULL && wa_unit_parse(out, text, &e) != WA_OK)
        wa_node_pass(node, &e);
}

/* What a value is in once it is read: as the file says, or, where the file holds an instrument's
 * signal, as its certificate or the quantity says. NULL after a fault. */
static const char *value_unit(const wa_channel *ch, const wa_node *node, const wa_node *top,
                              const char *written, bool *signal)
{
    const char *certificate = NULL;
    const wa_quantity *q = wa_quantity_known(ch->quantity);
    *signal = ch->instrument != NULL && wa_holds_signal(top, ch->instrument, &certificate);
    if (!*signal)
        return written;
    if (certificate != NULL || q != NULL)
        return certificate != NULL ? certificate : q->unit;
    wa_node_refuse(node, "state calibration = { unit = \"m/s\", ... }",
                   "what the signal becomes has no unit: '%s' is not a known quantity",
                   ch->quantity);
    return NULL;
}

/* A known quantity has its own unit inside, any other the usual one of its dimensions. */
static wa_unit inside(const wa_channel *ch, const wa_unit *value)
{
    const wa_quantity *q = wa_quantity_known(ch->quantity);
    wa_unit unit = wa_unit_inside(value);
    if (q != NULL || ch->kind == WA_CHANNEL_DIRECTION)
        wa_unit_parse(&unit, q != NULL ? q->unit : "degree", NULL);
    return unit;
}

static void decode_unit(wa_channel *ch, const wa_node *node, const wa_node *top)
{
    wa_node unit = wa_node_child(node, "unit");
    if (ch->kind == WA_CHANNEL_BITS || ch->kind == WA_CHANNEL_WORDS) {
        ch->unit = ch->unit_in_file = wa_unit_one();
        if (unit.v != NULL)
            wa_node_refuse(&unit, NULL, "bits and words have no unit");
        return;
    }
    wa_node_need(node, "unit", "\"1\" for a pure number");
    bool signal = false;
    wa_unit value = wa_unit_one();
    char *text = wa_node_text(&unit);
    parse_unit(&ch->unit_in_file, &unit, text);
    if (!wa_node_failed(node))
        parse_unit(&value, node, value_unit(ch, node, top, text, &signal));
    free(text);
    if (wa_node_failed(node))
        return;
    ch->unit = inside(ch, &value);
    if (!wa_unit_comparable(&ch->unit, &value))
        wa_node_refuse(&unit, NULL, "'%s' is given in '%s', which is no unit of it (such as '%s')",
                       ch->quantity, value.text, ch->unit.text);
    if (signal)
        ch->unit_in_file = ch->unit;
}

static void decode_raw_columns(wa_channel *ch, const wa_node *node)
{
    static const char *const averaged[] = {"mean",  "sd",           "min",       "max",
                                           "count", "availability", "resultant", NULL};
    wa_node column = wa_node_child(node, "column");
    for (size_t i = 0; averaged[i] != NULL; i++) {
        wa_node statistic = wa_node_child(node, averaged[i]);
        if (statistic.v != NULL)
            wa_node_refuse(&statistic, "an averaged source states its interval",
                           "a raw source has one column a channel, and no '%s'", averaged[i]);
    }
    wa_node_need(node, "column", "the name at the head of the column");
    ch->column = wa_node_text(&column);
}

static void decode_averaged_columns(wa_channel *ch, const wa_node *node)
{
    struct {
        const char *key;
        char **to;
    } columns[] = {{"mean", &ch->mean},
                   {"sd", &ch->sd},
                   {"min", &ch->min},
                   {"max", &ch->max},
                   {"count", &ch->count},
                   {"availability", &ch->availability},
                   {"resultant", &ch->resultant}};
    wa_node column = wa_node_child(node, "column"), resultant = wa_node_child(node, "resultant");
    if (column.v != NULL)
        wa_node_refuse(&column, "mean = \"v mean\", sd = \"v sd\"",
                       "an averaged source has one column a statistic");
    wa_node_need(node, "mean", NULL);
    for (size_t i = 0; i < sizeof columns / sizeof *columns; i++) {
        wa_node c = wa_node_child(node, columns[i].key);
        *columns[i].to = wa_node_text(&c);
    }
    if (ch->resultant != NULL && ch->kind != WA_CHANNEL_DIRECTION)
        wa_node_refuse(&resultant, NULL, "only directions have a resultant");
    if ((ch->min != NULL || ch->max != NULL) && ch->kind == WA_CHANNEL_DIRECTION)
        wa_node_refuse(node, NULL, "a direction has no least and no greatest value");
}

static void decode_north(wa_channel *ch, const wa_node *node)
{
    static const char *const keys[] = {"offset", "u", "kind", NULL};
    static const char *const kinds[] = {"true", "magnetic", "grid", NULL};
    wa_node north = wa_node_child(node, "north"), kind = wa_node_child(&north, "kind");
    wa_node offset = wa_node_child(&north, "offset"), u = wa_node_child(&north, "u");
    if (north.v == NULL || wa_node_failed(node))
        return;
    wa_unit degree;
    parse_unit(&degree, node, "degree");
    wa_node_map(&north, keys);
    wa_node_need(&north, "offset", "degrees, added to what the file says");
    ch->north_offset = wa_node_quantity(&offset, &degree, 0);
    ch->north_u = wa_node_quantity(&u, &degree, 0);
    wa_node_choice(&kind, kinds, 0);
    if (ch->kind != WA_CHANNEL_DIRECTION)
        wa_node_refuse(&north, NULL, "only directions have a north");
    if (ch->north_u < 0)
        wa_node_refuse(&u, NULL, "an uncertainty cannot be negative");
}

static void decode_positive(wa_channel *ch, const wa_node *node)
{
    static const char *const ways[] = {"towards", "away", NULL};
    wa_node positive = wa_node_child(node, "positive");
    wa_node_choice(&positive, ways, 0);
    ch->positive = wa_node_text(&positive);
    bool los = ch->quantity != NULL && is_los(ch->quantity);
    if (los)
        wa_node_need(node, "positive",
                     "the sign has no default: speeds \"towards\" the lidar or \"away\" from it");
    else if (positive.v != NULL)
        wa_node_refuse(&positive, NULL, "only a 'los_speed' has a sign convention");
}

static void decode_channel(const wa_campaign *c, const wa_source *s, wa_channel *ch,
                           const wa_node *node, const wa_node *top)
{
    static const char *const keys[] = {
        "quantity",  "kind",  "height", "use",  "instrument", "positive", "unit",
        "column",    "mean",  "sd",     "min",  "max",        "count",    "availability",
        "resultant", "north", "names",  "note", NULL};
    wa_unit metre;
    wa_node quantity = wa_node_child(node, "quantity"), height = wa_node_child(node, "height");
    wa_node use = wa_node_child(node, "use"), instrument = wa_node_child(node, "instrument");
    parse_unit(&metre, node, "m");
    wa_node_map(node, keys);
    if (!wa_name_good(node->key))
        wa_node_refuse(node, "letters, digits and _, a letter first",
                       "'%.64s' cannot be the name of a channel", node->key);
    if (wa_node_failed(node))
        return;
    if ((ch->name = strdup(node->key)) == NULL)
        wa_node_no_memory(node);
    ch->quantity = quantity.v == NULL ? strdup(node->key) : wa_node_name(&quantity);
    if (ch->quantity == NULL)
        wa_node_no_memory(node);
    ch->has_height = height.v != NULL;
    ch->height = wa_node_quantity(&height, &metre, 0);
    ch->use = wa_node_text(&use);
    ch->instrument = wa_node_text(&instrument);
    for (size_t i = 0; ch->instrument != NULL && i <= c->n_instruments; i++) {
        if (i == c->n_instruments)
            wa_node_refuse(&instrument, "instruments = { NAME = { fitted = { ... } } }",
                           "there is no instrument '%s'", ch->instrument);
        else if (strcmp(c->instruments[i].name, ch->instrument) == 0)
            break;
    }
    decode_kind(ch, s, node);
    decode_flags(ch, node);
    if (s->interval_ns > 0)
        decode_averaged_columns(ch, node);
    else
        decode_raw_columns(ch, node);
    if (!wa_node_failed(node))
        decode_unit(ch, node, top);
    decode_north(ch, node);
    decode_positive(ch, node);
    if (!wa_node_failed(node))
        wa_decode_history(ch, node, top);
}

static wa_channel *find_channel(const wa_source *s, const char *name)
{
    for (size_t i = 0; i < s->n_channels; i++)
        if (strcmp(s->channels[i].name, name) == 0)
            return &s->channels[i];
    return NULL;
}

static void refuse_channel(const wa_source *s, const wa_node *node, const char *name)
{
    const char *names[64];
    char hint[128];
    size_t n = s->n_channels < 64 ? s->n_channels : 64;
    for (size_t i = 0; i < n; i++)
        names[i] = s->channels[i].name;
    const char *near = wa_nearest(name, names, n);
    snprintf(hint, sizeof hint, "'%s'?", near == NULL ? "" : near);
    wa_node_refuse(node, near == NULL ? NULL : hint, "'%.64s' is no channel of this source", name);
}

/* shared = { "pitch" }: channels that are equal on all rows of a scan. */
static void decode_shared(wa_source *s, const wa_node *node)
{
    wa_node shared = wa_node_child(node, "shared");
    size_t n = wa_node_list(&shared);
    for (size_t i = 0; i < n && !wa_node_failed(node); i++) {
        wa_node item = wa_node_entry(&shared, i);
        char *name = wa_node_text(&item);
        wa_channel *ch = name == NULL ? NULL : find_channel(s, name);
        if (ch != NULL)
            ch->shared = true;
        else if (name != NULL)
            refuse_channel(s, &item, name);
        free(name);
    }
    if (shared.v != NULL && s->beam_column == NULL && s->range_column == NULL)
        wa_node_refuse(&shared, NULL, "'shared' needs 'split'");
}

void wa_decode_channels(const wa_campaign *c, wa_source *s, const wa_node *node, const wa_node *top)
{
    wa_node_need(node, "channels", NULL);
    wa_node channels = wa_node_child(node, "channels");
    size_t n = wa_node_map(&channels, NULL);
    if (n == 0)
        wa_node_refuse(&channels, NULL, "no channel is stated");
    s->channels = wa_node_room(&channels, n, sizeof *s->channels);
    for (size_t i = 0; i < n && !wa_node_failed(node); i++) {
        wa_node entry = wa_node_entry(&channels, i);
        s->n_channels = i + 1;
        decode_channel(c, s, &s->channels[i], &entry, top);
    }
    decode_shared(s, node);
}

static char *keep_reason(const char *name, const wa_keep_if *k, const wa_unit *unit)
{
    /* For people and samples.csv; the bound itself is exact. */
    char text[160];
    const char *of = strcmp(unit->text, "1") == 0 ? "" : unit->text;
    const char *gap = *of == '\0' ? "" : " ";
    if (isinf(k->highest))
        snprintf(text, sizeof text, "%s below %.10g%s%s", name, k->lowest, gap, of);
    else if (isinf(k->lowest))
        snprintf(text, sizeof text, "%s above %.10g%s%s", name, k->highest, gap, of);
    else
        snprintf(text, sizeof text, "%s outside %.10g to %.10g%s%s", name, k->lowest, k->highest,
                 gap, of);
    return strdup(text);
}

static void decode_bounds(wa_source *s, wa_keep_if *k, const wa_node *entry)
{
    static const char *const keys[] = {"at_least", "at_most", NULL};
    wa_node lowest = wa_node_child(entry, "at_least"), highest = wa_node_child(entry, "at_most");
    const wa_channel *ch = find_channel(s, entry->key);
    wa_node_map(entry, keys);
    if (ch == NULL) {
        refuse_channel(s, entry, entry->key);
        return;
    }
    if (ch->kind != WA_CHANNEL_SCALAR)
        wa_node_refuse(entry, "prepare can drop them: s:drop(reason, mask)",
                       "only a plain number has limits");
    if (lowest.v == NULL && highest.v == NULL)
        wa_node_refuse(entry, "at_least = { -20, \"dB\" }", "no limit is stated");
    k->channel = (size_t)(ch - s->channels);
    k->lowest = wa_node_quantity(&lowest, &ch->unit, -(double)INFINITY);
    k->highest = wa_node_quantity(&highest, &ch->unit, (double)INFINITY);
    if (k->lowest > k->highest)
        wa_node_refuse(entry, NULL, "'at_least' is above 'at_most'");
    if (!wa_node_failed(entry) && (k->reason = keep_reason(ch->name, k, &ch->unit)) == NULL)
        wa_node_no_memory(entry);
}

void wa_decode_keep_if(wa_source *s, const wa_node *node)
{
    wa_node keep = wa_node_child(node, "keep_if");
    size_t n = wa_node_map(&keep, NULL);
    s->keep_if = wa_node_room(&keep, n, sizeof *s->keep_if);
    for (size_t i = 0; i < n && !wa_node_failed(node); i++) {
        wa_node entry = wa_node_entry(&keep, i);
        s->n_keep_if = i + 1;
        decode_bounds(s, &s->keep_if[i], &entry);
    }
}
