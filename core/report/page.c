#include "report/page.h"

#include "report/digits.h"
#include "report/facts.h"
#include "report/markup.h"
#include "report/words.h"

#include <math.h>
#include <string.h>

void wa_page_add(wa_page *p, const char *markup)
{
    wa_text_add(p->out, markup);
}

void wa_page_flush(wa_page *p)
{
    wa_markup_bytes(p->out, wa_text_string(&p->scratch), p->scratch.length);
    wa_text_clear(&p->scratch);
}

static void open_tag(wa_page *p, const char *tag)
{
    wa_text_printf(p->out, "<%s>", tag);
}

static void close_tag(wa_page *p, const char *tag)
{
    wa_text_add(p->out, "</");
    wa_text_add_bytes(p->out, tag, strcspn(tag, " "));
    wa_text_add(p->out, ">");
}

void wa_page_element(wa_page *p, const char *tag, const char *text)
{
    open_tag(p, tag);
    wa_markup_add(p->out, text);
    close_tag(p, tag);
}

void wa_page_element_value(wa_page *p, const char *tag, const wa_value *v)
{
    open_tag(p, tag);
    wa_markup_value(p->out, v);
    close_tag(p, tag);
}

void wa_page_element_scratch(wa_page *p, const char *tag)
{
    open_tag(p, tag);
    wa_page_flush(p);
    close_tag(p, tag);
}

void wa_page_table(wa_page *p, const char *class, const char *caption, const char *const *heads)
{
    wa_text_printf(p->out, "<div class=wide><table class=\"%s\">\n", class);
    if (caption != NULL)
        wa_page_element(p, "caption", caption);
    wa_page_add(p, "<thead><tr>");
    for (; *heads != NULL; heads++)
        wa_page_element(p, **heads == '#' ? "th scope=col class=n" : "th scope=col",
                        *heads + (**heads == '#'));
    wa_page_add(p, "</tr></thead>\n<tbody>\n");
}

void wa_page_table_end(wa_page *p)
{
    wa_page_add(p, "</tbody></table></div>\n");
}

void wa_page_mark(wa_page *p, const char *before, const char *note)
{
    wa_text_printf(p->out, "%s<sup>%zu</sup>", before, wa_footnote(&p->notes, note));
}

void wa_page_notes(wa_page *p)
{
    const char *note = NULL;
    while ((note = wa_footnotes_next(&p->notes, note)) != NULL) {
        wa_page_add(p, note == wa_footnotes_next(&p->notes, NULL) ? "<ol class=notes>\n" : "");
        wa_page_element(p, "li", note);
    }
    wa_page_add(p, wa_footnotes_next(&p->notes, NULL) != NULL ? "</ol>\n" : "");
    wa_footnotes_clear(&p->notes);
}

void wa_page_small(wa_page *p, const char *before, const char *text)
{
    if (text == NULL || *text == '\0')
        return;
    wa_page_add(p, "<small>");
    wa_page_add(p, before);
    wa_markup_add(p->out, text);
    wa_page_add(p, "</small>");
}

void wa_page_title(wa_page *p, const wa_value *check)
{
    const char *run = wa_facts_run(check), *phase = wa_facts_phase(check);
    wa_markup_value(p->out, wa_get(check, "title"));
    if (phase != NULL) {
        wa_page_add(p, ", phase \u201c");
        wa_markup_bytes(p->out, phase, strcspn(phase, ":"));
        wa_page_add(p, "\u201d");
    }
    if (run != NULL) {
        wa_page_add(p, ", run \u201c");
        wa_markup_add(p->out, run);
        wa_page_add(p, "\u201d");
    }
}

void wa_page_outcome(wa_page *p, const char *outcome)
{
    const wa_word *word = wa_word_of(outcome);
    wa_text_printf(p->out,
                   "<span class=\"outcome %s\"><svg viewBox=\"0 0 16 16\" aria-hidden=\"true\">"
                   "%s</svg>",
                   word->class, word->shape);
    wa_markup_add(p->out, outcome == NULL ? "?" : outcome);
    wa_page_add(p, "</span>");
}

static bool is_number(const char *key)
{
    return *key != '\0' && key[strspn(key, "0123456789")] == '\0';
}

static void plain(wa_text *t, const wa_value *v, int depth)
{
    wa_kind kind = wa_value_kind(v);
    if (kind != WA_LIST && kind != WA_MAP) {
        if (wa_string_of(v) != NULL)
            wa_text_add_bytes(t, wa_string_of(v), wa_length_of(v));
        else
            wa_shown_value(t, v);
        return;
    }
    if (depth > 0)
        wa_text_add(t, "(");
    for (size_t i = 0; i < wa_count(v); i++) {
        /* { 2.1, "m", u = 0.02 } has the keys "1", "2" and "u": "2.1 m, u 0.02" */
        bool counted = kind == WA_MAP && is_number(wa_key(v, i));
        wa_text_add(t, i == 0 ? "" : counted && is_number(wa_key(v, i - 1)) ? " " : ", ");
        if (kind == WA_MAP && !counted)
            wa_text_printf(t, "%s ", wa_key(v, i));
        plain(t, wa_at(v, i), depth + 1);
    }
    if (depth > 0)
        wa_text_add(t, ")");
}

void wa_page_plain(wa_text *t, const wa_value *v)
{
    plain(t, v, 0);
}

/* ---- the gauge: lengths in 1/100 px ---- */

enum { GAUGE_WIDTH = 16000, GAUGE_MIDDLE = 1300 };

typedef struct wa_gauge {
    double low, high;
} wa_gauge;

static void reach(wa_gauge *g, double x)
{
    g->low = fmin(g->low, x);
    g->high = fmax(g->high, x);
}

static long place(const wa_gauge *g, double x)
{
    return (long)floor((x - g->low) / (g->high - g->low) * GAUGE_WIDTH + 0.5);
}

/* The zone that passes is a pale band between brackets; guard bands are hatched by two short
 * strokes; the value is a diamond on a line as long as +-U. */
static void draw_gauge(wa_page *p, const wa_gauge *g, const double *lower, const double *upper,
                       double value, double expanded, double guard)
{
    long from = lower ? place(g, *lower) : 0, to = upper ? place(g, *upper) : GAUGE_WIDTH;
    long at = place(g, value), left = place(g, value - expanded),
         right = place(g, value + expanded);
    wa_text_printf(
        p->out,
        "<svg class=gauge width=\"160\" height=\"26\" viewBox=\"0 0 %d 2600\" "
        "aria-hidden=\"true\"><rect x=\"%ld\" y=\"400\" width=\"%ld\" height=\"1800\" "
        "fill=\"#e3ecef\"/><path d=\"M0 %dH%d\" stroke=\"#b5bcc2\" stroke-width=\"80\"/>",
        GAUGE_WIDTH, from, to - from, GAUGE_MIDDLE, GAUGE_WIDTH);
    wa_text_add(p->out, "<path fill=\"none\" stroke=\"#2b2b2b\" stroke-width=\"150\" d=\"");
    if (lower)
        wa_text_printf(p->out, "M%ld 400h-350v1800h350", from + 350);
    if (upper)
        wa_text_printf(p->out, "M%ld 400h350v1800h-350", to - 350);
    wa_text_add(p->out, "\"/>");
    if (guard > 0) {
        wa_text_add(p->out, "<path stroke=\"#2b2b2b\" stroke-width=\"80\" stroke-dasharray=\"200 "
                            "200\" d=\"");
        if (lower)
            wa_text_printf(p->out, "M%ld 400v1800", place(g, *lower + guard));
        if (upper)
            wa_text_printf(p->out, "M%ld 400v1800", place(g, *upper - guard));
        wa_text_add(p->out, "\"/>");
    }
    if (expanded > 0)
        wa_text_printf(p->out,
                       "<path stroke=\"#14497a\" stroke-width=\"170\" d=\"M%ld %dH%ldM%ld "
                       "900v800M%ld 900v800\"/>",
                       left, GAUGE_MIDDLE, right, left, right);
    wa_text_printf(p->out,
                   "<path fill=\"#14497a\" stroke=\"#fff\" stroke-width=\"60\" d=\"M%ld 750l550 "
                   "550l-550 550l-550 -550z\"/></svg>",
                   at);
}

void wa_page_gauge(wa_page *p, const wa_value *requirement)
{
    double value, lower, upper, u = 0, k = 1, guard = 0;
    const wa_value *limits = wa_get(requirement, "limits");
    bool has_lower = wa_number_of(wa_get(limits, "lower"), &lower);
    bool has_upper = wa_number_of(wa_get(limits, "upper"), &upper);
    if (!wa_number_of(wa_get(requirement, "value"), &value) || !(has_lower || has_upper))
        return;
    wa_number_of(wa_get(requirement, "u"), &u);
    wa_number_of(wa_get(requirement, "k"), &k);
    wa_number_of(wa_get(requirement, "guard_band"), &guard);
    wa_gauge g = {value, value};
    reach(&g, value - u * k);
    reach(&g, value + u * k);
    if (has_lower)
        reach(&g, lower);
    if (has_upper)
        reach(&g, upper);
    double span = g.high - g.low;
    if (!(span < 1e15))
        return;
    double edge = span > 0 ? span * 0.15 : fmax(fabs(value) * 0.1, 1e-6);
    g.low -= edge;
    g.high += edge;
    draw_gauge(p, &g, has_lower ? &lower : NULL, has_upper ? &upper : NULL, value, u * k, guard);
}
