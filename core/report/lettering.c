#include "report/lettering.h"

#include "report/markup.h"

#include <string.h>

/* Advance widths in 1/1000 em of U+0020 to U+007E, measured from DejaVu Sans 2.37 (hmtx). */
static const short widths[95] = {
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361,  318, 337, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632,
    575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635,  611, 732, 684, 989, 685,
    611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352,  635, 634, 278, 278, 579,
    278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592,  525, 636, 337, 636, 838};

/* One character's width; moves `s` past it. Other alphabets get 0.75 em, ideographs and what
 * lies beyond 1 em. */
static long letter(const char **s)
{
    unsigned char c = (unsigned char)*(*s)++;
    if (c < 0x80)
        return c >= 0x20 && c < 0x7f ? widths[c - 0x20] : 0;
    while ((**s & 0xc0) == 0x80)
        (*s)++;
    return c >= 0xe3 ? 1000 : 750;
}

static long width_of(const char *from, const char *to, long size, bool bold)
{
    long sum = 0;
    while (from < to)
        sum += letter(&from);
    return (sum * size + 999) / 1000 * (bold ? 112 : 100) / 100;
}

long wa_lettering_width(const char *text, long size, bool bold)
{
    return width_of(text, text + strlen(text), size, bold);
}

static void element(wa_text *out, long x, long y, long size, bool bold, wa_anchor anchor)
{
    static const char *const anchors[] = {"", " text-anchor=\"middle\"", " text-anchor=\"end\""};
    wa_text_printf(out, "<text x=\"%ld\" y=\"%ld\" font-size=\"%ld\"%s%s>", x, y, size,
                   bold ? " font-weight=\"bold\"" : "", anchors[anchor]);
}

/* Where to cut shown text so that it fits with an ellipsis behind it. */
static const char *cut(const char *text, long size, bool bold, long room)
{
    const char *s = text, *fits = text;
    while (*s != '\0') {
        letter(&s);
        if (width_of(text, s, size, bold) + size > room)
            break;
        fits = s;
    }
    return fits;
}

void wa_lettering_write(wa_text *out, long x, long y, long size, bool bold, wa_anchor anchor,
                        const char *text, long room)
{
    element(out, x, y, size, bold, anchor);
    if (room > 0 && wa_lettering_width(text, size, bold) > room) {
        wa_text_add(out, "<title>");
        wa_markup_add(out, text);
        wa_text_add(out, "</title>");
        wa_markup_bytes(out, text, (size_t)(cut(text, size, bold, room) - text));
        wa_text_add(out, "\u2026");
    } else {
        wa_markup_add(out, text);
    }
    wa_text_add(out, "</text>\n");
}

int wa_lettering_paragraph(wa_text *out, long x, long y, long size, bool bold, long leading,
                           const char *text, long room)
{
    int lines = 0;
    while (*text != '\0') {
        const char *end = text, *stop = text;
        do { /* word by word; a word that is too long alone is broken where it must be */
            const char *next = end + strspn(end, " ");
            next += strcspn(next, " ");
            if (width_of(text, next, size, bold) > room)
                break;
            stop = end = next;
        } while (*end != '\0');
        if (stop == text) {
            stop = cut(text, size, bold, room);
            if (stop == text) { /* not even one character fits: take it all the same */
                letter(&stop);
            }
        }
        if (out != NULL) {
            element(out, x, y + lines * leading, size, bold, WA_ANCHOR_START);
            wa_markup_bytes(out, text, (size_t)(stop - text));
            wa_text_add(out, "</text>\n");
        }
        lines++;
        text = stop + strspn(stop, " ");
    }
    return lines;
}
