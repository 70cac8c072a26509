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

/* A header field from what `name` holds; clears it. */
static void add_header(wa_text *out, wa_text *name)
{
    wa_text_add_char(out, ',');
    wa_csv_add_bytes(out, wa_text_string(name), name->length);
    wa_text_clear(name);
}

static void add_time(wa_text *out, const wa_records *r, size_t i)
{
    char time[WA_TIME_TEXT_SIZE];
    wa_text_add_bytes(out, time, wa_time_print(time, r->from + (int64_t)i * r->interval_ns));
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

/* The columns of intervals.csv while they are written. */
typedef struct columns {
    wa_text *out;
    const double **at;
    size_t n;
} columns;

static bool add_column(void *context, const char *name, size_t length, double *values)
{
    columns *cs = context;
    wa_text_add_char(cs->out, ',');
    wa_csv_add_bytes(cs->out, name, length);
    cs->at[cs->n++] = values;
    return true;
}

bool wa_records_write_intervals(const wa_records *r, const wa_campaign *c, wa_text *out)
{
    size_t most = 0;
    for (size_t k = 0; k < r->n_series; k++)
        most += 7 + r->series[k].n_share;
    columns cs = {out, malloc((most + 1) * sizeof *cs.at), 0};
    if (cs.at == NULL)
        return false;
    bool good = true;
    wa_text_add(out, "time");
    for (size_t k = 0; k < r->n_series && good; k++)
        good = wa_series_columns(&r->series[k], c, add_column, &cs);
    wa_text_add_char(out, '\n');
    for (size_t i = 0; i < r->n; i++) {
        add_time(out, r, i);
        for (size_t k = 0; k < cs.n; k++) {
            wa_text_add_char(out, ',');
            add_number(out, cs.at[k][i]);
        }
        wa_text_add_char(out, '\n');
    }
    free(cs.at);
    return good && !wa_text_failed(out);
}

static void add_sample_header(wa_text *out, wa_text *name, const wa_sample_account *a,
                              const wa_campaign *c, const char *what, const char *reason)
{
    add_place(name, c->sources[a->source].name, NULL, a->has_beam, a->beam, a->has_range, a->range);
    wa_text_printf(name, ".%s%s", what, reason);
    add_header(out, name);
}

static void add_count(wa_text *out, uint32_t n)
{
    wa_text_add_char(out, ',');
    add_number(out, n);
}

bool wa_records_write_samples(const wa_records *r, const wa_campaign *c, wa_text *out)
{
    wa_text name = WA_TEXT_INIT;
    wa_text_add(out, "time");
    for (size_t k = 0; k < r->n_samples; k++) {
        const wa_sample_account *a = &r->samples[k];
        if (a->expected != NULL)
            add_sample_header(out, &name, a, c, "expected", "");
        add_sample_header(out, &name, a, c, "read", "");
        for (size_t d = 0; d < a->n_reasons; d++)
            add_sample_header(out, &name, a, c, "dropped: ", a->reason[d]);
    }
    wa_text_add_char(out, '\n');
    for (size_t i = 0; i < r->n; i++) {
        add_time(out, r, i);
        for (size_t k = 0; k < r->n_samples; k++) {
            const wa_sample_account *a = &r->samples[k];
            if (a->expected != NULL)
                add_count(out, a->expected[i]);
            add_count(out, a->read[i]);
            for (size_t d = 0; d < a->n_reasons; d++)
                add_count(out, a->dropped[d][i]);
        }
        wa_text_add_char(out, '\n');
    }
    bool good = !wa_text_failed(out) && !wa_text_failed(&name);
    wa_text_release(&name);
    return good;
}

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
