/* progress.c - what is still missing before a campaign can be decided, and how long that may take.
 * Nothing that is judged is in here: no deviation, no outcome. */
#include "run/progress.h"

#include "run/facts.h"
#include "run/progress_coverage.h"
#include "windassay/result.h"
#include "windassay/time.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static wa_value *time_value(int64_t t)
{
    char text[WA_TIME_TEXT_SIZE];
    wa_time_print(text, t);
    return wa_string(text);
}

static bool is(const wa_value *map, const char *key, const char *word)
{
    const char *text = wa_get_string(map, key);
    return text != NULL && strcmp(text, word) == 0;
}

/* ---- the time ------------------------------------------------------------------------------ */

/* The end of the interval up to which every source has written; each has a row in the period. */
static int64_t reached(const wa_campaign *c, const wa_records *r)
{
    int64_t until = c->to;
    for (size_t i = 0; i < c->n_sources; i++) {
        size_t files;
        const wa_source *s = &c->sources[i];
        wa_input all = wa_facts_total(r, i, &files);
        int64_t lasts = s->interval_ns == 0 ? s->time.duration_ns : s->interval_ns;
        int64_t stamp = wa_time_corrected(&s->time, all.last, s->interval_ns);
        int64_t end = wa_time_start(s->time.stamp, stamp, lasts) + lasts;
        if (end < until)
            until = end;
    }
    int64_t intervals = until <= c->from ? 1 : (until - c->from - 1) / c->interval_ns + 1;
    return c->from + intervals * c->interval_ns;
}

static int64_t within(int64_t t, int64_t from, int64_t to)
{
    return t < from ? from : t > to ? to : t;
}

static span span_of(const wa_campaign *c, const wa_phase *phase, int64_t end)
{
    span s = {c->from, end, c->to};
    if (phase != NULL) {
        s.from = within(phase->from, c->from, end);
        s.to = within(phase->to, c->from, end);
    }
    s.until = within(c->to, s.from, s.to);
    return s;
}

/* The campaign as if it had ended where the data end: what is to come is no lack of data. */
static void end_with_data(wa_computed *c)
{
    wa_campaign *campaign = c->agenda->campaign;
    int64_t until = reached(campaign, c->records);
    c->records->n = (size_t)((until - campaign->from) / campaign->interval_ns);
    campaign->to = until;
    if (campaign->planned_to > until)
        campaign->planned_to = until;
}

/* ---- a check ------------------------------------------------------------------------------- */

static bool has_contract(const wa_value *entry)
{
    const wa_value *sets = wa_get(entry, "criteria");
    for (size_t i = 0; i < wa_count(sets); i++)
        if (is(wa_at(sets, i), "use", "contract"))
            return true;
    return false;
}

/* Why the entry decides nothing yet; NULL where it can. */
static const char *undecided(const wa_value *entry)
{
    const char *reason = wa_get_string(entry, "reason");
    if (is(entry, "status", "inconclusive"))
        return reason == NULL ? "no reason given" : reason;
    const wa_value *rows = wa_get(entry, "requirements");
    for (size_t i = 0; i < wa_count(rows); i++) {
        const wa_value *r = wa_at(rows, i);
        if (is(r, "use", "contract") &&
            (is(r, "outcome", "inconclusive") || is(r, "outcome", "not tested"))) {
            reason = wa_get_string(r, "reason");
            return reason == NULL ? "a requirement is not tested" : reason;
        }
    }
    return NULL;
}

static double hours_used(const wa_value *entry, double interval_s)
{
    double used = 0, only = 0;
    const wa_value *first = wa_at(wa_get(entry, "accounts"), 0);
    wa_number_of(wa_get(first, "used"), &used);
    wa_number_of(wa_get(first, "records_only"), &only);
    return (used + only) * interval_s / 3600;
}

/* The state in words, and what it means for the exit code. */
static const char *judge(const wa_value *entry, bool waited_for, bool early, int *state)
{
    if (early && waited_for && *state == 0)
        *state = 2;
    if (early)
        return "not begun";
    if (is(entry, "status", "not applicable"))
        return "not applicable";
    if (is(entry, "status", "error")) {
        if (waited_for)
            *state = wa_status_exit(WA_ERR_SCRIPT);
        return "broke";
    }
    if (undecided(entry) == NULL)
        return "enough";
    if (waited_for && *state == 0)
        *state = 2;
    return "more needed";
}

/* Of a phase that has not begun there is nothing to tell, whatever its check met. */
static bool not_begun(wa_value *v, const char *id, const span *s, bool waited_for, outlook *o)
{
    char begins[WA_TIME_TEXT_SIZE];
    wa_text why = WA_TEXT_INIT, where = WA_TEXT_INIT;
    wa_time_print(begins, s->from);
    wa_text_printf(&why, "its time begins at %s", begins);
    wa_text_printf(&where, "%s: %s", id, wa_text_string(&why));
    bool good = !wa_text_failed(&why) && !wa_text_failed(&where) &&
                wa_map_set(v, "reason", wa_string(wa_text_string(&why))) &&
                wa_map_set(v, "coverage", wa_list());
    if (good && waited_for)
        good = wa_list_add(o->unknowns, wa_string(wa_text_string(&where)));
    wa_text_release(&why);
    wa_text_release(&where);
    return good;
}

static wa_value *check_value(const wa_value *entry, bool waited_for, const span *s,
                             const wa_campaign *c, outlook *o, int *state)
{
    wa_value *v = wa_map(), *list = wa_list();
    bool early = s->until <= s->from;
    const char *reason = undecided(entry);
    if (reason == NULL)
        reason = wa_get_string(entry, "reason");
    coverage k = {
        .id = wa_get_string(entry, "id"), .span = *s, .waited_for = waited_for, .campaign = c};
    const wa_value *given = wa_get(entry, "coverage");
    bool good = list != NULL && wa_map_set(v, "id", wa_string(k.id)) &&
                wa_map_set(v, "title", wa_value_copy(wa_get(entry, "title"))) &&
                wa_map_set(v, "waited_for", wa_bool(waited_for)) &&
                wa_map_set(v, "state", wa_string(judge(entry, waited_for, early, state)));
    if (good && early) {
        wa_value_free(list);
        if (not_begun(v, k.id, s, waited_for, o))
            return v;
        wa_value_free(v);
        return NULL;
    }
    good = good && wa_map_set(v, "days_left", wa_number(days_between(s->until, s->to))) &&
           (reason == NULL || wa_map_set(v, "reason", wa_string(reason)));
    if (good && wa_count(wa_get(entry, "accounts")) > 0)
        good =
            wa_map_set(v, "hours_used", wa_number(hours_used(entry, (double)c->interval_ns / 1e9)));
    for (size_t i = 0; good && i < wa_count(given); i++)
        good = coverage_add(list, o, &k, wa_at(given, i));
    if (good) {
        good = wa_map_set(v, "coverage", list);
        list = NULL;
    }
    if (good)
        return v;
    wa_value_free(list);
    wa_value_free(v);
    return NULL;
}

static wa_value *checks_value(const wa_computed *c, int64_t end, outlook *o, int *state)
{
    const wa_value *entries = wa_get(c->record, "checks");
    wa_value *list = wa_list();
    bool any = false, good = list != NULL;
    for (size_t i = 0; i < wa_count(entries); i++)
        any = any || has_contract(wa_at(entries, i));
    for (size_t i = 0; good && i < wa_count(entries); i++) {
        const wa_value *e = wa_at(entries, i);
        span s = span_of(c->agenda->campaign, c->agenda->checks[i].phase, end);
        bool waited_for = has_contract(e) || (!any && !is(e, "status", "not applicable"));
        good = wa_list_add(list, check_value(e, waited_for, &s, c->agenda->campaign, o, state));
    }
    if (good)
        return list;
    wa_value_free(list);
    return NULL;
}

/* ---- the sources --------------------------------------------------------------------------- */

static bool add_source(wa_value *list, const wa_campaign *c, const wa_records *r,
                       const wa_sample_account *a)
{
    size_t files, n = r->n;
    wa_input all = wa_facts_total(r, a->source, &files);
    double read = wa_facts_sum(a->read, n), dropped = 0;
    for (size_t k = 0; k < a->n_reasons; k++)
        dropped += wa_facts_sum(a->dropped[k], n);
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "source", wa_string(c->sources[a->source].name));
    if (good && a->has_beam)
        good = wa_map_set(v, "beam", wa_number(a->beam));
    if (good && a->has_range)
        good = wa_map_set(v, "range", wa_number(a->range));
    if (good && all.rows > 0)
        good = wa_map_set(v, "until", time_value(all.last));
    if (good && a->expected != NULL)
        good = wa_map_set(v, "expected", wa_number(wa_facts_sum(a->expected, n)));
    good = good && wa_map_set(v, "read", wa_number(read)) &&
           wa_map_set(v, "dropped", wa_number(dropped));
    if (!good) {
        wa_value_free(v);
        return false;
    }
    return wa_list_add(list, v);
}

static wa_value *sources_value(const wa_campaign *c, const wa_records *r)
{
    wa_value *list = wa_list();
    bool good = list != NULL;
    for (size_t i = 0; good && i < r->n_samples; i++)
        good = add_source(list, c, r, &r->samples[i]);
    if (good)
        return list;
    wa_value_free(list);
    return NULL;
}

static wa_value *torn_value(const wa_records *r)
{
    wa_value *list = wa_list();
    bool good = list != NULL;
    for (size_t i = 0; good && i < r->n_inputs; i++) {
        if (r->inputs[i].torn == 0)
            continue;
        wa_value *v = wa_map();
        good = wa_map_set(v, "path", wa_string(r->inputs[i].path)) &&
               wa_map_set(v, "line", wa_number((double)r->inputs[i].torn));
        if (!good)
            wa_value_free(v);
        good = good && wa_list_add(list, v);
    }
    if (good)
        return list;
    wa_value_free(list);
    return NULL;
}

/* ---- the whole ----------------------------------------------------------------------------- */

wa_status wa_progress_value(wa_value **out, int *state, const wa_computed *c, int64_t end,
                            wa_error *err)
{
    const wa_campaign *campaign = c->agenda->campaign;
    outlook o = {.unknowns = wa_list()};
    int found = 0;
    wa_value *v = wa_map(), *checks = checks_value(c, end, &o, &found);
    bool good = o.unknowns != NULL && wa_map_set(v, "schema", wa_string("windassay-progress-1")) &&
                wa_map_set(v, "title", wa_string(campaign->title)) &&
                wa_map_set(v, "from", time_value(campaign->from)) &&
                wa_map_set(v, "to", time_value(end)) &&
                wa_map_set(v, "until", time_value(campaign->to)) &&
                wa_map_set(v, "days", wa_number(days_between(campaign->from, campaign->to))) &&
                wa_map_set(v, "days_left", wa_number(days_between(campaign->to, end))) &&
                wa_map_set(v, "enough", wa_bool(found == 0));
    good = good && outlook_add(v, &o) &&
           wa_map_set(v, "sources", sources_value(campaign, c->records)) &&
           wa_map_set(v, "left_out", torn_value(c->records));
    if (good) {
        good = wa_map_set(v, "checks", checks);
        checks = NULL;
    }
    wa_value_free(checks);
    wa_value_free(o.unknowns);
    if (!good) {
        wa_value_free(v);
        return wa_no_memory(err);
    }
    *out = v;
    *state = found;
    return WA_OK;
}

wa_status wa_run_progress(wa_progress_report *out, const char *campaign, bool outcome,
                          const wa_engine *engine, wa_error *err)
{
    wa_computed c = {0};
    wa_progress_report r = {0};
    wa_status s = wa_compute_open(&c, campaign, engine, err);
    if (s == WA_OK) {
        c.agenda->campaign->running = true;
        s = wa_compute_read(&c, engine, err);
    }
    int64_t end = s == WA_OK ? c.agenda->campaign->to : 0;
    if (s == WA_OK) {
        end_with_data(&c);
        s = wa_compute_checks(&c, engine, err);
    }
    if (s == WA_OK)
        s = wa_progress_value(&r.value, &r.exit_code, &c, end, err);
    if (s == WA_OK && outcome) {
        if (wa_map_set(r.value, "record", wa_value_copy(c.record))) {
            r.record = c.record;
            c.record = NULL;
        } else {
            s = wa_no_memory(err);
        }
    }
    if (s == WA_OK)
        s = wa_progress_sheet(&r.sheet, r.value, err);
    wa_computed_release(&c);
    if (s == WA_OK)
        *out = r;
    else
        wa_progress_report_release(&r);
    return s;
}

void wa_progress_report_release(wa_progress_report *r)
{
    wa_value_free(r->value);
    wa_value_free(r->sheet);
    wa_value_free(r->record);
    *r = (wa_progress_report){0};
}
