#include "run/csv_side.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

static void take_bytes(wa_csv_side *f)
{
    char block[65536];
    ssize_t got;
    do
        got = read(f->fd, block, sizeof block);
    while (got < 0 && errno == EINTR);
    if (got < 0)
        f->status = wa_fail(&f->why, WA_ERR_IO, "cannot read: %s", strerror(errno));
    f->ended = got <= 0;
    if (got > 0)
        wa_text_add_bytes(&f->held, block, (size_t)got);
}

/* What was read goes, some of what follows comes. */
static void take_more(wa_csv_side *f)
{
    const size_t left = f->held.length - f->at;
    if (f->at > 0) {
        memmove(f->held.at, f->held.at + f->at, left);
        f->held.length = left;
        f->at = 0;
    }
    if (f->listing != NULL) {
        wa_listing_line(&f->held, f->listing, f->line);
        f->ended = f->line++ == f->listing->n;
    } else if (f->bytes != NULL) {
        wa_text_add_bytes(&f->held, f->bytes, f->n);
        f->ended = true;
    } else {
        take_bytes(f);
    }
    if (wa_text_failed(&f->held)) {
        f->ended = true;
        f->status = wa_no_memory(&f->why);
    }
}

/* Whether there is a byte `ahead` of the next one. */
static bool has(wa_csv_side *f, size_t ahead)
{
    while (f->held.length - f->at <= ahead && !f->ended)
        take_more(f);
    return f->held.length - f->at > ahead;
}

bool wa_csv_side_more(wa_csv_side *f)
{
    return has(f, 0);
}

bool wa_csv_side_next(wa_text *out, wa_csv_side *f)
{
    wa_text_clear(out);
    bool quoted = has(f, 0) && f->held.at[f->at] == '"';
    for (f->at += quoted; has(f, 0); f->at++) {
        char c = f->held.at[f->at];
        if (quoted && c == '"' && !(has(f, 1) && f->held.at[f->at + 1] == '"')) {
            quoted = false;
            continue;
        }
        if (!quoted && (c == ',' || c == '\n'))
            break;
        f->at += quoted && c == '"'; /* two stand for one */
        wa_text_add_char(out, c);
    }
    bool ended = !has(f, 0), more = !ended && f->held.at[f->at] == ',';
    f->at += !ended;
    return more;
}

void wa_csv_side_release(wa_csv_side *f)
{
    wa_text_release(&f->held);
}
