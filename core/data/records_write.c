#include "data/records_parts.h"
#include "windassay/csv_field.h"
#include "windassay/number.h"
#include "windassay/records.h"
#include "windassay/time.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void add_number(wa_text *out, double x)
{
    char number[WA_NUMBER_SIZE];
    if (!isnan(x))
        wa_text_add_bytes(out, number, wa_number_print(number, x));
}

/* "lidar", "lidar.los_speed"; then "@beam=1,range=240" where the source is split. */
static void add_place(wa_text *out, const char *source, const char *name, bool has_beam,
                      double beam, bool has_range, double range)
{
    wa_text_add(out, source);
    if (name != NULL) {
        wa_text_add_char(out, '.');
        wa_text_add(out, name);
    }
    if (has_beam) {
        wa_text_add(out, "@beam=");
        add_number(out, beam);
    }
    if (has_range) {
        wa_text_add(out, has_beam ? ",range=" : "@range=");
        add_number(out, range);
    }
}

void wa_series_name(wa_text *out, const wa_series *s, const wa_campaign *c)
{
    add_place(out, c->sources[s->source].name, s->name, s->has_beam, s->beam, s->has_range,
              s->range);
}

/* ---- the columns of a series ---------------------------------------------------------------- */

/* Hands one column with its name to the visitor; `name` is room for the latter. */
typedef struct visiting {
    const wa_series *s;
    const wa_campaign *c;
    wa_text name;
    wa_column_visitor *visit;
    void *context;
} visiting;

static bool visit_column(visiting *v, const char *statistic, const char *more, const wa_unit *unit,
                         double *values)
{
    if (values == NULL)
        return true;
    wa_text_clear(&v->name);
    wa_series_name(&v->name, v->s, v->c);
    wa_text_printf(&v->name, ".%s%s", statistic, more);
    if (unit != NULL && strcmp(unit->text, "1") != 0)
        wa_text_printf(&v->name, " [%s]", unit->text);
    return !wa_text_failed(&v->name) &&
           v->visit(v->context, wa_text_string(&v->name), v->name.length, values);
}

bool wa_series_columns(const wa_series *s, const wa_campaign *c, wa_column_visitor *visit,
                       void *context)
{
    visiting v = {s, c, WA_TEXT_INIT, visit, context};
    wa_unit spread = wa_unit_difference(&s->unit);
    const struct {
        const char *name;
        const wa_unit *unit;
        double *at;
    } statistics[] = {{"count", NULL, s->count},        {"mean", &s->unit, s->mean},
                      {"sd", &spread, s->sd},           {"min", &s->unit, s->min},
                      {"max", &s->unit, s->max},        {"availability", NULL, s->availability},
                      {"resultant", NULL, s->resultant}};
    bool good = true;
    for (size_t i = 0; i < sizeof statistics / sizeof *statistics && good; i++)
        good = visit_column(&v, statistics[i].name, "", statistics[i].unit, statistics[i].at);
    for (size_t i = 0; i < s->n_share && good; i++)
        good = visit_column(&v, "share.", s->share_name[i], NULL, s->share[i]);
    wa_text_release(&v.name);
    return good;
}

/* ---- files of one row an interval -------------------------------------------------------------- */

/* The columns of intervals.csv. */
typedef struct columns {
    size_t n;
    const double *at[];
} columns;

/* Both while the names are collected. */
typedef struct collecting {
    wa_text *names;
    columns *cs;
} collecting;

static bool add_column(void *context, const char *name, size_t length, double *values)
{
    collecting *c = context;
    wa_text_add_char(c->names, ',');
    wa_csv_add_bytes(c->names, name, length);
    c->cs->at[c->cs->n++] = values;
    return true;
}

static void interval_cells(const void *context, size_t i, wa_text *out)
{
    const columns *cs = context;
    for (size_t k = 0; k < cs->n; k++) {
        wa_text_add_char(out, ',');
        add_number(out, cs->at[k][i]);
    }
}

/* A listing of the records; it takes the context. False, and both freed: memory ran out. */
static bool give(wa_listing *out, const wa_records *r, wa_text *names, void *context,
                 void (*cells)(const void *, size_t, wa_text *), bool good)
{
    if (!good || wa_text_failed(names)) {
        wa_text_release(names);
        free(context);
        return false;
    }
    *out = (wa_listing){r->from, r->interval_ns, r->n, *names, cells, free, context};
    return true;
}

bool wa_records_list_intervals(wa_listing *out, const wa_records *r, const wa_campaign *c)
{
    size_t most = 0;
    for (size_t k = 0; k < r->n_series; k++)
        most += 7 + r->series[k].n_share;
    columns *cs = malloc(sizeof *cs + most * sizeof *cs->at);
    if (cs == NULL)
        return false;
    cs->n = 0;
    wa_text names = WA_TEXT_INIT;
    collecting all = {&names, cs};
    bool good = true;
    for (size_t k = 0; k < r->n_series && good; k++)
        good = wa_series_columns(&r->series[k], c, add_column, &all);
    return give(out, r, &names, cs, interval_cells, good);
}

/* The columns of samples.csv. */
typedef struct counts {
    size_t n;
    const uint32_t *at[];
} counts;

static void add_counts(wa_text *names, counts *cs, const wa_sample_account *a, const wa_campaign *c,
                       const char *what, const char *reason, const uint32_t *values)
{
    wa_text name = WA_TEXT_INIT;
    if (values == NULL)
        return;
    add_place(&name, c->sources[a->source].name, NULL, a->has_beam, a->beam, a->has_range,
              a->range);
    wa_text_printf(&name, ".%s%s", what, reason);
    wa_text_add_char(names, ',');
    wa_csv_add_bytes(names, wa_text_string(&name), name.length);
    wa_text_spend(&name, names);
    cs->at[cs->n++] = values;
}

static void sample_cells(const void *context, size_t i, wa_text *out)
{
    const counts *cs = context;
    for (size_t k = 0; k < cs->n; k++) {
        wa_text_add_char(out, ',');
        add_number(out, cs->at[k][i]);
    }
}

bool wa_records_list_samples(wa_listing *out, const wa_records *r, const wa_campaign *c)
{
    size_t most = 0;
    for (size_t k = 0; k < r->n_samples; k++)
        most += 2 + r->samples[k].n_reasons;
    counts *cs = malloc(sizeof *cs + most * sizeof *cs->at);
    if (cs == NULL)
        return false;
    cs->n = 0;
    wa_text names = WA_TEXT_INIT;
    for (size_t k = 0; k < r->n_samples; k++) {
        const wa_sample_account *a = &r->samples[k];
        add_counts(&names, cs, a, c, "expected", "", a->expected);
        add_counts(&names, cs, a, c, "read", "", a->read);
        for (size_t d = 0; d < a->n_reasons; d++)
            add_counts(&names, cs, a, c, "dropped: ", a->reason[d], a->dropped[d]);
    }
    return give(out, r, &names, cs, sample_cells, true);
}

/* ---- inputs.csv ------------------------------------------------------------------------------- */

static void add_stamp(wa_text *out, const wa_input *in, int64_t t)
{
    char time[WA_TIME_TEXT_SIZE];
    wa_text_add_char(out, ',');
    if (in->rows > 0)
        wa_text_add_bytes(out, time, wa_time_print(time, t));
}

bool wa_records_write_inputs(const wa_records *r, const wa_campaign *c, wa_text *out)
{
    wa_text_add(out, "path,source,bytes,sha256,rows,outside,first,last\n");
    for (size_t i = 0; i < r->n_inputs; i++) {
        const wa_input *in = &r->inputs[i];
        wa_csv_add(out, in->path);
        wa_text_printf(out, ",%s,%llu,%s,%llu,%llu", c->sources[in->source].name,
                       (unsigned long long)in->bytes, in->sha256, (unsigned long long)in->rows,
                       (unsigned long long)in->outside);
        add_stamp(out, in, in->first);
        add_stamp(out, in, in->last);
        wa_text_add_char(out, '\n');
    }
    return !wa_text_failed(out);
}
