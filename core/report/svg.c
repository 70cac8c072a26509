/* The paper of a figure: title, legend, axes. No box, horizontal rules only, the name of the
 * vertical axis written level above it, limits named at the right edge where their lines end:
 * docs/design/0002-look-of-the-report.md says why. Lengths are 1/100 px. */
#include "windassay/report.h"

#include "report/digits.h"
#include "report/lettering.h"
#include "report/marks.h"
#include "report/markup.h"

enum {
    WIDTH = 76000,
    PLOT_HEIGHT = 32000,
    EDGE = 1200,  /* white round everything */
    TITLE = 1500, /* letter sizes           */
    LETTER = 1200,
    LINE = 1900, /* from line to line      */
    ICON = 3000, /* a legend's sample      */
    RIGHT_MOST = 17000
};

typedef struct wa_paper {
    wa_text *out;
    const wa_figure *f;
    wa_scale x, y;
    long left, right, top, bottom, height;
} wa_paper;

/* A tick or level as printed: a true minus, as wide as the digits' own signs. */
static void with_minus(wa_text *t, const char *number)
{
    if (*number == '-')
        wa_text_add(t, "\u2212");
    wa_text_add(t, number + (*number == '-'));
}

static void tick_text(wa_text *t, const wa_scale *s, int i)
{
    wa_text label = WA_TEXT_INIT;
    wa_scale_label(&label, s, i);
    wa_text_clear(t);
    with_minus(t, wa_text_string(&label));
    wa_text_spend(&label, t);
}

/* ---- the right edge: levels named where they end ---- */

/* "upper limit 0.15": the value as exactly as the paper can show it; 0 needs no digit beside its
 * name, the axis says it. */
static void level_text(wa_text *t, const wa_paper *p, const wa_series *s)
{
    wa_text_clear(t);
    wa_text_add(t, s->label);
    if (s->at == 0 && *s->label)
        return;
    wa_text value = WA_TEXT_INIT;
    wa_digits_at_most(&value, s->at, wa_scale_decimals(&p->y) - 1);
    wa_text_add(t, *s->label ? " " : "");
    with_minus(t, wa_text_string(&value));
    wa_text_spend(&value, t);
}

static long right_margin(const wa_paper *p)
{
    const wa_figure *f = p->f;
    long most = 0;
    wa_text t = WA_TEXT_INIT;
    for (size_t i = 0; i < f->n; i++)
        if (f->series[i].kind == WA_SERIES_LEVEL) {
            level_text(&t, p, &f->series[i]);
            long width = wa_lettering_width(wa_text_string(&t), LETTER, false) + 700;
            most = width > most ? width : most;
        }
    wa_text_spend(&t, p->out);
    return most < RIGHT_MOST ? most : RIGHT_MOST;
}

/* Names from the top down, each at least a line below the last. Returns the lowest base line;
 * `draw` false only finds it. */
static long name_levels(wa_paper *p, bool draw)
{
    bool done[WA_FIGURE_SERIES] = {false};
    wa_text t = WA_TEXT_INIT;
    long free_from = 0;
    for (;;) {
        const wa_series *next = NULL;
        for (size_t i = 0; i < p->f->n; i++) {
            const wa_series *s = &p->f->series[i];
            if (s->kind == WA_SERIES_LEVEL && !done[i] && (next == NULL || s->at > next->at))
                next = s;
        }
        if (next == NULL)
            break;
        done[next - p->f->series] = true;
        long y = wa_scale_at(&p->y, next->at) + LETTER / 3;
        if (y < free_from)
            y = free_from;
        free_from = y + LETTER + 200;
        if (!draw)
            continue;
        level_text(&t, p, next);
        wa_lettering_write(p->out, p->right + 500, y, LETTER, false, WA_ANCHOR_START,
                           wa_text_string(&t), WIDTH - EDGE - p->right - 400);
    }
    wa_text_spend(&t, p->out);
    return free_from;
}

/* ---- the legend: one flowing line of samples ---- */

static void sample(wa_paper *p, const wa_series *s, long x, long y)
{
    const char *colour = wa_marks_colour(s), *dash = wa_marks_dash(s);
    long middle = x + ICON / 2;
    switch (s->kind) {
    case WA_SERIES_POINTS:
    case WA_SERIES_ERROR:
        if (s->kind == WA_SERIES_ERROR)
            wa_text_printf(p->out,
                           "<path stroke=\"%s\" stroke-width=\"130\" d=\"M%ld %ldv1400\"/>\n",
                           colour, middle, y - 700);
        wa_text_printf(p->out, "<g fill=\"%s\">", colour);
        wa_marks_marker(p->out, s, middle, y, 380, NULL);
        wa_text_add(p->out, "</g>\n");
        break;
    case WA_SERIES_BAND:
    case WA_SERIES_BARS:
        wa_text_printf(p->out,
                       "<rect x=\"%ld\" y=\"%ld\" width=\"2000\" height=\"900\" fill=\"%s\" "
                       "fill-opacity=\"%s\" stroke=\"%s\" stroke-width=\"60\"/>\n",
                       x + 300, y - 450, colour, s->kind == WA_SERIES_BAND ? "0.16" : "0.55",
                       colour);
        break;
    default:
        wa_text_printf(
            p->out, "<path stroke=\"%s\" stroke-width=\"180\"%s%s%s d=\"M%ld %ldh2200\"/>\n",
            colour, *dash ? " stroke-dasharray=\"" : "", dash, *dash ? "\"" : "", x + 200, y);
        break;
    }
}

static void class_text(wa_text *t, int class, int classes)
{
    long from = 1L << class;
    wa_text_clear(t);
    if (class == 0)
        wa_text_add(t, "1");
    else if (class == WA_MARKS_SHADES - 1 && classes == WA_MARKS_SHADES)
        wa_text_printf(t, "%ld or more", from);
    else
        wa_text_printf(t, "%ld\u2013%ld", from, 2 * from - 1);
}

/* A flow of items; `draw` false only finds out how many lines there are. */
typedef struct wa_flow {
    bool draw;
    long x, y;
    int lines;
} wa_flow;

static void flow_item(wa_paper *p, wa_flow *flow, const wa_series *s, int class, const char *text)
{
    long icon = class >= 0 ? 1700 : ICON, room = WIDTH - 2 * EDGE;
    long width = icon + wa_lettering_width(text, LETTER, false) + 1500;
    width = width < room ? width : room;
    if (flow->lines == 0 || flow->x + width > WIDTH - EDGE + 1500) {
        flow->y += flow->lines > 0 ? LINE : 0;
        flow->lines++;
        flow->x = EDGE;
    }
    if (flow->draw) {
        long middle = flow->y - LETTER / 3;
        if (class >= 0)
            wa_text_printf(
                p->out, "<rect x=\"%ld\" y=\"%ld\" width=\"1200\" height=\"1200\" fill=\"%s\"/>\n",
                flow->x + 100, middle - 600, wa_marks_shade(class));
        else if (s != NULL)
            sample(p, s, flow->x, middle);
        wa_lettering_write(p->out, flow->x + (s != NULL ? icon : 0), flow->y, LETTER, false,
                           WA_ANCHOR_START, text, room - icon);
    }
    flow->x += width - (s == NULL ? icon : 0);
}

/* Draws the legend with its first base line at `y`; returns its lines. */
static int legend(wa_paper *p, long y, bool draw)
{
    wa_flow flow = {.draw = draw, .y = y};
    wa_text t = WA_TEXT_INIT;
    for (size_t i = 0; i < p->f->n; i++) {
        const wa_series *s = &p->f->series[i];
        if (s->kind == WA_SERIES_LEVEL || (*s->label == '\0' && s->kind != WA_SERIES_COUNTS))
            continue;
        if (s->kind != WA_SERIES_COUNTS) {
            flow_item(p, &flow, s, -1, s->label);
            continue;
        }
        wa_text_clear(&t);
        wa_text_printf(&t, "%s%srecords in a cell:", s->label, *s->label ? ", " : "");
        flow_item(p, &flow, NULL, -1, wa_text_string(&t));
        int classes = wa_marks_classes(s);
        for (int class = 0; class < classes; class ++) {
            class_text(&t, class, classes);
            flow_item(p, &flow, s, class, wa_text_string(&t));
        }
    }
    wa_text_spend(&t, p->out);
    return flow.lines;
}

/* ---- the axes ---- */

static long widest_label(const wa_paper *p, const wa_scale *s)
{
    long most = 0;
    wa_text t = WA_TEXT_INIT;
    for (int i = 0; i < s->ticks; i++) {
        tick_text(&t, s, i);
        long width = wa_lettering_width(wa_text_string(&t), LETTER, false);
        most = width > most ? width : most;
    }
    wa_text_spend(&t, p->out);
    return most;
}

static void axis_name(wa_text *t, const char *label, const char *unit, bool dates)
{
    wa_text_clear(t);
    wa_text_add(t, label);
    wa_text shown = WA_TEXT_INIT;
    wa_shown_unit(&shown, dates ? "UTC" : unit);
    if (shown.length > 0)
        wa_text_printf(t, "%s[%s]", *label ? " " : "", wa_text_string(&shown));
    wa_text_spend(&shown, t);
}

static void axes(wa_paper *p)
{
    wa_text t = WA_TEXT_INIT;
    wa_text_add(p->out, "<path stroke=\"#d9d9d9\" stroke-width=\"80\" d=\"");
    for (int i = 0; i < p->y.ticks; i++)
        wa_text_printf(p->out, "M%ld %ldH%ld", p->left, wa_scale_at(&p->y, wa_scale_tick(&p->y, i)),
                       p->right);
    wa_text_add(p->out, "\"/>\n<path stroke=\"#2b2b2b\" stroke-width=\"120\" d=\"");
    wa_text_printf(p->out, "M%ld %ldH%ld", p->left, p->bottom + 400, p->right);
    for (int i = 0; i < p->x.ticks; i++)
        wa_text_printf(p->out, "M%ld %ldv600", wa_scale_at(&p->x, wa_scale_tick(&p->x, i)),
                       p->bottom + 400);
    wa_text_add(p->out, "\"/>\n");
    for (int i = 0; i < p->y.ticks; i++) {
        tick_text(&t, &p->y, i);
        wa_lettering_write(p->out, p->left - 600,
                           wa_scale_at(&p->y, wa_scale_tick(&p->y, i)) + LETTER / 3, LETTER, false,
                           WA_ANCHOR_END, wa_text_string(&t), 0);
    }
    for (int i = 0; i < p->x.ticks; i++) {
        tick_text(&t, &p->x, i);
        wa_lettering_write(p->out, wa_scale_at(&p->x, wa_scale_tick(&p->x, i)), p->bottom + 2300,
                           LETTER, false, WA_ANCHOR_MIDDLE, wa_text_string(&t), 0);
    }
    axis_name(&t, p->f->y_label, p->f->y_unit, p->y.dates);
    wa_lettering_write(p->out, EDGE, p->top - 1300, LETTER, true, WA_ANCHOR_START,
                       wa_text_string(&t), WIDTH - 2 * EDGE);
    axis_name(&t, p->f->x_label, p->f->x_unit, p->x.dates);
    wa_lettering_write(p->out, p->right, p->bottom + 4200, LETTER, true, WA_ANCHOR_END,
                       wa_text_string(&t), p->right - EDGE);
    wa_text_spend(&t, p->out);
}

static bool choose(wa_scale *s, const char *unit, double low, double high, int about, bool wide)
{
    if (wa_scale_is_time(unit, low, high))
        return wa_scale_choose_dates(s, low, high, about);
    if (!wide && wa_scale_choose_directions(s, unit, low, high, about))
        return true;
    return wa_scale_choose(s, low, high, about, wide);
}

/* Scales first, then margins from what the labels need. False: the range cannot be drawn. */
static bool lay_out(wa_paper *p, int title_lines)
{
    const wa_figure *f = p->f;
    double room = (f->x_high - f->x_low) * 0.02;
    if (!choose(&p->y, f->y_unit, f->y_low, f->y_high, 7, true) ||
        !choose(&p->x, f->x_unit, f->x_low - room, f->x_high + room, 9, false))
        return false;
    long widest_x = widest_label(p, &p->x);
    p->left = EDGE + widest_label(p, &p->y) + 600;
    long right = right_margin(p);
    p->right = WIDTH - EDGE - (right > widest_x / 2 ? right : widest_x / 2);
    if (p->x.ticks > 1 && widest_x + 900 > (p->right - p->left) / p->x.ticks) {
        int about = (int)((p->right - p->left) / (widest_x + 900));
        if (!choose(&p->x, f->x_unit, f->x_low - room, f->x_high + room, about > 1 ? about : 1,
                    false))
            return false;
    }
    p->top = EDGE + title_lines * LINE + legend(p, 0, false) * LINE + LINE + 1600;
    p->bottom = p->top + PLOT_HEIGHT;
    p->height = p->bottom + 4200 + EDGE;
    p->x.from = p->left + 600;
    p->x.to = p->right;
    p->y.from = p->bottom;
    p->y.to = p->top;
    long names = name_levels(p, false);
    p->height = names > p->height ? names : p->height;
    return true;
}

static void draw_all(wa_paper *p)
{
    axes(p);
    static const bool layer[4][8] = {
        /* areas, then points, then rules, then lines and means */
        [0] = {[WA_SERIES_BAND] = true, [WA_SERIES_COUNTS] = true, [WA_SERIES_BARS] = true},
        [1] = {[WA_SERIES_POINTS] = true},
        [2] = {[WA_SERIES_LEVEL] = true, [WA_SERIES_MARK] = true},
        [3] = {[WA_SERIES_LINE] = true, [WA_SERIES_ERROR] = true}};
    for (int k = 0; k < 4; k++)
        for (size_t i = 0; i < p->f->n; i++)
            if (layer[k][p->f->series[i].kind])
                wa_marks_series(p->out, p->f, &p->f->series[i], &p->x, &p->y);
    name_levels(p, true);
}

wa_status wa_report_svg(wa_text *out, const wa_value *figure, wa_error *err)
{
    wa_figure f;
    wa_status status = wa_figure_read(&f, figure, err);
    if (status != WA_OK)
        return status;
    wa_paper p = {.out = out, .f = &f};
    int titles = wa_lettering_paragraph(NULL, 0, 0, TITLE, true, LINE, f.title, WIDTH - 2 * EDGE);
    const char *instead = f.empty               ? "There are no values to draw."
                          : lay_out(&p, titles) ? NULL
                                                : "The range of the values cannot be drawn.";
    if (instead != NULL)
        p.height = EDGE + titles * LINE + 3 * LINE;
    wa_text_printf(out,
                   "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%d\" height=\"%ld\" "
                   "viewBox=\"0 0 %d %ld\" role=\"img\" font-family=\"" WA_FONTS
                   "\" fill=\"#1a1a1a\" aria-label=\"",
                   WIDTH / 100, p.height / 100, WIDTH, p.height);
    wa_markup_add(out, f.title);
    wa_text_printf(out, "\">\n<rect width=\"%d\" height=\"%ld\" fill=\"#fff\"/>\n", WIDTH,
                   p.height);
    wa_lettering_paragraph(out, EDGE, EDGE + TITLE, TITLE, true, LINE, f.title, WIDTH - 2 * EDGE);
    if (instead != NULL) {
        wa_lettering_write(out, EDGE, EDGE + (titles + 2) * LINE, LETTER, false, WA_ANCHOR_START,
                           instead, 0);
    } else {
        legend(&p, EDGE + titles * LINE + LINE, true);
        draw_all(&p);
    }
    wa_text_add(out, "</svg>\n");
    return wa_text_failed(out) ? wa_fail(err, WA_ERR_NOMEM, "memory ran out") : WA_OK;
}
