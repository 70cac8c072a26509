/* sources and the roles that they have */
#include "data/campaign_parts.h"
#include "data/files.h"
#include "windassay/time.h"

#include <stdlib.h>
#include <string.h>

static void decode_files(const wa_campaign *c, wa_source *s, const wa_node *node)
{
    wa_node_need(node, "files", "files = { \"raw/*.csv.gz\" }");
    wa_node files = wa_node_child(node, "files");
    s->files = wa_node_texts(&files, &s->n_files);
    if (s->n_files == 0)
        wa_node_refuse(&files, NULL, "no file is named");
    for (size_t i = 0; i < s->n_files && !wa_node_failed(node); i++) {
        wa_node item = wa_node_entry(&files, i);
        bool root = strncmp(s->files[i], "root:", 5) == 0;
        wa_error e = {0};
        if (wa_path_check(s->files[i] + (root ? 5 : 0), &e) != WA_OK)
            wa_node_pass(&item, &e);
        if (root && c->root == NULL)
            wa_node_refuse(&item, "a file fleet.lua in a folder above marks the root",
                           "'%.100s': there is no root", s->files[i]);
    }
}

static void decode_ranges(wa_source *s, const wa_node *ranges)
{
    static const char *const keys[] = {"at", "within", NULL};
    wa_unit metre = wa_unit_one();
    wa_unit_parse(&metre, "m", NULL);
    wa_node at = wa_node_child(ranges, "at"), within = wa_node_child(ranges, "within");
    wa_node_map(ranges, keys);
    if (!wa_node_there(ranges))
        return;
    wa_node_need(ranges, "at", "the nominal ranges, m");
    wa_node_need(ranges, "within", "how far a row's range may be from a nominal one, m");
    size_t n = wa_node_list(&at);
    s->ranges = wa_node_room(&at, n, sizeof *s->ranges);
    s->n_ranges = s->ranges == NULL ? 0 : n;
    for (size_t i = 0; i < s->n_ranges; i++) {
        wa_node item = wa_node_entry(&at, i);
        s->ranges[i] = wa_node_quantity(&item, &metre, 0);
        if (i > 0 && s->ranges[i] <= s->ranges[i - 1])
            wa_node_refuse(&at, NULL, "the ranges do not rise");
    }
    s->ranges_within = wa_node_quantity(&within, &metre, 0);
    for (size_t i = 1; i < s->n_ranges; i++)
        if (s->ranges[i] - s->ranges[i - 1] <= 2 * s->ranges_within)
            wa_node_refuse(&within, NULL,
                           "two ranges are nearer to each other than twice 'within'");
    if (s->ranges_within < 0)
        wa_node_refuse(&within, NULL, "a distance cannot be negative");
}

static void decode_split(wa_source *s, const wa_node *node, const wa_node *top)
{
    static const char *const keys[] = {"beam", "range", NULL};
    wa_node split = wa_node_child(node, "split"), ranges = wa_node_child(node, "ranges");
    wa_node beam = wa_node_child(&split, "beam"), range = wa_node_child(&split, "range");
    wa_node lidar = wa_node_child(top, "lidar"), of_lidar = wa_node_child(&lidar, "ranges");
    wa_node_map(&split, keys);
    s->beam_column = wa_node_text(&beam);
    s->range_column = wa_node_text(&range);
    if (split.v != NULL && beam.v == NULL && range.v == NULL)
        wa_node_refuse(&split, NULL, "neither 'beam' nor 'range' is stated");
    if (split.v != NULL && s->interval_ns > 0)
        wa_node_refuse(&split, NULL, "an averaged source cannot be split");
    if (ranges.v != NULL && range.v == NULL)
        wa_node_refuse(&ranges, NULL, "'ranges' needs split = { range = }");
    if (range.v != NULL)
        decode_ranges(s, ranges.v != NULL ? &ranges : &of_lidar);
}

static void decode_one_expected(wa_source *s, wa_expected *e, const wa_node *node, bool list)
{
    static const char *const keys[] = {"per", "every", "beam", "range", NULL};
    static const char *const pers[] = {"beam", "range", NULL};
    wa_unit metre = wa_unit_one();
    wa_unit_parse(&metre, "m", NULL);
    wa_node per = wa_node_child(node, "per"), every = wa_node_child(node, "every");
    wa_node beam = wa_node_child(node, "beam"), range = wa_node_child(node, "range");
    wa_node_map(node, keys);
    wa_node_need(node, "every", "every = \"1 s\"");
    size_t way = wa_node_choice(&per, pers, 0);
    const char *column = way == 0 ? s->beam_column : s->range_column;
    if (per.v != NULL && column == NULL)
        wa_node_refuse(&per, NULL, "the source is not split by %s", pers[way]);
    e->every_ns = wa_node_duration(&every, 1);
    e->has_beam = beam.v != NULL;
    e->has_range = range.v != NULL;
    e->beam = wa_node_number(&beam, 0);
    e->range = wa_node_quantity(&range, &metre, 0);
    if (e->every_ns <= 0)
        wa_node_refuse(&every, NULL, "the time from sample to sample must be positive");
    if ((e->has_beam || e->has_range) && !list)
        wa_node_refuse(node, "{ { beam = 1, every = \"1 s\" }, ... }",
                       "a beam or range stands in a list");
    if ((e->has_beam && s->beam_column == NULL) || (e->has_range && s->range_column == NULL))
        wa_node_refuse(node, NULL, "the source is not split by it");
}

static void decode_expected(wa_source *s, const wa_node *node)
{
    wa_node expected = wa_node_child(node, "expected");
    bool list = wa_value_kind(expected.v) == WA_LIST;
    size_t n = list ? wa_node_list(&expected) : expected.v != NULL;
    s->expected = wa_node_room(&expected, n, sizeof *s->expected);
    for (size_t i = 0; i < n && !wa_node_failed(node); i++) {
        wa_node item = list ? wa_node_entry(&expected, i) : expected;
        s->n_expected = i + 1;
        decode_one_expected(s, &s->expected[i], &item, list);
        for (size_t k = 0; k < i; k++) {
            const wa_expected *a = &s->expected[k], *b = &s->expected[i];
            bool same = a->has_beam == b->has_beam && a->has_range == b->has_range &&
                        !(a->beam < b->beam) && !(a->beam > b->beam) && !(a->range < b->range) &&
                        !(a->range > b->range);
            if (same)
                wa_node_refuse(&item, NULL, "this beam and range stand twice");
        }
    }
}

static void decode_logger(const wa_campaign *c, wa_source *s, const wa_node *node)
{
    static const char *const keys[] = {"averaging",     "divisor", "filter",
                                       "least_samples", "note",    NULL};
    static const char *const divisors[] = {"N-1", "N", NULL};
    wa_node logger = wa_node_child(node, "done_by_logger");
    wa_node divisor = wa_node_child(&logger, "divisor");
    bool has_sd = false;
    wa_node_map(&logger, keys);
    s->divisor_n = s->interval_ns > 0 ? wa_node_choice(&divisor, divisors, 0) == 1 : c->divisor_n;
    if (divisor.v != NULL && s->interval_ns == 0)
        wa_node_refuse(&divisor, "sd_divisor of the campaign says what we divide by",
                       "the logger took no standard deviation of a raw source");
    for (size_t i = 0; i < s->n_channels; i++)
        has_sd = has_sd || s->channels[i].sd != NULL;
    if (has_sd && divisor.v == NULL)
        wa_node_refuse(logger.v != NULL ? &logger : node, "done_by_logger = { divisor = \"N-1\" }",
                       "the divisor of the logger's standard deviations is not stated");
    if (logger.v != NULL && (s->done_by_logger = wa_value_copy(logger.v)) == NULL)
        wa_node_no_memory(node);
}

static void decode_position(wa_source *s, const wa_node *node)
{
    static const char *const keys[] = {"east", "north", "note", NULL};
    wa_unit metre = wa_unit_one();
    wa_unit_parse(&metre, "m", NULL);
    wa_node position = wa_node_child(node, "position");
    wa_node east = wa_node_child(&position, "east"), north = wa_node_child(&position, "north");
    wa_node_map(&position, keys);
    if (!wa_node_there(&position))
        return;
    wa_node_need(&position, "east", "m");
    wa_node_need(&position, "north", "m");
    s->has_position = true;
    s->east = wa_node_quantity(&east, &metre, 0);
    s->north = wa_node_quantity(&north, &metre, 0);
}

static void decode_interval(const wa_campaign *c, wa_source *s, const wa_node *node)
{
    wa_node interval = wa_node_child(node, "interval");
    s->interval_ns = wa_node_duration(&interval, 0);
    if (interval.v != NULL && !wa_node_failed(node) && s->interval_ns != c->interval_ns) {
        char own[WA_TIME_TEXT_SIZE], grid[WA_TIME_TEXT_SIZE];
        wa_duration_print(own, s->interval_ns);
        wa_duration_print(grid, c->interval_ns);
        wa_node_refuse(&interval, "an averaged source has the interval of the campaign",
                       "the source is averaged over %s, the campaign over %s", own, grid);
    }
}

static void decode_source(const wa_campaign *c, wa_source *s, const wa_node *node,
                          const wa_node *top)
{
    static const char *const keys[] = {
        "files",    "overlap", "time",     "clock",          "header",   "delimiter", "decimal",
        "encoding", "missing", "split",    "ranges",         "shared",   "expected",  "channels",
        "keep_if",  "prepare", "interval", "done_by_logger", "position", "note",      NULL};
    static const char *const overlaps[] = {"error", "identical", NULL};
    wa_node overlap = wa_node_child(node, "overlap"), prepare = wa_node_child(node, "prepare");
    wa_node_map(node, keys);
    if (wa_node_failed(node))
        return;
    if (!wa_name_good(node->key))
        wa_node_refuse(node, "letters, digits and _, a letter first",
                       "'%.64s' cannot be the name of a source", node->key);
    else if ((s->name = strdup(node->key)) == NULL)
        wa_node_no_memory(node);
    decode_files(c, s, node);
    s->overlap = (wa_overlap)wa_node_choice(&overlap, overlaps, 0);
    decode_interval(c, s, node);
    wa_decode_time(s, node);
    wa_decode_layout(s, node);
    decode_split(s, node, top);
    wa_decode_channels(c, s, node, top);
    decode_expected(s, node);
    wa_decode_keep_if(s, node);
    decode_logger(c, s, node);
    decode_position(s, node);
    if (prepare.v != NULL && (s->prepare = wa_value_copy(prepare.v)) == NULL)
        wa_node_no_memory(node);
}

static void give_role(wa_campaign *c, const wa_node *list, wa_role role)
{
    size_t n = wa_node_list(list);
    for (size_t i = 0; i < n && !wa_node_failed(list); i++) {
        wa_node item = wa_node_entry(list, i);
        char *name = wa_node_text(&item);
        size_t k = 0;
        while (name != NULL && k < c->n_sources && strcmp(c->sources[k].name, name) != 0)
            k++;
        if (name == NULL)
            return;
        if (k == c->n_sources)
            wa_node_refuse(&item, NULL, "there is no source '%.64s'", name);
        else if (c->sources[k].role != WA_ROLE_NONE)
            wa_node_refuse(&item, NULL, "source '%.64s' has two roles", name);
        else
            c->sources[k].role = role;
        free(name);
    }
}

static void decode_roles(wa_campaign *c, const wa_node *top)
{
    static const char *const keys[] = {"unit", "reference", NULL};
    wa_node_need(top, "roles", "roles = { unit = { \"lidar\" }, reference = { \"mast\" } }");
    wa_node roles = wa_node_child(top, "roles");
    wa_node unit = wa_node_child(&roles, "unit"), reference = wa_node_child(&roles, "reference");
    wa_node_map(&roles, keys);
    wa_node_need(&roles, "unit", "the sources of the unit that is tested");
    if (!wa_node_failed(top) && wa_count(unit.v) == 0)
        wa_node_refuse(&unit, NULL, "no source is named");
    give_role(c, &unit, WA_ROLE_UNIT);
    give_role(c, &reference, WA_ROLE_REFERENCE);
}

void wa_decode_sources(wa_campaign *c, const wa_node *top)
{
    wa_node_need(top, "sources", NULL);
    wa_node sources = wa_node_child(top, "sources");
    size_t n = wa_node_map(&sources, NULL);
    if (n == 0)
        wa_node_refuse(&sources, NULL, "no source is stated");
    c->sources = wa_node_room(&sources, n, sizeof *c->sources);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node entry = wa_node_entry(&sources, i);
        c->n_sources = i + 1;
        decode_source(c, &c->sources[i], &entry, top);
    }
    decode_roles(c, top);
}
