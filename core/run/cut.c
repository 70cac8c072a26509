#include "run/cut.h"

#include "data/plan.h"
#include "data/source_file.h"
#include "data/whole.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Physical lines at which rows begin, each with whether the row stays. */
typedef struct row_line {
    size_t line;
    bool stays;
} row_line;

typedef struct row_lines {
    row_line *at;
    size_t n, room;
} row_lines;

static wa_status add_line(row_lines *r, size_t line, bool stays, wa_error *err)
{
    if (r->n == r->room) {
        size_t room = r->room == 0 ? 1024 : 2 * r->room;
        row_line *more = realloc(r->at, room * sizeof *more);
        if (more == NULL)
            return wa_no_memory(err);
        r->at = more;
        r->room = room;
    }
    r->at[r->n++] = (row_line){line, stays};
    return WA_OK;
}

static wa_status judge_rows(row_lines *r, uint64_t *cut, const wa_plan *plan, int fd,
                            const char *name, wa_error *err)
{
    wa_source_file f = {0};
    wa_status s = wa_source_file_open(&f, plan, fd, name, false, err);
    while (s == WA_OK) {
        s = wa_source_file_next(&f, err);
        if (s != WA_OK || !f.any)
            break;
        bool stays = wa_plan_covers(plan, f.middle);
        *cut += !stays;
        s = add_line(r, wa_rows_line(f.rows), stays, err);
    }
    wa_source_file_release(&f);
    return s;
}

/* Lines up to the next row's belong to the row before them. */
static void keep_lines(wa_text *out, const wa_text *text, const row_lines *r)
{
    const char *at = wa_text_string(text), *end = at + text->length;
    size_t next = 0;
    bool stays = true;
    for (size_t line = 1; at < end; line++) {
        const char *feed = memchr(at, '\n', (size_t)(end - at));
        const char *after = feed == NULL ? end : feed + 1;
        if (next < r->n && r->at[next].line == line)
            stays = r->at[next++].stays;
        if (stays)
            wa_text_add_bytes(out, at, (size_t)(after - at));
        at = after;
    }
}

wa_status wa_cut_to_period(wa_text *out, uint64_t *cut, const wa_campaign *c, size_t source, int fd,
                           const char *name, wa_error *err)
{
    wa_plan plan = {0};
    wa_text text = WA_TEXT_INIT;
    row_lines rows = {0};
    int again = dup(fd);
    wa_status s = again < 0 ? wa_fail(err, WA_ERR_IO, "cannot read '%.200s' twice", name) : WA_OK;
    *cut = 0;
    if (s != WA_OK) {
        close(fd);
        return s;
    }
    s = wa_file_whole(&text, fd, name, err);
    if (s == WA_OK && lseek(again, 0, SEEK_SET) != 0)
        s = wa_fail(err, WA_ERR_IO, "cannot read '%.200s' twice", name);
    if (s == WA_OK)
        s = wa_plan_make(&plan, c, source, err);
    if (s == WA_OK) {
        s = judge_rows(&rows, cut, &plan, again, name, err);
        again = -1;
    }
    if (s == WA_OK)
        keep_lines(out, &text, &rows);
    if (s == WA_OK && wa_text_failed(out))
        s = wa_no_memory(err);
    if (again >= 0)
        close(again);
    wa_plan_release(&plan);
    wa_text_release(&text);
    free(rows.at);
    return s;
}
