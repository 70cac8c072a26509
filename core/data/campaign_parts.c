/* period, phases, logbook, checks, tables */
#include "data/campaign_parts.h"
#include "data/files.h"
#include "windassay/time.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_INTERVALS = 4000000 };

/* from and to of one thing, inside the period where `c` is given. */
static void decode_span(int64_t *from, int64_t *to, const wa_node *node, const wa_campaign *c)
{
    wa_node from_node = wa_node_child(node, "from"), to_node = wa_node_child(node, "to");
    wa_node_need(node, "from", NULL);
    *from = wa_node_instant(&from_node, 0);
    *to = wa_node_instant(&to_node, *from);
    if (to_node.v != NULL && *from >= *to)
        wa_node_refuse(node, NULL, "'from' is not before 'to'");
    if (c != NULL && (*from < c->from || *to > c->to))
        wa_node_refuse(node, NULL, "it does not lie within the period");
}

static void decode_extended(const wa_campaign *c, const wa_node *period)
{
    static const char *const keys[] = {"to", "reason", NULL};
    wa_node extended = wa_node_child(period, "extended"),
            planned = wa_node_child(period, "planned_to");
    size_t n = wa_node_list(&extended);
    int64_t last = c->planned_to;
    if (n > 0 && planned.v == NULL)
        wa_node_refuse(&extended, NULL, "'planned_to' is not stated");
    for (size_t i = 0; i < n && !wa_node_failed(period); i++) {
        wa_node item = wa_node_entry(&extended, i), to = wa_node_child(&item, "to");
        wa_node reason = wa_node_child(&item, "reason");
        wa_node_map(&item, keys);
        wa_node_need(&item, "to", NULL);
        wa_node_need(&item, "reason", NULL);
        free(wa_node_text(&reason));
        int64_t t = wa_node_instant(&to, 0);
        if (t <= last)
            wa_node_refuse(&to, NULL, "it is no later than the end before it");
        last = t;
    }
    if (!wa_node_failed(period) && c->to > c->planned_to && last != c->to)
        wa_node_refuse(period, "extended = { { to = \"...\", reason = \"...\" } }, up to 'to'",
                       "it ends after 'planned_to', and 'extended' does not say why");
}

void wa_decode_period(wa_campaign *c, const wa_node *top)
{
    static const char *const keys[] = {"from", "to", "interval", "planned_to", "extended", NULL};
    wa_node_need(top, "period", NULL);
    wa_node period = wa_node_child(top, "period");
    wa_node interval = wa_node_child(&period, "interval");
    wa_node planned = wa_node_child(&period, "planned_to");
    wa_node_map(&period, keys);
    wa_node_need(&period, "to", NULL);
    wa_node_need(&period, "interval", "interval = \"10 min\"");
    decode_span(&c->from, &c->to, &period, NULL);
    c->interval_ns = wa_node_duration(&interval, 1);
    c->planned_to = wa_node_instant(&planned, c->to);
    if (wa_node_failed(top))
        return;
    if (c->interval_ns < WA_SECOND_NS || WA_DAY_NS % c->interval_ns != 0)
        wa_node_refuse(&interval, "\"10 min\"",
                       "a day must be a whole number of intervals of at least 1 s");
    else if (c->from % c->interval_ns != 0)
        wa_node_refuse(&period, NULL, "'from' is no border of intervals counted from midnight UTC");
    else if ((c->to - c->from) % c->interval_ns != 0 ||
             (c->planned_to - c->from) % c->interval_ns != 0)
        wa_node_refuse(&period, NULL, "the period is no whole number of intervals");
    else if ((c->to - c->from) / c->interval_ns > MOST_INTERVALS)
        wa_node_refuse(&period, NULL, "the period has more than %d intervals", MOST_INTERVALS);
    else if (c->planned_to <= c->from)
        wa_node_refuse(&planned, NULL, "it is not after 'from'");
    decode_extended(c, &period);
}

static void decode_phase(const wa_campaign *c, wa_phase *p, const wa_node *node)
{
    static const char *const keys[] = {"name",      "beam",         "range",       "from", "to",
                                       "beam_tilt", "beam_azimuth", "beam_height", "tilt", "roll",
                                       "heading",   "note",         NULL};
    wa_unit metre = wa_unit_one();
    wa_unit_parse(&metre, "m", NULL);
    wa_node name = wa_node_child(node, "name"), beam = wa_node_child(node, "beam");
    wa_node range = wa_node_child(node, "range");
    wa_node_map(node, keys);
    wa_node_need(node, "name", NULL);
    wa_node_need(node, "to", NULL);
    p->name = wa_node_text(&name);
    p->has_beam = beam.v != NULL;
    p->has_range = range.v != NULL;
    p->beam = wa_node_number(&beam, 0);
    p->range = wa_node_quantity(&range, &metre, 0);
    decode_span(&p->from, &p->to, node, c);
    if (!wa_node_failed(node) && (p->more = wa_value_copy(node->v)) == NULL)
        wa_node_no_memory(node);
}

void wa_decode_phases(wa_campaign *c, const wa_node *top)
{
    wa_node phases = wa_node_child(top, "phases");
    size_t n = wa_node_list(&phases);
    c->phases = wa_node_room(&phases, n, sizeof *c->phases);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node item = wa_node_entry(&phases, i);
        c->n_phases = i + 1;
        decode_phase(c, &c->phases[i], &item);
        for (size_t k = 0; k < i && !wa_node_failed(top); k++)
            if (strcmp(c->phases[k].name, c->phases[i].name) == 0)
                wa_node_refuse(&item, NULL, "two phases are called '%.64s'", c->phases[i].name);
    }
}

static bool names_something(const wa_campaign *c, const char *name)
{
    if (strcmp(name, "unit") == 0 || strcmp(name, "reference") == 0)
        return true;
    for (size_t i = 0; i < c->n_sources; i++)
        if (strcmp(c->sources[i].name, name) == 0)
            return true;
    return false;
}

/* The text of an entry that excludes becomes a reason in the ledger. */
static void check_reason_text(const wa_node *node, const char *text)
{
    enum { ROOM = 160 };
    if (wa_node_failed(node))
        return;
    size_t length = strlen(text);
    if (!wa_is_clean(text, length))
        wa_node_refuse(node, NULL, "a reason is one line without control characters");
    else if (length > ROOM)
        wa_node_refuse(node, NULL, "a reason has at most %d bytes, not %zu", ROOM, length);
}

static void decode_entry(const wa_campaign *c, wa_log_entry *e, const wa_node *node)
{
    static const char *const keys[] = {"from", "to", "text", "by", "exclude", NULL};
    wa_node text = wa_node_child(node, "text"), by = wa_node_child(node, "by");
    wa_node exclude = wa_node_child(node, "exclude");
    wa_node_map(node, keys);
    wa_node_need(node, "text", NULL);
    decode_span(&e->from, &e->to, node, NULL);
    e->text = wa_node_text(&text);
    e->by = wa_node_text(&by);
    e->exclude = wa_node_texts(&exclude, &e->n_exclude);
    if (e->n_exclude > 0) {
        wa_node_need(node, "to", "what is excluded has an end");
        check_reason_text(&text, e->text);
    }
    for (size_t i = 0; i < e->n_exclude && !wa_node_failed(node); i++)
        if (!names_something(c, e->exclude[i]))
            wa_node_refuse(&exclude, "\"unit\", \"reference\", or the name of a source",
                           "'%.64s' is neither a role nor a source", e->exclude[i]);
}

void wa_decode_logbook(wa_campaign *c, const wa_node *top)
{
    wa_node logbook = wa_node_child(top, "logbook");
    size_t n = wa_node_list(&logbook);
    c->logbook = wa_node_room(&logbook, n, sizeof *c->logbook);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node item = wa_node_entry(&logbook, i);
        c->n_logbook = i + 1;
        decode_entry(c, &c->logbook[i], &item);
    }
}

/* stability = false, or { resamples =, seed =, length =, days =, exclusions =, parameters = }; what
 * is not said is as in `usual`. */
static wa_stability decode_stability(const wa_node *node, wa_stability usual)
{
    static const char *const keys[] = {"resamples",  "seed",       "length", "days",
                                       "exclusions", "parameters", NULL};
    static const char *const flags[] = {"days", "exclusions", "parameters"};
    bool *const to[] = {&usual.days, &usual.exclusions, &usual.parameters};
    if (wa_value_kind(node->v) == WA_BOOL) {
        if (wa_true(node->v))
            wa_node_refuse(node, "stability = { resamples = 200, seed = 1 }",
                           "false, or what is to be tried");
        return (wa_stability){.seed = 1};
    }
    wa_node_map(node, keys);
    wa_node resamples = wa_node_child(node, "resamples"), seed = wa_node_child(node, "seed");
    wa_node length = wa_node_child(node, "length");
    usual.resamples = wa_node_whole(&resamples, 0, WA_STABILITY_RESAMPLES_MAX, usual.resamples);
    usual.seed = (uint32_t)wa_node_whole(&seed, 1, INT32_MAX, usual.seed);
    usual.length = wa_node_whole(&length, 1, INT32_MAX, usual.length);
    for (size_t i = 0; i < sizeof flags / sizeof *flags; i++) {
        wa_node flag = wa_node_child(node, flags[i]);
        if (flag.v != NULL && wa_value_kind(flag.v) != WA_BOOL)
            wa_node_refuse(&flag, NULL, "true or false");
        else if (flag.v != NULL)
            *to[i] = wa_true(flag.v);
    }
    if (usual.resamples == 1)
        wa_node_refuse(&resamples, "200 show what happens in one of a hundred",
                       "one resample tells nothing");
    return usual;
}

/* Everything that the entry does not use itself is a parameter of the check. */
static void decode_parameters(wa_check_entry *e, const wa_node *node)
{
    static const char *const own[] = {"1", "id", "each", "criteria", "confirmed", "stability"};
    e->parameters = wa_map();
    bool good = e->parameters != NULL;
    for (size_t i = 0; wa_value_kind(node->v) == WA_MAP && i < wa_count(node->v) && good; i++) {
        const char *key = wa_key(node->v, i);
        bool used = false;
        for (size_t k = 0; k < sizeof own / sizeof *own; k++)
            used = used || strcmp(key, own[k]) == 0;
        if (!used && !wa_name_good(key)) {
            wa_node entry = wa_node_entry(node, i);
            wa_node_refuse(&entry, "{ \"check\", parameter = value }",
                           "'%.64s' is no name of a parameter", key);
        }
        if (!used)
            good = wa_map_set(e->parameters, key, wa_value_copy(wa_at(node->v, i)));
    }
    if (!good)
        wa_node_no_memory(node);
}

static void decode_check(const wa_campaign *c, wa_check_entry *e, const wa_node *node,
                         wa_stability usual)
{
    static const char *const eaches[] = {"phase", NULL};
    static const char *const keys[] = {"contract", "information", NULL};
    wa_node name = wa_node_position(node, 1), id = wa_node_child(node, "id");
    wa_node each = wa_node_child(node, "each"), criteria = wa_node_child(node, "criteria");
    wa_node contract = wa_node_child(&criteria, "contract");
    wa_node information = wa_node_child(&criteria, "information");
    wa_node confirmed = wa_node_child(node, "confirmed");
    wa_node stability = wa_node_child(node, "stability");
    if (wa_value_kind(node->v) == WA_LIST && wa_count(node->v) > 1)
        wa_node_refuse(node, "{ \"clock\" }, { \"availability\" }", "one check an entry");
    if (name.v == NULL)
        wa_node_refuse(node, "{ \"clock\" } or { \"clock\", parameter = value }",
                       "the name of the check is not stated");
    e->name = wa_node_name(&name);
    e->id = id.v == NULL && e->name != NULL ? strdup(e->name) : wa_node_name(&id);
    if (e->id == NULL)
        wa_node_no_memory(node);
    wa_node_choice(&each, eaches, 0);
    e->each = wa_node_text(&each);
    wa_node_map(&criteria, keys);
    e->contract = wa_node_name(&contract);
    e->information = wa_node_texts(&information, &e->n_information);
    for (size_t i = 0; i < e->n_information && !wa_node_failed(node); i++)
        if (!wa_name_good(e->information[i]))
            wa_node_refuse(&information, NULL, "'%.64s' cannot be a name", e->information[i]);
    if (wa_node_map(&confirmed, NULL) > 0 && (e->confirmed = wa_value_copy(confirmed.v)) == NULL)
        wa_node_no_memory(node);
    if (e->each != NULL && c->n_phases == 0)
        wa_node_refuse(&each, NULL, "the campaign has no phases");
    e->stability = decode_stability(&stability, usual);
    if (!wa_node_failed(node))
        decode_parameters(e, node);
}

/* Days are left out in turn where there are not too many: one more run of a check for each. */
static wa_stability usual_stability(const wa_campaign *c)
{
    const int64_t most = 92 * WA_DAY_NS;
    return (wa_stability){
        .exclusions = true, .parameters = true, .days = c->to - c->from <= most, .seed = 1};
}

void wa_decode_checks(wa_campaign *c, const wa_node *top)
{
    wa_node_need(top, "checks", "checks = { { \"clock\" } }");
    wa_node checks = wa_node_child(top, "checks"), stability = wa_node_child(top, "stability");
    wa_stability usual = decode_stability(&stability, usual_stability(c));
    size_t n = wa_node_list(&checks);
    c->checks = wa_node_room(&checks, n, sizeof *c->checks);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node item = wa_node_entry(&checks, i);
        c->n_checks = i + 1;
        decode_check(c, &c->checks[i], &item, usual);
        for (size_t k = 0; k < i && !wa_node_failed(top); k++)
            if (strcmp(c->checks[k].id, c->checks[i].id) == 0)
                wa_node_refuse(&item, "give one of them another: id = \"...\"",
                               "two checks have the id '%s'", c->checks[i].id);
    }
}

void wa_decode_path(const wa_campaign *c, const wa_node *node, const char *path)
{
    wa_error e = {0};
    bool root = strncmp(path, "root:", 5) == 0;
    if (wa_path_check(path + (root ? 5 : 0), &e) != WA_OK)
        wa_node_pass(node, &e);
    if (root && c->root == NULL)
        wa_node_refuse(node, "a file fleet.lua in a folder above marks the root",
                       "'%.100s': there is no root", path);
}

void wa_decode_tables(wa_campaign *c, const wa_node *top)
{
    wa_node tables = wa_node_child(top, "tables");
    size_t n = wa_node_map(&tables, NULL);
    c->tables = wa_node_room(&tables, n, sizeof *c->tables);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node entry = wa_node_entry(&tables, i);
        wa_table_entry *t = &c->tables[i];
        c->n_tables = i + 1;
        if (!wa_name_good(entry.key))
            wa_node_refuse(&entry, NULL, "'%.64s' cannot be the name of a table", entry.key);
        t->file = wa_node_text(&entry);
        if (wa_node_failed(top))
            return;
        if ((t->name = strdup(entry.key)) == NULL)
            wa_node_no_memory(&entry);
        wa_decode_path(c, &entry, t->file);
    }
}
