#include "report/marks.h"

#include "report/digits.h"
#include "report/markup.h"

#include <math.h>
#include <stdlib.h>

static const char *const colours[] = {"#14497a", "#c2541b", "#168067",
                                      "#8a3a8c", "#a67c00", "#505a63"};
static const char *const dashes[] = {"", "900 400", "250 300", "1200 300 250 300", "600 200"};
static const char *const rule_dashes[] = {"700 350", "250 250", "1300 350 300 350", "400 150"};
static const char *const shades[WA_MARKS_SHADES] = {"#dfe9ec", "#bfd3da", "#98b9c6", "#6e9bb0",
                                                    "#467b97", "#245a7a", "#0d3a58"};
enum { COLOURS = 6, SHAPES = 6, DASHES = 5, RULE_DASHES = 4 };

static bool is_rule(const wa_series *s)
{
    return s->kind == WA_SERIES_LEVEL || s->kind == WA_SERIES_MARK;
}

const char *wa_marks_colour(const wa_series *s)
{
    return is_rule(s) ? "#2b2b2b" : colours[s->look % COLOURS];
}

const char *wa_marks_dash(const wa_series *s)
{
    return is_rule(s) ? rule_dashes[s->dash % RULE_DASHES] : dashes[s->dash % DASHES];
}

const char *wa_marks_shade(int class)
{
    return shades[class < WA_MARKS_SHADES ? class : WA_MARKS_SHADES - 1];
}

/* The exponent of the largest power of two within `count`, -1 for none. */
static int class_of(double count)
{
    int exponent;
    if (!(count >= 1))
        return -1;
    frexp(count, &exponent);
    return exponent - 1 < WA_MARKS_SHADES ? exponent - 1 : WA_MARKS_SHADES - 1;
}

int wa_marks_classes(const wa_series *s)
{
    int most = -1;
    for (size_t i = 0; i < s->n; i++) {
        int class = class_of(wa_figure_number(s->count, i));
        most = class > most ? class : most;
    }
    return most + 1;
}

/* The outline of a shape around (x, y), as path data; shape 0 is a circle and drawn as one. */
static void outline(wa_text *out, int shape, long x, long y, long r)
{
    long d = r * 7 / 8, a = r * 5 / 4, b = r * 9 / 4, c = r * 4 / 3, w = r / 3;
    switch (shape) {
    case 1: /* a square */
        wa_text_printf(out, "M%ld %ldh%ldv%ldh%ldz", x - d, y - d, 2 * d, 2 * d, -2 * d);
        break;
    case 2: /* a triangle */
        wa_text_printf(out, "M%ld %ldl%ld %ldh%ldz", x, y - a, a, b, -2 * a);
        break;
    case 3: /* a diamond */
        wa_text_printf(out, "M%ld %ldl%ld %ldl%ld %ldl%ld %ldz", x, y - c, c, c, -c, c, -c, -c);
        break;
    case 4: /* an upright cross */
        wa_text_printf(out, "M%ld %ldh%ldv%ldh%ldv%ldh%ldv%ldh%ldv%ldh%ldv%ldh%ldz", x - w,
                       y - w - r, 2 * w, r, r, 2 * w, -r, r, -2 * w, -r, -r, -2 * w, r);
        break;
    default: /* a triangle on its point */
        wa_text_printf(out, "M%ld %ldl%ld %ldh%ldz", x, y + a, a, -b, -2 * a);
        break;
    }
}

/* The shape turns once more each time that all colours were used, so that no pair repeats. */
static int shape_of(const wa_series *s)
{
    return (s->look + s->look / COLOURS) % SHAPES;
}

void wa_marks_marker(wa_text *out, const wa_series *s, long x, long y, long r, const char *tip)
{
    int shape = shape_of(s);
    if (shape == 0) {
        wa_text_printf(out, "<circle cx=\"%ld\" cy=\"%ld\" r=\"%ld\"", x, y, r);
    } else {
        wa_text_add(out, "<path d=\"");
        outline(out, shape, x, y, r);
        wa_text_add(out, "\"");
    }
    if (tip == NULL) {
        wa_text_add(out, "/>\n");
        return;
    }
    wa_text_printf(out, "><title>%s</title></%s>\n", tip, shape == 0 ? "circle" : "path");
}

typedef struct wa_canvas {
    wa_text *out;
    const wa_figure *f;
    const wa_scale *x, *y;
    wa_text tip; /* scratch */
} wa_canvas;

static void tip_value(wa_canvas *c, double v, const wa_scale *scale, const char *unit)
{
    wa_digits_fixed(&c->tip, v, wa_scale_decimals(scale));
    wa_text unit_text = WA_TEXT_INIT;
    wa_markup_unit(&unit_text, unit);
    if (unit_text.length > 0)
        wa_text_printf(&c->tip, " %s", wa_text_string(&unit_text));
    wa_text_spend(&unit_text, &c->tip);
}

/* "LABEL: x 8.51 m/s, y 8.49 m/s" */
static const char *tip(wa_canvas *c, const wa_series *s, double x, double y, const double *u)
{
    wa_text_clear(&c->tip);
    if (*s->label != '\0') {
        wa_markup_add(&c->tip, s->label);
        wa_text_add(&c->tip, ": ");
    }
    wa_text_add(&c->tip, "x ");
    tip_value(c, x, c->x, c->f->x_unit);
    wa_text_add(&c->tip, ", y ");
    tip_value(c, y, c->y, c->f->y_unit);
    if (u != NULL) {
        wa_text_add(&c->tip, " \u00b1 ");
        tip_value(c, *u, c->y, c->f->y_unit);
    }
    return wa_text_string(&c->tip);
}

static void draw_markers(wa_canvas *c, const wa_series *s, long size, const char *style)
{
    wa_text_printf(c->out, "<g fill=\"%s\"%s>\n", wa_marks_colour(s), style);
    for (size_t i = 0; i < s->n; i++) {
        double x = wa_figure_number(s->x, i), y = wa_figure_number(s->y, i), u = 0;
        if (s->u != NULL)
            u = wa_figure_number(s->u, i);
        wa_marks_marker(c->out, s, wa_scale_at(c->x, x), wa_scale_at(c->y, y), size,
                        tip(c, s, x, y, s->u ? &u : NULL));
    }
    wa_text_add(c->out, "</g>\n");
}

/* Many points: no tooltips, and a few paths instead of an element each, which draws quickly and
 * takes a tenth of the bytes. Points are dealt to the paths in turn, so that a crowd still shows
 * darker than a single one (a path does not shade itself). A dot is the round end of no line. */
static void draw_crowd(wa_canvas *c, const wa_series *s, long size)
{
    enum { PATHS = 8 };
    int shape = shape_of(s);
    for (size_t first = 0; first < PATHS; first++) {
        if (shape == 0)
            wa_text_printf(c->out,
                           "<path stroke=\"%s\" stroke-width=\"%ld\" stroke-opacity=\"0.5\" "
                           "stroke-linecap=\"round\" d=\"",
                           wa_marks_colour(s), 2 * size);
        else
            wa_text_printf(c->out, "<path fill=\"%s\" fill-opacity=\"0.5\" d=\"",
                           wa_marks_colour(s));
        for (size_t i = first; i < s->n; i += PATHS) {
            long x = wa_scale_at(c->x, wa_figure_number(s->x, i));
            long y = wa_scale_at(c->y, wa_figure_number(s->y, i));
            if (shape == 0)
                wa_text_printf(c->out, "M%ld %ldh0", x, y);
            else
                outline(c->out, shape, x, y, size);
        }
        wa_text_add(c->out, "\"/>\n");
    }
}

static void draw_error(wa_canvas *c, const wa_series *s)
{
    wa_text_printf(c->out, "<path stroke=\"%s\" stroke-width=\"130\" fill=\"none\" d=\"",
                   wa_marks_colour(s));
    for (size_t i = 0; i < s->n; i++) {
        long x = wa_scale_at(c->x, wa_figure_number(s->x, i));
        double y = wa_figure_number(s->y, i), u = wa_figure_number(s->u, i);
        long top = wa_scale_at(c->y, y + u), foot = wa_scale_at(c->y, y - u);
        wa_text_printf(c->out, "M%ld %ldh600M%ld %ldV%ldM%ld %ldh600", x - 300, top, x, top, foot,
                       x - 300, foot);
    }
    wa_text_add(c->out, "\"/>\n");
    draw_markers(c, s, 360, " stroke=\"#fff\" stroke-width=\"80\"");
}

static void draw_line(wa_canvas *c, const wa_series *s)
{
    const char *dash = wa_marks_dash(s);
    wa_text_printf(c->out,
                   "<polyline fill=\"none\" stroke=\"%s\" stroke-width=\"180\" "
                   "stroke-linejoin=\"round\"%s%s%s points=\"",
                   wa_marks_colour(s), *dash ? " stroke-dasharray=\"" : "", dash,
                   *dash ? "\"" : "");
    for (size_t i = 0; i < s->n; i++)
        wa_text_printf(c->out, "%s%ld,%ld", i > 0 ? " " : "",
                       wa_scale_at(c->x, wa_figure_number(s->x, i)),
                       wa_scale_at(c->y, wa_figure_number(s->y, i)));
    wa_text_add(c->out, "\"/>\n");
}

static void draw_band(wa_canvas *c, const wa_series *s)
{
    wa_text_printf(c->out,
                   "<polygon fill=\"%s\" fill-opacity=\"0.16\" stroke=\"%s\" stroke-width=\"60\" "
                   "points=\"",
                   wa_marks_colour(s), wa_marks_colour(s));
    for (size_t i = 0; i < 2 * s->n; i++) {
        size_t k = i < s->n ? i : 2 * s->n - 1 - i;
        wa_text_printf(c->out, "%s%ld,%ld", i > 0 ? " " : "",
                       wa_scale_at(c->x, wa_figure_number(s->x, k)),
                       wa_scale_at(c->y, wa_figure_number(i < s->n ? s->low : s->high, k)));
    }
    wa_text_add(c->out, "\"/>\n");
}

static void draw_bars(wa_canvas *c, const wa_series *s)
{
    wa_text_printf(c->out,
                   "<g fill=\"%s\" fill-opacity=\"0.55\" stroke=\"#fff\" stroke-width=\"60\">\n",
                   wa_marks_colour(s));
    long zero = wa_scale_at(c->y, 0);
    for (size_t i = 0; i < s->n; i++) {
        double x = wa_figure_number(s->x, i), y = wa_figure_number(s->y, i);
        double half = (s->widths ? wa_figure_number(s->widths, i) : s->width) / 2;
        long left = wa_scale_at(c->x, x - half), right = wa_scale_at(c->x, x + half);
        long top = wa_scale_at(c->y, y), up = top < zero ? top : zero;
        wa_text_printf(c->out,
                       "<rect x=\"%ld\" y=\"%ld\" width=\"%ld\" height=\"%ld\"><title>%s</title>"
                       "</rect>\n",
                       left, up, labs(right - left), labs(top - zero), tip(c, s, x, y, NULL));
    }
    wa_text_add(c->out, "</g>\n");
}

static void draw_counts(wa_canvas *c, const wa_series *s)
{
    wa_text_add(c->out, "<g shape-rendering=\"crispEdges\">\n");
    for (size_t i = 0; i < s->n; i++) {
        double count = wa_figure_number(s->count, i);
        int class = class_of(count);
        if (class < 0)
            continue;
        long column = (long)i % s->nx, row = (long)i / s->nx;
        double x = s->x0 + (double)column * s->dx, y = s->y0 + (double)row * s->dy;
        long left = wa_scale_at(c->x, x), right = wa_scale_at(c->x, x + s->dx);
        long foot = wa_scale_at(c->y, y), top = wa_scale_at(c->y, y + s->dy);
        wa_text_clear(&c->tip);
        wa_digits_shortest(&c->tip, count);
        wa_text_printf(c->out,
                       "<rect x=\"%ld\" y=\"%ld\" width=\"%ld\" height=\"%ld\" fill=\"%s\"><title>"
                       "%s records, ",
                       left, top, right - left, foot - top, wa_marks_shade(class),
                       wa_text_string(&c->tip));
        wa_text_add(c->out, tip(c, s, x + s->dx / 2, y + s->dy / 2, NULL));
        wa_text_add(c->out, "</title></rect>\n");
    }
    wa_text_add(c->out, "</g>\n");
}

static void draw_rule(wa_canvas *c, const wa_series *s)
{
    wa_text_printf(c->out, "<path stroke=\"%s\" stroke-width=\"120\" stroke-dasharray=\"%s\" d=\"",
                   wa_marks_colour(s), wa_marks_dash(s));
    if (s->kind == WA_SERIES_LEVEL)
        wa_text_printf(c->out, "M%ld %ldH%ld", c->x->from, wa_scale_at(c->y, s->at), c->x->to);
    else
        wa_text_printf(c->out, "M%ld %ldV%ld", wa_scale_at(c->x, s->at), c->y->from, c->y->to);
    wa_text_add(c->out, "\"/>\n");
}

void wa_marks_series(wa_text *out, const wa_figure *f, const wa_series *s, const wa_scale *x,
                     const wa_scale *y)
{
    wa_canvas c = {.out = out, .f = f, .x = x, .y = y, .tip = WA_TEXT_INIT};
    switch (s->kind) {
    case WA_SERIES_POINTS: /* many points are small and let others through */
        if (s->n > 300)
            draw_crowd(&c, s, 190);
        else
            draw_markers(&c, s, 300, " fill-opacity=\"0.85\"");
        break;
    case WA_SERIES_COUNTS:
        draw_counts(&c, s);
        break;
    case WA_SERIES_LINE:
        draw_line(&c, s);
        break;
    case WA_SERIES_ERROR:
        draw_error(&c, s);
        break;
    case WA_SERIES_BAND:
        draw_band(&c, s);
        break;
    case WA_SERIES_BARS:
        draw_bars(&c, s);
        break;
    default:
        draw_rule(&c, s);
        break;
    }
    if (wa_text_failed(&c.tip))
        out->failed = true;
    wa_text_release(&c.tip);
}
