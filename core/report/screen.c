#include "report/screen.h"

#include "report/markup.h"
#include "report/words.h"

#include <string.h>

/* Adds foreign or own text; without UTF-8 every other character is shown as \xHH. */
void wa_screen_say(wa_screen *s, const char *text)
{
    for (; *text != '\0'; text++)
        if (s->how->unicode || (unsigned char)*text < 0x80)
            wa_text_add_char(s->out, *text);
        else
            wa_text_printf(s->out, "\\x%02x", (unsigned char)*text);
}

void wa_screen_say_value(wa_screen *s, const wa_value *v)
{
    wa_text_clear(&s->cell);
    wa_shown_value(&s->cell, v);
    wa_screen_say(s, wa_text_string(&s->cell));
    wa_text_clear(&s->cell);
}

void wa_screen_say_word(wa_screen *s, const char *outcome)
{
    wa_text_clear(&s->cell);
    wa_text_add_shown(&s->cell, outcome == NULL ? "?" : outcome,
                      outcome == NULL ? 1 : strlen(outcome));
    if (s->how->colour)
        wa_text_add(s->out, wa_word_of(outcome)->terminal);
    wa_screen_say(s, wa_text_string(&s->cell));
    wa_text_clear(&s->cell);
    if (s->how->colour)
        wa_text_add(s->out, "\033[0m");
}

/* The scratch text, made safe to show, onto the end of `to`; the scratch is empty then. */
void wa_screen_make_safe(wa_screen *s, wa_text *to)
{
    wa_text shown = WA_TEXT_INIT;
    wa_screen onto = {.out = to, .how = s->how};
    wa_text_add_shown(&shown, wa_text_string(&s->cell), s->cell.length);
    wa_screen_say(&onto, wa_text_string(&shown));
    if (wa_text_failed(&shown) || wa_text_failed(to))
        s->out->failed = true;
    wa_text_release(&shown);
    wa_text_clear(&s->cell);
}

/* The scratch text as a cell. */
void wa_screen_put(wa_screen *s, wa_grid *g)
{
    wa_text safe = WA_TEXT_INIT;
    wa_screen_make_safe(s, &safe);
    wa_grid_cell(g, wa_text_string(&safe));
    wa_text_spend(&safe, s->out);
}

void wa_screen_put_text(wa_screen *s, wa_grid *g, const char *text)
{
    wa_text_clear(&s->cell);
    wa_text_add(&s->cell, text == NULL ? "" : text);
    wa_screen_put(s, g);
}

void wa_screen_put_outcome(wa_screen *s, wa_grid *g, const char *outcome)
{
    wa_screen_put_text(s, g, outcome);
    wa_grid_colour(g, wa_word_of(outcome)->terminal);
}

wa_status wa_screen_finish(wa_screen *s, wa_grid *g, wa_error *err)
{
    wa_status status = wa_grid_print(g, s->out, err);
    wa_grid_free(g);
    return status;
}
