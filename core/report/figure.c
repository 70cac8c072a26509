#include "report/figure.h"

#include <math.h>
#include <string.h>

double wa_figure_number(const wa_value *list, size_t i)
{
    double x = 0;
    wa_number_of(wa_at(list, i), &x);
    return x;
}

static void reach_x(wa_figure *f, double x)
{
    f->x_low = fmin(f->x_low, x);
    f->x_high = fmax(f->x_high, x);
}

static void reach_y(wa_figure *f, double y)
{
    f->y_low = fmin(f->y_low, y);
    f->y_high = fmax(f->y_high, y);
}

/* A list of exactly `n` numbers. */
static wa_status list_of(const wa_value **out, const wa_value *spec, const char *key, size_t n,
                         wa_error *err)
{
    const wa_value *list = wa_get(spec, key);
    if (wa_value_kind(list) != WA_LIST)
        return wa_fail(err, WA_ERR_DATA, "a series has no list '%s'", key);
    if (wa_count(list) != n)
        return wa_fail(err, WA_ERR_DATA, "a series has %zu values of '%s' for %zu places",
                       wa_count(list), key, n);
    for (size_t i = 0; i < n; i++)
        if (wa_value_kind(wa_at(list, i)) != WA_NUMBER)
            return wa_fail(err, WA_ERR_DATA, "value %zu of '%s' is not a number", i + 1, key);
    *out = list;
    return WA_OK;
}

static wa_status number_of(double *out, const wa_value *spec, const char *key, wa_error *err)
{
    if (!wa_number_of(wa_get(spec, key), out))
        return wa_fail(err, WA_ERR_DATA, "a series has no number '%s'", key);
    return WA_OK;
}

static wa_status read_counts(wa_figure *f, wa_series *s, const wa_value *spec, wa_error *err)
{
    double nx, ny;
    if (number_of(&s->x0, spec, "x0", err) || number_of(&s->dx, spec, "dx", err) ||
        number_of(&s->y0, spec, "y0", err) || number_of(&s->dy, spec, "dy", err) ||
        number_of(&nx, spec, "nx", err) || number_of(&ny, spec, "ny", err))
        return WA_ERR_DATA;
    if (!(s->dx > 0 && s->dy > 0 && nx >= 1 && ny >= 1 && nx <= 1000 && ny <= 1000) ||
        nx != floor(nx) || ny != floor(ny))
        return wa_fail(err, WA_ERR_DATA, "the grid of counts is not a grid");
    s->nx = (long)nx;
    s->ny = (long)ny;
    s->n = (size_t)(s->nx * s->ny);
    wa_status status = list_of(&s->count, spec, "count", s->n, err);
    if (status != WA_OK)
        return status;
    reach_x(f, s->x0);
    reach_x(f, s->x0 + s->dx * nx);
    reach_y(f, s->y0);
    reach_y(f, s->y0 + s->dy * ny);
    return WA_OK;
}

static wa_status read_bars(wa_figure *f, wa_series *s, const wa_value *spec, wa_error *err)
{
    wa_status status = WA_OK;
    if (wa_value_kind(wa_get(spec, "width")) == WA_LIST)
        status = list_of(&s->widths, spec, "width", s->n, err);
    else
        status = number_of(&s->width, spec, "width", err);
    for (size_t i = 0; status == WA_OK && i < s->n; i++) {
        double half = (s->widths ? wa_figure_number(s->widths, i) : s->width) / 2;
        double x = wa_figure_number(s->x, i);
        reach_x(f, x - half);
        reach_x(f, x + half);
        reach_y(f, 0);
        reach_y(f, wa_figure_number(s->y, i));
    }
    return status;
}

/* Kinds that are lists of places. */
static wa_status read_places(wa_figure *f, wa_series *s, const wa_value *spec, wa_error *err)
{
    s->n = wa_count(wa_get(spec, "x"));
    wa_status status = list_of(&s->x, spec, "x", s->n, err);
    if (status == WA_OK && s->kind == WA_SERIES_BAND) {
        status = list_of(&s->low, spec, "low", s->n, err);
        if (status == WA_OK)
            status = list_of(&s->high, spec, "high", s->n, err);
    } else if (status == WA_OK) {
        status = list_of(&s->y, spec, "y", s->n, err);
    }
    if (status == WA_OK && s->kind == WA_SERIES_ERROR)
        status = list_of(&s->u, spec, "u", s->n, err);
    if (status == WA_OK && s->kind == WA_SERIES_BARS)
        return read_bars(f, s, spec, err);
    for (size_t i = 0; status == WA_OK && i < s->n; i++) {
        double u = s->u ? wa_figure_number(s->u, i) : 0;
        reach_x(f, wa_figure_number(s->x, i));
        reach_y(f, s->low ? wa_figure_number(s->low, i) : wa_figure_number(s->y, i) - u);
        reach_y(f, s->high ? wa_figure_number(s->high, i) : wa_figure_number(s->y, i) + u);
    }
    return status;
}

static wa_status read_series(wa_figure *f, wa_series *s, const wa_value *spec, wa_error *err)
{
    static const char *const kinds[] = {"points", "counts", "line",  "error",
                                        "band",   "bars",   "level", "mark"};
    const char *kind = wa_get_string(spec, "kind"), *label = wa_get_string(spec, "label");
    *s = (wa_series){.label = label == NULL ? "" : label};
    size_t k = 0, all = sizeof kinds / sizeof kinds[0];
    while (k < all && (kind == NULL || strcmp(kind, kinds[k]) != 0))
        k++;
    if (k == all)
        return wa_fail(err, WA_ERR_DATA, "a series has no known kind");
    s->kind = (wa_series_kind)k;
    wa_status status;
    switch (s->kind) {
    case WA_SERIES_LEVEL:
        if ((status = number_of(&s->at, spec, "y", err)) == WA_OK)
            reach_y(f, s->at);
        return status;
    case WA_SERIES_MARK:
        if ((status = number_of(&s->at, spec, "x", err)) == WA_OK)
            reach_x(f, s->at);
        return status;
    case WA_SERIES_COUNTS:
        return read_counts(f, s, spec, err);
    default:
        return read_places(f, s, spec, err);
    }
}

wa_status wa_figure_read(wa_figure *f, const wa_value *spec, wa_error *err)
{
    const wa_value *series = wa_get(spec, "series"), *x = wa_get(spec, "x"), *y = wa_get(spec, "y");
    const char *const texts[] = {wa_get_string(spec, "title"), wa_get_string(x, "label"),
                                 wa_get_string(x, "unit"), wa_get_string(y, "label"),
                                 wa_get_string(y, "unit")};
    *f = (wa_figure){.title = texts[0] ? texts[0] : "",
                     .x_label = texts[1] ? texts[1] : "",
                     .x_unit = texts[2] ? texts[2] : "1",
                     .y_label = texts[3] ? texts[3] : "",
                     .y_unit = texts[4] ? texts[4] : "1",
                     .x_low = HUGE_VAL,
                     .x_high = -HUGE_VAL,
                     .y_low = HUGE_VAL,
                     .y_high = -HUGE_VAL};
    if (wa_count(series) > WA_FIGURE_SERIES)
        return wa_fail(err, WA_ERR_DATA, "a figure has at most %d series, this one has %zu",
                       WA_FIGURE_SERIES, wa_count(series));
    int looks[2] = {0, 0}, lines = 0;
    for (size_t i = 0; i < wa_count(series); i++) {
        wa_series *s = &f->series[i];
        wa_status status = read_series(f, s, wa_at(series, i), err);
        if (status != WA_OK)
            return status;
        s->look = looks[s->kind == WA_SERIES_LEVEL || s->kind == WA_SERIES_MARK]++;
        s->dash = s->kind == WA_SERIES_LINE ? lines++ : s->look;
        f->n++;
    }
    f->empty = !(f->x_low <= f->x_high && f->y_low <= f->y_high);
    return WA_OK;
}
