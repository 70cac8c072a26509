#include "run/facts.h"

#include "data/prepare.h"
#include "run/evidence.h"
#include "windassay/formula.h"
#include "windassay/time.h"

#include <math.h>
#include <string.h>

/* Building a map: the first failure (memory) sticks, so that a maker checks once, at the end. */
typedef struct builder {
    wa_value *map;
    bool failed;
} builder;

static builder begin(void)
{
    wa_value *map = wa_map();
    return (builder){map, map == NULL};
}

static void put(builder *b, const char *key, wa_value *item)
{
    b->failed = !wa_map_set(b->map, key, item) || b->failed;
}

static void put_text(builder *b, const char *key, const char *text)
{
    if (text != NULL)
        put(b, key, wa_string(text));
}

static void put_number(builder *b, const char *key, double x)
{
    put(b, key, wa_number(x));
}

static void put_time(builder *b, const char *key, int64_t t)
{
    char text[WA_TIME_TEXT_SIZE];
    wa_time_print(text, t);
    put_text(b, key, text);
}

static void put_copy(builder *b, const char *key, const wa_value *item)
{
    if (item != NULL)
        put(b, key, wa_value_copy(item));
}

static wa_value *end(builder *b)
{
    if (b->failed) {
        wa_value_free(b->map);
        return NULL;
    }
    return b->map;
}

/* Adds to a list; false without memory. */
static bool add(wa_value *list, builder *b)
{
    return wa_list_add(list, end(b));
}

/* ---- the campaign --------------------------------------------------------------------------- */

static wa_value *period_of(const wa_campaign *c)
{
    builder b = begin();
    put_time(&b, "from", c->from);
    put_time(&b, "to", c->to);
    put_number(&b, "interval_s", (double)c->interval_ns / 1e9);
    if (c->planned_to != c->to)
        put_time(&b, "planned_to", c->planned_to);
    put_copy(&b, "extended", wa_get(wa_get(c->described, "period"), "extended"));
    return end(&b);
}

static wa_value *grid_of(const wa_records *r)
{
    builder b = begin();
    put_time(&b, "from", r->from);
    put_number(&b, "interval_s", (double)r->interval_ns / 1e9);
    put_number(&b, "intervals", (double)r->n);
    return end(&b);
}

static wa_value *clock_of(const wa_time_rule *t)
{
    wa_value *list = wa_list();
    for (size_t i = 0; i < t->n_clock; i++) {
        builder b = begin();
        if (t->clock[i].from != INT64_MIN)
            put_time(&b, "from", t->clock[i].from);
        if (t->clock[i].to != INT64_MAX)
            put_time(&b, "to", t->clock[i].to);
        put_number(&b, "shift_s", (double)t->clock[i].shift_ns / 1e9);
        put_number(&b, "drift_s_per_day", t->clock[i].drift);
        put_number(&b, "u_s", t->clock[i].u_s);
        put_text(&b, "reason", t->clock[i].reason);
        if (!add(list, &b)) {
            wa_value_free(list);
            return NULL;
        }
    }
    return list;
}

/* Whether a certificate of the channel states a range. */
static bool has_range(const wa_channel *c)
{
    for (size_t i = 0; i < c->n_affine; i++)
        if (isfinite(c->affine[i].lowest) || isfinite(c->affine[i].highest))
            return true;
    return false;
}

/* Interval means that lie outside the range for which their instrument was calibrated then. */
static double outside_range(const wa_channel *c, size_t source, const wa_records *r)
{
    size_t n = 0;
    for (size_t k = 0; k < r->n_series; k++) {
        const wa_series *x = &r->series[k];
        if (x->source != source || x->mean == NULL || strcmp(x->name, c->name) != 0)
            continue;
        for (size_t a = 0; a < c->n_affine; a++)
            for (size_t i = 0; i < r->n; i++) {
                int64_t t = r->from + (int64_t)i * r->interval_ns;
                const wa_affine_span *span = &c->affine[a];
                if (t >= span->from && t < span->to && !isnan(x->mean[i]))
                    n += x->mean[i] < span->lowest || x->mean[i] > span->highest;
            }
    }
    return (double)n;
}

static wa_value *channels_of(const wa_source *s, size_t source, const wa_records *r)
{
    wa_value *list = wa_list();
    for (size_t i = 0; i < s->n_channels; i++) {
        const wa_channel *c = &s->channels[i];
        builder b = begin();
        put_text(&b, "name", c->name);
        put_text(&b, "quantity", c->quantity);
        put_text(&b, "unit", c->unit.text);
        put_text(&b, "unit_in_file", c->unit_in_file.text);
        if (c->has_height)
            put_number(&b, "height", c->height);
        put_text(&b, "use", c->use);
        put_text(&b, "instrument", c->instrument);
        put_text(&b, "positive", c->positive);
        put_text(&b, "column", c->column != NULL ? c->column : c->mean);
        if (has_range(c))
            put_number(&b, "outside_calibrated_range", outside_range(c, source, r));
        if (!add(list, &b)) {
            wa_value_free(list);
            return NULL;
        }
    }
    return list;
}

static wa_value *prepare_of(const wa_source *s)
{
    wa_formula *f = NULL;
    if (s->prepare == NULL)
        return wa_list();
    if (wa_prepare_decode(&f, s, NULL) != WA_OK)
        return NULL; /* the reader has decoded it before: only memory can be short */
    wa_value *lines = wa_formula_lines(f);
    wa_formula_free(f);
    return lines;
}

static const char *stamp_name(wa_stamp s)
{
    return s == WA_STAMP_START ? "start" : s == WA_STAMP_END ? "end" : "centre";
}

static void put_zone(builder *b, const wa_time_rule *t)
{
    wa_text zone = WA_TEXT_INIT;
    for (size_t i = 0; i < t->n_zone; i++) {
        char offset[WA_TIME_TEXT_SIZE], until[WA_TIME_TEXT_SIZE];
        wa_zone_print(offset, t->zone[i].offset_s);
        wa_text_printf(&zone, "%s%s", i > 0 ? ", then " : "", offset);
        if (t->zone[i].until != INT64_MAX) {
            wa_time_print(until, t->zone[i].until);
            wa_text_printf(&zone, " until %s", until);
        }
    }
    put_text(b, "zone", wa_text_string(&zone));
    b->failed = b->failed || wa_text_failed(&zone);
    wa_text_release(&zone);
}

static wa_value *source_of(const wa_source *s, size_t at, const wa_records *r)
{
    static const char *const ROLES[] = {"none", "unit", "reference"};
    builder b = begin();
    double files = 0, rows = 0;
    for (size_t i = 0; i < r->n_inputs; i++)
        if (r->inputs[i].source == at) {
            files++;
            rows += (double)r->inputs[i].rows;
        }
    put_text(&b, "name", s->name);
    put_text(&b, "role", ROLES[s->role]);
    put(&b, "raw", wa_bool(s->interval_ns == 0));
    put_zone(&b, &s->time);
    put_text(&b, "stamp", stamp_name(s->time.stamp));
    if (s->interval_ns == 0)
        put_number(&b, "duration_s", (double)s->time.duration_ns / 1e9);
    put_number(&b, "files", files);
    put_number(&b, "rows", rows);
    put_text(&b, "divisor", s->divisor_n ? "N" : "N-1");
    put_copy(&b, "done_by_logger", s->done_by_logger);
    put(&b, "clock", clock_of(&s->time));
    put(&b, "channels", channels_of(s, at, r));
    put(&b, "prepare", prepare_of(s));
    return end(&b);
}

wa_value *wa_facts_campaign(const wa_campaign *c, const wa_records *r)
{
    builder b = begin();
    wa_value *sources = wa_list();
    bool good = sources != NULL;
    for (size_t i = 0; i < c->n_sources && good; i++)
        good = wa_list_add(sources, source_of(&c->sources[i], i, r));
    put_text(&b, "title", c->title);
    put_text(&b, "file", c->file);
    put_copy(&b, "report", wa_get(c->described, "report"));
    put_copy(&b, "lidar", wa_get(c->described, "lidar"));
    put(&b, "period", period_of(c));
    put(&b, "grid", grid_of(r));
    put(&b, "sources", sources);
    put_text(&b, "sd_divisor", c->divisor_n ? "N" : "N-1");
    b.failed = b.failed || !good;
    return end(&b);
}

/* ---- inputs, scripts, samples --------------------------------------------------------------- */

wa_value *wa_facts_inputs(const wa_campaign *c, const wa_records *r)
{
    wa_value *list = wa_list();
    for (size_t i = 0; i < r->n_inputs; i++) {
        const wa_input *in = &r->inputs[i];
        builder b = begin();
        put_text(&b, "path", in->path);
        put_text(&b, "source", c->sources[in->source].name);
        put_number(&b, "bytes", (double)in->bytes);
        put_text(&b, "sha256", in->sha256);
        put_number(&b, "rows", (double)in->rows);
        if (in->rows > 0) {
            put_time(&b, "first", in->first);
            put_time(&b, "last", in->last);
        }
        if (!add(list, &b)) {
            wa_value_free(list);
            return NULL;
        }
    }
    return list;
}

wa_value *wa_facts_scripts(const wa_modules *m)
{
    wa_value *list = wa_list();
    wa_text path = WA_TEXT_INIT;
    for (size_t i = 0; i < wa_modules_count(m); i++) {
        const wa_module *file = wa_modules_at(m, i);
        builder b = begin();
        put_text(&b, "path", wa_evidence_script(&path, file));
        put_text(&b, "sha256", file->sha256);
        b.failed = b.failed || wa_text_failed(&path);
        if (!add(list, &b)) {
            wa_value_free(list);
            list = NULL;
            break;
        }
    }
    wa_text_release(&path);
    return list;
}

double wa_facts_sum(const uint32_t *counts, size_t n)
{
    uint64_t sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += counts[i];
    return (double)sum;
}

wa_value *wa_facts_samples(const wa_campaign *c, const wa_records *r)
{
    wa_value *list = wa_list();
    for (size_t i = 0; i < r->n_samples; i++) {
        const wa_sample_account *a = &r->samples[i];
        builder b = begin();
        wa_value *dropped = wa_list();
        bool good = dropped != NULL;
        put_text(&b, "source", c->sources[a->source].name);
        if (a->has_beam)
            put_number(&b, "beam", a->beam);
        if (a->has_range)
            put_number(&b, "range", a->range);
        if (a->expected !=
            NULL) /* nothing is expected of a source that does not say at what rate */
            put_number(&b, "expected", wa_facts_sum(a->expected, r->n));
        put_number(&b, "read", wa_facts_sum(a->read, r->n));
        for (size_t k = 0; k < a->n_reasons && good; k++) {
            builder d = begin();
            put_text(&d, "reason", a->reason[k]);
            put_number(&d, "samples", wa_facts_sum(a->dropped[k], r->n));
            good = add(dropped, &d);
        }
        put(&b, "dropped", dropped);
        b.failed = b.failed || !good;
        if (!add(list, &b)) {
            wa_value_free(list);
            return NULL;
        }
    }
    return list;
}

wa_input wa_facts_total(const wa_records *r, size_t source, size_t *files)
{
    wa_input all = {.source = source, .first = INT64_MAX, .last = INT64_MIN};
    *files = 0;
    for (size_t i = 0; i < r->n_inputs; i++) {
        const wa_input *in = &r->inputs[i];
        if (in->source != source)
            continue;
        (*files)++;
        all.bytes += in->bytes;
        all.rows += in->rows;
        all.outside += in->outside;
        if (in->rows > 0 && in->first < all.first)
            all.first = in->first;
        if (in->rows > 0 && in->last > all.last)
            all.last = in->last;
    }
    return all;
}
