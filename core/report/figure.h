/* figure.h - a figure of the record, read and measured, ready to be drawn. */
#ifndef WA_REPORT_FIGURE_H
#define WA_REPORT_FIGURE_H

#include "report/scale.h"

#include "windassay/value.h"

typedef enum wa_series_kind {
    WA_SERIES_POINTS,
    WA_SERIES_COUNTS,
    WA_SERIES_LINE,
    WA_SERIES_ERROR,
    WA_SERIES_BAND,
    WA_SERIES_BARS,
    WA_SERIES_LEVEL,
    WA_SERIES_MARK
} wa_series_kind;

typedef struct wa_series {
    wa_series_kind kind;
    const char *label; /* foreign; "" where none                                         */
    int look;          /* colour and shape: series of one family count from 0              */
    int dash;          /* lines among lines, rules among rules: the first line is whole    */
    size_t n;          /* length of the lists                                             */
    const wa_value *x, *y, *u, *low, *high, *widths;
    double at;    /* level: y; mark: x                                               */
    double width; /* bars, where `widths` is absent                                  */
    double x0, dx, y0, dy;
    long nx, ny; /* counts: count[row * nx + column], rows from y0 upwards          */
    const wa_value *count;
} wa_series;

enum { WA_FIGURE_SERIES = 64 };

typedef struct wa_figure {
    const char *title, *x_label, *x_unit, *y_label, *y_unit;
    size_t n;
    wa_series series[WA_FIGURE_SERIES];
    double x_low, x_high, y_low, y_high; /* of everything that is drawn */
    bool empty;                          /* nothing to draw             */
} wa_figure;

/* Reads `spec`, which stays the owner of all texts and lists. WA_ERR_DATA names what is amiss. */
wa_status wa_figure_read(wa_figure *f, const wa_value *spec, wa_error *err);

/* The i-th number of a list that wa_figure_read has checked. */
double wa_figure_number(const wa_value *list, size_t i);

#endif
