/* time, zone and clock of a source */
#include "data/campaign_parts.h"
#include "windassay/time.h"

#include <stdlib.h>
#include <string.h>

static void decode_columns(wa_time_rule *r, const wa_node *time)
{
    wa_node column = wa_node_child(time, "column");
    if (wa_string_of(column.v) != NULL || !wa_node_there(&column)) {
        r->columns[0] = wa_node_text(&column);
        r->n_columns = 1;
        return;
    }
    size_t n = wa_node_list(&column);
    if (n != 2) {
        wa_node_refuse(&column, NULL, "one column or two, { \"date\", \"time\" }");
        return;
    }
    for (size_t i = 0; i < 2; i++) {
        wa_node item = wa_node_entry(&column, i);
        r->columns[i] = wa_node_text(&item);
    }
    r->n_columns = 2;
}

static void decode_format(wa_time_rule *r, const wa_node *time)
{
    wa_node format = wa_node_child(time, "format");
    char *text = wa_node_text(&format);
    if (text == NULL || strcmp(text, "iso8601") == 0) {
        r->format = WA_TIME_ISO8601;
    } else if (strcmp(text, "unix") == 0) {
        r->format = WA_TIME_UNIX;
        if (r->n_columns == 2)
            wa_node_refuse(&format, NULL, "seconds since 1970 stand in one column, not in two");
    } else if (strchr(text, '%') == NULL) {
        wa_node_refuse(&format, "\"iso8601\", \"unix\", or a pattern such as \"%d.%m.%Y %H:%M\"",
                       "'%s' is no format", text);
    } else {
        wa_error e = {0};
        r->format = WA_TIME_PATTERN;
        r->pattern = text;
        if (wa_time_pattern_check(text, &e) != WA_OK)
            wa_node_pass(&format, &e);
        return;
    }
    free(text);
}

static void decode_offset(int32_t *offset_s, const wa_node *node)
{
    wa_error e = {0};
    char *text = wa_node_text(node);
    if (text != NULL && wa_zone_parse(offset_s, text, &e) != WA_OK)
        wa_node_pass(node, &e);
    free(text);
}

/* { { to = "2026-03-29T01:00:00Z", "UTC+01:00" }, { "UTC+02:00" } } */
static void decode_dated_zone(wa_time_rule *r, const wa_node *zone)
{
    static const char *const keys[] = {"1", "to", NULL};
    size_t n = wa_node_list(zone);
    r->zone = wa_node_room(zone, n, sizeof *r->zone);
    if (n == 0)
        wa_node_refuse(zone, NULL, "the list of zones is empty");
    for (size_t i = 0; i < n && !wa_node_failed(zone); i++) {
        wa_node item = wa_node_entry(zone, i), name = wa_node_position(&item, 1);
        wa_node to = wa_node_child(&item, "to");
        if (wa_value_kind(item.v) == WA_MAP)
            wa_node_map(&item, keys);
        r->n_zone = i + 1;
        r->zone[i].until = INT64_MAX;
        if (name.v == NULL)
            wa_node_refuse(&item, "{ to = \"2026-03-29T01:00:00Z\", \"UTC+01:00\" }",
                           "an offset is not stated");
        decode_offset(&r->zone[i].offset_s, &name);
        r->zone[i].until = wa_node_instant(&to, INT64_MAX);
        if ((i + 1 < n) != (to.v != NULL))
            wa_node_refuse(&item, "each says up to when it held, the last one does not",
                           i + 1 < n ? "'to' is not stated" : "the last zone has a 'to'");
        if (i > 0 && r->zone[i].until <= r->zone[i - 1].until)
            wa_node_refuse(&to, NULL, "the zones are not in order of time");
    }
}

static void decode_zone(wa_time_rule *r, const wa_node *time)
{
    wa_node zone = wa_node_child(time, "zone");
    if (wa_value_kind(zone.v) == WA_LIST) {
        decode_dated_zone(r, &zone);
    } else if (wa_string_of(zone.v) != NULL && strcmp(wa_string_of(zone.v), "in stamp") == 0) {
        r->n_zone = 0;
    } else if ((r->zone = wa_node_room(&zone, 1, sizeof *r->zone)) != NULL) {
        r->n_zone = 1;
        r->zone[0].until = INT64_MAX;
        decode_offset(&r->zone[0].offset_s, &zone);
    }
    bool plain_utc = r->n_zone == 1 && r->zone[0].offset_s == 0;
    if (r->format == WA_TIME_UNIX && !plain_utc)
        wa_node_refuse(&zone, NULL, "seconds since 1970 are in \"UTC\"");
    if (r->format == WA_TIME_PATTERN && r->n_zone == 0 && r->pattern != NULL &&
        strstr(r->pattern, "%z") == NULL)
        wa_node_refuse(&zone, NULL, "the pattern has no %%z, so the stamps cannot hold the zone");
}

/* "3 s/day": seconds a day */
static double decode_drift(const wa_node *node)
{
    int64_t ns = 0;
    char *text = wa_node_text(node);
    char *day = text == NULL ? NULL : strstr(text, "/day");
    if (text != NULL) {
        if (day != NULL && strcmp(day, "/day") == 0)
            *day = '\0';
        else
            day = NULL;
        if (day == NULL || wa_duration_parse(&ns, text, NULL) != WA_OK)
            wa_node_refuse(node, "such as \"-0.4 s/day\"", "it is not a drift");
    }
    free(text);
    return (double)ns / 1e9;
}

static void decode_shift(wa_clock_shift *c, const wa_node *node)
{
    static const char *const keys[] = {"from", "to", "shift", "drift", "u", "reason", NULL};
    wa_node_map(node, keys);
    wa_node_need(node, "u", "the standard uncertainty of the correction, such as \"2 s\"");
    wa_node_need(node, "reason", NULL);
    wa_node from = wa_node_child(node, "from"), to = wa_node_child(node, "to");
    wa_node shift = wa_node_child(node, "shift"), drift = wa_node_child(node, "drift");
    wa_node u = wa_node_child(node, "u"), reason = wa_node_child(node, "reason");
    c->from = wa_node_instant(&from, INT64_MIN);
    c->to = wa_node_instant(&to, INT64_MAX);
    c->shift_ns = wa_node_duration(&shift, 0);
    c->drift = decode_drift(&drift);
    c->u_s = (double)wa_node_duration(&u, 0) / 1e9;
    c->reason = wa_node_text(&reason);
    if (shift.v == NULL && drift.v == NULL)
        wa_node_refuse(node, NULL, "neither 'shift' nor 'drift' is stated");
    if (drift.v != NULL && from.v == NULL)
        wa_node_refuse(node, "a drift counts from there", "'from' is not stated");
    if (c->from >= c->to)
        wa_node_refuse(node, NULL, "'from' is not before 'to'");
    if (c->u_s < 0)
        wa_node_refuse(&u, NULL, "an uncertainty cannot be negative");
}

static void decode_clock(wa_time_rule *r, const wa_node *source)
{
    wa_node clock = wa_node_child(source, "clock");
    size_t n = wa_node_list(&clock);
    r->clock = wa_node_room(&clock, n, sizeof *r->clock);
    for (size_t i = 0; i < n && !wa_node_failed(&clock); i++) {
        wa_node item = wa_node_entry(&clock, i);
        r->n_clock = i + 1;
        decode_shift(&r->clock[i], &item);
        if (i > 0 && r->clock[i].from < r->clock[i - 1].to)
            wa_node_refuse(&item, NULL, "it begins before the correction above it ends");
    }
}

void wa_decode_time(wa_source *s, const wa_node *node)
{
    static const char *const keys[] = {"column", "format", "zone", "stamp", "duration", NULL};
    static const char *const stamps[] = {"start", "centre", "end", NULL};
    wa_time_rule *r = &s->time;
    wa_node_need(node, "time", NULL);
    wa_node time = wa_node_child(node, "time"), stamp = wa_node_child(&time, "stamp");
    wa_node duration = wa_node_child(&time, "duration");
    wa_node_map(&time, keys);
    wa_node_need(&time, "column", NULL);
    wa_node_need(&time, "zone",
                 "it has no default: \"UTC\", \"UTC+01:00\", a dated list, or "
                 "\"in stamp\" where every stamp states its offset");
    wa_node_need(&time, "stamp",
                 "it has no default: does a stamp name the \"start\", the "
                 "\"centre\" or the \"end\" of a sample or interval?");
    decode_columns(r, &time);
    decode_format(r, &time);
    decode_zone(r, &time);
    r->stamp = (wa_stamp)wa_node_choice(&stamp, stamps, 0);
    r->duration_ns = wa_node_duration(&duration, 0);
    if (duration.v != NULL && s->interval_ns > 0)
        wa_node_refuse(&duration, NULL, "a row of an averaged source lasts its interval");
    if (r->duration_ns < 0)
        wa_node_refuse(&duration, NULL, "a sample cannot last less than nothing");
    decode_clock(r, node);
}
