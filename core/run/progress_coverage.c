#include "run/progress_coverage.h"

#include "windassay/text.h"
#include "windassay/time.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define PROBABILITY 0.8

double days_between(int64_t from, int64_t to)
{
    return (double)(to - from) / (double)WA_DAY_NS;
}

/* ---- one bin, or all records together ------------------------------------------------------ */

/** What a row of a coverage came to. */
typedef struct arrived {
    double have; /* in its unit */
    size_t days; /* with some    */
} arrived;

static arrived count_days(const wa_value *row, double each)
{
    arrived a = {0, 0};
    const wa_value *days = wa_get(row, "days");
    for (size_t i = 0; i < wa_count(days); i++) {
        double n = 0;
        wa_number_of(wa_at(days, i), &n);
        a.have += n;
        a.days += n > 0;
    }
    a.have *= each;
    return a;
}

/* The rest of the wait, in days; where there is none, *why says so. False: memory. */
static bool wait_for(wa_forecast *f, char *why, size_t size, const wa_value *row, double missing,
                     const span *s, const wa_campaign *c)
{
    const wa_value *days = wa_get(row, "days");
    size_t n_days = wa_count(days), first = 0, n = 0;
    *why = '\0';
    if (s->until >= s->to) {
        snprintf(why, size, "its time is over");
        return true;
    }
    double *count = calloc(n_days + 1, sizeof *count);
    if (count == NULL)
        return false;
    wa_arrivals a = {.count = count,
                     .elapsed = days_between(s->from, s->until),
                     .missing = missing,
                     .most = (double)WA_DAY_NS / (double)c->interval_ns};
    first = (size_t)ceil(days_between(c->from, s->from)); /* whole days of the span */
    for (size_t i = 0; i < n_days; i++) {
        double x = 0;
        wa_number_of(wa_at(days, i), &x);
        a.total += x;
        if (i >= first && (double)(i + 1) <= days_between(c->from, s->until))
            count[n++] = x;
    }
    a.n = n;
    wa_error e;
    if (wa_forecast_wait(f, &a, PROBABILITY, &e) != WA_OK)
        snprintf(why, size, "%.100s", e.text);
    free(count);
    return true;
}

static wa_value *forecast_value(const wa_forecast *f)
{
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "low", wa_number(f->low)) &&
                wa_map_set(v, "middle", wa_number(f->middle)) &&
                wa_map_set(v, "high", wa_number(f->high));
    if (good)
        return v;
    wa_value_free(v);
    return NULL;
}

static void look_ahead(outlook *o, const wa_forecast *f)
{
    o->slowest.low = fmax(o->slowest.low, f->low);
    o->slowest.middle = fmax(o->slowest.middle, f->middle);
    o->slowest.high = fmax(o->slowest.high, f->high);
    o->any = true;
}

/* Of what is missing and has no forecast: where, and why. */
static bool say_unknown(outlook *o, const char *id, const char *name, const wa_value *row,
                        const char *why)
{
    wa_text t = WA_TEXT_INIT;
    double centre;
    wa_text_printf(&t, "%s, %s", id, name);
    if (wa_number_of(wa_get(row, "centre"), &centre))
        wa_text_printf(&t, " centred at %g", centre);
    wa_text_printf(&t, ": %s", why);
    bool good = !wa_text_failed(&t) && wa_list_add(o->unknowns, wa_string(wa_text_string(&t)));
    wa_text_release(&t);
    return good;
}

static bool add_row(wa_value *rows, outlook *o, const coverage *k, const wa_value *row)
{
    arrived a = count_days(row, k->each);
    double missing = k->needed - a.have;
    wa_value *v = wa_map();
    bool good = v != NULL;
    if (good && wa_get(row, "centre") != NULL)
        good = wa_map_set(v, "centre", wa_value_copy(wa_get(row, "centre")));
    good = good && wa_map_set(v, "have", wa_number(a.have)) &&
           wa_map_set(v, "missing", wa_number(missing > 0 ? missing : 0)) &&
           wa_map_set(v, "days", wa_number((double)a.days));
    if (good && missing > 0) {
        wa_forecast f;
        char why[120];
        good = wait_for(&f, why, sizeof why, row, missing / k->each, &k->span, k->campaign);
        if (good && *why == '\0') {
            good = wa_map_set(v, "forecast", forecast_value(&f));
            if (k->waited_for)
                look_ahead(o, &f);
        } else if (good) {
            good = wa_map_set(v, "no_forecast", wa_string(why)) &&
                   (!k->waited_for || say_unknown(o, k->id, k->name, row, why));
        }
    }
    if (!good) {
        wa_value_free(v);
        return false;
    }
    return wa_list_add(rows, v);
}

bool coverage_add(wa_value *list, outlook *o, coverage *k, const wa_value *given)
{
    wa_value *v = wa_map(), *rows = wa_list();
    k->name = wa_get_string(given, "name");
    k->each = 1;
    k->needed = 0;
    wa_number_of(wa_get(given, "each"), &k->each);
    wa_number_of(wa_get(given, "needed"), &k->needed);
    bool good = rows != NULL && wa_map_set(v, "name", wa_string(k->name)) &&
                wa_map_set(v, "unit", wa_value_copy(wa_get(given, "unit"))) &&
                wa_map_set(v, "needed", wa_number(k->needed));
    for (size_t i = 0; good && i < wa_count(wa_get(given, "rows")); i++)
        good = add_row(rows, o, k, wa_at(wa_get(given, "rows"), i));
    if (!good) {
        wa_value_free(rows);
        wa_value_free(v);
        return false;
    }
    good = wa_map_set(v, "rows", rows);
    if (!good) {
        wa_value_free(v);
        return false;
    }
    return wa_list_add(list, v);
}

bool outlook_add(wa_value *v, outlook *o)
{
    bool good = true;
    if (o->any) {
        wa_value *f = forecast_value(&o->slowest);
        good = wa_map_set(f, "probability", wa_number(PROBABILITY));
        if (!good) {
            wa_value_free(f);
            return false;
        }
        good = wa_map_set(v, "forecast", f);
    }
    wa_value *unknowns = o->unknowns;
    o->unknowns = NULL;
    return wa_map_set(v, "no_forecast", unknowns) && good;
}
