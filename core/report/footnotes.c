#include "report/footnotes.h"

#include <string.h>

const char *wa_footnotes_next(const wa_footnotes *f, const char *note)
{
    const char *start = wa_text_string(&f->said);
    const char *next = note == NULL ? start : note + strlen(note) + 1;
    return next < start + f->said.length ? next : NULL;
}

size_t wa_footnote(wa_footnotes *f, const char *text)
{
    size_t number = 1;
    for (const char *n = NULL; (n = wa_footnotes_next(f, n)) != NULL; number++)
        if (strcmp(n, text) == 0)
            return number;
    wa_text_add_bytes(&f->said, text, strlen(text) + 1);
    return number;
}

void wa_footnotes_clear(wa_footnotes *f)
{
    wa_text_clear(&f->said);
}
